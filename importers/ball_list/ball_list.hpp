// Ball lists: CSV, tab-separated text out of a spreadsheet, tables copied out of a PDF. FORMATS.md section 8.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// Printable text with lines that may be a list. Cheap; whether it is one only reading it tells.
bool may_be_ball_list(std::string_view bytes);

// One bare part "U1" with a pin for each ball. What was understood is in the design's notes, what was not is
// a warning with its line and text. Nothing comes back, after one error in `log`, when no balls can be found;
// the error's code is "choice" when the table has several packages and the options name none, or one that is
// not there: its message lists them.
std::optional<Design> read_ball_list(std::string_view bytes, Diagnostics& log,
                                     const ReadOptions& options = {});

}  // namespace landfall::importers
