// What the needs do to nets, buses, lanes and channels: DESIGN.md section 5, "Effect"; TRADE.md T14 to T16.
#pragma once

#include "netdb/model/board_index.hpp"
#include "netdb/rework/assess.hpp"

namespace landfall::rework {

// Fills nets, buses, lanes and channels of `answer` from its sites. `lifted`: the parts whose channels are
// listed even when nothing of them is hurt.
void add_effect(const BoardIndex& index, const Signals& signals, const std::vector<Index>& lifted,
                Assessment& answer);

}  // namespace landfall::rework
