#include "sample-boards/generator/planes.hpp"

#include <algorithm>
#include <map>

namespace landfall::sample {
namespace {

// Inner radius 0.26 mm: via radius 0.125, clearance 0.1, and a little. Less than half the lattice.
constexpr std::int64_t kReach = 260'000;
constexpr std::int64_t kCorner = 108'000;  // kReach * tan(22.5 degrees), rounded

NmPoint at(Cell c, std::int64_t dx, std::int64_t dy) {
  return {c.x * kCell + dx, c.y * kCell + dy};
}

// Left to right over the top, or right to left under the bottom.
void half_ring(std::vector<NmPoint>& ring, Cell via, bool top) {
  const std::int64_t s = top ? -1 : 1;
  std::vector<NmPoint> half{at(via, -kReach, 0),           at(via, -kReach, s * kCorner),
                            at(via, -kCorner, s * kReach), at(via, kCorner, s * kReach),
                            at(via, kReach, s * kCorner),  at(via, kReach, 0)};
  if (!top) std::reverse(half.begin(), half.end());
  ring.insert(ring.end(), half.begin(), half.end());
}

}  // namespace

std::vector<NmPoint> plane_ring(const Plane& plane, const Copper& copper) {
  std::map<int, std::vector<Cell>> rows;
  for (const RoutedVia& via : copper.vias) {
    if (via.net == plane.net || via.at.y <= plane.low.y || via.at.y >= plane.high.y) continue;
    const Span span = plane_span(plane, via.at.y);
    if (via.at.x > span.low && via.at.x < span.high) rows[via.at.y].push_back(via.at);
  }
  std::vector<NmPoint> ring;
  // Up the right side, along the top, then down the left side with a slit into each row that has holes. The
  // sides step in at the corners.
  int last = plane_span(plane, plane.high.y).high;
  ring.push_back(at({plane_span(plane, plane.high.y).low, plane.high.y}, 0, 0));
  ring.push_back(at({last, plane.high.y}, 0, 0));
  for (int y = plane.high.y; y >= plane.low.y; --y) {
    const int edge = plane_span(plane, y).high;
    if (edge == last) continue;
    ring.push_back(at({last, y}, 0, 0));
    ring.push_back(at({edge, y}, 0, 0));
    last = edge;
  }
  ring.push_back(at({last, plane.low.y}, 0, 0));
  last = plane_span(plane, plane.low.y).low;
  ring.push_back(at({last, plane.low.y}, 0, 0));
  for (int y = plane.low.y; y <= plane.high.y; ++y) {
    const int edge = plane_span(plane, y).low;
    if (edge != last) {
      ring.push_back(at({last, y}, 0, 0));
      ring.push_back(at({edge, y}, 0, 0));
      last = edge;
    }
    const auto row = rows.find(y);
    if (row == rows.end()) continue;
    std::vector<Cell>& holes = row->second;
    std::sort(holes.begin(), holes.end());
    ring.push_back(at({edge, y}, 0, 0));
    for (const Cell hole : holes) half_ring(ring, hole, true);
    std::reverse(holes.begin(), holes.end());
    for (const Cell hole : holes) half_ring(ring, hole, false);
    ring.push_back(at({edge, y}, 0, 0));
  }
  return ring;
}

}  // namespace landfall::sample
