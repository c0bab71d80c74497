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

// A net's landings as a tree of boxes, halved by the longer side, so that the cheapest one from a place is
// found without trying all.
class NetTree {
 public:
  explicit NetTree(const std::vector<Landing>& landings) : landings_(landings), order_(landings.size()) {
    for (std::size_t i = 0; i < order_.size(); ++i) order_[i] = i;
    if (!order_.empty()) build(0, order_.size());
  }

  // The landing of least hardness and distance, of equal ones the first of the list; `cost` is its sum.
  [[nodiscard]] const Landing* cheapest(Point from, double& cost) const {
    if (boxes_.empty()) return nullptr;
    Best best;
    look(0, from, best);
    cost = best.cost;
    return &landings_[best.which];
  }

 private:
  static constexpr std::size_t kLeaf = 8;

  struct Box {
    Point low, high;
    double hardness = 0;    // the least in it
    std::size_t first = 0;  // the first of the list in it
    std::size_t begin = 0, end = 0;
    std::size_t left = 0, right = 0;  // 0: a leaf
  };
  struct Best {
    double cost = 1e300;
    std::size_t which = 0;
  };

  std::size_t build(std::size_t begin, std::size_t end) {
    const std::size_t at = boxes_.size();
    boxes_.emplace_back();
    Box box;
    box.begin = begin;
    box.end = end;
    box.first = order_[begin];
    box.low = box.high = landings_[order_[begin]].at;
    box.hardness = 1e300;
    for (std::size_t i = begin; i < end; ++i) {
      const Landing& landing = landings_[order_[i]];
      box.low = {std::min(box.low.x, landing.at.x), std::min(box.low.y, landing.at.y)};
      box.high = {std::max(box.high.x, landing.at.x), std::max(box.high.y, landing.at.y)};
      box.hardness = std::min(box.hardness, hardness(landing.kind));
      box.first = std::min(box.first, order_[i]);
    }
    if (end - begin > kLeaf) {
      const bool wide = box.high.x - box.low.x >= box.high.y - box.low.y;
      const std::size_t middle = begin + (end - begin) / 2;
      const auto place = [this](std::size_t i) { return order_.begin() + static_cast<std::ptrdiff_t>(i); };
      std::nth_element(place(begin), place(middle), place(end), [&](std::size_t a, std::size_t b) {
        const Point p = landings_[a].at;
        const Point q = landings_[b].at;
        return wide ? p.x < q.x : p.y < q.y;
      });
      box.left = build(begin, middle);
      box.right = build(middle, end);
    }
    boxes_[at] = box;
    return at;
  }

  // No landing in the box costs less. A nanometre is given for rounding.
  [[nodiscard]] double least(const Box& box, Point from) const {
    const Point near{std::clamp(from.x, box.low.x, box.high.x), std::clamp(from.y, box.low.y, box.high.y)};
    return box.hardness + static_cast<double>(std::max<Nm>(distance(near, from) - 1, 0));
  }

  [[nodiscard]] bool is_hopeless(const Box& box, double bound, const Best& best) const {
    return bound > best.cost || (bound == best.cost && box.first > best.which);
  }

  void look(std::size_t at, Point from, Best& best) const {
    const Box& box = boxes_[at];
    if (box.left == 0) {
      for (std::size_t i = box.begin; i < box.end; ++i) {
        const std::size_t which = order_[i];
        const Landing& landing = landings_[which];
        const double cost = hardness(landing.kind) + static_cast<double>(distance(landing.at, from));
        if (cost < best.cost || (cost == best.cost && which < best.which)) best = {cost, which};
      }
      return;
    }
    std::size_t near = box.left;
    std::size_t far = box.right;
    double near_bound = least(boxes_[near], from);
    double far_bound = least(boxes_[far], from);
    if (far_bound < near_bound) {
      std::swap(near, far);
      std::swap(near_bound, far_bound);
    }
    if (!is_hopeless(boxes_[near], near_bound, best)) look(near, from, best);
    if (!is_hopeless(boxes_[far], far_bound, best)) look(far, from, best);
  }

  const std::vector<Landing>& landings_;
  std::vector<std::size_t> order_;
  std::vector<Box> boxes_;
};

}  // namespace

Tap closest_together(const std::vector<Index>& nets, const std::vector<std::vector<Landing>>& landings) {
  std::vector<NetTree> trees;
  trees.reserve(landings.size());
  for (const auto& list : landings) trees.emplace_back(list);
  Point best{};
  double least = 1e300;
  const auto choose = [&](Point centre) {
    double sum = 0;
    for (const NetTree& tree : trees) {
      double cost = 0;
      if (tree.cheapest(centre, cost) != nullptr) sum += cost;
      if (sum >= least) return;
    }
    least = sum;
    best = centre;
  };
  choose({});
  for (const auto& list : landings) {
    for (const Landing& landing : list) choose(landing.at);
  }
  Tap tap;
  for (std::size_t n = 0; n < nets.size(); ++n) {
    TapPoint point;
    point.net = nets[n];
    double cost = 0;
    if (const Landing* landing = trees[n].cheapest(best, cost)) {
      point.landing = *landing;
      point.found = true;
    } else {
      point.why_not = "no landing of it can be reached on this side";
    }
    tap.points.push_back(std::move(point));
  }
  for (const TapPoint& a : tap.points) {
    for (const TapPoint& b : tap.points) {
      if (a.found && b.found) tap.spread = std::max(tap.spread, distance(a.landing.at, b.landing.at));
    }
  }
  return tap;
}

Tap tap(const BoardIndex& index, const Copper& copper, const std::vector<Index>& nets,
        const LandingRules& rules) {
  const Shade shade(index, rules.lifted);
  std::vector<std::vector<Landing>> landings;
  for (const Index net : nets) {
    landings.push_back(copper.known() ? landings_as_drawn(index, copper, net, rules, shade)
                                      : pins_as_landings(index, net, shade));
  }
  return closest_together(nets, landings);
}

}  // namespace landfall::rework
