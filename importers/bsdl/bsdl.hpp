// Boundary-scan descriptions (BSDL) as a source of ball names. FORMATS.md section 5; syntax: IEEE 1149.1-2001
// Annex B.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// The text begins, after comments, with `entity NAME is`.
bool is_bsdl(std::string_view bytes);

// One bare part "U1": a pin for each port of one pin map, with the port's direction; the port of a vector's
// member is "D(3)". The map is the one that options.package names, else the default of the file's generic,
// else the only one; else one error with the code "choice" that lists them. Nothing comes back, after one
// error in `log`, when there is no port list or no pin map.
std::optional<Design> read_bsdl(std::string_view bytes, Diagnostics& log, const ReadOptions& options = {});

}  // namespace landfall::importers
