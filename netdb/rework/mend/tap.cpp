#include "netdb/rework/mend/tap.hpp"

#include <algorithm>

namespace landfall::rework {
namespace {

// The landings of a net's pins where no copper is known: any pin that is no area array's.
std::vector<Landing> pins_as_landings(const BoardIndex& index, Index net, const Shade& shade) {
  std::vector<Landing> found;
  const Board& board = index.board();
  for (const Index pin : index.pins_of_net(net)) {
    const Index part = board.pins[pin].part;
    if (shade.area_array(part)) continue;
    Landing landing;
    landing.kind = kind_of_land(index, part);
    landing.pin = pin;
    landing.side = board.parts[part].side;
    if (const auto lands = index.lands_of_pin(pin); !lands.empty()) {
      landing.at = board.lands[lands.front()].at;
      landing.item = lands.front();
    }
    found.push_back(landing);
  }
  return found;
}

}  // namespace

Tap tap(const BoardIndex& index, const Copper& copper, const std::vector<Index>& nets,
        const LandingRules& rules) {
  const Shade shade(index, rules.lifted);
  std::vector<std::vector<Landing>> landings;
  for (const Index net : nets) {
    if (!copper.known()) {
      landings.push_back(pins_as_landings(index, net, shade));
      continue;
    }
    const NetCopper& base = copper.net(net);
    const NetState state = apply_marks(copper, base, {});
    std::vector<Node> nodes(base.pieces.size());
    for (std::size_t i = 0; i < nodes.size(); ++i) nodes[i] = static_cast<Node>(i);
    landings.push_back(landings_of(index, copper, state, nodes, rules, shade));
  }
  Tap best;
  double least = 1e300;
  const auto choose = [&](Point centre) {
    Tap tried;
    double cost = 0;
    for (std::size_t n = 0; n < nets.size(); ++n) {
      TapPoint point;
      point.net = nets[n];
      double own = 1e300;
      for (const Landing& landing : landings[n]) {
        const double here = hardness(landing.kind) + static_cast<double>(distance(landing.at, centre));
        if (here >= own) continue;
        own = here;
        point.landing = landing;
        point.found = true;
      }
      if (point.found) cost += own;
      if (!point.found) point.why_not = "no landing of it can be reached on this side";
      tried.points.push_back(std::move(point));
    }
    if (cost < least) {
      least = cost;
      best = std::move(tried);
    }
  };
  choose({});
  for (const auto& list : landings) {
    for (const Landing& landing : list) choose(landing.at);
  }
  for (const TapPoint& a : best.points) {
    for (const TapPoint& b : best.points) {
      if (a.found && b.found) best.spread = std::max(best.spread, distance(a.landing.at, b.landing.at));
    }
  }
  return best;
}

}  // namespace landfall::rework
