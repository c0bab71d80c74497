// One door for all formats: bytes in, a Board out. The format is found by content, never by extension.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board.hpp"
#include "netdb/model/diagnostics.hpp"
#include "netdb/model/result.hpp"

namespace landfall::importers {

// What one file said.
struct Design {
  std::string format;   // "kicad-board", "kicad-netlist", "ipc-d-356", "ipc-2581", "ball-list" ...
  std::string version;  // the file's own word for its version, empty if it has none
  std::string writer;   // the program that wrote it, as the file says, may be empty
  Board board;
  std::vector<std::string> notes = {};  // what was understood, where that is not plain, one sentence each
};

// What only the user knows about a file. Empty: as the file says.
struct ReadOptions {
  std::string package;  // which one of several: a column of a ball list, a pin map, a component, a symbol
  std::string view;     // "top" or "bottom": from where a grid without numbers is drawn
  std::string units;    // "mm" (0.001 mm) or "inch" (0.0001 inch) for a test netlist that misstates its own
  // Of a ball list: "BALL,NAME", by number from 1 or by heading; or a use for each column in turn, out of
  // ball, name, type and - (skipped), such as "name,-,ball".
  std::string columns;
  // Told while a long file is read how many of its bytes are behind; false ends it with an error.
  std::function<bool(std::size_t bytes_done)> on_bytes = {};
};

// Largest file that is read, FORMATS.md section 10.
inline constexpr std::size_t kMostBytes = 512U * 1024 * 1024;

// Reads one design. `file` is only for messages. On success the warnings are in `log`; a file that cannot be
// understood gives one error, "FILE:LINE:COLUMN: what is wrong", kInput, and nothing else; kChoice when the
// options must say which of several packages is meant. Any bytes are safe. Time O(bytes), memory a small
// multiple of the file.
Result<Design> read_design(std::string_view bytes, const std::string& file, Diagnostics& log,
                           const ReadOptions& options = {});

// The format of these bytes by their look alone, empty when none is known. Ball lists look like any text.
std::string_view format_of(std::string_view bytes);

// A format that gives one bare part rather than a board or a netlist.
bool is_bare_part(std::string_view format);

// The formats that are read, for messages and the manual.
struct FormatInfo {
  std::string_view format;
  std::string_view description;
};
const std::vector<FormatInfo>& formats();

}  // namespace landfall::importers
