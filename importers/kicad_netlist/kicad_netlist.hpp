// KiCad netlists, s-expression and XML. FORMATS.md section 2.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// Reads one netlist: parts, pins with their own words and types, nets; no places. Pins are those that a net
// lists. Bad records are warnings and left out; nothing comes back, after one error in `log`, when the text
// is no such file or is cut off.
std::optional<Design> read_kicad_netlist(std::string_view bytes, Diagnostics& log);
std::optional<Design> read_kicad_netlist_xml(std::string_view bytes, Diagnostics& log);

}  // namespace landfall::importers
