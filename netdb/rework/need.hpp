// What follows for each marked site: DESIGN.md section 5, "Need", in its order.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/rework/assess.hpp"

namespace landfall::rework {

// An address ball that its memory does not use is none, or optional where that hangs on what is fitted.
// One answer a mark that takes something (all but `sound`), for marks whose ball is on the board.
// `far_ends`: the files say what joins what, so that a ball alone on its net is needed by nobody; of lists of
// balls it means nothing. `pins` beside `marks`: the mark's pin. The supply shares count every lost ball of a
// group at once. `spared`: the pins that the board can do without, marked or not.
std::vector<SiteAnswer> needs(const BoardIndex& index, const Signals& signals, const std::vector<Mark>& marks,
                              const std::vector<Index>& pins, const std::set<Index>& spared,
                              const SupplyRule& rule, bool far_ends);

// Why a ball is not needed whose live partners can all be spared.
std::string leads_to_spared(const BoardIndex& index, const std::vector<Index>& partners);

}  // namespace landfall::rework
