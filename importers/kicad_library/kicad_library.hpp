// KiCad's libraries as a source of packages: symbols give pins' names, footprints give lands. FORMATS.md
// section 7.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// One bare part "U1" out of one symbol of a library, .kicad_sym or the old .lib: pins of all units, the
// second body style left out, those of the symbol that it extends included. A library of several symbols
// needs options.package: else one error with the code "choice" that lists them. Nothing comes back, after one
// error in `log`, when the text is no such file or is cut off.
std::optional<Design> read_kicad_symbols(std::string_view bytes, Diagnostics& log,
                                         const ReadOptions& options = {});
std::optional<Design> read_kicad_old_symbols(std::string_view bytes, Diagnostics& log,
                                             const ReadOptions& options = {});

// The file begins as the old form does.
bool is_kicad_old_symbols(std::string_view bytes);

// One bare part "U1" with the lands of a footprint at (0, 0), top side, without nets.
std::optional<Design> read_kicad_footprint(std::string_view bytes, Diagnostics& log);

}  // namespace landfall::importers
