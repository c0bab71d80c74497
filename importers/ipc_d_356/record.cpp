#include "importers/ipc_d_356/record.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstring>

namespace landfall::importers::ipc_d_356 {
namespace {

constexpr std::size_t kTab = 8;

bool digit(char c) {
  return c >= '0' && c <= '9';
}

std::size_t moved(std::size_t column, int by) {
  return static_cast<std::size_t>(std::max(1, static_cast<int>(column) + by));
}

// How far a line's fields stand right of their columns. Some writers let a field grow, or lose the access
// number's leading zero: what follows then stands elsewhere, what went before does not.
struct Shift {
  int head = 0;  // of the access field (A at 39), and of what grew before it
  int tail = 0;  // of the coordinates (X at 42), and of what follows
};

// The access field and the X right behind it, wherever they stand: A, up to three digits or blanks, X.
std::optional<Shift> find_shift(const Line& line) {
  if (line.column(42) == 'X' && line.column(39) == 'A') return Shift{};
  const std::string_view text = line.text();
  const std::size_t last = std::min<std::size_t>(text.size(), 70);
  for (std::size_t a = 31; a + 1 < last; ++a) {
    if (text[a] != 'A') continue;
    std::size_t x = a + 1;
    while (x < text.size() && x <= a + 3 && (digit(text[x]) || text[x] == ' ')) ++x;
    if (x == a + 1 || x >= text.size() || text[x] != 'X') continue;
    return Shift{static_cast<int>(a) - 38, static_cast<int>(x) - 41};
  }
  if (line.column(42) == 'X') return Shift{};  // no access field at all
  return std::nullopt;
}

// Takes number fields of one record; the first that cannot be read is remembered with its column.
class Fields {
 public:
  Fields(const Line& line, Findings& findings) : line_(line), findings_(findings) {}

  // The number of columns first + 1 .. last when the letter stands at `first`.
  std::optional<std::int32_t> after(char letter, std::size_t first, std::size_t last) {
    if (line_.column(first) != letter) return std::nullopt;
    const std::string_view field = line_.columns(first + 1, last);
    const auto value = field_number(field);
    if (value) return static_cast<std::int32_t>(*value);
    if (!trimmed(field).empty()) bad(first + 1, field);
    return std::nullopt;
  }

  // The same for a size, which cannot be negative.
  std::int32_t size_after(char letter, std::size_t first, std::size_t last) {
    const std::int32_t value = after(letter, first, last).value_or(0);
    if (value >= 0) return value;
    if (findings_.negative_column == 0) findings_.negative_column = first + 1;
    return 0;
  }

  // The same for an angle, which may have decimals where it is in radians.
  float angle_after(char letter, std::size_t first, std::size_t last) {
    if (line_.column(first) != letter) return 0;
    const std::string_view field = line_.columns(first + 1, last);
    if (field.find('.') == std::string_view::npos) {
      return static_cast<float>(after(letter, first, last).value_or(0));
    }
    const auto value = parse_decimal(trimmed(field));
    if (!value) bad(first + 1, field);
    return static_cast<float>(value.value_or(0));
  }

  void bad(std::size_t column, std::string_view field) {
    if (findings_.bad_column != 0) return;
    findings_.bad_column = column;
    findings_.bad_field = field;
  }

 private:
  const Line& line_;
  Findings& findings_;
};

std::int8_t layer_number(std::string_view field) {
  if (field.size() != 3 || field[0] != 'L') return 0;
  const auto number = field_number(field.substr(1));
  return number && *number > 0 && *number <= 64 ? static_cast<std::int8_t>(*number) : std::int8_t{0};
}

// Net, reference and pin, where a field before the access number may have grown by `shift`: column 18 (blank
// behind every net), the dash before the pin and the D before the drill tell which one.
void read_names(const Line& line, int shift, Record& record) {
  const bool dash_moved = shift != 0 && line.column(27) != '-' && line.column(moved(27, shift)) == '-';
  const bool net_grew = shift > 0 && line.column(18) != ' ';
  const bool pin_grew = shift > 0 && !dash_moved && line.column(27) == '-' && line.column(33) != 'D';
  const bool names_moved = dash_moved || net_grew;
  record.net = trimmed(line.columns(4, names_moved ? moved(17, shift) : 17));
  record.reference = trimmed(line.columns(names_moved && shift < 0 ? moved(21, shift) : 21,
                                          names_moved && shift > 0 ? moved(26, shift) : 26));
  record.pin = trimmed(
      line.columns(names_moved ? moved(28, shift) : 28, names_moved || pin_grew ? moved(31, shift) : 31));
  if (shift == 0) return;
  // The mark of a mid-net point may have come along with the wider field.
  if (const auto blank = record.pin.find(' '); blank != std::string_view::npos) {
    record.pin = record.pin.substr(0, blank);
  }
}

void read_hole(const Line& line, int shift, Fields& fields, Measures& record) {
  std::size_t at = moved(33, shift);
  const std::size_t end = moved(38, shift);
  if (shift != 0 && line.column(at) != 'D' && line.column(33) == 'D') at = 33;
  if (line.column(at) != 'D') return;
  record.drill = fields.size_after('D', at, end - 1);
  if (line.column(end) == 'P') record.plating = Plating::kPlated;
  if (line.column(end) == 'U') record.plating = Plating::kUnplated;
}

// Blanks, a sign, digits, blanks: nearly every field. Nothing for all others, good or bad.
std::optional<std::int64_t> plain_number(std::string_view text) {
  constexpr std::size_t kMostDigits = 18;
  std::size_t at = 0;
  while (at < text.size() && text[at] == ' ') ++at;
  const bool minus = at < text.size() && text[at] == '-';
  if (minus || (at < text.size() && text[at] == '+')) ++at;
  const std::size_t first = at;
  std::int64_t value = 0;
  while (at < text.size() && digit(text[at]) && at - first < kMostDigits)
    value = value * 10 + (text[at++] - '0');
  if (at == first) return std::nullopt;
  while (at < text.size() && text[at] == ' ') ++at;
  if (at < text.size()) return std::nullopt;
  return minus ? -value : value;
}

}  // namespace

Line::Line(std::string_view text, std::string& buffer) : text_(text) {
  if (std::memchr(text.data(), '\t', text.size()) == nullptr) return;
  buffer.clear();
  for (const char c : text) {
    if (c == '\t') {
      buffer.append(kTab - buffer.size() % kTab, ' ');
    } else {
      buffer += c;
    }
  }
  text_ = buffer;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  return text;
}

std::optional<std::int64_t> field_number(std::string_view text) {
  if (const auto value = plain_number(text)) return value;
  text = trimmed(text);
  std::array<char, 24> packed{};
  if (text.find(' ') != std::string_view::npos) {  // blanks behind a sign, or for leading zeros
    std::size_t n = 0;
    for (const char c : text) {
      if (c == ' ') continue;
      if (n == packed.size()) return std::nullopt;
      packed[n++] = c;
    }
    text = std::string_view(packed.data(), n);
  }
  if (text.size() > 1 && text.front() == '+' && digit(text[1])) text.remove_prefix(1);
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

Record read_record(const Line& line, int code, Findings& findings) {
  Record record;
  Measures& measures = record.measures;
  measures.code = static_cast<std::int16_t>(code);
  const auto shift = find_shift(line);
  if (!shift) {
    read_names(line, 0, record);
    return record;
  }
  findings.shifted = shift->head != 0 || shift->tail != 0;
  Fields fields(line, findings);
  read_names(line, shift->head, record);
  read_hole(line, shift->head, fields, measures);
  const int tail = shift->tail;
  const std::size_t access_at = moved(39, shift->head);
  if (const auto access = fields.after('A', access_at, moved(41, tail))) {
    if (*access < 0) fields.bad(access_at + 1, line.columns(access_at + 1, moved(41, tail)));
    measures.access = static_cast<std::int16_t>(*access);
  }
  const auto x = fields.after('X', moved(42, tail), moved(49, tail));
  const auto y = fields.after('Y', moved(50, tail), moved(57, tail));
  findings.has_place = x.has_value() && y.has_value();
  measures.x = x.value_or(0);
  measures.y = y.value_or(0);
  measures.width = static_cast<std::int16_t>(fields.size_after('X', moved(58, tail), moved(62, tail)));
  measures.height = static_cast<std::int16_t>(fields.size_after('Y', moved(63, tail), moved(67, tail)));
  measures.turn = fields.angle_after('R', moved(68, tail), moved(71, tail));
  for (const std::size_t at : {moved(72, tail), moved(73, tail)}) {  // KiCad's stands one column early
    if (line.column(at) != 'S') continue;
    const char mask = line.column(at + 1);
    if (mask >= '0' && mask <= '3') measures.mask = static_cast<std::int8_t>(mask - '0');
  }
  measures.first_layer = layer_number(line.columns(moved(75, tail), moved(77, tail)));
  measures.last_layer = layer_number(line.columns(moved(78, tail), moved(80, tail)));
  return record;
}

}  // namespace landfall::importers::ipc_d_356
