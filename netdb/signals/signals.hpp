// Class, bus, lane and channel of every net, and from what evidence. DESIGN.md section 6.
#pragma once

#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/signal.hpp"

namespace landfall::signals {

// Evidence in this order, the strongest first: the user's rules; a memory's own pin functions, or the
// standard ball map that it agrees with; series parts; interfaces by the names of nets, then of pins; names
// and pin types alone; topology. Pure; O(pins log pins).
Signals analyse(const BoardIndex& index, const std::vector<NameRule>& rules);

// "data, RAM1 lane 0": the groups of a net in words, empty when there are none.
std::string groups_text(const Signals& signals, Index net);

}  // namespace landfall::signals
