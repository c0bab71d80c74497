// IBIS models as a source of pin names. FORMATS.md section 6; the specification at ibis.org.
#pragma once

#include <optional>
#include <string_view>

#include "importers/design.hpp"

namespace landfall::importers {

// A line near the start is `[IBIS Ver]`, blank or '_' between the words, in any case.
bool is_ibis(std::string_view bytes);

// One bare part "U1" out of one component's [Pin] list: names, directions by the pins' models, power, ground
// and open pins by the reserved ones; pairs of [Diff Pin] are in the notes. A file with several components
// needs options.package (a component's name, or "NAME#2" for its second of that name): else one error with
// the code "choice" that lists them. Nothing comes back, after one error in `log`, when no component has
// pins.
std::optional<Design> read_ibis(std::string_view bytes, Diagnostics& log, const ReadOptions& options = {});

}  // namespace landfall::importers
