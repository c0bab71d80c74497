// How much copper a wire replaces: the way along the unmarked net between its two ends.
#pragma once

#include <optional>

#include "netdb/rework/mend/landing.hpp"

namespace landfall::rework {

struct LostTrack {
  Nm length = 0;
  bool inner = false;  // more than half of it on inner layers
};

// Nothing where the way leads through a pour, or there is none: then the track's length is not known. Exact
// for tracks joined end to end; where one begins on another's middle, off by less than half that track.
std::optional<LostTrack> lost_track(const Copper& copper, Index net, const Landing& from, const Landing& to);

}  // namespace landfall::rework
