#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "importers/kicad_board/reader.hpp"

// Graphics: the board's outline, and copper that was drawn rather than routed. FORMATS.md 1.6, 1.8.

namespace landfall::importers::kicad_board {
namespace {

constexpr double kStep = 5.0 * std::numbers::pi / 180.0;

struct Circle {
  double x = 0, y = 0, radius = 0;
  bool valid = false;
};

Circle circle_through(Point a, Point b, Point c) {
  const double bx = static_cast<double>(b.x - a.x);
  const double by = static_cast<double>(b.y - a.y);
  const double cx = static_cast<double>(c.x - a.x);
  const double cy = static_cast<double>(c.y - a.y);
  const double d = 2 * (bx * cy - by * cx);
  if (std::abs(d) < 1.0) return {};
  const double bb = bx * bx + by * by;
  const double cc = cx * cx + cy * cy;
  const double ux = (cy * bb - by * cc) / d;
  const double uy = (bx * cc - cx * bb) / d;
  return {static_cast<double>(a.x) + ux, static_cast<double>(a.y) + uy, std::hypot(ux, uy), true};
}

Point on_circle(const Circle& circle, double angle) {
  return {std::llround(circle.x + circle.radius * std::cos(angle)),
          std::llround(circle.y + circle.radius * std::sin(angle))};
}

double angle_at(const Circle& circle, Point p) {
  return std::atan2(static_cast<double>(p.y) - circle.y, static_cast<double>(p.x) - circle.x);
}

// The part of [0, 2 pi) that leads counter-clockwise from `from` to `to`.
double sweep(double from, double to) {
  double s = std::fmod(to - from, 2 * std::numbers::pi);
  if (s < 0) s += 2 * std::numbers::pi;
  return s;
}

}  // namespace

std::vector<Point> arc_points(Point from, Point mid, Point to) {
  const Circle circle = circle_through(from, mid, to);
  // A huge radius is a straight line in all but name.
  if (!circle.valid || circle.radius > static_cast<double>(kFarthest)) return {from, to};
  const double start = angle_at(circle, from);
  double turn = sweep(start, angle_at(circle, to));
  if (sweep(start, angle_at(circle, mid)) > turn) turn -= 2 * std::numbers::pi;  // clockwise
  const int pieces = std::max(1, static_cast<int>(std::ceil(std::abs(turn) / kStep)));
  std::vector<Point> points{from};
  for (int i = 1; i < pieces; ++i) points.push_back(on_circle(circle, start + turn * i / pieces));
  points.push_back(to);
  return points;
}

std::vector<Point> disc_ring(Point middle, Nm radius) {
  const Circle circle{static_cast<double>(middle.x), static_cast<double>(middle.y),
                      static_cast<double>(radius), true};
  std::vector<Point> ring;
  for (int i = 0; i < 72; ++i) ring.push_back(on_circle(circle, kStep * i));
  return ring;
}

std::vector<Point> stroke_ring(Point from, Point to, Nm width) {
  const double along = std::atan2(static_cast<double>(to.y - from.y), static_cast<double>(to.x - from.x));
  const auto radius = static_cast<double>(width) / 2;
  const Circle start{static_cast<double>(from.x), static_cast<double>(from.y), radius, true};
  const Circle end{static_cast<double>(to.x), static_cast<double>(to.y), radius, true};
  std::vector<Point> ring;
  for (int i = 0; i <= 36; ++i) ring.push_back(on_circle(end, along - std::numbers::pi / 2 + kStep * i));
  for (int i = 0; i <= 36; ++i) ring.push_back(on_circle(start, along + std::numbers::pi / 2 + kStep * i));
  return ring;
}

// A cubic Bezier curve by its four points (Bernstein's form), in 16 straight pieces.
std::vector<Point> curve_points(const std::vector<Point>& control) {
  if (control.size() != 4) return control;
  constexpr int kPieces = 16;
  std::vector<Point> points;
  for (int i = 0; i <= kPieces; ++i) {
    const double t = static_cast<double>(i) / kPieces;
    const double u = 1 - t;
    const std::array<double, 4> weight{u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t};
    double x = 0;
    double y = 0;
    for (std::size_t k = 0; k < weight.size(); ++k) {
      x += weight[k] * static_cast<double>(control[k].x);
      y += weight[k] * static_cast<double>(control[k].y);
    }
    points.push_back({std::llround(x), std::llround(y)});
  }
  return points;
}

void Reader::read_points(std::vector<Point>& points) {
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "xy") {
      if (const auto p = point()) points.push_back(*p);
      in_.leave();
    } else if (field.text == "arc") {
      Point from;
      Point mid;
      Point to;
      while (const Field end = in_.next()) {
        if (!end.list()) continue;
        Point* which = end.text == "start" ? &from : nullptr;
        if (end.text == "mid") which = &mid;
        if (end.text == "end") which = &to;
        if (which != nullptr) *which = point().value_or(Point{});
        in_.leave();
      }
      const auto pieces = arc_points(from, mid, to);
      points.insert(points.end(), pieces.begin(), pieces.end());
    } else {
      in_.leave();
    }
  }
}

Nm Reader::stroke_width() {
  Nm width = 0;
  while (const Field part = in_.next()) {
    if (!part.list()) continue;
    if (part.text == "width") width = std::max(length().value_or(0), Nm{0});
    in_.leave();
  }
  return width;
}

std::optional<Drawing> Reader::read_drawing(std::string_view kind, std::size_t offset) {
  bad_ = false;
  Drawing drawing;
  std::vector<Point> points;
  std::optional<Point> start;
  std::optional<Point> mid;
  std::optional<Point> end;
  std::optional<Point> center;
  std::optional<double> angle;
  const bool line = kind.ends_with("line");
  const bool arc = kind.ends_with("arc");
  const bool circle = kind.ends_with("circle");
  const bool rect = kind.ends_with("rect");
  drawing.filled = kind.ends_with("poly");
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    const std::string name(field.text);
    if (name == "pts") {
      read_points(points);
      continue;
    }
    if (name == "start") start = point();
    if (name == "mid") mid = point();
    if (name == "end") end = point();
    if (name == "center") center = point();
    if (name == "angle") angle = number();
    if (name == "width") drawing.width = std::max(length().value_or(0), Nm{0});
    if (name == "layer") drawing.layer = text();
    if (name == "fill") {
      const std::string how = text();
      if (circle || rect) drawing.filled = how == "yes" || how == "solid";
      if (drawing.filled && how == "none") drawing.filled = false;
    }
    if (name == "stroke") {
      drawing.width = stroke_width();
      continue;
    }
    skip(name, field.offset);
  }
  if (line && start && end) {
    points = {*start, *end};
  } else if (arc && start && mid && end) {
    points = arc_points(*start, *mid, *end);
  } else if (arc && start && end && angle) {
    // Up to 2021: start is the middle, end is where the arc begins, the angle runs clockwise in our frame.
    const Point spoke = *end - *start;
    points = arc_points(*end, *start + turned(spoke, -*angle / 2), *start + turned(spoke, -*angle));
  } else if (circle && (center || start) && end) {
    const Point middle = center ? *center : *start;
    points = disc_ring(middle, distance(middle, *end));
    drawing.closed = true;
  } else if (rect && start && end) {
    points = {*start, {end->x, start->y}, *end, {start->x, end->y}};
    drawing.closed = true;
  } else if (kind.ends_with("poly")) {
    drawing.closed = true;
  } else if (kind.ends_with("curve")) {
    points = curve_points(points);
  }
  if (!is_layer(drawing.layer)) {
    warn(offset, "layer", fmt::format("({} ...) is on a layer that the board has not: left out", kind));
  }
  const bool bad = std::exchange(bad_, false);
  if (bad || points.empty()) {
    warn(offset, bad ? "number" : "place",
         fmt::format("({} ...) {}: skipped", kind, bad ? "has a value that is no length" : "has no place"));
    return std::nullopt;
  }
  if (points.size() < 2) return std::nullopt;
  drawing.points = std::move(points);
  return drawing;
}

void Reader::add_drawing(const Drawing& drawing) {
  const auto& points = drawing.points;
  if (drawing.layer == "Edge.Cuts" || drawing.layer == "Edge_Cuts" || drawing.layer == "PCB_Edges") {
    for (std::size_t i = 1; i < points.size(); ++i) board_.outline.push_back({points[i - 1], points[i]});
    if (drawing.closed) board_.outline.push_back({points.back(), points.front()});
    return;
  }
  const auto layer = copper_layer(drawing.layer);
  if (!layer) return;
  if (drawing.filled) {
    board_.fills.push_back({kNone, *layer, drawing.width, points});
    return;
  }
  // A stroke is a ring of two points under a pen.
  for (std::size_t i = 1; i < points.size(); ++i) {
    board_.fills.push_back({kNone, *layer, drawing.width, {points[i - 1], points[i]}});
  }
  if (drawing.closed) board_.fills.push_back({kNone, *layer, drawing.width, {points.back(), points.front()}});
}

}  // namespace landfall::importers::kicad_board
