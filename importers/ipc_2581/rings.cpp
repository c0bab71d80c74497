#include "importers/ipc_2581/rings.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace landfall::importers::ipc_2581 {
namespace {

constexpr double kStep = 5.0 * std::numbers::pi / 180.0;

double area(const Ring& ring) {
  double sum = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[i + 1 < ring.size() ? i + 1 : 0];
    sum += static_cast<double>(a.x) * static_cast<double>(b.y) -
           static_cast<double>(b.x) * static_cast<double>(a.y);
  }
  return sum;
}

double angle_of(Point p) {
  return std::atan2(static_cast<double>(p.y), static_cast<double>(p.x));
}

Point on_circle(Point centre, double radius, double angle) {
  return {centre.x + std::llround(radius * std::cos(angle)),
          centre.y + std::llround(radius * std::sin(angle))};
}

struct Sweep {
  double radius = 0, start = 0, turn = 0;  // turn: counter-clockwise is positive
};

Sweep sweep_of(Point from, Point to, Point centre, bool clockwise) {
  const Point a = from - centre;
  const Point b = to - centre;
  Sweep sweep;
  sweep.radius = std::hypot(static_cast<double>(a.x), static_cast<double>(a.y));
  sweep.start = angle_of(a);
  double turn = angle_of(b) - sweep.start;
  constexpr double kRound = 2 * std::numbers::pi;
  if (clockwise) turn = -turn;
  if (turn < 0) turn += kRound;
  if (from == to) turn = kRound;
  sweep.turn = clockwise ? -turn : turn;
  return sweep;
}

struct Hit {
  std::size_t ring = 0, edge = 0;
  Point at;
};

// How far a ring reaches: a plane has thousands of small holes, and a ray meets few of them.
struct Reach {
  Nm low = 0, high = 0, right = 0;
};

Reach reach_of(const Ring& ring) {
  Reach reach{ring.front().y, ring.front().y, ring.front().x};
  for (const Point& p : ring) {
    reach.low = std::min(reach.low, p.y);
    reach.high = std::max(reach.high, p.y);
    reach.right = std::max(reach.right, p.x);
  }
  return reach;
}

// Where a ray from `from` to the right first meets an edge of the rings that does not belong to ring `own`.
std::optional<Hit> first_hit(const std::vector<Ring>& rings, const std::vector<Reach>& reaches,
                             std::size_t own, Point from) {
  std::optional<Hit> best;
  for (std::size_t r = 0; r < rings.size(); ++r) {
    const Reach& reach = reaches[r];
    if (r == own || reach.high <= from.y || reach.low > from.y || reach.right < from.x) continue;
    const Ring& ring = rings[r];
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Point a = ring[i];
      const Point b = ring[i + 1 < ring.size() ? i + 1 : 0];
      if ((a.y > from.y) == (b.y > from.y)) continue;
      const double part = static_cast<double>(from.y - a.y) / static_cast<double>(b.y - a.y);
      const Nm x = a.x + std::llround(part * static_cast<double>(b.x - a.x));
      // Holes that touch must not hang on one another in a circle.
      if (x < from.x || (r != 0 && x == from.x) || (best && best->at.x <= x)) continue;
      best = Hit{r, i, {x, from.y}};
    }
  }
  return best;
}

}  // namespace

Ring disc_ring(Point middle, Nm radius) {
  Ring ring;
  constexpr int kSides = 36;
  for (int i = 0; i < kSides; ++i)
    ring.push_back(on_circle(middle, static_cast<double>(radius), 2 * std::numbers::pi * i / kSides));
  return ring;
}

Ring rect_ring(Nm width, Nm height, Nm corner) {
  const Nm x = width / 2;
  const Nm y = height / 2;
  const Nm r = std::min({corner, x, y});
  if (r <= 0) return {{x, y}, {-x, y}, {-x, -y}, {x, -y}};
  Ring ring;
  const Point centres[] = {
      {x - r, y - r}, {r - x, y - r}, {r - x, r - y}, {x - r, r - y}};  // NOLINT(modernize-avoid-c-arrays)
  const Point starts[] = {{r, 0}, {0, r}, {-r, 0}, {0, -r}};            // NOLINT(modernize-avoid-c-arrays)
  for (int i = 0; i < 4; ++i) {
    const Point start = centres[i] + starts[i];
    ring.push_back(start);
    append_arc(ring, start, centres[i] + starts[(i + 1) % 4], centres[i], false);
  }
  return ring;
}

Ring stroke_ring(Point from, Point to, Nm width) {
  const Nm radius = width / 2;
  if (from == to) return disc_ring(from, radius);
  const double along = angle_of(to - from);
  Ring ring;
  constexpr int kSides = 18;
  for (int i = 0; i <= kSides; ++i)
    ring.push_back(on_circle(to, static_cast<double>(radius),
                             along - std::numbers::pi / 2 + std::numbers::pi * i / kSides));
  for (int i = 0; i <= kSides; ++i)
    ring.push_back(on_circle(from, static_cast<double>(radius),
                             along + std::numbers::pi / 2 + std::numbers::pi * i / kSides));
  return ring;
}

void append_arc(Ring& ring, Point from, Point to, Point centre, bool clockwise) {
  const Sweep sweep = sweep_of(from, to, centre, clockwise);
  const int steps = std::max(1, static_cast<int>(std::ceil(std::abs(sweep.turn) / kStep)));
  for (int i = 1; i < steps; ++i)
    ring.push_back(on_circle(centre, sweep.radius, sweep.start + sweep.turn * i / steps));
  ring.push_back(to);
}

Point arc_middle(Point from, Point to, Point centre, bool clockwise) {
  const Sweep sweep = sweep_of(from, to, centre, clockwise);
  return on_circle(centre, sweep.radius, sweep.start + sweep.turn / 2);
}

std::optional<Ring> slit(Ring outline, std::vector<Ring> holes, std::size_t& budget) {
  if (area(outline) < 0) std::reverse(outline.begin(), outline.end());
  std::erase_if(holes, [](const Ring& hole) { return hole.size() < 3; });
  if (holes.empty()) return outline;
  std::size_t points = outline.size();
  for (const Ring& hole : holes) points += hole.size();
  if (points > budget / holes.size()) return std::nullopt;
  budget -= points * holes.size();
  // Each hole hangs by its rightmost point on what lies to the right of it: another hole, or the outline. The
  // rightmost point of what it hangs on lies further right, so that nothing hangs on itself.
  std::vector<Ring> rings;
  rings.push_back(std::move(outline));
  for (Ring& hole : holes) {
    if (area(hole) > 0) std::reverse(hole.begin(), hole.end());
    std::rotate(hole.begin(), std::max_element(hole.begin(), hole.end()), hole.end());
    rings.push_back(std::move(hole));
  }
  struct Seam {
    std::size_t child;
    Hit hit;
  };
  std::vector<Seam> seams;
  std::vector<Reach> reaches;
  reaches.reserve(rings.size());
  for (const Ring& ring : rings) reaches.push_back(ring.empty() ? Reach{} : reach_of(ring));
  for (std::size_t i = 1; i < rings.size(); ++i) {
    // A hole outside the outline takes nothing away.
    if (const auto hit = first_hit(rings, reaches, i, rings[i].front())) seams.push_back({i, *hit});
  }
  // Holes furthest left first: when a hole is spliced in, all that hangs on it has been.
  std::sort(seams.begin(), seams.end(),
            [&](const Seam& a, const Seam& b) { return rings[a.child].front() < rings[b.child].front(); });
  struct Insert {
    std::size_t edge;
    Point at;
    Ring ring;
  };
  std::vector<std::vector<Insert>> inserts(rings.size());
  const auto assembled = [&](std::size_t which) {
    const Ring& ring = rings[which];
    std::vector<Insert>& own = inserts[which];
    const auto along = [&](const Insert& insert) { return distance(ring[insert.edge], insert.at); };
    std::stable_sort(own.begin(), own.end(), [&](const Insert& a, const Insert& b) {
      return a.edge != b.edge ? a.edge < b.edge : along(a) < along(b);
    });
    Ring out;
    std::size_t next = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
      out.push_back(ring[i]);
      for (; next < own.size() && own[next].edge == i; ++next) {
        out.push_back(own[next].at);
        out.insert(out.end(), own[next].ring.begin(), own[next].ring.end());
        out.push_back(own[next].at);
      }
    }
    own.clear();
    return out;
  };
  for (const Seam& seam : seams) {
    Ring whole = assembled(seam.child);
    whole.push_back(rings[seam.child].front());
    inserts[seam.hit.ring].push_back({seam.hit.edge, seam.hit.at, std::move(whole)});
  }
  return assembled(0);
}

void join_ring(Ring& all, Ring ring) {
  if (ring.size() < 3) return;
  if (area(ring) < 0) std::reverse(ring.begin(), ring.end());
  if (all.empty()) {
    all = std::move(ring);
    return;
  }
  const Point home = all.front();
  const Point start = ring.front();
  all.push_back(home);
  all.insert(all.end(), ring.begin(), ring.end());
  all.push_back(start);
  all.push_back(home);
}

}  // namespace landfall::importers::ipc_2581
