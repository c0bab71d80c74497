#include "importers/ipc_d_356/record.hpp"

#include <charconv>

namespace landfall::importers::ipc_d_356 {
namespace {

constexpr std::size_t kColumns = 80;
constexpr std::size_t kTab = 8;

bool digit(char c) {
  return c >= '0' && c <= '9';
}

// Takes fields of one record; the first that cannot be read is remembered with its column.
class Fields {
 public:
  Fields(const Line& line, Record& record, std::size_t shift) : line_(line), record_(record), shift_(shift) {}

  // The number of columns first..last when the letter stands before it.
  std::optional<std::int64_t> after(char letter, std::size_t at, std::size_t last) {
    if (line_.columns(at + shift_, at + shift_) != std::string_view(&letter, 1)) return std::nullopt;
    const std::string_view field = line_.columns(at + 1 + shift_, last + shift_);
    const auto value = field_number(field);
    if (!value && !trimmed(field).empty() && record_.bad_column == 0) {
      record_.bad_column = at + 1 + shift_;
      record_.bad_field = field;
    }
    return value;
  }

 private:
  const Line& line_;
  Record& record_;
  std::size_t shift_;
};

// How far the X of the coordinates stands right of column 42; some writers let a field grow.
std::optional<std::size_t> coordinate_shift(const Line& line) {
  if (line.column(42) == 'X') return 0;
  const std::string_view text = line.text();
  for (std::size_t i = 32; i + 1 < text.size() && i < 70; ++i) {
    if (text[i] != 'A' || !digit(text[i + 1])) continue;
    std::size_t x = i + 1;
    while (x < text.size() && digit(text[x])) ++x;
    if (x < text.size() && text[x] == 'X' && x >= 41) return x - 41;
  }
  return std::nullopt;
}

int layer_number(std::string_view field) {
  if (field.size() != 3 || field[0] != 'L') return 0;
  const auto number = field_number(field.substr(1));
  return number && *number > 0 && *number < 64 ? static_cast<int>(*number) : 0;
}

}  // namespace

Line::Line(std::string_view text, std::string& buffer) : text_(text) {
  if (text.size() >= kColumns && text.find('\t') == std::string_view::npos) return;
  buffer.clear();
  for (const char c : text) {
    if (c == '\t') {
      buffer.append(kTab - buffer.size() % kTab, ' ');
    } else {
      buffer += c;
    }
  }
  if (buffer.size() < kColumns) buffer.resize(kColumns, ' ');
  text_ = buffer;
}

std::string_view Line::columns(std::size_t first, std::size_t last) const {
  if (first > text_.size()) return {};
  return text_.substr(first - 1, last - first + 1);
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  return text;
}

std::optional<std::int64_t> field_number(std::string_view text) {
  std::array<char, 24> digits{};
  std::size_t n = 0;
  for (const char c : text) {
    if (c == ' ') continue;
    if (n == 0 && c == '+') continue;
    if (n + 1 >= digits.size()) return std::nullopt;
    digits[n++] = c;
  }
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + n, value);
  if (n == 0 || error != std::errc() || end != digits.data() + n) return std::nullopt;
  return value;
}

Record read_record(const Line& line, int code) {
  Record record;
  record.code = code;
  record.net = trimmed(line.columns(4, 17));
  record.reference = trimmed(line.columns(21, 26));
  record.pin = trimmed(line.columns(28, 31));
  Fields head(line, record, 0);
  if (const auto drill = head.after('D', 33, 37)) record.drill = *drill;
  record.plated = line.column(38) != 'U';
  if (const auto access = head.after('A', 39, 41)) record.access = static_cast<int>(*access);
  const auto shift = coordinate_shift(line);
  if (!shift) return record;
  record.shifted = *shift > 0;
  Fields tail(line, record, *shift);
  const auto x = tail.after('X', 42, 49);
  const auto y = tail.after('Y', 50, 57);
  record.has_place = x.has_value() && y.has_value();
  record.x = x.value_or(0);
  record.y = y.value_or(0);
  record.width = tail.after('X', 58, 62).value_or(0);
  record.height = tail.after('Y', 63, 67).value_or(0);
  record.turn = tail.after('R', 68, 71).value_or(0);
  for (const std::size_t at : {std::size_t{72}, std::size_t{73}}) {  // KiCad's stands one column early
    const std::string_view field = line.columns(at + *shift, at + 1 + *shift);
    if (field.size() == 2 && field[0] == 'S' && field[1] >= '0' && field[1] <= '3')
      record.mask = field[1] - '0';
  }
  record.first_layer = layer_number(line.columns(75, 77));
  record.last_layer = layer_number(line.columns(78, 80));
  return record;
}

}  // namespace landfall::importers::ipc_d_356
