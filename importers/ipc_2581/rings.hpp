// Polygons out of the shapes that IPC-2581 knows, and a polygon with holes as one ring.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "netdb/model/units.hpp"

namespace landfall::importers::ipc_2581 {

using Ring = std::vector<Point>;

Ring disc_ring(Point middle, Nm radius);
// Around the origin; `corner` is the radius of rounded corners, 0 for sharp ones.
Ring rect_ring(Nm width, Nm height, Nm corner);
// A stroke with round ends.
Ring stroke_ring(Point from, Point to, Nm width);

// Points of the arc about `centre` from `from` (left out) to `to` (included), steps of at most 5 degrees.
// Equal ends are a full circle.
void append_arc(Ring& ring, Point from, Point to, Point centre, bool clockwise);

// The point halfway on that arc.
Point arc_middle(Point from, Point to, Point centre, bool clockwise);

// One ring that fills, by the non-zero rule, the outline less its holes: each hole is joined by a seam of no
// width that crosses no other hole. Nothing when the work would pass `budget` steps, which it uses up.
std::optional<Ring> slit(Ring outline, std::vector<Ring> holes, std::size_t& budget);

// Outlines side by side as one ring, all turned the same way round.
void join_ring(Ring& all, Ring ring);

}  // namespace landfall::importers::ipc_2581
