// IPC-D-356 and 356A test netlists, with the writers' deviations. FORMATS.md section 3.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// Reads one test netlist: pins with places, sides and drills, vias, unplated holes, conductors and outline
// where the file has them. Only the primary image. Names that the writer made up are marked, by the writer's
// own pattern; Latin-1 comes out as UTF-8. Bad records, and those that go on with one, are warnings and left
// out; nothing comes back, after one error in `log`, when there is no record at all. O(bytes);
// beside the bytes and the board it takes half the file's size while it reads, and next to nothing at the
// end.
std::optional<Design> read_ipc_d_356(std::string_view bytes, Diagnostics& log,
                                     const ReadOptions& options = {});

}  // namespace landfall::importers
