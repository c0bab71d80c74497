#include "viewer/scene/line_cut.hpp"

#include <algorithm>

namespace landfall::scene {

std::optional<std::pair<P, P>> inside_of(const Rect& r, P from, P to) {
  double enters = 0;
  double leaves = 1;
  const P way = to - from;
  const auto side = [&](double move, double room) {
    if (move == 0) return room >= 0;
    const double t = room / move;
    if (move < 0) enters = std::max(enters, t);
    if (move > 0) leaves = std::min(leaves, t);
    return enters <= leaves;
  };
  const bool inside = side(-way.x, from.x - r.x) && side(way.x, r.x + r.width - from.x) &&
                      side(-way.y, from.y - r.y) && side(way.y, r.y + r.height - from.y);
  if (!inside) return std::nullopt;
  return std::pair{from + way * enters, from + way * leaves};
}

}  // namespace landfall::scene
