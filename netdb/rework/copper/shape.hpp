// The outline of one piece of copper: a core (a point, a line of points, or an area) with a pen of a radius
// drawn along it. Lands, tracks, arcs, vias and zone fills all are such shapes. Lengths in nm.
#pragma once

#include <vector>

#include "netdb/model/board.hpp"

namespace landfall::rework {

// Copper within this distance joins, and must overlap by more than this to count as a touch of two nets: what
// rounding to whole nm, turned pads and arcs cut into chords may cost. 0.1 um.
inline constexpr double kJoinSlack = 100.0;

struct Box {
  Nm left = 0, bottom = 0, right = 0, top = 0;
  [[nodiscard]] bool meets(const Box& other, Nm apart = 0) const {
    return left - apart <= other.right && other.left - apart <= right && bottom - apart <= other.top &&
           other.bottom - apart <= top;
  }
};

struct Shape {
  std::vector<Point> core;  // one point, or a line through several; of an area its ring
  bool area = false;        // the ring's inside is copper too, by non-zero winding
  Nm radius = 0;            // of the pen
  Box box;                  // around all of it
};

// Sets `box` from the core and the pen.
Shape boxed(Shape shape);

// A custom land has several shapes: its anchor and its outline. The others have one.
std::vector<Shape> shapes_of(const Land& land);
Shape shape_of(const Track& track);
Shape shape_of(const Arc& arc);  // chords within 0.05 um of the arc
Shape shape_of(const Via& via);
Shape shape_of(const Fill& fill);

// Whether the area's ring winds around `p`; false for a shape that is no area. O(points).
bool winds_around(const Shape& area, Point p);

// Distance between two segments, 0 where they cross. Exact to far below 1 nm for boards within 10 m.
double segment_distance(Point a, Point b, Point c, Point d);
// Distance from `p` to a segment, and where on it (0 at a, 1 at b) the nearest place is.
struct Foot {
  double distance = 0;
  double along = 0;
};
Foot foot(Point p, Point a, Point b);

// Distance between the copper of two shapes: negative by how deep their pens overlap; -1e9 when one's core
// lies within the other's area. Small shapes only: O(points x points). Fills have FillIndex.
double gap(const Shape& a, const Shape& b);

}  // namespace landfall::rework
