// The pins that two boards have in common, and which of their nets belong together.
#pragma once

#include <utility>
#include <vector>

#include "netdb/model/board_index.hpp"

namespace landfall::join {

struct PinPair {
  Index ours = kNone;
  Index theirs = kNone;
};

// One pair a pin that both have, in the order of `theirs`; with `folded` names are compared as IPC-D-356 cuts
// them where the exact name is not found.
std::vector<PinPair> shared_pins(const BoardIndex& ours, const BoardIndex& theirs, bool folded);

// For each of their nets the one of ours that most of the shared pins say it is, one to one; kNone where
// there is none. Ties go to the pair of equal names.
std::vector<Index> matched_nets(const BoardIndex& ours, const BoardIndex& theirs,
                                const std::vector<PinPair>& pins);

}  // namespace landfall::join
