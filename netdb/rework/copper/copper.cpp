#include "netdb/rework/copper/copper.hpp"

#include <algorithm>

#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>
#include <fmt/format.h>

namespace landfall::rework {
namespace {

namespace bgi = boost::geometry::index;
using TreePoint = boost::geometry::model::point<double, 2, boost::geometry::cs::cartesian>;
using TreeBox = boost::geometry::model::box<TreePoint>;
using Entry = std::pair<TreeBox, Node>;

TreeBox tree_box(const Box& box) {
  return {{static_cast<double>(box.left) - kJoinSlack, static_cast<double>(box.bottom) - kJoinSlack},
          {static_cast<double>(box.right) + kJoinSlack, static_cast<double>(box.top) + kJoinSlack}};
}

LayerSet span_of(const Via& via) {
  LayerSet layers = 0;
  for (int layer = std::max(via.first, 0); layer <= std::min(via.last, kMostLayers - 1); ++layer)
    layers |= layer_bit(layer);
  return layers;
}

// False when there are more than are followed; then there are none.
bool find_joints(const std::vector<Piece>& pieces, NetCopper& net) {
  std::vector<Entry> entries;
  entries.reserve(net.pieces.size());
  for (std::size_t i = 0; i < net.pieces.size(); ++i)
    entries.emplace_back(tree_box(pieces[net.pieces[i]].box), static_cast<Node>(i));
  const bgi::rtree<Entry, bgi::rstar<16>> tree(entries);
  std::vector<Entry> near;
  for (const auto& [box, a] : entries) {
    const Piece& piece = pieces[net.pieces[a]];
    near.clear();
    tree.query(bgi::intersects(box), std::back_inserter(near));
    for (const auto& [other_box, b] : near) {
      if (b <= a) continue;
      const Piece& other = pieces[net.pieces[b]];
      if ((piece.layers & other.layers) == 0) continue;
      if (piece_gap(piece, other, kJoinSlack) <= kJoinSlack) net.joints.emplace_back(a, b);
    }
    if (net.joints.size() > Copper::kMostJoints) {
      net.joints = {};
      return false;
    }
  }
  std::sort(net.joints.begin(), net.joints.end());
  return true;
}

void find_islands(NetCopper& net) {
  const std::size_t n = net.pieces.size();
  Sets sets(n);
  net.starts.assign(n + 1, 0);
  for (const auto& [a, b] : net.joints) {
    sets.join(a, b);
    ++net.starts[a + 1];
    ++net.starts[b + 1];
  }
  for (std::size_t i = 0; i < n; ++i) net.starts[i + 1] += net.starts[i];
  net.around.resize(net.joints.size() * 2);
  std::vector<std::uint32_t> next(net.starts.begin(), net.starts.end() - 1);
  for (const auto& [a, b] : net.joints) {
    net.around[next[a]++] = b;
    net.around[next[b]++] = a;
  }
  const auto named = [&] {
    std::vector<Node> least(n, static_cast<Node>(n));
    std::vector<Node> islands(n);
    for (std::size_t i = 0; i < n; ++i) {
      Node& name = least[sets.root(static_cast<Node>(i))];
      name = std::min(name, static_cast<Node>(i));
      islands[i] = name;
    }
    return islands;
  };
  net.strict = named();
  for (const Node node : net.assumed) sets.join(net.assumed.front(), node);
  net.island = net.assumed.empty() ? net.strict : named();
}

}  // namespace

double piece_gap(const Piece& a, const Piece& b, double enough, double far) {
  if (!a.box.meets(b.box, static_cast<Nm>(far) + 1)) return far + 1;
  if (a.fill && b.fill) return a.fill->gap_to(*b.fill, enough, far);
  if (b.fill) return piece_gap(b, a, enough, far);
  double least = far + 1;
  for (const Shape& shape : b.shapes) {
    if (a.fill) {
      least = std::min(least, a.fill->gap_to(shape, enough, far));
    } else {
      for (const Shape& own : a.shapes) {
        if (own.box.meets(shape.box, static_cast<Nm>(far) + 1)) least = std::min(least, gap(own, shape));
      }
    }
    if (least <= enough) break;
  }
  return least;
}

Copper::Copper(const Board& board)
    : board_(&board),
      of_net_(board.nets.size()),
      doubt_(board.nets.size()),
      unfilled_(board.nets.size()),
      nets_(board.nets.size()),
      damages_(board.nets.size()) {
  known_ = !board.tracks.empty() || !board.arcs.empty() || !board.fills.empty();
  pieces_.reserve(board.lands.size() + board.tracks.size() + board.arcs.size() + board.vias.size() +
                  board.fills.size());
  for (std::size_t i = 0; i < board.lands.size(); ++i) {
    const Land& land = board.lands[i];
    const Index net = land.net == kNone && land.pin != kNone ? board.pins[land.pin].net : land.net;
    add(CopperKind::kLand, i, net, land.layers, shapes_of(land));
  }
  for (std::size_t i = 0; i < board.tracks.size(); ++i) {
    const Track& track = board.tracks[i];
    add(CopperKind::kTrack, i, track.net, layer_bit(track.layer), {shape_of(track)});
  }
  for (std::size_t i = 0; i < board.arcs.size(); ++i) {
    const Arc& arc = board.arcs[i];
    add(CopperKind::kArc, i, arc.net, layer_bit(arc.layer), {shape_of(arc)});
  }
  for (std::size_t i = 0; i < board.vias.size(); ++i)
    add(CopperKind::kVia, i, board.vias[i].net, span_of(board.vias[i]), {shape_of(board.vias[i])});
  for (std::size_t i = 0; i < board.fills.size(); ++i) {
    if (board.fills[i].ring.size() > 1)
      add(CopperKind::kFill, i, board.fills[i].net, layer_bit(board.fills[i].layer), {});
  }
  doubt_unfilled();
}

void Copper::doubt_unfilled() {
  const Board& board = *board_;
  for (const Zone& zone : board.zones) {
    if (zone.filled || zone.keepout || zone.net == kNone || zone.layers == 0) continue;
    unfilled_[zone.net] |= zone.layers;
    std::string layers;
    for (std::size_t layer = 0; layer < board.layers.size(); ++layer) {
      if ((zone.layers & layer_bit(static_cast<int>(layer))) == 0) continue;
      if (!layers.empty()) layers += ", ";
      layers += board.layers[layer];
    }
    if (doubt_[zone.net].empty())
      doubt_[zone.net] = fmt::format("its zone on {} is not filled in the file", layers);
  }
}

void Copper::add(CopperKind kind, std::size_t item, Index net, LayerSet layers, std::vector<Shape> shapes) {
  Piece piece;
  piece.kind = kind;
  piece.item = static_cast<Index>(item);
  piece.net = net;
  piece.layers = layers;
  if (kind == CopperKind::kFill) {
    piece.fill = std::make_shared<FillIndex>(shape_of(board_->fills[item]));
    piece.box = piece.fill->shape().box;
  } else {
    piece.box = shapes.front().box;
    for (const Shape& shape : shapes) {
      piece.box.left = std::min(piece.box.left, shape.box.left);
      piece.box.bottom = std::min(piece.box.bottom, shape.box.bottom);
      piece.box.right = std::max(piece.box.right, shape.box.right);
      piece.box.top = std::max(piece.box.top, shape.box.top);
    }
    piece.shapes = std::move(shapes);
  }
  if (net != kNone) of_net_[net].push_back(static_cast<Index>(pieces_.size()));
  pieces_.push_back(std::move(piece));
}

const NetCopper& Copper::net(Index net) const {
  const std::lock_guard lock(mutex_);
  std::unique_ptr<NetCopper>& kept = nets_[net];
  if (!kept) {
    kept = std::make_unique<NetCopper>();
    kept->pieces = of_net_[net];
    const bool followed = find_joints(pieces_, *kept);
    if (!followed)
      doubt_[net] = fmt::format("its copper overlaps in more than {} million places: not followed",
                                kMostJoints / 1'000'000);
    for (std::size_t i = 0; i < kept->pieces.size(); ++i) {
      const Piece& piece = pieces_[kept->pieces[i]];
      const bool ends_there = piece.kind == CopperKind::kVia || piece.kind == CopperKind::kLand;
      if (!followed || (ends_there && (piece.layers & unfilled_[net]) != 0))
        kept->assumed.push_back(static_cast<Node>(i));
    }
    find_islands(*kept);
  }
  return *kept;
}

const std::string& Copper::doubt(Index net) const {
  // So few pieces cannot have too many joints.
  constexpr std::size_t kHarmless = 2'000;
  static_assert(kHarmless * (kHarmless - 1) / 2 <= kMostJoints);
  if (of_net_[net].size() > kHarmless) static_cast<void>(this->net(net));
  return doubt_[net];
}

std::shared_ptr<const DamagedNet> Copper::last_damage(Index net) const {
  const std::lock_guard lock(mutex_);
  return damages_[net];
}

void Copper::keep_damage(Index net, std::shared_ptr<const DamagedNet> damage) const {
  const std::lock_guard lock(mutex_);
  damages_[net] = std::move(damage);
}

}  // namespace landfall::rework
