// IPC-2581 A, B and C. FORMATS.md section 4.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// Reads one board: the step that the file names, the first one otherwise. Bad records are warnings and left
// out; a file without pins (a list of material, a stencil) gives an empty board and a warning that says which
// mode it was written in. Nothing comes back, after one error in `log`, when the text is no such file, is cut
// off, states no units, or passes a limit of FORMATS.md section 10.
std::optional<Design> read_ipc_2581(std::string_view bytes, Diagnostics& log);

}  // namespace landfall::importers
