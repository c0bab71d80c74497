// What the marks take out of one net's copper, and what is then left: islands, and the conductors that still
// end at each marked land's rim. DESIGN.md section 5, "Marks".
//   missing  the land: all copper of its layer within its outline, a trace running through included
//   torn     the land, and each conductor that leaves it up to the next branch, via, land or pour
//   barrel   the same, and the via at the site or at the end of that conductor, on all layers
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "netdb/model/job.hpp"
#include "netdb/rework/copper/copper.hpp"

namespace landfall::rework {

// One marked land of the net.
struct LandMark {
  Node node = 0;  // of the land
  MarkKind kind = MarkKind::kMissing;
  bool via_good = false;                // 'via is good': barrel takes no via
  std::optional<double> only_toward{};  // only the conductor nearest this bearing is torn: degrees, counter-
                                        // clockwise from x
  double reach = 0;  // a torn conductor goes no further than this, nm; 0: up to what meets it
  friend bool operator==(const LandMark&, const LandMark&) = default;
};

// A stretch of a track or arc that is left after cuts.
struct Rest {
  Node node = 0;            // whose stretch it is
  Piece piece;              // its copper
  double from = 0, to = 0;  // along the core, nm
};

// A net's copper after the marks. Nodes from 0 to base->pieces.size() - 1 are the net's own, those from there
// on are `rests`.
struct NetState {
  const NetCopper* base = nullptr;
  std::vector<char> gone;  // one a node of the base: taken away, or replaced by its rests
  std::vector<Rest> rests;
  std::vector<Node> island;               // one a node, own and rests: a name equal for joined ones
  std::vector<std::vector<Node>> at_rim;  // beside the marks: what still ends at the land's outline
  std::vector<std::vector<Node>> pulled;  // beside the marks: the vias that each took
  [[nodiscard]] std::size_t nodes() const { return gone.size() + rests.size(); }
  [[nodiscard]] const Piece& piece(const Copper& copper, Node node) const {
    return node < gone.size() ? copper.piece(*base, node) : rests[node - gone.size()].piece;
  }
  [[nodiscard]] bool alive(Node node) const { return node >= gone.size() || gone[node] == 0; }
};

// `marks`: only those that take copper. Pure. O(joints of the net) and what is cut.
NetState apply_marks(const Copper& copper, const NetCopper& net, std::span<const LandMark> marks);

// The same for a net of the board, with the copper remembering the last answer of each net: a click changes
// the marks of one net, and all others are asked again with the marks they had. Safe from several threads.
std::shared_ptr<const NetState> state_of(const Copper& copper, Index net, std::span<const LandMark> marks);

}  // namespace landfall::rework
