// What was lost and what it takes: DESIGN.md section 5. With the board's copper the count is the true one;
// where the copper is not known everything needed counts as a wire, and the answer says that it is a bound.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/job.hpp"
#include "netdb/model/settings.hpp"
#include "netdb/model/signal.hpp"
#include "netdb/rework/answer.hpp"
#include "netdb/rework/mend/mend.hpp"

namespace landfall::rework {

struct Assessment {
  std::vector<SiteAnswer> sites;  // every marked site but the sound ones, in the marks' order
  std::vector<Index> cut_off;     // pins nobody marked that the marks cut off; none without copper
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
  std::vector<NetMend> mends;              // net by net: wires, rebuilds, what cannot be reached
  bool bound = true;                       // the count of wires is 'at most'
  std::vector<std::string> because_bound;  // why, one sentence each
};

inline constexpr char kJoinedByName = 2;  // in MendRules::doubted_nets: lists joined by the names of their pins

// What the user allows and adds, beyond the marks.
struct MendRules {
  Nm torn_reach = 0;        // a torn land takes no more of a conductor; 0: up to what meets it
  bool both_sides = false;  // landings on the other side too
  std::vector<Ban> bans;
  std::vector<Landing> added;      // each with a pin of its net
  std::vector<char> doubted_nets;  // one a net: 1 files disagree on it, or kJoinedByName; empty: none
};

// Pure; O(pins of the lifted parts + marks + copper of the marked nets). `signals` must be of this board.
Assessment assess(const BoardIndex& index, const Signals& signals, const Copper& copper, const Job& job,
                  const SupplyRule& rule, const MendRules& rules = {});

}  // namespace landfall::rework
