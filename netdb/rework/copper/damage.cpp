#include "netdb/rework/copper/damage.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "netdb/rework/copper/path.hpp"

namespace landfall::rework {
namespace {

// Ends that are drawn to meet lie within this, in nm.
constexpr double kMeet = 1000.0;

struct Stretch {
  double from = 0, to = 0;
};

bool is_conductor(CopperKind kind) {
  return kind == CopperKind::kTrack || kind == CopperKind::kArc;
}

class Cutter {
 public:
  Cutter(const Copper& copper, const NetCopper& net, std::span<const LandMark> marks)
      : copper_(copper), net_(net), marks_(marks) {
    state_.base = &net;
    state_.gone.assign(net.pieces.size(), 0);
    walked_.assign(net.pieces.size(), 0);
  }

  NetState run() {
    for (const LandMark& mark : marks_) state_.gone[mark.node] = 1;
    for (const LandMark& mark : marks_) cut_with(mark.node);
    for (const LandMark& mark : marks_) {
      const std::size_t before = pulled_.size();
      if (mark.kind == MarkKind::kTorn || mark.kind == MarkKind::kBarrel) tear(mark);
      state_.pulled.emplace_back(pulled_.begin() + static_cast<std::ptrdiff_t>(before), pulled_.end());
    }
    for (const Node via : pulled_) {
      state_.gone[via] = 1;
      cut_with(via);
    }
    make_rests();
    find_islands();
    for (const LandMark& mark : marks_) state_.at_rim.push_back(rim_of(mark));
    return std::move(state_);
  }

 private:
  const Piece& piece(Node node) const { return copper_.piece(net_, node); }

  const Path& path(Node node) {
    auto found = paths_.find(node);
    if (found == paths_.end()) found = paths_.emplace(node, Path(piece(node).shapes.front().core)).first;
    return found->second;
  }

  // Takes the copper of conductors within the outline of a land or via that is gone.
  void cut_with(Node outline) {
    for (const Node node : net_.neighbours(outline)) {
      if (!is_conductor(piece(node).kind)) continue;
      for (const Shape& shape : piece(outline).shapes) {
        for (const auto& [from, to] : path(node).inside(shape)) cut(node, from, to);
      }
    }
  }

  void cut(Node node, double from, double to) { cuts_[node].push_back({from, to}); }

  // The conductors that leave a land: where each crosses the outline, and which way along it leads away.
  struct Leaving {
    Node node = 0;
    double at = 0;
    bool forward = true;
    double bearing = 0;  // degrees, of the place where it leaves, seen from the land's middle
  };

  template <class Add>
  void add_by_round_end(Node land, const Path& along, Nm radius, Add add) const {
    for (const bool start : {true, false}) {
      Shape dot;
      dot.core = {along.place(start ? 0 : along.length())};
      dot = boxed(dot);
      for (const Shape& shape : piece(land).shapes) {
        if (gap(shape, dot) > static_cast<double>(radius) + kJoinSlack) continue;
        return add(start ? 0 : along.length(), start);
      }
    }
  }

  std::vector<Leaving> leaving(Node land) {
    std::vector<Leaving> found;
    const Point middle = copper_.board().lands[piece(land).item].at;
    for (const Node node : net_.neighbours(land)) {
      if (!is_conductor(piece(node).kind)) continue;
      const Path& along = path(node);
      const auto add = [&](double at, bool forward) {
        const Point place = along.place(at);
        const double bearing =
            std::atan2(static_cast<double>(place.y - middle.y), static_cast<double>(place.x - middle.x)) *
            180 / std::numbers::pi;
        found.push_back({node, at, forward, bearing});
      };
      bool enters = false;
      for (const Shape& shape : piece(land).shapes) {
        for (const auto& [from, to] : along.inside(shape)) {
          enters = true;
          if (from > 0) add(from, false);
          if (to < along.length()) add(to, true);
        }
      }
      // Only its round end overlaps the land: it leaves from that end.
      if (!enters) add_by_round_end(land, along, piece(node).shapes.front().radius, add);
    }
    return found;
  }

  void tear(const LandMark& mark) {
    std::vector<Leaving> conductors = leaving(mark.node);
    if (mark.only_toward && !conductors.empty()) {
      const auto off = [&](const Leaving& l) {
        return std::abs(std::remainder(l.bearing - *mark.only_toward, 360.0));
      };
      const auto nearest =
          std::min_element(conductors.begin(), conductors.end(),
                           [&](const Leaving& a, const Leaving& b) { return off(a) < off(b); });
      conductors = {*nearest};
    }
    const bool pull = mark.kind == MarkKind::kBarrel && !mark.via_good;
    if (pull) {
      for (const Node node : net_.neighbours(mark.node)) {
        if (piece(node).kind == CopperKind::kVia) pulled_.push_back(node);
      }
    }
    for (const Leaving& conductor : conductors)
      walk(conductor.node, conductor.at, conductor.forward, pull, mark.reach);
  }

  struct Stop {
    double at = 0;  // along the way, from where it was entered
    Node next = 0;  // the conductor that goes on at the end, if `goes_on`
    bool goes_on = false;
    std::vector<Node> vias;  // at this stop
  };

  // Takes a conductor from `at` onwards, until something else meets it.
  void walk(Node node, double at, bool forward, bool pull, double reach) {
    // A matched line is a chain of hundreds of short pieces.
    ++walks_;
    double gone = 0;
    while (walked_[node] != walks_) {
      walked_[node] = walks_;
      const Path& along = path(node);
      const double left = forward ? along.length() - at : at;
      Stop stop = next_stop(node, at, forward, left);
      if (reach > 0 && gone + stop.at > reach) stop = {std::max(reach - gone, 0.0), 0, false, {}};
      gone += stop.at;
      const double end = forward ? at + stop.at : at - stop.at;
      cut(node, std::min(at, end), std::max(at, end));
      if (!stop.goes_on) {
        if (pull) pulled_.insert(pulled_.end(), stop.vias.begin(), stop.vias.end());
        return;
      }
      const Point corner = along.place(forward ? along.length() : 0);
      node = stop.next;
      const Path& onward = path(node);
      forward = meets(corner, onward.place(0));
      at = forward ? 0 : onward.length();
    }
  }

  static bool meets(Point a, Point b) {
    return std::abs(static_cast<double>(a.x - b.x)) <= kMeet &&
           std::abs(static_cast<double>(a.y - b.y)) <= kMeet;
  }

  static bool in_box(const Box& box, Point p) {
    constexpr auto kSlack = static_cast<Nm>(kMeet);
    return p.x >= box.left - kSlack && p.x <= box.right + kSlack && p.y >= box.bottom - kSlack &&
           p.y <= box.top + kSlack;
  }

  Stop next_stop(Node node, double at, bool forward, double left) {
    const Path& along = path(node);
    const Piece& own = piece(node);
    const auto radius = static_cast<double>(own.shapes.front().radius);
    const Point corner = along.place(forward ? along.length() : 0);
    Stop stop{left, 0, false, {}};
    std::vector<Node> at_corner;
    const auto sooner = [&](double where, Node via, bool is_via) {
      if (where < stop.at - kMeet) stop.vias.clear();
      if (where <= stop.at + kMeet && is_via) stop.vias.push_back(via);
      stop.at = std::min(stop.at, std::max(where, 0.0));
    };
    bool blocked = false;
    for (const Node other : net_.neighbours(node)) {
      if (state_.gone[other] != 0) {
        // The next marked land: the conductor ends at its outline.
        const Piece& land = piece(other);
        for (const Shape& shape : land.shapes) {
          for (const auto& [from, to] : along.inside(shape)) {
            const double where = forward ? from - at : at - to;
            if (where > kMeet && where <= left) {
              sooner(where, 0, false);
              blocked = true;
            }
          }
        }
        continue;
      }
      const Piece& met = piece(other);
      if (is_conductor(met.kind)) {
        const std::vector<Point>& core = met.shapes.front().core;
        if (meets(core.front(), corner) || meets(core.back(), corner)) {
          if (walked_[other] != walks_) at_corner.push_back(other);
          continue;
        }
        // Somebody's end on this one's middle, or this one's end on somebody's middle. The boxes first: a
        // plane's conductors have hundreds of neighbours, and most are far from the end that counts.
        if (in_box(met.box, corner) && path(other).distance(corner) <= kMeet) {
          blocked = true;
          continue;
        }
        for (const Point end : {core.front(), core.back()}) {
          if (!in_box(own.box, end) || along.distance(end) > kMeet) continue;
          const double where = forward ? along.nearest(end) - at : at - along.nearest(end);
          if (where > kMeet && where < left - kMeet) sooner(where, 0, false);
        }
        continue;
      }
      // A via, land or pour: the conductor ends where their copper begins.
      const double where = first_contact(along, at, forward, left, radius, met);
      if (where <= left) {
        // The rest's round end must not reach back beyond the other's edge.
        sooner(std::min(where + 2 * radius, left), other, met.kind == CopperKind::kVia);
        blocked = true;
      }
    }
    if (!blocked && stop.at >= left && at_corner.size() == 1) {
      stop.goes_on = true;
      stop.next = at_corner.front();
    }
    return stop;
  }

  // How far along the way the other piece's copper begins; beyond `left` when it does not.
  static double first_contact(const Path& along, double at, bool forward, double left, double radius,
                              const Piece& other) {
    const int samples = std::clamp(static_cast<int>(left / std::max(radius, 1e5)), 64, 4096);
    const auto touches = [&](double s) {
      Piece probe;
      Shape disc;
      disc.core = {along.place(forward ? at + s : at - s)};
      disc.radius = static_cast<Nm>(radius);
      probe.shapes = {boxed(std::move(disc))};
      probe.box = probe.shapes.front().box;
      return piece_gap(probe, other, 0, 0) <= 0;
    };
    double before = 0;
    for (int i = 0; i <= samples; ++i) {
      const double s = left * i / samples;
      if (!touches(s)) {
        before = s;
        continue;
      }
      double low = before;
      double high = s;
      while (high - low > kJoinSlack) {
        const double mid = (low + high) / 2;
        (touches(mid) ? high : low) = mid;
      }
      return high;
    }
    return left + 1;
  }

  void make_rests() {
    for (auto& [node, stretches] : cuts_) {
      state_.gone[node] = 1;
      std::sort(stretches.begin(), stretches.end(),
                [](const Stretch& a, const Stretch& b) { return a.from < b.from; });
      double from = 0;
      const double length = path(node).length();
      for (const Stretch& stretch : stretches) {
        if (stretch.from - from > kMeet) add_rest(node, from, stretch.from);
        from = std::max(from, stretch.to);
      }
      if (length - from > kMeet) add_rest(node, from, length);
    }
  }

  void add_rest(Node node, double from, double to) {
    Rest rest;
    rest.node = node;
    rest.from = from;
    rest.to = to;
    const Piece& whole = piece(node);
    rest.piece.kind = whole.kind;
    rest.piece.item = whole.item;
    rest.piece.net = whole.net;
    rest.piece.layers = whole.layers;
    Shape shape;
    shape.core = path(node).between(from, to);
    shape.radius = whole.shapes.front().radius;
    rest.piece.shapes.push_back(boxed(std::move(shape)));
    rest.piece.box = rest.piece.shapes.front().box;
    rests_of_[node].push_back(static_cast<Node>(state_.rests.size()));
    state_.rests.push_back(std::move(rest));
  }

  void find_islands() {
    const auto own = static_cast<Node>(state_.gone.size());
    Sets sets(state_.nodes());
    for (const auto& [a, b] : net_.joints) {
      if (state_.gone[a] == 0 && state_.gone[b] == 0) sets.join(a, b);
    }
    Node plane = static_cast<Node>(state_.nodes());
    for (const Node node : net_.assumed) {
      if (state_.gone[node] != 0) continue;
      if (plane == state_.nodes()) plane = node;
      sets.join(plane, node);
    }
    const auto join_if_touching = [&](Node a, Node b) {
      const Piece& p = state_.piece(copper_, a);
      const Piece& q = state_.piece(copper_, b);
      if ((p.layers & q.layers) != 0 && piece_gap(p, q, kJoinSlack) <= kJoinSlack) sets.join(a, b);
    };
    for (std::size_t r = 0; r < state_.rests.size(); ++r) {
      const auto node = static_cast<Node>(own + r);
      const Node whole = state_.rests[r].node;
      for (const Node other : net_.neighbours(whole)) {
        if (state_.gone[other] == 0) join_if_touching(node, other);
        if (const auto rests = rests_of_.find(other); rests != rests_of_.end()) {
          for (const Node also : rests->second) join_if_touching(node, own + also);
        }
      }
      for (const Node also : rests_of_[whole]) {
        if (own + also != node) join_if_touching(node, own + also);
      }
    }
    state_.island.resize(state_.nodes());
    for (std::size_t i = 0; i < state_.nodes(); ++i) state_.island[i] = sets.root(static_cast<Node>(i));
  }

  // What of the net still reaches the land's outline from outside.
  std::vector<Node> rim_of(const LandMark& mark) {
    std::vector<Node> rim;
    const auto own = static_cast<Node>(state_.gone.size());
    const Piece& land = piece(mark.node);
    const bool torn = mark.kind != MarkKind::kMissing && !mark.only_toward;
    for (const Node node : net_.neighbours(mark.node)) {
      if (state_.gone[node] == 0) {
        const CopperKind kind = piece(node).kind;
        // A pour reaches a torn land's rim only where it lies all around it; its spokes went with the land.
        if (torn && kind == CopperKind::kFill && !surrounds(piece(node), land)) continue;
        rim.push_back(node);
        continue;
      }
      const auto rests = rests_of_.find(node);
      if (rests == rests_of_.end()) continue;
      for (const Node r : rests->second) {
        if (piece_gap(state_.rests[r].piece, land, kMeet, kMeet) <= kMeet) rim.push_back(own + r);
      }
    }
    return rim;
  }

  static bool surrounds(const Piece& pour, const Piece& land) {
    constexpr int kAround = 24;
    const Box& box = land.box;
    const Point middle{(box.left + box.right) / 2, (box.bottom + box.top) / 2};
    const double reach = 0.5 * std::hypot(static_cast<double>(box.right - box.left),
                                          static_cast<double>(box.top - box.bottom));
    int covered = 0;
    for (int i = 0; i < kAround; ++i) {
      const double angle = 2 * std::numbers::pi * i / kAround;
      const Point p =
          middle + Point{std::llround(reach * std::cos(angle)), std::llround(reach * std::sin(angle))};
      Shape dot;
      dot.core = {p};
      if (pour.fill->gap_to(boxed(dot), 0, 0) <= 0) ++covered;
    }
    return covered * 3 >= kAround * 2;
  }

  const Copper& copper_;
  const NetCopper& net_;
  std::span<const LandMark> marks_;
  NetState state_;
  std::map<Node, Path> paths_;
  std::map<Node, std::vector<Stretch>> cuts_;
  std::map<Node, std::vector<Node>> rests_of_;
  std::vector<Node> pulled_;
  std::vector<std::uint32_t> walked_;  // the last walk that took the node
  std::uint32_t walks_ = 0;
};

}  // namespace

NetState apply_marks(const Copper& copper, const NetCopper& net, std::span<const LandMark> marks) {
  return Cutter(copper, net, marks).run();
}

// The marks, and what they left.
struct DamagedNet {
  std::vector<LandMark> marks;
  NetState state;
};

std::shared_ptr<const NetState> state_of(const Copper& copper, Index net, std::span<const LandMark> marks) {
  std::shared_ptr<const DamagedNet> last = copper.last_damage(net);
  if (!last || !std::equal(marks.begin(), marks.end(), last->marks.begin(), last->marks.end())) {
    last = std::make_shared<const DamagedNet>(
        DamagedNet{{marks.begin(), marks.end()}, apply_marks(copper, copper.net(net), marks)});
    copper.keep_damage(net, last);
  }
  return {last, &last->state};
}

}  // namespace landfall::rework
