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

std::vector<double> column_widths(const Table& table, double total) {
  constexpr double kMostWord = 92;   // a longer word is broken
  constexpr double kMostText = 400;  // a text longer than that asks for no more room
  constexpr double kWrite = 68;
  const std::size_t n = table.columns.size();
  std::vector<double> least(n, 0);
  std::vector<double> wish(n, 0);
  for (std::size_t c = 0; c < n; ++c) {
    const Holds holds = table.columns[c].holds;
    const auto see = [&](const std::string& text, scene::Typeface face, double size) {
      const double whole = width_of(text, size, face);
      wish[c] = std::max(wish[c], std::min(whole, kMostText));
      if (holds == Holds::kFigure || holds == Holds::kNumber)
        least[c] = std::max(least[c], std::min(whole, kMostWord));
      if (whole <= least[c]) return;
      for (const std::string& piece : pieces_of(text))
        least[c] = std::max(least[c], std::min(width_of(without_blanks(piece), size, face), kMostWord));
    };
    for (const std::string& piece : pieces_of(table.columns[c].head))
      see(without_blanks(piece), kHeadFace, kTableSize);
    for (const auto& row : table.rows) see(row[c].text, face_of(holds), size_of(holds));
    if (holds == Holds::kWrite) least[c] = wish[c] = kWrite;
    if (holds == Holds::kTick) least[c] = wish[c] = std::max(wish[c], kTickBox);
  }
  double sum_least = 0;
  double sum_wish = 0;
  const double room = total - kColumnGap * static_cast<double>(n == 0 ? 0 : n - 1);
  for (std::size_t c = 0; c < n; ++c) {
    wish[c] = std::max(wish[c], least[c]);
    sum_least += least[c];
    sum_wish += wish[c];
  }
  std::vector<double> widths = least;
  if (sum_least >= room) {
    for (double& width : widths) width *= room / sum_least;
    return widths;
  }
  // What is left goes to those that wish for more, then to all but figures and boxes.
  const double share = sum_wish > sum_least ? std::min(1.0, (room - sum_least) / (sum_wish - sum_least)) : 0;
  for (std::size_t c = 0; c < n; ++c) widths[c] += (wish[c] - least[c]) * share;
  double rest = room;
  double growing = 0;
  const auto grows = [&](std::size_t c) {
    const Holds holds = table.columns[c].holds;
    return holds == Holds::kText || holds == Holds::kName || holds == Holds::kWrite;
  };
  for (std::size_t c = 0; c < n; ++c) {
    rest -= widths[c];
    if (grows(c)) growing += widths[c];
  }
  if (rest > 0 && growing > 0) {
    const double before = growing;
    for (std::size_t c = 0; c < n; ++c) {
      if (grows(c)) widths[c] += rest * widths[c] / before;
    }
  }
  return widths;
}

}  // namespace landfall::report
