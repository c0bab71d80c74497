#include "sample-boards/generator/router.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <deque>
#include <map>
#include <queue>
#include <set>

namespace landfall::sample {
namespace {

constexpr int kLayers = 6;
constexpr std::array<int, kLayers> kCopperLayer{0, 2, 3, 5, 6, 7};
constexpr int kFree = -1;
constexpr int kNobody = -2;  // near two nets: nobody may pass
constexpr int kStep = 10, kDiagonal = 14, kViaCost = 80, kConflict = 500;
constexpr int kMostRounds = 4000;

struct Node {
  int x = 0, y = 0, layer = 0;
  friend bool operator==(const Node&, const Node&) = default;
  friend auto operator<=>(const Node&, const Node&) = default;
};

std::size_t index_of(Node n) {
  return (static_cast<std::size_t>(n.layer) * kBoardHeight + static_cast<std::size_t>(n.y)) * kBoardWidth +
         static_cast<std::size_t>(n.x);
}
constexpr std::size_t kNodes = static_cast<std::size_t>(kLayers) * kBoardHeight * kBoardWidth;

// Vias stand on a lattice of 0.8 mm between the balls, so that their antipads never meet.
bool via_lattice(int x, int y) {
  return x % 4 == 2 && y % 4 == 2;
}

// One connection to make: from the copper that the net has to the nearest pad it has not, or to its plane.
struct Path {
  std::vector<Node> nodes;
  bool ends_in_plane = false;
};

struct Pad {
  Node at;
  std::int64_t half_x = 0, half_y = 0;  // nm
};

struct Net {
  std::string name;
  std::vector<Pad> pads;
  const Plane* plane = nullptr;
  std::vector<Path> paths;
};

class Router {
 public:
  explicit Router(const Product& product)
      : product_(product),
        hard_(kNodes, kFree),
        hard_via_(kNodes, kFree),
        users_(kNodes, 0),
        history_(kNodes, 0) {
    plane_near_.assign(kNodes, kFree);
    plane_middle_.assign(kNodes, kFree);
    cost_.assign(kNodes, 0);
    stamp_.assign(kNodes, 0);
    from_.assign(kNodes, 0);
  }

  Copper run() {
    collect();
    std::deque<std::size_t> queue;
    for (std::size_t i = 0; i < nets_.size(); ++i) queue.push_back(i);
    // Short nets first: they have the least choice.
    std::stable_sort(queue.begin(), queue.end(),
                     [&](std::size_t a, std::size_t b) { return extent(nets_[a]) < extent(nets_[b]); });
    std::vector<std::size_t> failed;
    for (int round = 0; !queue.empty() && round < kMostRounds; ++round) {
      const std::size_t net = queue.front();
      queue.pop_front();
      if (!connect(net)) {
        failed.push_back(net);
        continue;
      }
      for (const std::size_t victim : victims(net)) {
        rip_up(victim);
        queue.push_back(victim);
      }
    }
    Copper copper;
    for (const std::size_t net : failed) copper.unrouted.push_back(nets_[net].name);
    for (const std::size_t net : queue) copper.unrouted.push_back(nets_[net].name);
    for (const Net& net : nets_) emit(net, copper);
    return copper;
  }

 private:
  static int extent(const Net& net) {
    if (net.plane != nullptr) return 0;
    int least_x = kBoardWidth;
    int most_x = 0;
    int least_y = kBoardHeight;
    int most_y = 0;
    for (const Pad& pad : net.pads) {
      least_x = std::min(least_x, pad.at.x);
      most_x = std::max(most_x, pad.at.x);
      least_y = std::min(least_y, pad.at.y);
      most_y = std::max(most_y, pad.at.y);
    }
    return most_x - least_x + most_y - least_y;
  }

  void collect() {
    std::map<std::string, std::size_t> by_name;
    for (const Component& part : product_.components) {
      for (const Terminal& terminal : part.terminals) {
        const int layer = part.bottom ? kLayers - 1 : 0;
        const Pad pad{{terminal.at.x, terminal.at.y, layer}, terminal.width / 2, terminal.height / 2};
        int id = kNobody;
        if (!terminal.net.empty()) {
          const auto [entry, fresh] = by_name.try_emplace(terminal.net, nets_.size());
          if (fresh) nets_.push_back({terminal.net, {}, plane_of(terminal.net), {}});
          nets_[entry->second].pads.push_back(pad);
          id = static_cast<int>(entry->second);
        }
        // Each signal ball keeps the via site at its upper left against the planes, which come first.
        if (terminal.round && id >= 0 && nets_[static_cast<std::size_t>(id)].plane == nullptr) {
          kept_sites_[{terminal.at.x - 2, terminal.at.y - 2}] = id;
        }
        block(hard_, pad, kClearance + kTrackWidth / 2, id, layer);
        for (int l = 0; l < kLayers; ++l) {
          if (l == layer) block(hard_via_, pad, kClearance + kViaDiameter / 2, id, l);
        }
      }
    }
    for (const Cell hole : product_.holes) {
      for (int l = 0; l < kLayers; ++l) {
        block(hard_, {{hole.x, hole.y, l}, 1'600'000, 1'600'000}, 400'000, kNobody, l);
        block(hard_via_, {{hole.x, hole.y, l}, 1'600'000, 1'600'000}, 400'000, kNobody, l);
      }
    }
  }

  const Plane* plane_of(const std::string& net) const {
    for (const Plane& plane : product_.planes) {
      if (plane.net == net) return &plane;
    }
    return nullptr;
  }

  // Marks the cells whose middle is nearer than `margin` to the pad as the net's own.
  static void block(std::vector<int>& owner, const Pad& pad, std::int64_t margin, int id, int layer) {
    const int rx = static_cast<int>((pad.half_x + margin) / kCell);
    const int ry = static_cast<int>((pad.half_y + margin) / kCell);
    for (int y = std::max(0, pad.at.y - ry); y <= std::min(kBoardHeight - 1, pad.at.y + ry); ++y) {
      for (int x = std::max(0, pad.at.x - rx); x <= std::min(kBoardWidth - 1, pad.at.x + rx); ++x) {
        const auto dx = std::max<std::int64_t>(0, std::abs(x - pad.at.x) * kCell - pad.half_x);
        const auto dy = std::max<std::int64_t>(0, std::abs(y - pad.at.y) * kCell - pad.half_y);
        if (dx * dx + dy * dy >= margin * margin) continue;
        int& cell = owner[index_of({x, y, layer})];
        if (cell == kFree) {
          cell = id;
        } else if (cell != id) {
          cell = kNobody;
        }
      }
    }
  }

  bool inside(int x, int y) const {
    return x >= std::max(4, low_.x) && y >= std::max(4, low_.y) && x < std::min(kBoardWidth - 4, high_.x) &&
           y < std::min(kBoardHeight - 4, high_.y);
  }

  // The cells that a via at (x, y) takes from others' tracks: itself and its four neighbours, on all layers.
  // A track over a diagonal neighbour keeps 0.108 mm away.
  template <class Visit>
  static void around_via(int x, int y, Visit visit) {
    for (int l = 0; l < kLayers; ++l) {
      for (int dy = -1; dy <= 1; ++dy) {
        for (int dx = -1; dx <= 1; ++dx) {
          if (dx == 0 || dy == 0) visit(index_of({x + dx, y + dy, l}));
        }
      }
    }
  }

  bool via_allowed(int x, int y, int net) const {
    if (!via_lattice(x, y)) return false;
    if (nets_[static_cast<std::size_t>(net)].plane != nullptr && kept_sites_.contains({x, y})) return false;
    for (int l = 0; l < kLayers; ++l) {
      const int owner = hard_via_[index_of({x, y, l})];
      if (owner != kFree && owner != net) return false;
    }
    // Ways to a plane are never ripped up: their copper is as hard as a pad.
    bool clear = true;
    around_via(x, y, [&](std::size_t at) {
      clear = clear && (plane_middle_[at] == kFree || plane_middle_[at] == net);
    });
    return clear;
  }

  static bool in_plane(const Plane& plane, int x, int y) {
    const Span span = plane_span(plane, y);
    return x >= span.low + 3 && x <= span.high - 3 && y >= plane.low.y + 3 && y <= plane.high.y - 3;
  }

  // What it costs to put a track's middle on a cell that others use.
  int conflict(std::size_t at) const { return users_[at] * kConflict + history_[at]; }

  int via_conflict(int x, int y) const {
    int sum = 0;
    around_via(x, y, [&](std::size_t at) { sum += users_[at] * kConflict + history_[at] / 4; });
    return sum;
  }

  struct Entry {
    int priority = 0;
    std::uint32_t node = 0;
    friend bool operator>(const Entry& a, const Entry& b) {
      return a.priority != b.priority ? a.priority > b.priority : a.node > b.node;
    }
  };

  static Node node_at(std::uint32_t index) {
    const auto x = static_cast<int>(index % kBoardWidth);
    const auto rest = index / kBoardWidth;
    return {x, static_cast<int>(rest % kBoardHeight), static_cast<int>(rest / kBoardHeight)};
  }

  // First near the ends of the net, which is where the way lies as a rule; else anywhere.
  bool search(const std::vector<Node>& sources, const std::set<Node>& goals, const Plane* plane, int net,
              Path& path) {
    constexpr int kAround = 36;
    low_ = {kBoardWidth, kBoardHeight};
    high_ = {0, 0};
    const auto take = [&](const Node& n) {
      low_ = {std::min(low_.x, n.x - kAround), std::min(low_.y, n.y - kAround)};
      high_ = {std::max(high_.x, n.x + kAround), std::max(high_.y, n.y + kAround)};
    };
    for (const Node& n : sources) take(n);
    for (const Node& n : goals) take(n);
    if (search_here(sources, goals, plane, net, path)) return true;
    low_ = {0, 0};
    high_ = {kBoardWidth, kBoardHeight};
    return search_here(sources, goals, plane, net, path);
  }

  // The cheapest way from any of the sources to the goal, or to a place for a via inside the plane.
  bool search_here(const std::vector<Node>& sources, const std::set<Node>& goals, const Plane* plane, int net,
                   Path& path) {
    ++now_;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    const Node aim = goals.empty() ? Node{} : *goals.begin();
    const bool one = goals.size() == 1;
    const auto guess = [&](int x, int y) {
      if (!one) return 0;
      const int dx = std::abs(x - aim.x);
      const int dy = std::abs(y - aim.y);
      // Half as much again: a little longer ways for a much shorter search.
      return (kStep * std::max(dx, dy) + (kDiagonal - kStep) * std::min(dx, dy)) * 3 / 2;
    };
    const auto reach = [&](Node to, int cost, std::uint32_t from) {
      const std::size_t at = index_of(to);
      if (stamp_[at] == now_ && cost_[at] <= cost) return;
      stamp_[at] = now_;
      cost_[at] = cost;
      from_[at] = from;
      open.push({cost + guess(to.x, to.y), static_cast<std::uint32_t>(at)});
    };
    for (const Node& source : sources) reach(source, 0, static_cast<std::uint32_t>(index_of(source)));
    while (!open.empty()) {
      const Entry entry = open.top();
      open.pop();
      const Node node = node_at(entry.node);
      const int cost = cost_[entry.node];
      if (entry.priority != cost + guess(node.x, node.y)) continue;  // an older, dearer entry
      const bool done = plane != nullptr
                            ? via_allowed(node.x, node.y, net) && in_plane(*plane, node.x, node.y) &&
                                  via_conflict(node.x, node.y) == 0
                            : goals.contains(node);
      if (done) {
        trace(entry.node, path);
        path.ends_in_plane = plane != nullptr;
        return true;
      }
      expand(node, cost, entry.node, net, reach);
    }
    return false;
  }

  bool passable(std::size_t at, int net) const {
    return (hard_[at] == kFree || hard_[at] == net) && (plane_near_[at] == kFree || plane_near_[at] == net);
  }

  template <class Reach>
  void expand(Node node, int cost, std::uint32_t from, int net, Reach& reach) const {
    for (int dy = -1; dy <= 1; ++dy) {
      for (int dx = -1; dx <= 1; ++dx) {
        if ((dx == 0 && dy == 0) || !inside(node.x + dx, node.y + dy)) continue;
        const Node next{node.x + dx, node.y + dy, node.layer};
        const std::size_t at = index_of(next);
        if (!passable(at, net)) continue;
        reach(next, cost + (dx != 0 && dy != 0 ? kDiagonal : kStep) + conflict(at), from);
      }
    }
    if (!via_allowed(node.x, node.y, net)) return;
    const int extra = via_conflict(node.x, node.y);
    for (int l = 0; l < kLayers; ++l) {
      if (l == node.layer) continue;
      const std::size_t at = index_of({node.x, node.y, l});
      if (passable(at, net)) reach({node.x, node.y, l}, cost + kViaCost + extra, from);
    }
  }

  void trace(std::uint32_t end, Path& path) const {
    std::uint32_t at = end;
    while (true) {
      path.nodes.push_back(node_at(at));
      if (from_[at] == at) break;
      at = from_[at];
    }
    std::reverse(path.nodes.begin(), path.nodes.end());
  }

  // Every cell that a path keeps others' track middles away from: those next to it, and around its vias.
  template <class Visit>
  static void footprint(const Path& path, Visit visit) {
    for (std::size_t i = 0; i < path.nodes.size(); ++i) {
      const Node node = path.nodes[i];
      visit(index_of(node));
      if (i > 0 && path.nodes[i - 1].layer == node.layer) {
        // A diagonal step passes between two cells, nearer to them than two tracks may lie.
        const Node before = path.nodes[i - 1];
        if (before.x != node.x && before.y != node.y) {
          visit(index_of({before.x, node.y, node.layer}));
          visit(index_of({node.x, before.y, node.layer}));
        }
      }
      const bool via = i > 0 && path.nodes[i - 1].layer != node.layer;
      if (via || (path.ends_in_plane && i + 1 == path.nodes.size())) around_via(node.x, node.y, visit);
    }
  }

  void use(std::size_t net, int by) {
    for (const Path& path : nets_[net].paths) {
      footprint(path, [&](std::size_t at) { users_[at] = static_cast<std::int16_t>(users_[at] + by); });
    }
    if (by > 0) {
      for (const Path& path : nets_[net].paths) {
        footprint(path, [&](std::size_t at) { net_cells_[at].insert(net); });
      }
    } else {
      for (const Path& path : nets_[net].paths) {
        footprint(path, [&](std::size_t at) {
          const auto found = net_cells_.find(at);
          if (found != net_cells_.end()) found->second.erase(net);
        });
      }
    }
  }

  bool connect(std::size_t id) {
    Net& net = nets_[id];
    const int own = static_cast<int>(id);
    if (net.plane != nullptr) {
      for (const Pad& pad : net.pads) {
        Path path;
        if (!search({pad.at}, {}, net.plane, own, path)) return false;
        net.paths.push_back(std::move(path));
        plane_step(net, own);
      }
      return true;
    }
    std::vector<Node> tree{net.pads.front().at};
    std::set<Node> goals;
    for (std::size_t i = 1; i < net.pads.size(); ++i) goals.insert(net.pads[i].at);
    while (!goals.empty()) {
      Path path;
      if (!search(tree, goals, nullptr, own, path)) return false;
      goals.erase(path.nodes.back());
      tree.insert(tree.end(), path.nodes.begin(), path.nodes.end());
      net.paths.push_back(std::move(path));
    }
    use(id, 1);
    return true;
  }

  void plane_step(const Net& net, int own) {
    const Path& path = net.paths.back();
    footprint(path, [&](std::size_t at) {
      plane_near_[at] = plane_near_[at] == kFree || plane_near_[at] == own ? own : kNobody;
    });
    for (const Node node : path.nodes) plane_middle_[index_of(node)] = own;
    for (int l = 0; l < kLayers; ++l)
      plane_middle_[index_of({path.nodes.back().x, path.nodes.back().y, l})] = own;
  }

  // Other nets on whose cells this one now lies, or whose vias it came too near.
  std::set<std::size_t> victims(std::size_t id) {
    std::set<std::size_t> hit;
    for (const Path& path : nets_[id].paths) {
      const auto visit = [&](std::size_t at) {
        const auto found = net_cells_.find(at);
        if (found == net_cells_.end()) return;
        for (const std::size_t other : found->second) {
          if (other == id || nets_[other].plane != nullptr) continue;
          // Two footprints may share a border cell; a middle line inside the other's footprint may not be.
          if (lies_on(other, at) || lies_on(id, at)) hit.insert(other);
        }
      };
      footprint(path, visit);
    }
    for (const std::size_t other : hit) {
      for (const Path& path : nets_[other].paths)
        footprint(path, [&](std::size_t at) { history_[at] = std::min(history_[at] + 20, 2000); });
    }
    return hit;
  }

  // A track's middle, or a via, of the net is on this very cell.
  bool lies_on(std::size_t net, std::size_t at) const {
    for (const Path& path : nets_[net].paths) {
      for (std::size_t i = 0; i < path.nodes.size(); ++i) {
        if (index_of(path.nodes[i]) == at) return true;
        const bool via = i > 0 && path.nodes[i - 1].layer != path.nodes[i].layer;
        if (!via && !(path.ends_in_plane && i + 1 == path.nodes.size())) continue;
        for (int l = 0; l < kLayers; ++l) {
          if (index_of({path.nodes[i].x, path.nodes[i].y, l}) == at) return true;
        }
      }
    }
    return false;
  }

  void rip_up(std::size_t id) {
    use(id, -1);
    nets_[id].paths.clear();
  }

  static void emit(const Net& net, Copper& copper) {
    std::set<Cell> vias;
    for (const Path& path : net.paths) {
      std::size_t start = 0;
      for (std::size_t i = 1; i <= path.nodes.size(); ++i) {
        const bool end = i == path.nodes.size() || path.nodes[i].layer != path.nodes[i - 1].layer ||
                         turns(path.nodes, i, start);
        if (!end) continue;
        const Node a = path.nodes[start];
        const Node b = path.nodes[i - 1];
        if (a != b)
          copper.tracks.push_back(
              {{a.x, a.y}, {b.x, b.y}, kCopperLayer[static_cast<std::size_t>(a.layer)], net.name});
        const bool via = i < path.nodes.size() && path.nodes[i].layer != b.layer;
        if (via) vias.insert({b.x, b.y});
        start = via ? i : i - 1;
      }
      if (path.ends_in_plane) vias.insert({path.nodes.back().x, path.nodes.back().y});
    }
    for (const Cell via : vias) copper.vias.push_back({via, net.name});
  }

  // The step to node i leaves the straight line that began at `start`.
  static bool turns(const std::vector<Node>& nodes, std::size_t i, std::size_t start) {
    if (i - start < 2) return false;
    const Node a = nodes[i - 2];
    const Node b = nodes[i - 1];
    const Node c = nodes[i];
    return b.x - a.x != c.x - b.x || b.y - a.y != c.y - b.y;
  }

  const Product& product_;
  std::vector<Net> nets_;
  std::vector<int> hard_, hard_via_;            // by cell: the only net that may come so near, or none
  std::vector<int> plane_near_, plane_middle_;  // the same for the ways to planes
  std::map<Cell, int> kept_sites_;
  std::vector<std::int16_t> users_;
  std::vector<int> history_;
  std::map<std::size_t, std::set<std::size_t>> net_cells_;
  std::vector<int> cost_;
  std::vector<std::uint32_t> stamp_, from_;
  std::uint32_t now_ = 0;
  Cell low_, high_;  // where the present search may go
};

}  // namespace

Copper route(const Product& product) {
  return Router(product).run();
}

}  // namespace landfall::sample
