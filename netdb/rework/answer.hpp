// The words of an answer: what follows for a site, and how a net, bus, lane or channel stands.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board.hpp"
#include "netdb/model/job.hpp"

namespace landfall::rework {

enum class Need { kNone, kOptional, kRebuild, kWire, kCannot };
std::string_view word(Need need);

enum class State { kUp, kDegraded, kDown, kUnknown };
std::string_view word(State state);

struct SiteAnswer {
  Index pin = kNone;
  MarkKind mark = MarkKind::kMissing;
  Need need = Need::kNone;
  std::string reason;   // one sentence
  bool spared = false;  // lost, and left so: the user said that the board can do without it
};

struct GroupAnswer {
  Index group = kNone;  // index into the net, bus, lane or channel list
  State state = State::kUp;
  std::string because;      // one sentence; of an untouched one "untouched"
  std::vector<Index> lost;  // the needed sites in it, as pins
};

}  // namespace landfall::rework
