// One record of an IPC-D-356, field by field from its columns. FORMATS.md 3.3.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "netdb/model/units.hpp"

namespace landfall::importers::ipc_d_356 {

// A line of at least 80 columns: short ones are filled with blanks, tabs become blanks to the next eighth
// column, longer ones are kept.
class Line {
 public:
  Line(std::string_view text, std::string& buffer);
  // Columns first..last, counted from 1 as the standard does, clipped to the line.
  [[nodiscard]] std::string_view columns(std::size_t first, std::size_t last) const;
  [[nodiscard]] char column(std::size_t at) const { return text_[at - 1]; }
  [[nodiscard]] std::string_view text() const { return text_; }

 private:
  std::string_view text_;
};

std::string_view trimmed(std::string_view text);

// Blanks dropped anywhere, an optional sign, digits: nothing for other text or none.
std::optional<std::int64_t> field_number(std::string_view text);

struct Record {
  int code = 0;
  std::string_view net;  // trimmed; "N/C" and blank are the reader's to judge
  std::string_view reference, pin;
  bool plated = true;
  int access = -1;         // -1: not stated
  std::int64_t drill = 0;  // in the file's unit, like all that follow
  std::int64_t x = 0, y = 0;
  std::int64_t width = 0, height = 0;  // height 0: round
  std::int64_t turn = 0;
  int mask = -1;                        // the digit after S
  int first_layer = 0, last_layer = 0;  // L fields, 0 when blank
  bool has_place = false;
  bool shifted = false;        // the X was not at column 42
  std::size_t bad_column = 0;  // a field that cannot be read, 0: none
  std::string_view bad_field;
};

// The record of a 3x7 or 0x7 line. Views go into the line.
Record read_record(const Line& line, int code);

}  // namespace landfall::importers::ipc_d_356
