#include "viewer/scene/board_shapes.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

namespace landfall::scene {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kMargin = 150'000;  // around a part's lands; common practice, no source

double inside_box(P p, double half_x, double half_y) {
  // Distance outside of the box; 0 within it.
  return std::hypot(std::max(std::abs(p.x) - half_x, 0.0), std::max(std::abs(p.y) - half_y, 0.0));
}

bool ring_holds(const std::vector<P>& ring, P at) {
  int winding = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const P a = ring[i];
    const P b = ring[(i + 1) % ring.size()];
    if ((a.y <= at.y) == (b.y <= at.y)) continue;
    const double x = a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x);
    if (x > at.x) winding += b.y > a.y ? 1 : -1;
  }
  return winding != 0;
}

void add_corner(std::vector<P>& ring, P middle, double radius, double start) {
  for (int i = 0; i <= 4; ++i) {
    const double angle = (start + 22.5 * i) * kPi / 180;
    ring.push_back({middle.x + radius * std::cos(angle), middle.y + radius * std::sin(angle)});
  }
}

}  // namespace

P turned_by(P p, double degrees) {
  if (degrees == 0) return p;
  const double angle = degrees * kPi / 180;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  return {p.x * c - p.y * s, p.x * s + p.y * c};
}

bool land_holds(const Land& land, P at, double near) {
  const P p = turned_by(at - place_of(land.at), -land.angle);
  const double half_x = static_cast<double>(land.width) / 2;
  const double half_y = static_cast<double>(land.height) / 2;
  switch (land.shape) {
    case LandShape::kCircle:
      return std::hypot(p.x, p.y) <= half_x + near;
    case LandShape::kOval: {
      const double round = std::min(half_x, half_y);
      return inside_box(p, half_x - round, half_y - round) <= round + near;
    }
    default:
      break;
  }
  if (inside_box(p, half_x, half_y) <= near) return true;
  if (land.outline.empty()) return false;
  std::vector<P> ring;
  ring.reserve(land.outline.size());
  for (const Point point : land.outline) ring.push_back(place_of(point));
  return ring_holds(ring, at);
}

std::vector<P> land_ring(const Land& land, bool fine) {
  const double half_x = static_cast<double>(land.width) / 2;
  const double half_y = static_cast<double>(land.height) / 2;
  double round = 0;
  if (land.shape == LandShape::kOval) round = std::min(half_x, half_y);
  if (land.shape == LandShape::kRoundRect)
    round = std::min({static_cast<double>(land.corner), half_x, half_y});
  std::vector<P> ring;
  if (round > 0 && fine) {
    add_corner(ring, {half_x - round, half_y - round}, round, 0);
    add_corner(ring, {round - half_x, half_y - round}, round, 90);
    add_corner(ring, {round - half_x, round - half_y}, round, 180);
    add_corner(ring, {half_x - round, round - half_y}, round, 270);
  } else {
    ring = {{half_x, half_y}, {-half_x, half_y}, {-half_x, -half_y}, {half_x, -half_y}};
  }
  for (P& p : ring) p = turned_by(p, land.angle) + place_of(land.at);
  return ring;
}

double land_area(const Land& land) {
  double area = static_cast<double>(land.width) * static_cast<double>(land.height);
  if (land.shape == LandShape::kCircle || land.shape == LandShape::kOval) area *= kPi / 4;
  if (land.outline.empty()) return area;
  double twice = 0;
  for (std::size_t i = 0; i < land.outline.size(); ++i) {
    const P a = place_of(land.outline[i] - land.at);
    const P b = place_of(land.outline[(i + 1) % land.outline.size()] - land.at);
    twice += a.x * b.y - b.x * a.y;
  }
  return std::max(area, std::abs(twice) / 2);
}

bool PartBox::holds(P at) const {
  return !corners.empty() && ring_holds(corners, at);
}

std::vector<PartBox> part_boxes(const Board& board) {
  struct Extent {
    P low{1e18, 1e18}, high{-1e18, -1e18};
  };
  std::vector<PartBox> boxes(board.parts.size());
  std::vector<Extent> extents(board.parts.size());
  for (const Land& land : board.lands) {
    if (land.part == kNone) continue;
    PartBox& box = boxes[land.part];
    if (box.lands++ == 0) box.side = land.side;
    if (land.side == Side::kThrough || land.side != box.side) box.both_sides = true;
    Extent& extent = extents[land.part];
    const double angle = board.parts[land.part].angle;
    const auto take = [&](P at) {
      const P p = turned_by(at, -angle);
      extent.low = {std::min(extent.low.x, p.x), std::min(extent.low.y, p.y)};
      extent.high = {std::max(extent.high.x, p.x), std::max(extent.high.y, p.y)};
    };
    if (land.shape == LandShape::kCircle) {
      const double r = static_cast<double>(land.width) / 2;
      const P middle = place_of(land.at);
      for (const P corner : {P{r, r}, P{-r, r}, P{r, -r}, P{-r, -r}}) take(middle + turned_by(corner, angle));
    } else {
      for (const P p : land_ring(land, false)) take(p);
      for (const Point p : land.outline) take(place_of(p));
    }
  }
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    PartBox& box = boxes[i];
    if (box.lands == 0) continue;
    const Part& part = board.parts[i];
    if (part.placed) box.side = part.side;
    if (box.side == Side::kThrough) box.side = Side::kTop;
    const P low = extents[i].low - P{kMargin, kMargin};
    const P high = extents[i].high + P{kMargin, kMargin};
    box.width = high.x - low.x;
    box.height = high.y - low.y;
    for (const P p : {low, P{high.x, low.y}, high, P{low.x, high.y}})
      box.corners.push_back(turned_by(p, part.angle));
    box.middle = turned_by((low + high) * 0.5, part.angle);
  }
  return boxes;
}

std::optional<std::size_t> first_corner(const BoardIndex& index, Index part, const PartBox& box) {
  for (const char* name : {"A1", "1"}) {
    const Index pin = index.pin(part, name);
    if (pin == kNone || index.lands_of_pin(pin).empty() || box.corners.empty()) continue;
    const P at = place_of(index.board().lands[index.lands_of_pin(pin).front()].at);
    std::size_t best = 0;
    double least = 1e30;
    for (std::size_t i = 0; i < box.corners.size(); ++i) {
      const double far = std::hypot(box.corners[i].x - at.x, box.corners[i].y - at.y);
      if (far >= least) continue;
      least = far;
      best = i;
    }
    return best;
  }
  return std::nullopt;
}

std::vector<P> arc_path(const Arc& arc) {
  const P a = place_of(arc.from);
  const P b = place_of(arc.mid) - a;
  const P c = place_of(arc.to) - a;
  const double d = 2 * (b.x * c.y - b.y * c.x);
  if (std::abs(d) < 1) return {a, place_of(arc.to)};
  const double bb = b.x * b.x + b.y * b.y;
  const double cc = c.x * c.x + c.y * c.y;
  const P middle{(c.y * bb - b.y * cc) / d, (b.x * cc - c.x * bb) / d};
  const double radius = std::hypot(middle.x, middle.y);
  const double start = std::atan2(-middle.y, -middle.x);
  const auto sweep_to = [&](P p) {
    const double sweep = std::fmod(std::atan2(p.y - middle.y, p.x - middle.x) - start, 2 * kPi);
    return sweep < 0 ? sweep + 2 * kPi : sweep;
  };
  double turn = sweep_to(c);
  if (sweep_to(b) > turn) turn -= 2 * kPi;
  const int pieces = std::max(2, static_cast<int>(std::ceil(std::abs(turn) / (kPi / 30))));
  std::vector<P> points{a};
  for (int i = 1; i < pieces; ++i) {
    const double angle = start + turn * i / pieces;
    points.push_back(a + middle + P{radius * std::cos(angle), radius * std::sin(angle)});
  }
  points.push_back(place_of(arc.to));
  return points;
}

std::vector<std::vector<P>> outline_paths(const std::vector<Edge>& edges) {
  std::multimap<Point, std::size_t> at_end;
  for (std::size_t i = 0; i < edges.size(); ++i) {
    at_end.emplace(edges[i].from, i);
    at_end.emplace(edges[i].to, i);
  }
  std::vector<bool> used(edges.size(), false);
  const auto next_from = [&](Point end) -> std::optional<Point> {
    const auto range = at_end.equal_range(end);
    for (auto it = range.first; it != range.second; ++it) {
      const Edge& edge = edges[it->second];
      if (used[it->second]) continue;
      used[it->second] = true;
      return edge.from == end ? edge.to : edge.from;
    }
    return std::nullopt;
  };
  std::vector<std::vector<P>> paths;
  for (std::size_t i = 0; i < edges.size(); ++i) {
    if (used[i]) continue;
    used[i] = true;
    std::vector<P> path{place_of(edges[i].from), place_of(edges[i].to)};
    for (auto end = next_from(edges[i].to); end; end = next_from(*end)) path.push_back(place_of(*end));
    std::reverse(path.begin(), path.end());
    for (auto end = next_from(edges[i].from); end; end = next_from(*end)) path.push_back(place_of(*end));
    paths.push_back(std::move(path));
  }
  return paths;
}

std::vector<Stroke> hatch(const std::vector<P>& ring, double step, double phase, double low, double high) {
  struct Crossing {
    long row;
    double x;
    int turn;
  };
  std::vector<Crossing> crossings;
  const long first = std::lround(std::ceil((low - phase) / step));
  const long last = std::lround(std::floor((high - phase) / step));
  for (std::size_t i = 0; i < ring.size(); ++i) {
    P a = ring[i];
    P b = ring[(i + 1) % ring.size()];
    const int turn = b.y > a.y ? 1 : -1;
    if (a.y > b.y) std::swap(a, b);
    if (a.y == b.y || b.y < low || a.y > high) continue;
    // A row on a point belongs to the edge that begins there, so that it is counted once.
    const long from = std::max(first, std::lround(std::ceil((a.y - phase) / step)));
    for (long row = from; row <= last; ++row) {
      const double y = static_cast<double>(row) * step + phase;
      if (y >= b.y) break;
      crossings.push_back({row, a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x), turn});
    }
  }
  std::sort(crossings.begin(), crossings.end(), [](const Crossing& one, const Crossing& two) {
    return std::pair(one.row, one.x) < std::pair(two.row, two.x);
  });
  std::vector<Stroke> strokes;
  int winding = 0;
  for (std::size_t i = 0; i + 1 < crossings.size(); ++i) {
    winding += crossings[i].turn;
    if (crossings[i + 1].row != crossings[i].row) {
      winding = 0;
      continue;
    }
    if (winding == 0 || crossings[i + 1].x <= crossings[i].x) continue;
    const double y = static_cast<double>(crossings[i].row) * step + phase;
    if (!strokes.empty() && strokes.back().y == y && strokes.back().to == crossings[i].x) {
      strokes.back().to = crossings[i + 1].x;
    } else {
      strokes.push_back({crossings[i].x, crossings[i + 1].x, y});
    }
  }
  return strokes;
}

}  // namespace landfall::scene
