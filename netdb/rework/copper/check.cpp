#include "netdb/rework/copper/check.hpp"

#include <algorithm>
#include <bit>
#include <map>
#include <tuple>

#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>

namespace landfall::rework {
namespace {

namespace bgi = boost::geometry::index;
using TreePoint = boost::geometry::model::point<double, 2, boost::geometry::cs::cartesian>;
using TreeBox = boost::geometry::model::box<TreePoint>;
using Entry = std::pair<TreeBox, Index>;

constexpr std::size_t kMostTouches = 20;

TreeBox tree_box(const Box& box) {
  return {{static_cast<double>(box.left), static_cast<double>(box.bottom)},
          {static_cast<double>(box.right), static_cast<double>(box.top)}};
}

// The pins of each island that holds any, most first. A pin with lands on several islands (both halves of a
// switch's contact, joined inside the part) joins them.
std::vector<std::vector<Index>> islands_with_pins(const Copper& copper, const NetCopper& net) {
  const Board& board = copper.board();
  Sets sets(net.pieces.size());
  for (std::size_t node = 0; node < net.pieces.size(); ++node)
    sets.join(static_cast<Node>(node), net.strict[node]);
  std::map<Index, Node> seen;
  for (std::size_t node = 0; node < net.pieces.size(); ++node) {
    const Piece& piece = copper.piece(net, static_cast<Node>(node));
    if (piece.kind != CopperKind::kLand || board.lands[piece.item].pin == kNone) continue;
    const auto [entry, fresh] = seen.try_emplace(board.lands[piece.item].pin, static_cast<Node>(node));
    if (!fresh) sets.join(entry->second, static_cast<Node>(node));
  }
  std::map<Node, std::vector<Index>> by_island;
  for (const auto& [pin, node] : seen) by_island[sets.root(node)].push_back(pin);
  std::vector<std::vector<Index>> islands;
  for (auto& [root, pins] : by_island) islands.push_back(std::move(pins));
  std::sort(islands.begin(), islands.end(), [](const auto& a, const auto& b) {
    return a.size() != b.size() ? a.size() > b.size() : a.front() < b.front();
  });
  return islands;
}

// Copper of one net, or of none, on a layer that both have.
bool may_touch(const Board& board, const Piece& a, const Piece& b) {
  if (a.net == b.net || (a.layers & b.layers) == 0) return false;
  // Two lands of one part that overlap are a net tie or a drawing of the footprint's own.
  if (a.kind == CopperKind::kLand && b.kind == CopperKind::kLand)
    return board.lands[a.item].part != board.lands[b.item].part;
  return true;
}

Point middle_of_both(const Box& a, const Box& b) {
  return {(std::max(a.left, b.left) + std::min(a.right, b.right)) / 2,
          (std::max(a.bottom, b.bottom) + std::min(a.top, b.top)) / 2};
}

std::vector<Touch> find_touches(const Copper& copper, std::size_t most_near, bool& cut) {
  const std::vector<Piece>& pieces = copper.pieces();
  std::vector<Entry> entries;
  entries.reserve(pieces.size());
  for (std::size_t i = 0; i < pieces.size(); ++i)
    entries.emplace_back(tree_box(pieces[i].box), static_cast<Index>(i));
  const bgi::rtree<Entry, bgi::rstar<16>> tree(entries);
  std::vector<Touch> touches;
  std::map<std::pair<Index, Index>, std::size_t> of_pair;
  std::vector<Entry> near;
  std::size_t looked = 0;
  for (const auto& [box, a] : entries) {
    near.clear();
    tree.query(bgi::intersects(box), std::back_inserter(near));
    looked += near.size();
    cut = looked > most_near;
    if (cut) break;
    for (const auto& [other_box, b] : near) {
      if (b <= a || !may_touch(copper.board(), pieces[a], pieces[b])) continue;
      if (piece_gap(pieces[a], pieces[b], -kJoinSlack) >= -kJoinSlack) continue;
      const auto pair = std::minmax(pieces[a].net, pieces[b].net);
      if (++of_pair[pair] > kMostTouches) continue;
      touches.push_back({pair.first, pair.second, middle_of_both(pieces[a].box, pieces[b].box),
                         std::countr_zero(pieces[a].layers & pieces[b].layers)});
    }
  }
  std::sort(touches.begin(), touches.end(), [](const Touch& a, const Touch& b) {
    return std::tie(a.first, a.second, a.layer, a.at) < std::tie(b.first, b.second, b.layer, b.at);
  });
  return touches;
}

}  // namespace

CopperCheck check_copper(const Copper& copper, std::size_t most_near) {
  CopperCheck answer;
  const Board& board = copper.board();
  std::vector<std::uint32_t> pins(board.nets.size(), 0);
  for (const Pin& pin : board.pins) {
    if (pin.net != kNone) ++pins[pin.net];
  }
  for (std::size_t n = 0; n < board.nets.size(); ++n) {
    const auto net = static_cast<Index>(n);
    if (pins[n] < 2) continue;
    ++answer.nets;
    if (!copper.known()) {
      answer.unknown.push_back({net, "the files give no copper"});
      continue;
    }
    auto islands = islands_with_pins(copper, copper.net(net));
    if (islands.size() < 2) continue;
    if (!copper.doubt(net).empty()) {
      answer.unknown.push_back({net, copper.doubt(net)});
    } else {
      answer.splits.push_back({net, std::move(islands)});
    }
  }
  answer.touches = find_touches(copper, most_near, answer.touches_cut);
  return answer;
}

}  // namespace landfall::rework
