// Words that KiCad's boards and netlists share.
#pragma once

#include <string_view>

#include "netdb/model/board.hpp"

namespace landfall::importers {

// "bidirectional", "power_in+no_connect" ...; kUnknown for any other word.
PinType pin_type_named(std::string_view word);

// A name that KiCad made up, by its last step: "Net-(R1-Pad2)", "unconnected-(U1-PadA1)", "N-00000175"
// (2013). FORMATS.md 1.4.
bool is_automatic_net_name(std::string_view leaf);

}  // namespace landfall::importers
