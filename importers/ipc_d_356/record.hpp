// One record of an IPC-D-356, field by field from its columns. FORMATS.md 3.3.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "netdb/model/units.hpp"

namespace landfall::importers::ipc_d_356 {

// A line as columns, which count from 1 as the standard does. Tabs become blanks to the next eighth column
// (in `buffer`, that then holds the text); what lies behind the line's end is blank.
class Line {
 public:
  Line(std::string_view text, std::string& buffer);
  // Columns first..last, clipped to the line.
  [[nodiscard]] std::string_view columns(std::size_t first, std::size_t last) const {
    if (first > text_.size() || last < first) return {};
    return text_.substr(first - 1, last - first + 1);
  }
  [[nodiscard]] char column(std::size_t at) const { return at <= text_.size() ? text_[at - 1] : ' '; }
  [[nodiscard]] std::string_view text() const { return text_; }

 private:
  std::string_view text_;
};

std::string_view trimmed(std::string_view text);

// Blanks dropped anywhere, an optional sign, digits: nothing for other text or none.
std::optional<std::int64_t> field_number(std::string_view text);

enum class Plating : std::int8_t { kNotStated, kPlated, kUnplated };

// A record's numbers. Lengths are in the file's unit; no size has more than four columns. Kept of every
// record of a file until its board is made, hence so narrow.
struct Measures {
  std::int32_t x = 0, y = 0;
  std::int32_t drill = 0;              // like the sizes never negative
  float turn = 0;                      // in the file's unit of angles
  std::int16_t width = 0, height = 0;  // height 0: round
  std::int16_t code = 0;
  std::int16_t access = -1;                     // -1: not stated
  std::int8_t mask = -1;                        // the digit after S
  std::int8_t first_layer = 0, last_layer = 0;  // L fields, 0 when blank
  Plating plating = Plating::kNotStated;
};

struct Record {
  std::string_view net;  // trimmed; "N/C" and blank are the reader's to judge
  std::string_view reference, pin;
  Measures measures;
};

// What was wrong with a record, or odd.
struct Findings {
  bool has_place = false;
  bool shifted = false;             // the X was not at column 42
  std::size_t bad_column = 0;       // a field that cannot be read, 0: none
  std::string_view bad_field;       // a view into the line
  std::size_t negative_column = 0;  // a size below zero, read as not stated; 0: none
};

// The record of a 3x7 or 0x7 line. Views go into the line.
Record read_record(const Line& line, int code, Findings& findings);

}  // namespace landfall::importers::ipc_d_356
