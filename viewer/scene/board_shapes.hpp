// Shapes of a board's things before any view: lands, part outlines, arcs, the board's edge, hatching. Places
// are board nanometres as doubles unless said otherwise.
#pragma once

#include <optional>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "viewer/scene/scene.hpp"

namespace landfall::scene {

inline P place_of(Point p) {
  return {static_cast<double>(p.x), static_cast<double>(p.y)};
}

// Turned counter-clockwise about the origin, y up.
P turned_by(P p, double degrees);

// Is the point on the land's copper, or within `near` nm of it? A custom land is its box and its polygon.
bool land_holds(const Land& land, P at, double near);

// The land's convex shape (box, rounded box, oval, trapezoid) as a ring; `fine`: with rounded corners. Not
// for circles, which are discs. A custom land's polygon is `land.outline`, to be hatched: it need not be
// convex.
std::vector<P> land_ring(const Land& land, bool fine);

// The area of the land's shape in nm2, from its outer measures: what is smaller lies on top.
double land_area(const Land& land);

// An outline of a part: the least box along the part's own angle that holds its lands, and a margin. The
// board's file gives no courtyard, so this is where its terminals are, not how far its body reaches.
struct PartBox {
  std::vector<P> corners;  // four, counter-clockwise; empty: the part has no land
  P middle;
  double width = 0, height = 0;  // along the part's own angle
  Side side = Side::kTop;
  bool both_sides = false;  // has lands or plated holes on both, so it shows on both
  std::size_t lands = 0;
  [[nodiscard]] bool holds(P at) const;
};
// One a part, in the board's order. O(lands).
std::vector<PartBox> part_boxes(const Board& board);

// The corner of the box where the package's first row and column meet: that of land "A1", else "1", else
// none.
std::optional<std::size_t> first_corner(const BoardIndex& index, Index part, const PartBox& box);

// Points along the arc, ends included, about 6 degrees apart.
std::vector<P> arc_path(const Arc& arc);

// The outline's pieces joined into as few paths as their ends allow; a closed one ends where it begins.
std::vector<std::vector<P>> outline_paths(const std::vector<Edge>& edges);

// One stroke of a hatching: from x to x at height y.
struct Stroke {
  double from = 0, to = 0, y = 0;
};
// Strokes along y = k * step + phase that lie inside the ring (by non-zero winding), for y in [low, high].
// O(points + crossings log crossings).
std::vector<Stroke> hatch(const std::vector<P>& ring, double step, double phase, double low, double high);

}  // namespace landfall::scene
