#include "netdb/rework/copper/shape.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

namespace landfall::rework {
namespace {

constexpr double kInside = -1e9;
constexpr double kChordError = 50.0;  // nm

double cross(Point o, Point a, Point b) {
  return static_cast<double>(a.x - o.x) * static_cast<double>(b.y - o.y) -
         static_cast<double>(a.y - o.y) * static_cast<double>(b.x - o.x);
}

Shape bar(Point a, Point b, Nm radius) {
  Shape shape;
  shape.core = a == b ? std::vector<Point>{a} : std::vector<Point>{a, b};
  shape.radius = radius;
  return boxed(std::move(shape));
}

// A rectangle whose corners are rounded by `corner`, turned about its middle.
Shape rounded(const Land& land, Nm corner) {
  const Nm x = std::max<Nm>(land.width / 2 - corner, 0);
  const Nm y = std::max<Nm>(land.height / 2 - corner, 0);
  if (x == 0 || y == 0) {
    const Point tip = turned({x, y}, land.angle);
    return bar(land.at - tip, land.at + tip, std::min(land.width, land.height) / 2);
  }
  Shape shape;
  for (const Point p : {Point{-x, -y}, Point{x, -y}, Point{x, y}, Point{-x, y}})
    shape.core.push_back(land.at + turned(p, land.angle));
  shape.area = true;
  shape.radius = corner;
  return boxed(std::move(shape));
}

// The core as segments: a point is a segment of no length; an area's ring is closed.
template <class Visit>
bool any_segment(const Shape& shape, Visit visit) {
  const std::size_t n = shape.core.size();
  if (n == 1) return visit(shape.core[0], shape.core[0]);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    if (visit(shape.core[i], shape.core[i + 1])) return true;
  }
  return shape.area && visit(shape.core[n - 1], shape.core[0]);
}

// An outline of several pieces is one polygon whose pieces hang together by seams of no width, there and
// back: no copper. Its closed runs between the seams; the whole polygon where it does not fall apart so.
std::vector<std::vector<Point>> rings_of(const std::vector<Point>& outline) {
  if (outline.size() < 3) return {};
  const std::size_t n = outline.size();
  std::map<std::pair<Point, Point>, std::vector<std::size_t>> edges;
  for (std::size_t i = 0; i < n; ++i) edges[{outline[i], outline[(i + 1) % n]}].push_back(i);
  std::vector<char> seam(n, 0);
  for (const auto& [ends, there] : edges) {
    if (!(ends.first < ends.second)) continue;
    const auto back = edges.find({ends.second, ends.first});
    if (back == edges.end()) continue;
    const std::size_t pairs = std::min(there.size(), back->second.size());
    for (std::size_t k = 0; k < pairs; ++k) seam[there[k]] = seam[back->second[k]] = 1;
  }
  std::vector<std::vector<Point>> rings;
  std::vector<Point> run;
  for (std::size_t i = 0; i <= n; ++i) {
    const Point here = i < n ? outline[i] : outline.front();
    if (i < n && seam[i] == 0) {
      run.push_back(here);
      continue;
    }
    if (run.empty()) continue;
    if (!(run.front() == here)) return {outline};
    if (run.size() > 2) rings.push_back(std::move(run));
    run.clear();
  }
  return rings;
}

}  // namespace

Shape boxed(Shape shape) {
  if (shape.core.empty()) shape.core.emplace_back();
  Box& box = shape.box;
  box = {shape.core[0].x, shape.core[0].y, shape.core[0].x, shape.core[0].y};
  for (const Point p : shape.core) {
    box.left = std::min(box.left, p.x);
    box.right = std::max(box.right, p.x);
    box.bottom = std::min(box.bottom, p.y);
    box.top = std::max(box.top, p.y);
  }
  box.left -= shape.radius;
  box.bottom -= shape.radius;
  box.right += shape.radius;
  box.top += shape.radius;
  return shape;
}

std::vector<Shape> shapes_of(const Land& land) {
  const Nm narrow = std::min(land.width, land.height);
  std::vector<Shape> shapes;
  switch (land.shape) {
    case LandShape::kCircle:
    case LandShape::kOval:
      shapes.push_back(rounded(land, narrow / 2));
      break;
    case LandShape::kRoundRect:
    case LandShape::kCustom:
      shapes.push_back(rounded(land, std::min(land.corner, narrow / 2)));
      break;
    case LandShape::kRect:
    case LandShape::kTrapezoid:
      shapes.push_back(rounded(land, 0));
      break;
  }
  for (std::vector<Point>& ring : rings_of(land.outline)) {
    Shape outline;
    outline.core = std::move(ring);
    outline.area = true;
    shapes.push_back(boxed(std::move(outline)));
  }
  return shapes;
}

Shape shape_of(const Track& track) {
  return bar(track.from, track.to, track.width / 2);
}

Shape shape_of(const Via& via) {
  return bar(via.at, via.at, via.diameter / 2);
}

Shape shape_of(const Arc& arc) {
  const auto x = [](Point p) { return static_cast<double>(p.x); };
  const auto y = [](Point p) { return static_cast<double>(p.y); };
  Shape shape;
  shape.radius = arc.width / 2;
  // The circle through three points, in the frame of `from`, so that squares stay small.
  const double bx = x(arc.mid) - x(arc.from);
  const double by = y(arc.mid) - y(arc.from);
  const double cx = x(arc.to) - x(arc.from);
  const double cy = y(arc.to) - y(arc.from);
  const double twice = 2 * (bx * cy - by * cx);
  if (std::abs(twice) < 1.0) {  // as good as straight
    shape.core = {arc.from, arc.mid, arc.to};
    return boxed(std::move(shape));
  }
  const double b2 = bx * bx + by * by;
  const double c2 = cx * cx + cy * cy;
  const double ux = (cy * b2 - by * c2) / twice;
  const double uy = (bx * c2 - cx * b2) / twice;
  const double radius = std::hypot(ux, uy);
  const double start = std::atan2(-uy, -ux);
  double sweep = std::atan2(cy - uy, cx - ux) - start;
  const bool left_turn = twice > 0;  // from, mid, to counter-clockwise
  while (left_turn && sweep <= 0) sweep += 2 * std::numbers::pi;
  while (!left_turn && sweep >= 0) sweep -= 2 * std::numbers::pi;
  const double step = 2 * std::acos(std::clamp(1 - kChordError / std::max(radius, kChordError), 0.0, 1.0));
  const int pieces = std::clamp(static_cast<int>(std::ceil(std::abs(sweep) / std::max(step, 1e-3))), 2, 4096);
  shape.core.push_back(arc.from);
  for (int i = 1; i < pieces; ++i) {
    const double angle = start + sweep * i / pieces;
    shape.core.push_back(arc.from + Point{std::llround(ux + radius * std::cos(angle)),
                                          std::llround(uy + radius * std::sin(angle))});
  }
  shape.core.push_back(arc.to);
  return boxed(std::move(shape));
}

Shape shape_of(const Fill& fill) {
  Shape shape;
  shape.core = fill.ring;
  shape.area = true;
  shape.radius = fill.pen / 2;
  return boxed(std::move(shape));
}

bool winds_around(const Shape& area, Point p) {
  if (!area.area || area.core.size() < 3) return false;
  int winding = 0;
  for (std::size_t i = 0; i < area.core.size(); ++i) {
    const Point a = area.core[i];
    const Point b = area.core[i + 1 < area.core.size() ? i + 1 : 0];
    if (a.y <= p.y) {
      if (b.y > p.y && cross(a, b, p) > 0) ++winding;
    } else if (b.y <= p.y && cross(a, b, p) < 0) {
      --winding;
    }
  }
  return winding != 0;
}

Foot foot(Point p, Point a, Point b) {
  const auto dx = static_cast<double>(b.x - a.x);
  const auto dy = static_cast<double>(b.y - a.y);
  const auto px = static_cast<double>(p.x - a.x);
  const auto py = static_cast<double>(p.y - a.y);
  const double square = dx * dx + dy * dy;
  const double along = square > 0 ? std::clamp((px * dx + py * dy) / square, 0.0, 1.0) : 0.0;
  return {std::sqrt((px - along * dx) * (px - along * dx) + (py - along * dy) * (py - along * dy)), along};
}

double segment_distance(Point a, Point b, Point c, Point d) {
  const double abc = cross(a, b, c);
  const double abd = cross(a, b, d);
  const double cda = cross(c, d, a);
  const double cdb = cross(c, d, b);
  if (((abc > 0 && abd < 0) || (abc < 0 && abd > 0)) && ((cda > 0 && cdb < 0) || (cda < 0 && cdb > 0)))
    return 0;
  return std::min(
      {foot(a, c, d).distance, foot(b, c, d).distance, foot(c, a, b).distance, foot(d, a, b).distance});
}

double gap(const Shape& a, const Shape& b) {
  if (winds_around(a, b.core[0]) || winds_around(b, a.core[0])) return kInside;
  double least = 1e18;
  any_segment(a, [&](Point p, Point q) {
    return any_segment(b, [&](Point r, Point s) {
      least = std::min(least, segment_distance(p, q, r, s));
      return least == 0;
    });
  });
  if (least == 0 && (a.area || b.area)) return kInside;
  return least - static_cast<double>(a.radius + b.radius);
}

}  // namespace landfall::rework
