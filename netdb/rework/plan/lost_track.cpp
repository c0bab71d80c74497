#include "netdb/rework/plan/lost_track.hpp"

#include <functional>
#include <limits>
#include <queue>
#include <vector>

#include "netdb/rework/copper/path.hpp"

namespace landfall::rework {
namespace {

// The node whose copper the landing is on; the net's size when there is none.
Node node_at(const Copper& copper, const NetCopper& net, const Landing& landing) {
  const bool by_item = landing.kind != LandingKind::kConductor && landing.kind != LandingKind::kAdded;
  const bool via = landing.kind == LandingKind::kOpenVia || landing.kind == LandingKind::kTentedVia;
  Shape dot;
  dot.core = {landing.at};
  dot = boxed(dot);
  for (std::size_t i = 0; i < net.pieces.size(); ++i) {
    const Piece& piece = copper.piece(net, static_cast<Node>(i));
    if (by_item) {
      if (piece.item == landing.item && piece.kind == (via ? CopperKind::kVia : CopperKind::kLand))
        return static_cast<Node>(i);
    } else if (piece.kind == CopperKind::kTrack || piece.kind == CopperKind::kArc) {
      if (gap(piece.shapes.front(), dot) <= kJoinSlack) return static_cast<Node>(i);
    }
  }
  return static_cast<Node>(net.pieces.size());
}

double own_length(const Piece& piece) {
  const bool conductor = piece.kind == CopperKind::kTrack || piece.kind == CopperKind::kArc;
  return conductor ? Path(piece.shapes.front().core).length() : 0;
}

}  // namespace

std::optional<LostTrack> lost_track(const Copper& copper, Index net_index, const Landing& from,
                                    const Landing& to) {
  if (!copper.known()) return std::nullopt;
  const NetCopper& net = copper.net(net_index);
  const std::size_t n = net.pieces.size();
  const Node start = node_at(copper, net, from);
  const Node goal = node_at(copper, net, to);
  if (start == n || goal == n) return std::nullopt;
  std::vector<double> cost(n, std::numeric_limits<double>::infinity());
  std::vector<Node> before(n, static_cast<Node>(n));
  using Entry = std::pair<double, Node>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
  cost[start] = 0;
  open.emplace(0, start);
  while (!open.empty()) {
    const auto [here, node] = open.top();
    open.pop();
    if (here > cost[node]) continue;
    if (node == goal) break;
    const double half = own_length(copper.piece(net, node)) / 2;
    for (const Node next : net.neighbours(node)) {
      if (copper.piece(net, next).kind == CopperKind::kFill) continue;
      const double there = here + half + own_length(copper.piece(net, next)) / 2;
      if (there >= cost[next]) continue;
      cost[next] = there;
      before[next] = node;
      open.emplace(there, next);
    }
  }
  if (cost[goal] == std::numeric_limits<double>::infinity()) return std::nullopt;
  double inner = 0;
  const LayerSet outer = layer_bit(0) | layer_bit(static_cast<int>(copper.board().layers.size()) - 1);
  for (Node node = goal; node != n; node = before[node]) {
    const Piece& piece = copper.piece(net, node);
    if ((piece.layers & outer) == 0) inner += own_length(piece);
  }
  return LostTrack{static_cast<Nm>(cost[goal]), inner > cost[goal] / 2};
}

}  // namespace landfall::rework
