// Places where a wire's far end can be soldered. DESIGN.md section 5, "Landings": best first a test point or
// connector pin, a two-terminal part's terminal, an exposed via, a tented via (to be scraped), a conductor
// (to be scraped); not on copper that the marks took, not on a marked land, not under another area-array
// part, only on the side that is worked on unless allowed.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/rework/copper/damage.hpp"
#include "netdb/rework/mend/body.hpp"

namespace landfall::rework {

enum class LandingKind {
  kTestPoint,
  kConnector,
  kTerminal,  // of a two-terminal part
  kLead,      // of any other part that is no area array
  kContact,   // of a card edge: what is soldered to it no longer goes into its slot
  kBall,  // under its own package: no place to solder to while that part is on; only where no copper is known
  kOpenVia,
  kTentedVia,  // or one of which the file does not say: to be scraped
  kConductor,  // to be scraped
  kSite,       // a marked site itself: the wire's near end
  kAdded,      // the user's own
  kUnknown,    // no other pin of the net is known
};
std::string_view word(LandingKind kind);

// How much longer a wire may be before this landing is worth it, in nm. Common practice, no source.
double hardness(LandingKind kind);

struct Landing {
  LandingKind kind = LandingKind::kConductor;
  Point at;
  Side side = Side::kTop;  // the side it is reached from; kThrough: either
  Index pin = kNone;       // whose land it is, if a land
  Index item = kNone;      // via, track, arc or fill: its place in the board's list
  Nm width = 0;            // of what is soldered to: a land's narrow side, a via's or track's width
};

// What a pin of this part is as a landing: test point, connector pin, terminal or lead.
LandingKind kind_of_land(const BoardIndex& index, Index part);

// "TP3.1 (test point)", "via at 31.20, -14.05".
std::string landing_text(const BoardIndex& index, const Landing& landing);

// A place on the board, in the house frame, that the user bans: nothing within this reach is a landing.
struct Ban {
  Point at;
  Nm reach = 300'000;
};

struct LandingRules {
  Side side = Side::kTop;     // being worked on
  bool both_sides = false;    // the other side is allowed as well
  std::vector<Index> lifted;  // parts that are off: under them is open ground
  std::vector<char> marked;   // one a pin of the board: a damaged or loose land
  std::vector<Ban> bans;
};

// Which parts are area arrays, and where the bodies of those still on the board hide the ground, per side.
// Built once a job; remembers what each part's lands are, so it is for one thread.
class Shade {
 public:
  Shade(const BoardIndex& index, const std::vector<Index>& lifted);
  [[nodiscard]] bool hides(Point at, Side side) const;
  // The same for another part's land: that part shows that no body whose size is only assumed covers it.
  [[nodiscard]] bool hides_land(Point at, Side side) const;
  [[nodiscard]] bool area_array(Index part) const { return arrays_[part] != 0; }
  [[nodiscard]] LandingKind kind_of_land(Index part) const;  // the same as the function, asked once a part

 private:
  struct Area {
    Body body;
    Side side = Side::kTop;
  };
  std::vector<Area> areas_;
  std::vector<char> arrays_;
  const BoardIndex* index_;
  mutable std::vector<std::optional<LandingKind>> kinds_;
};

// The landings of one island, places only (conductors are asked with nearest_conductor). Best kinds first.
std::vector<Landing> landings_of(const BoardIndex& index, const Copper& copper, const NetState& state,
                                 const std::vector<Node>& island, const LandingRules& rules,
                                 const Shade& shade);

// Of a net as it is drawn, nothing marked. `copper` must be known.
std::vector<Landing> landings_as_drawn(const BoardIndex& index, const Copper& copper, Index net,
                                       const LandingRules& rules, const Shade& shade);

// A mark of this kind, and nothing is soldered to the land any more.
bool spoils_landing(MarkKind kind);

// Whether any track, arc or pour of it lies on the side worked on.
bool has_outer_conductor(const Copper& copper, const NetState& state, const std::vector<Node>& island,
                         const LandingRules& rules);

// The nearest place on the island's tracks, arcs and pours of the side worked on; false when there is none.
bool nearest_conductor(const Copper& copper, const NetState& state, const std::vector<Node>& island,
                       const LandingRules& rules, const Shade& shade, Point from, Landing& found);

}  // namespace landfall::rework
