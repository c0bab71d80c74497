// Where a set of nets (a debug bus, say) can be reached: for each net a landing, all close together.
#pragma once

#include <string>
#include <vector>

#include "netdb/rework/mend/landing.hpp"

namespace landfall::rework {

struct TapPoint {
  Index net = kNone;
  bool found = false;
  Landing landing;
  std::string why_not;  // one sentence when nothing was found
};

struct Tap {
  std::vector<TapPoint> points;  // beside the nets asked for
  Nm spread = 0;                 // the farthest two of them apart
};

// On the board as it is drawn, nothing lifted or marked; with `rules.both_sides` either side, the same for
// all. Where a net has several landings the choice is the one with the least sum of hardness and distance
// from a common place, tried at every landing of every net. Without places the best kind is taken.
Tap tap(const BoardIndex& index, const Copper& copper, const std::vector<Index>& nets,
        const LandingRules& rules);

// The choice alone, of landings that are given: a list a net, in the nets' order. Of equal sums the place
// tried first, and of equal landings the first, in the order of the lists. A net without a landing is not
// found and does not weigh. O(landings x nets x log landings) for places spread as on a board.
Tap closest_together(const std::vector<Index>& nets, const std::vector<std::vector<Landing>>& landings);

}  // namespace landfall::rework
