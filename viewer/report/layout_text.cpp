// Lines and columns.
#include <algorithm>
#include <string_view>

#include "viewer/report/faces.hpp"
#include "viewer/report/layout.hpp"
#include "viewer/report/table_style.hpp"

namespace landfall::report {
namespace {

// Pieces that may stand on lines of their own; blanks stay at the end of a piece.
std::vector<std::string> pieces_of(const std::string& text) {
  std::vector<std::string> pieces;
  std::string piece;
  for (const char c : text) {
    piece += c;
    if (c != ' ') continue;
    pieces.push_back(std::move(piece));
    piece.clear();
  }
  if (!piece.empty()) pieces.push_back(std::move(piece));
  return pieces;
}

std::string without_blanks(std::string text) {
  while (text.ends_with(' ')) text.pop_back();
  return text;
}

// The longest beginning of `word` that fits, at a seam if there is one in its second half; never empty.
std::size_t fitting(const std::string& word, double width, double size, scene::Typeface face) {
  double at = 0;
  std::size_t end = 0;
  std::size_t seam = 0;
  for (const char32_t sign : signs_of(word)) {
    std::string one;
    add_sign(one, sign);
    at += width_of(one, size, face);
    if (at > width && end > 0) break;
    end += one.size();
    if (sign < 0x80 && std::string_view("_/.-,:").find(static_cast<char>(sign)) != std::string_view::npos)
      seam = end;
  }
  return seam * 2 > end && end < word.size() ? seam : end;
}

}  // namespace

std::vector<std::string> wrapped(const std::string& raw, double width, double size, scene::Typeface face) {
  std::vector<std::string> lines;
  std::string line;
  double used = 0;
  const auto close = [&] {
    lines.push_back(without_blanks(line));
    line.clear();
    used = 0;
  };
  for (std::string piece : pieces_of(scene::clean_text(raw))) {
    double wide = width_of(without_blanks(piece), size, face);
    if (!line.empty() && used + wide > width) close();
    while (wide > width) {
      const std::size_t end = fitting(piece, width, size, face);
      if (end >= piece.size()) break;
      line = piece.substr(0, end);
      piece.erase(0, end);
      close();
      wide = width_of(without_blanks(piece), size, face);
    }
    line += piece;
    used += width_of(piece, size, face);
  }
  if (!line.empty() || lines.empty()) close();
  return lines;
}

namespace {

constexpr double kMostWord = 92;   // a longer word is broken
constexpr double kMostText = 400;  // a text longer than that asks for no more room
constexpr double kMostHead = 74;
constexpr double kWrite = 68;
constexpr double kGrowth = 1.4;  // a table with room to spare stays narrow, so that a row is read across

struct Wishes {
  double least = 0;  // below it words are broken
  double wish = 0;
};

Wishes wishes_of(const Table& table, std::size_t c) {
  const Holds holds = table.columns[c].holds;
  const scene::Typeface face = face_of(holds);
  const double size = size_of(holds);
  const bool whole_line = holds == Holds::kFigure || holds == Holds::kNumber;
  Wishes w;
  const auto least_of = [&](const std::string& text, scene::Typeface f, double s) {
    for (const std::string& piece : pieces_of(text))
      w.least = std::max(w.least, std::min(width_of(without_blanks(piece), s, f), kMostWord));
  };
  least_of(table.columns[c].head, kHeadFace, kTableSize);
  double widest = 0;
  double sum = 0;
  for (const auto& row : table.rows) {
    const double whole = width_of(row[c].text, size, face);
    widest = std::max(widest, std::min(whole, kMostText));
    sum += std::min(whole, kMostText);
    if (whole <= w.least) continue;
    if (whole_line) w.least = std::min(whole, kMostWord);
    if (!whole_line) least_of(row[c].text, face, size);
  }
  // One long text among many short ones may take several lines.
  const double mean = sum / static_cast<double>(std::max<std::size_t>(table.rows.size(), 1));
  w.wish = std::max({w.least, std::min(widest, w.least + 2.5 * mean),
                     std::min(width_of(table.columns[c].head, kTableSize, kHeadFace), kMostHead)});
  if (holds == Holds::kWrite) w = {kWrite, 2 * kWrite};
  if (holds == Holds::kTick) w.least = w.wish = std::max(w.wish, kTickBox);
  return w;
}

}  // namespace

std::vector<double> column_widths(const Table& table, double total) {
  const std::size_t n = table.columns.size();
  const double room = total - kColumnGap * static_cast<double>(n == 0 ? 0 : n - 1);
  std::vector<double> widths;
  std::vector<Wishes> wishes;
  double least = 0;
  double wish = 0;
  for (std::size_t c = 0; c < n; ++c) {
    wishes.push_back(wishes_of(table, c));
    widths.push_back(wishes[c].least);
    least += wishes[c].least;
    wish += wishes[c].wish;
  }
  if (least >= room) {
    for (double& width : widths) width *= room / least;
    return widths;
  }
  const double share = wish > least ? std::min(1.0, (room - least) / (wish - least)) : 0;
  for (std::size_t c = 0; c < n; ++c) widths[c] += (wishes[c].wish - wishes[c].least) * share;
  if (wish >= room) return widths;
  double growing = 0;
  for (std::size_t c = 0; c < n; ++c) {
    if (table.columns[c].holds != Holds::kTick) growing += widths[c];
  }
  const double growth = growing > 0 ? std::min(kGrowth, 1 + (room - wish) / growing) : 1;
  for (std::size_t c = 0; c < n; ++c) {
    if (table.columns[c].holds != Holds::kTick) widths[c] *= growth;
  }
  return widths;
}

}  // namespace landfall::report
