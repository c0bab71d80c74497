// What must be joined, and how: the things of each net that the marks parted, the rebuilds and the wires.
// DESIGN.md section 5, "Islands" and "Need" rule 4. Pure.
#pragma once

#include <string>
#include <vector>

#include "netdb/model/job.hpp"
#include "netdb/model/settings.hpp"
#include "netdb/model/signal.hpp"
#include "netdb/rework/answer.hpp"
#include "netdb/rework/mend/landing.hpp"

namespace landfall::rework {

// One wire of a net's forest.
struct Jumper {
  Index net = kNone;
  Landing from;  // a marked site, where the wire has one
  Landing to;
  Nm straight = 0;          // between the two, nm
  bool joins_rest = false;  // no site: it joins a piece that the marks cut off
  std::string why;          // one sentence
};

// A new land at the site on the copper that is still there.
struct Rebuild {
  Index pin = kNone;
  std::size_t conductors = 0;  // that end at its rim and are joined by it
  bool on_via = false;         // a via lies in the land's outline
  bool only_bond = false;      // a loose land, bonded again
  std::string why;
};

// A pin that no wire mends: its things have no landing, or the chip's own land is gone.
struct Unreached {
  Index pin = kNone;
  std::string why;
};

struct NetMend {
  Index net = kNone;
  bool copper_known = false;  // false: counted by sites, a bound
  std::string doubt;          // why the count is a bound all the same; empty: it is exact
  std::vector<Jumper> jumpers;
  std::vector<Rebuild> rebuilds;
  std::vector<Index> cut_off;  // pins nobody marked that the marks parted from the most of their net
  std::vector<Index> open;     // of those: pins that a reading parted, not a mark
  std::vector<Index> spared;   // of those: supply balls that their group can spare, which no wire joins
  std::vector<Unreached> cannot;
};

struct MendInput {
  const BoardIndex* index = nullptr;
  const Copper* copper = nullptr;
  const std::vector<Mark>* marks = nullptr;
  const std::vector<Index>* pins = nullptr;  // beside the marks: the mark's pin, kNone for a stray one
  const std::vector<Fact>* facts = nullptr;
  const Signals* signals = nullptr;
  SupplyRule supply;
  LandingRules rules;
  Nm torn_reach = 0;           // a torn land takes no more than this of a conductor; 0: up to what meets it
  std::vector<Landing> added;  // the user's own points, each with `pin` on the net that it belongs to
  const Shade* shade = nullptr;
};

// The nets that have marks which take copper, or facts, in the board's order. `sites`: the answers of
// needs(); their needs become rebuild, wire or cannot by the copper that is left, each with its reason.
std::vector<NetMend> mend(const MendInput& input, std::vector<SiteAnswer>& sites);

}  // namespace landfall::rework
