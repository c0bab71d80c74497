#include "importers/ball_list/table.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/units.hpp"

namespace landfall::importers::ball_list {
namespace {

constexpr int kMostRows = 100;
constexpr std::size_t kMostCells = 2'000;
constexpr std::size_t kShown = 80;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_letter(char c) {
  return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

struct Cursor {
  std::string_view text;
  std::size_t at = 0, line = 1, start = 0;  // `start`: offset of the present line
  [[nodiscard]] bool done() const { return at >= text.size(); }
  [[nodiscard]] std::size_t column() const { return at - start + 1; }
  char take() {
    const char c = text[at++];
    if (c == '\n') {
      ++line;
      start = at;
    }
    return c;
  }
};

// One record by RFC 4180: quotes only at a cell's start, doubled inside, line ends inside allowed.
Row read_record(Cursor& in, char separator) {
  Row row;
  while (true) {
    Cell cell{"", in.line, in.column()};
    while (!in.done() && in.text[in.at] == ' ') in.take();
    if (!in.done() && in.text[in.at] == '"') {
      in.take();
      while (!in.done()) {
        const char c = in.take();
        if (c != '"') {
          cell.text += c == '\n' ? ' ' : c;
        } else if (!in.done() && in.text[in.at] == '"') {
          cell.text += in.take();
        } else {
          break;
        }
      }
    }
    while (!in.done() && in.text[in.at] != separator && in.text[in.at] != '\n') cell.text += in.take();
    cell.text = std::string(trimmed(cell.text));
    if (row.cells.size() < kMostCells) row.cells.push_back(std::move(cell));
    if (in.done()) return row;
    if (in.take() == '\n') return row;
  }
}

// Cells between runs of at least `least` blanks; a tab counts as many.
Row read_blank_line(Cursor& in, std::size_t least) {
  Row row;
  Cell cell;
  std::size_t blanks = least;
  while (!in.done()) {
    const std::size_t column = in.column();
    const char c = in.take();
    if (c == '\n') break;
    if (c == ' ' || c == '\t') {
      blanks += c == '\t' ? least : 1;
      continue;
    }
    if (blanks >= least) {
      if (!cell.text.empty() && row.cells.size() < kMostCells) row.cells.push_back(std::move(cell));
      cell = {"", in.line, column};
    } else {
      cell.text.append(blanks, ' ');
    }
    blanks = 0;
    cell.text += c;
  }
  if (!cell.text.empty()) row.cells.push_back(std::move(cell));
  return row;
}

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const auto end = text.find('\n');
    lines.push_back(text.substr(0, end));
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return lines;
}

std::size_t count_outside_quotes(std::string_view line, char separator) {
  std::size_t count = 0;
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    if (c == separator && !quoted) ++count;
  }
  return count;
}

// The separator that gives the same count of cells, more than one, on most lines.
char best_separator(const std::vector<std::string_view>& lines) {
  char best = 0;
  std::size_t best_lines = 0;
  std::size_t filled = 0;
  for (const auto line : lines) filled += static_cast<std::size_t>(!trimmed(line).empty());
  for (const char separator : {'\t', ';', ',', '|'}) {
    std::map<std::size_t, std::size_t> counts;
    for (const auto line : lines) {
      if (const std::size_t n = count_outside_quotes(line, separator); n > 0) ++counts[n];
    }
    for (const auto& [n, times] : counts) {
      if (times > best_lines && times * 2 > filled) {
        best = separator;
        best_lines = times;
      }
    }
  }
  if (best != 0) return best;
  // A list with one row a name and any number of balls has no count that most lines share.
  for (const char separator : {'\t', ';', '|', ','}) {
    const auto with = std::count_if(lines.begin(), lines.end(),
                                    [&](auto line) { return count_outside_quotes(line, separator) > 0; });
    if (static_cast<std::size_t>(with) * 10 >= filled * 9 && filled > 0) return separator;
  }
  return 0;
}

}  // namespace

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\n") - first + 1);
}

std::string upper(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  return out;
}

std::size_t Row::filled() const {
  return static_cast<std::size_t>(
      std::count_if(cells.begin(), cells.end(), [](const Cell& c) { return !c.text.empty(); }));
}

std::string Row::text() const {
  std::string all;
  for (const Cell& cell : cells) {
    if (all.size() > kShown) break;
    if (!cell.text.empty()) all += (all.empty() ? "" : " ") + cell.text;
  }
  if (all.size() <= kShown) return all;
  std::size_t end = kShown;
  while (end > 0 && (static_cast<unsigned char>(all[end]) & 0xC0U) == 0x80U) --end;
  return all.substr(0, end) + "...";
}

int row_of_letters(std::string_view text) {
  if (text.empty() || text.size() > 2 || !std::all_of(text.begin(), text.end(), is_letter)) return 0;
  if (const auto row = row_number(text)) return *row;
  int row = 0;
  for (const char c : upper(text)) row = row * 26 + (c - 'A' + 1);
  return row;
}

std::string ball_named(std::string_view text) {
  const auto digits = std::find_if(text.begin(), text.end(), is_digit);
  const auto letters = static_cast<std::size_t>(digits - text.begin());
  const int row = row_of_letters(text.substr(0, letters));
  if (row < 1 || row > kMostRows) return {};
  const auto column = parse_integer(text.substr(letters));
  if (!column || *column < 1 || *column > 99 || text.size() - letters > 3) return {};
  return upper(text.substr(0, letters)) + std::to_string(*column);
}

bool is_digit_first_ball(std::string_view text) {
  std::size_t i = 0;
  const auto run = [&](auto is, std::size_t most) {
    const std::size_t start = i;
    while (i < text.size() && i - start < most && is(text[i])) ++i;
    return i - start;
  };
  if (run(is_digit, 2) == 0 || run(is_letter, 2) == 0) return false;
  run(is_digit, 2);
  return i == text.size();
}

bool is_pin_number(std::string_view text) {
  return !text.empty() && text.size() <= 4 && text.front() != '0' &&
         std::all_of(text.begin(), text.end(), is_digit);
}

namespace {

// What stands between the ends of a range: A1-A3, A1..A3, A1:A3, A1~A3. Where it begins and how long it is.
std::pair<std::size_t, std::size_t> range_sign(std::string_view word) {
  const auto dots = word.find("..");
  if (dots == std::string_view::npos) return {word.find_first_of("-:~"), 1};
  return {dots, std::min(word.find_first_not_of('.', dots), word.size()) - dots};
}

bool is_range_word(std::string_view word) {
  const std::string text = upper(word);
  return text == "TO" || text == "THROUGH" || text == "THRU" || text == "-" || text == ".." ||
         text == "..." || text == "~";
}

// "A1 to A3" as "A1-A3", so that a range is one word.
std::vector<std::string> words_in(std::string_view text) {
  std::vector<std::string> words;
  bool range = false;  // the last word goes on
  while (!text.empty()) {
    const auto end = text.find_first_of(",; \t\n");
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    if (word.empty()) continue;
    if (is_range_word(word) && !words.empty() && !range) {
      words.back() += '-';
      range = true;
    } else if (range) {
      words.back() += word;
      range = false;
    } else {
      words.emplace_back(word);
    }
  }
  return words;
}

// "B1", "to", "B3" of one line, told apart by blanks, are one cell. A dash stands for a missing name as well:
// it makes a range only behind a name.
void join_ranges(Row& row) {
  std::vector<Cell> cells;
  const bool name_first = ball_named(row.cells.front().text).empty();
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    cells.push_back(std::move(row.cells[i]));
    if (i + 2 >= row.cells.size() || !is_range_word(row.cells[i + 1].text)) continue;
    if (row.cells[i + 1].text == "-" && !name_first) continue;
    const std::string range = cells.back().text + "-" + row.cells[i + 2].text;
    if (balls_in(range, false).empty()) continue;
    cells.back().text = range;
    i += 2;
  }
  row.cells = std::move(cells);
}

// "VDD A1, A4, B2-B4", or the name last: commas between the balls only, so the lines are no cells between
// commas.
bool is_name_with_list(std::string_view line) {
  line = trimmed(line);
  const auto first = line.find(' ');
  const auto last = line.rfind(' ');
  if (first == std::string_view::npos) return false;
  const auto is_name = [](std::string_view word) {
    return word.find_first_of(",;\t") == std::string_view::npos && balls_in(word, false).empty();
  };
  const std::string_view head = line.substr(0, first);
  const std::string_view tail = line.substr(last + 1);
  return (is_name(head) && !balls_in(line.substr(first), false).empty()) ||
         (is_name(tail) && line[last - 1] != ',' && line[last - 1] != ';' &&
          !balls_in(line.substr(0, last), false).empty());
}

bool are_names_with_lists(const std::vector<std::string_view>& lines) {
  std::size_t filled = 0;
  std::size_t lists = 0;
  for (const auto line : lines) {
    filled += trimmed(line).empty() ? 0U : 1U;
    lists += is_name_with_list(line) ? 1U : 0U;
  }
  return lists > 0 && lists * 10 >= filled * 8;
}

}  // namespace

std::vector<std::string> balls_in(std::string_view text, bool numbers) {
  std::vector<std::string> balls;
  const auto one = [&](std::string_view word) {
    return numbers ? (is_pin_number(word) ? std::string(word) : std::string()) : ball_named(word);
  };
  for (const std::string_view word : words_in(text)) {
    const auto [sign, size] = range_sign(word);
    if (sign == std::string_view::npos) {
      balls.push_back(one(word));
      if (balls.back().empty()) return {};
      continue;
    }
    const std::string from = one(word.substr(0, sign));
    const std::string to = one(word.substr(sign + size));
    const auto a = parse_ball(from);
    const auto b = parse_ball(to);
    // Never across rows and columns at once: nobody could say what is meant.
    if (numbers || !a || !b || (a->row != b->row && a->column != b->column) || *b < *a) return {};
    for (int row = a->row; row <= b->row; ++row) {
      for (int column = a->column; column <= b->column; ++column) balls.push_back(ball_text({row, column}));
    }
  }
  return balls;
}

Table split_table(std::string_view text, bool blanks) {
  const auto lines = lines_of(text);
  Table table;
  char separator = blanks ? '\0' : best_separator(lines);
  const bool lists = (separator == ',' || separator == ';') && are_names_with_lists(lines);
  if (lists) separator = 0;
  std::size_t least = 1;
  if (separator == 0) {
    table.blanks = true;
    const auto wide = std::count_if(lines.begin(), lines.end(), [](auto line) {
      return trimmed(line).find("  ") != std::string_view::npos ||
             trimmed(line).find('\t') != std::string_view::npos;
    });
    const auto filled =
        std::count_if(lines.begin(), lines.end(), [](auto line) { return !trimmed(line).empty(); });
    if (wide * 2 > filled && !lists) least = 2;
  }
  table.separator = separator == '\t'  ? "tabs"
                    : separator == ';' ? "semicolons"
                    : separator == ',' ? "commas"
                    : separator == '|' ? "bars"
                    : least == 2       ? "runs of blanks"
                                       : "blanks";
  Cursor in{text};
  while (!in.done()) {
    Row row = separator == 0 ? read_blank_line(in, least) : read_record(in, separator);
    if (row.filled() == 0) continue;
    if (separator == 0) join_ranges(row);
    const auto first =
        std::find_if(row.cells.begin(), row.cells.end(), [](const Cell& c) { return !c.text.empty(); });
    if (first->text.starts_with('#')) {
      table.titles.emplace_back(trimmed(std::string_view(first->text).substr(1)));
      continue;
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

}  // namespace landfall::importers::ball_list
