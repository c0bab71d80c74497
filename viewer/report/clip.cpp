#include "viewer/report/clip.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "viewer/scene/line_cut.hpp"

namespace landfall::report {
namespace {

using scene::P;
using scene::Rect;
using scene::Shape;
using scene::ShapeKind;

void cut_line(const Shape& shape, const Rect& window, std::vector<Shape>& out) {
  Shape piece = shape;
  piece.points.clear();
  const auto close = [&] {
    if (piece.points.size() > 1) out.push_back(piece);
    piece.points.clear();
  };
  for (std::size_t i = 0; i + 1 < shape.points.size(); ++i) {
    const P a = shape.points[i];
    const P b = shape.points[i + 1];
    const auto part = scene::inside_of(window, a, b);
    if (!part) {
      close();
      continue;
    }
    const bool begins = part->first.x != a.x || part->first.y != a.y;
    if (begins) close();
    if (piece.points.empty()) piece.points.push_back(part->first);
    piece.points.push_back(part->second);
    if (part->second.x != b.x || part->second.y != b.y) close();
  }
  close();
}

// Sutherland and Hodgman's way, one edge of the window after the other; `over(p)` is above 0 outside.
template <class Over>
std::vector<P> cut_edge(const std::vector<P>& ring, const Over& over) {
  std::vector<P> kept;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const P a = ring[i];
    const P b = ring[(i + 1) % ring.size()];
    const double oa = over(a);
    const double ob = over(b);
    if (oa <= 0) kept.push_back(a);
    if ((oa < 0 && ob > 0) || (oa > 0 && ob < 0)) kept.push_back(a + (b - a) * (oa / (oa - ob)));
  }
  return kept;
}

std::vector<P> cut_polygon(std::vector<P> ring, const Rect& r) {
  ring = cut_edge(ring, [&](P p) { return r.x - p.x; });
  ring = cut_edge(ring, [&](P p) { return p.x - r.x - r.width; });
  ring = cut_edge(ring, [&](P p) { return r.y - p.y; });
  return cut_edge(ring, [&](P p) { return p.y - r.y - r.height; });
}

constexpr int kSides = 60;

P on_circle(const Shape& shape, double radius, double side) {
  const double angle = 2 * std::numbers::pi * side / kSides;
  return {shape.at.x + radius * std::cos(angle), shape.at.y + radius * std::sin(angle)};
}

void add_polygon(const Shape& shape, std::vector<P> points, const Rect& window, std::vector<Shape>& out) {
  Shape piece;
  piece.kind = ShapeKind::kPolygon;
  piece.colour = shape.colour;
  piece.points = cut_polygon(std::move(points), window);
  if (piece.points.size() > 2) out.push_back(std::move(piece));
}

// A disc or ring that crosses the edge becomes polygons.
void cut_round(const Shape& shape, const Rect& r, std::vector<Shape>& out) {
  const bool ring = shape.kind == ShapeKind::kRing;
  const double reach = shape.radius + (ring ? shape.width / 2 : 0);
  if (shape.at.x + reach < r.x || shape.at.x - reach > r.x + r.width || shape.at.y + reach < r.y ||
      shape.at.y - reach > r.y + r.height)
    return;
  if (shape.at.x - reach >= r.x && shape.at.x + reach <= r.x + r.width && shape.at.y - reach >= r.y &&
      shape.at.y + reach <= r.y + r.height) {
    out.push_back(shape);
    return;
  }
  if (!ring) {
    std::vector<P> points;
    for (int i = 0; i < kSides; ++i) points.push_back(on_circle(shape, shape.radius, i));
    add_polygon(shape, std::move(points), r, out);
    return;
  }
  const double inner = std::max(shape.radius - shape.width / 2, 0.0);
  constexpr double kOverlap = 0.1;  // of a side, so that no seam shows
  for (int i = 0; i < kSides; ++i) {
    add_polygon(shape,
                {on_circle(shape, reach, i), on_circle(shape, reach, i + 1 + kOverlap),
                 on_circle(shape, inner, i + 1 + kOverlap), on_circle(shape, inner, i)},
                r, out);
  }
}

bool label_inside(const Shape& shape, const Rect& window) {
  const double width = scene::text_width(shape.text, shape.size, shape.face);
  double left = shape.at.x;
  if (shape.align == scene::Align::kMiddle) left -= width / 2;
  if (shape.align == scene::Align::kRight) left -= width;
  const double half = shape.size / 2;
  return left >= window.x && left + width <= window.x + window.width && shape.at.y - half >= window.y &&
         shape.at.y + half <= window.y + window.height;
}

}  // namespace

std::vector<Shape> clipped(const std::vector<Shape>& shapes, const Rect& window) {
  std::vector<Shape> out;
  for (const Shape& shape : shapes) {
    switch (shape.kind) {
      case ShapeKind::kDisc:
      case ShapeKind::kRing:
        cut_round(shape, window, out);
        break;
      case ShapeKind::kLabel:
        if (label_inside(shape, window)) out.push_back(shape);
        break;
      case ShapeKind::kLine:
        cut_line(shape, window, out);
        break;
      case ShapeKind::kPolygon: {
        Shape piece = shape;
        piece.points = cut_polygon(shape.points, window);
        if (piece.points.size() > 2) out.push_back(std::move(piece));
        break;
      }
    }
  }
  return out;
}

}  // namespace landfall::report
