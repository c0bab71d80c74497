// KiCad boards, every format from `(version 3)` of 2013 on. FORMATS.md section 1.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// Reads one board. Bad records are warnings and left out; nothing comes back, after one error in `log`,
// when the text is no such file, is cut off, or passes a limit of FORMATS.md section 10.
std::optional<Design> read_kicad_board(std::string_view bytes, Diagnostics& log);
// The same for a board that was put around a library's footprint, which states no place of its own.
std::optional<Design> read_board_of_one_footprint(std::string_view bytes, Diagnostics& log);

}  // namespace landfall::importers
