// The board against itself: nets that fall into several islands, and copper of two nets that touches.
#pragma once

#include <string>
#include <vector>

#include "netdb/rework/copper/copper.hpp"

namespace landfall::rework {

struct Split {
  Index net = kNone;
  std::vector<std::vector<Index>> islands;  // the pins of each, most pins first
};

struct UnknownNet {
  Index net = kNone;
  std::string because;  // one sentence
};

struct Touch {
  Index first = kNone;  // a net, or kNone: copper without one
  Index second = kNone;
  Point at;
  int layer = 0;
};

struct CopperCheck {
  std::size_t nets = 0;  // nets with at least two pins, which copper should join
  std::vector<Split> splits;
  std::vector<UnknownNet> unknown;  // neither joined nor split can be said
  std::vector<Touch> touches;       // one a pair of nets and place, at most 20 a pair
  bool touches_cut = false;         // so much copper lies on one spot that the search for touches was ended
};

// Pure; O(pieces log pieces) and the fills' edges, as long as no more than kMostNear pairs are near each
// other.
inline constexpr std::size_t kMostNear = 200'000'000;
CopperCheck check_copper(const Copper& copper, std::size_t most_near = kMostNear);

}  // namespace landfall::rework
