// What was lost and what it takes: DESIGN.md section 5, without copper islands, so that everything needed
// counts as a wire and the answer is a bound.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/job.hpp"
#include "netdb/model/settings.hpp"
#include "netdb/model/signal.hpp"

namespace landfall::rework {

enum class Need { kNone, kOptional, kRebuild, kWire, kCannot };
std::string_view word(Need need);

enum class State { kUp, kDegraded, kDown, kUnknown };
std::string_view word(State state);

struct SiteAnswer {
  Index pin = kNone;
  MarkKind mark = MarkKind::kMissing;
  Need need = Need::kNone;
  std::string reason;  // one sentence
};

struct GroupAnswer {
  Index group = kNone;  // index into the net, bus, lane or channel list
  State state = State::kUp;
  std::string because;   // one sentence; of an untouched one "untouched"
  std::size_t lost = 0;  // needed sites in it
};

struct Assessment {
  std::vector<SiteAnswer> sites;  // every marked site but the sound ones, in the marks' order
  std::vector<Index> cut_off;     // pins nobody marked that the marks cut off; none without copper islands
  std::size_t sound = 0;
  std::size_t not_inspected = 0;      // sites of the lifted parts without a mark
  std::vector<Mark> strays;           // marks whose ball the board has not (any more)
  std::vector<GroupAnswer> nets;      // of the marked sites, sound apart; in the board's order
  std::vector<GroupAnswer> buses;     // touched ones only, in their lists' order
  std::vector<GroupAnswer> lanes;     // of touched channels, all lanes
  std::vector<GroupAnswer> channels;  // all channels of the lifted parts, worst first, then by name
  std::size_t wires = 0;              // sites that need one
  std::size_t rebuilds = 0;
  std::size_t optional = 0;
  std::size_t none = 0;
  std::size_t cannot = 0;
  bool bound = true;                       // the count of wires is 'at most'
  std::vector<std::string> because_bound;  // why, one sentence each
};

// Pure; O(pins of the lifted parts + marks + nets of the lifted parts). `signals` must be of this board.
Assessment assess(const BoardIndex& index, const Signals& signals, const Job& job, const SupplyRule& rule);

}  // namespace landfall::rework
