#include <algorithm>

#include <fmt/format.h>

#include "importers/ipc_2581/reader.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/counted.hpp"

// Copper that is drawn by what it has not: a Set of negative polarity takes away what stands before it on its
// layer; a Layer of negative polarity is copper all over but for what is drawn.

namespace landfall::importers::ipc_2581 {
namespace {

// Where c lies of the line a to b: above 0 to the left. Coordinates below 2^34, so that it fits.
double turn_of(Point a, Point b, Point c) {
  return static_cast<double>(b.x - a.x) * static_cast<double>(c.y - a.y) -
         static_cast<double>(b.y - a.y) * static_cast<double>(c.x - a.x);
}

bool meet(Point a, Point b, Point c, Point d) {
  if (std::max(a.x, b.x) < std::min(c.x, d.x) || std::max(c.x, d.x) < std::min(a.x, b.x) ||
      std::max(a.y, b.y) < std::min(c.y, d.y) || std::max(c.y, d.y) < std::min(a.y, b.y))
    return false;
  const double c_side = turn_of(a, b, c);
  const double d_side = turn_of(a, b, d);
  const double a_side = turn_of(c, d, a);
  const double b_side = turn_of(c, d, b);
  return !((c_side > 0 && d_side > 0) || (c_side < 0 && d_side < 0) || (a_side > 0 && b_side > 0) ||
           (a_side < 0 && b_side < 0));
}

// By the non-zero rule.
bool inside(const Ring& ring, Point p) {
  int winding = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[i + 1 < ring.size() ? i + 1 : 0];
    if (a.y <= p.y && b.y > p.y && turn_of(a, b, p) > 0) ++winding;
    if (a.y > p.y && b.y <= p.y && turn_of(a, b, p) < 0) --winding;
  }
  return winding != 0;
}

// The outline that a shape takes away, where it is one: discs, boxes, single areas. Empty for others.
std::vector<Ring> outlines(const Shape& shape, const Xform& turn, Point at) {
  std::vector<Ring> rings;
  if (shape.simple) {
    Ring ring;
    if (shape.kind == LandShape::kCircle) ring = disc_ring({}, shape.width / 2);
    if (shape.kind == LandShape::kRect) ring = rect_ring(shape.width, shape.height, 0);
    if (shape.kind == LandShape::kRoundRect) ring = rect_ring(shape.width, shape.height, shape.corner);
    for (Point& p : ring) p = turned(p, shape.angle);
    rings.push_back(std::move(ring));
  } else if (shape.strokes.empty() && shape.areas.size() == 1) {
    rings = shape.areas;
  }
  for (Ring& ring : rings) {
    for (Point& p : ring) p = at + turn.place(p);
  }
  if (!rings.empty() && rings.front().size() < 3) rings.clear();
  return rings;
}

Box box_of(const Shape& shape, const Xform& turn, Point at) {
  Box box;
  if (shape.simple) box.add(at, std::max(shape.width, shape.height));
  for (const Ring& ring : shape.areas) {
    for (const Point p : ring) box.add(at + turn.place(p));
  }
  for (const Stroke& stroke : shape.strokes) {
    box.add(at + turn.place(stroke.from), stroke.width);
    box.add(at + turn.place(stroke.to), stroke.width);
    // An arc may reach as far beyond its ends as its radius.
    if (stroke.arc)
      box.add(
          at + turn.place(stroke.centre),
          std::max(std::abs(stroke.from.x - stroke.centre.x), std::abs(stroke.from.y - stroke.centre.y)) * 2 +
              stroke.width);
  }
  return box;
}

}  // namespace

// Exactly, where the hole lies within the area or beside it, clear of its edge and of the holes before it.
// False: it does not, or would cost more than a file may.
bool Reader::takes_hole(const Fill& fill, std::vector<Ring>& before, const std::vector<Ring>& holes) {
  if (holes.empty()) return false;
  const Ring& hole = holes.front();
  std::size_t points = fill.ring.size();
  for (const Ring& other : before) points += other.size();
  if (points > erase_budget_ / hole.size()) return false;
  erase_budget_ -= points * hole.size();
  const auto clear_of = [&](const Ring& ring) {
    for (std::size_t i = 0; i < ring.size(); ++i) {
      for (std::size_t k = 0; k < hole.size(); ++k) {
        if (meet(ring[i], ring[i + 1 < ring.size() ? i + 1 : 0], hole[k],
                 hole[k + 1 < hole.size() ? k + 1 : 0]))
          return false;
      }
    }
    return !inside(hole, ring.front());
  };
  if (!clear_of(fill.ring)) return false;
  if (!inside(fill.ring, hole.front())) return true;  // beside it
  for (const Ring& other : before) {
    if (!clear_of(other)) return false;
    if (inside(other, hole.front())) return true;  // gone already
  }
  before.push_back(hole);
  return true;
}

void Reader::cut_holes() {
  fill_holes_.resize(board_.fills.size());
  std::vector<Fill> left;
  left.reserve(board_.fills.size());
  std::size_t cut = 0;
  for (std::size_t i = 0; i < board_.fills.size(); ++i) {
    Fill& fill = board_.fills[i];
    if (!fill_holes_[i].empty()) {
      cut += fill_holes_[i].size();
      auto ring = slit(std::move(fill.ring), std::move(fill_holes_[i]), slit_budget_);
      if (!ring) {
        unknown_fills_.insert({fill.net, fill.layer});
        log_.warn(0, 0, "negative", "an area with more holes than can be cut out here counts as not known");
        continue;
      }
      fill.ring = std::move(*ring);
    }
    left.push_back(std::move(fill));
  }
  board_.fills = std::move(left);
  if (cut > 0)
    log_.warn(0, 0, "negative-cut",
              count_of(cut, "hole") + " cut out of areas of copper, as drawn in the negative");
}

// An area is cut out where that is exact. All else under it counts as copper that is not known, so that
// nothing is taken for joined that may not be.
void Reader::erase_under(const Shape& shape, const Xform& turn, Point at, int layer, const Node& node) {
  const Box hole = box_of(shape, turn, at);
  const std::vector<Ring> rings = outlines(shape, turn, at);
  std::size_t areas = 0;
  std::size_t others = 0;
  const auto under = [&](const auto&... points) {
    if (erase_budget_ == 0) return true;
    --erase_budget_;
    Box box;
    (box.add(points.first, points.second), ...);
    return box.meets(hole);
  };
  fill_holes_.resize(board_.fills.size());
  std::size_t to = 0;
  for (std::size_t i = 0; i < board_.fills.size(); ++i) {
    Fill& fill = board_.fills[i];
    bool known = fill.layer != layer;
    if (!known && fill.ring.size() <= erase_budget_) {
      erase_budget_ -= fill.ring.size();
      Box box;
      for (const Point p : fill.ring) box.add(p);
      known = !box.meets(hole) || takes_hole(fill, fill_holes_[i], rings);
    }
    if (!known) {
      ++areas;
      unknown_fills_.insert({fill.net, layer});
    } else if (to++ != i) {
      board_.fills[to - 1] = std::move(fill);
      fill_holes_[to - 1] = std::move(fill_holes_[i]);
    }
  }
  board_.fills.resize(to);
  fill_holes_.resize(to);
  const auto doubt = [&](Index net) {
    ++others;
    unknown_fills_.insert({net, layer});
  };
  for (const Track& t : board_.tracks) {
    if (t.layer == layer && under(std::pair(t.from, t.width), std::pair(t.to, t.width))) doubt(t.net);
  }
  for (const Arc& a : board_.arcs) {
    if (a.layer == layer &&
        under(std::pair(a.from, a.width), std::pair(a.mid, a.width), std::pair(a.to, a.width)))
      doubt(a.net);
  }
  for (const Land& l : board_.lands) {
    if ((l.layers & layer_bit(layer)) != 0 && under(std::pair(l.at, std::max(l.width, l.height))))
      doubt(l.net);
  }
  for (const LoosePad& p : loose_) {
    if (p.layer == layer && under(std::pair(p.at, std::max(p.shape.width, p.shape.height)))) doubt(p.net);
  }
  if (areas + others == 0) return;
  warn(node, "negative",
       fmt::format("copper drawn in the negative: {} and {} under it count as not known",
                   count_of(areas, "area"), count_of(others, "line or pad")));
}

// Copper all over, less what is drawn. Which nets it joins is not computed: those that are named on it count
// as having copper that is not known there.
void Reader::read_negative_layer(const Node& feature, const Layer& layer) {
  std::set<Index> nets;
  std::size_t drawn = 0;
  for (const Node& set : feature.children()) {
    if (local_name(set) != "Set") continue;
    ++drawn;
    const Index net = net_of(attribute(set, "net"), set);
    if (net != kNone) nets.insert(net);
  }
  if (layer.copper < 0) return;
  for (const Index net : nets) unknown_fills_.insert({net, layer.copper});
  if (nets.empty()) unnamed_planes_.push_back(layer.copper);
  warn(feature, "negative",
       fmt::format("layer {} is drawn in the negative ({}): its copper counts as not known, for {}",
                   guarded_name(attribute(feature, "layerRef")).text, count_of(drawn, "set"),
                   nets.empty() ? std::string("each net with a plated hole through it")
                                : count_of(nets.size(), "net")));
}

// A plane that names no net may be any net's that has a plated hole through it.
void Reader::doubt_negative_layers() {
  for (const int layer : unnamed_planes_) {
    for (const HoleDraft& hole : holes_) {
      if (hole.plated && hole.net != kNone && hole.first <= layer && layer <= hole.last)
        unknown_fills_.insert({hole.net, layer});
    }
  }
}

}  // namespace landfall::importers::ipc_2581
