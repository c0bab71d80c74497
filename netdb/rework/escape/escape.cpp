#include "netdb/rework/escape/escape.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <queue>
#include <set>

#include "netdb/rework/escape/flow.hpp"
#include "netdb/rework/escape/room.hpp"

namespace landfall::rework {
namespace {

class Finder {
 public:
  Finder(const EscapeGrid& grid, const std::vector<EscapeWire>& wires, Nm wire)
      : grid_(grid), wires_(wires), wire_(std::max<Nm>(wire, 1)), room_(grid) {
    escape_.asked = wires.size();
    escape_.routes.resize(wires.size());
  }

  Escape run() {
    inside_first();
    for (const Nm width : widths()) leave(width);
    shorten();
    escape_.fits = escape_.found == escape_.asked;
    escape_.may_fit = !escape_.fits && may_fit();
    return std::move(escape_);
  }

 private:
  [[nodiscard]] Nm width_of(std::size_t w) const { return wires_[w].overall > 0 ? wires_[w].overall : wire_; }

  // Of the wires that leave, thickest first.
  [[nodiscard]] std::set<Nm, std::greater<>> widths() const {
    std::set<Nm, std::greater<>> all;
    for (std::size_t w = 0; w < wires_.size(); ++w) {
      if (!wires_[w].inside) all.insert(width_of(w));
    }
    return all;
  }

  void inside_first() {
    std::vector<std::size_t> order;
    for (std::size_t w = 0; w < wires_.size(); ++w) {
      if (wires_[w].inside) order.push_back(w);
    }
    const auto span = [&](std::size_t w) {
      return std::abs(wires_[w].from.row - wires_[w].to.row) +
             std::abs(wires_[w].from.column - wires_[w].to.column);
    };
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return width_of(a) != width_of(b) ? width_of(a) > width_of(b) : span(a) < span(b);
    });
    for (const std::size_t w : order) {
      escape_.routes[w].cells = shortest_inside(w, room_);
      if (escape_.routes[w].cells.empty()) continue;
      room_.lay(escape_.routes[w].cells, width_of(w));
      ++escape_.found;
    }
  }

  // Dijkstra over the cells from those around the site to the target's; empty when there is no way. A wire
  // takes room in the cells that it crosses, not in those that it ends in.
  [[nodiscard]] std::vector<Cell> shortest_inside(std::size_t w, const Room& room) const {
    const EscapeWire& wire = wires_[w];
    const Nm width = width_of(w);
    std::vector<double> cost(static_cast<std::size_t>(room.cells()), std::numeric_limits<double>::infinity());
    std::vector<int> before(cost.size(), -1);
    using Entry = std::pair<double, int>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    for (const Cell c : Room::around(wire.from)) {
      cost[static_cast<std::size_t>(room.number(c))] = 0;
      open.emplace(0, room.number(c));
    }
    std::vector<int> goals;
    if (wire.to_cell) {
      goals.push_back(room.number(wire.to));
    } else {
      for (const Cell c : Room::around(wire.to)) goals.push_back(room.number(c));
    }
    while (!open.empty()) {
      const auto [here, n] = open.top();
      open.pop();
      if (here > cost[static_cast<std::size_t>(n)]) continue;
      if (std::find(goals.begin(), goals.end(), n) != goals.end()) {
        std::vector<Cell> route;
        for (int at = n; at >= 0; at = before[static_cast<std::size_t>(at)]) route.push_back(room.cell(at));
        std::reverse(route.begin(), route.end());
        return route;
      }
      if (before[static_cast<std::size_t>(n)] >= 0 && room.inside(room.cell(n)) < width) continue;
      for (const Cell next : Room::beside(room.cell(n))) {
        if (!room.is_cell(next) || room.between(n, room.number(next)) < width) continue;
        const double there = here + room.step(room.cell(n), next);
        auto& known = cost[static_cast<std::size_t>(room.number(next))];
        if (there >= known) continue;
        known = there;
        before[static_cast<std::size_t>(room.number(next))] = n;
        open.emplace(there, room.number(next));
      }
    }
    return {};
  }

  // Those of one width, all together: exact for them, on the room that thicker ones left.
  void leave(Nm width) {
    std::vector<std::size_t> leaving;
    FlowOrder order = by_number(room_, width);
    for (std::size_t w = 0; w < wires_.size(); ++w) {
      if (wires_[w].inside || width_of(w) != width) continue;
      leaving.push_back(w);
      order.from.push_back(wires_[w].from);
      order.amount.push_back(1);
    }
    EscapeFlow flow(room_, order);
    auto routes = flow.cheapest();
    std::size_t found = 0;
    for (std::size_t k = 0; k < leaving.size(); ++k) {
      if (routes[k].empty()) continue;
      ++found;
      escape_.routes[leaving[k]].cells = std::move(routes[k]);
    }
    if (found < leaving.size() && escape_.bottleneck_wire == 0) {
      escape_.bottleneck_wire = width;
      flow.name_cut(escape_.bottleneck, escape_.bottleneck_room);
    }
    escape_.found += found;
    for (const std::size_t w : leaving) room_.lay(escape_.routes[w].cells, width);
  }

  [[nodiscard]] double cost_of(std::size_t w, const std::vector<Cell>& route) const {
    double sum = wires_[w].beyond(route.back());
    for (std::size_t i = 1; i < route.size(); ++i) sum += room_.step(route[i - 1], route[i]);
    return sum;
  }

  // The flow knows the way out, not where each wire goes from there.
  void shorten() {
    constexpr int kMostRounds = 8;
    bool shorter = true;
    for (int round = 0; round < kMostRounds && shorter; ++round) {
      shorter = false;
      for (std::size_t w = 0; w < wires_.size(); ++w) {
        std::vector<Cell>& route = escape_.routes[w].cells;
        if (wires_[w].inside || !wires_[w].beyond || route.empty()) continue;
        room_.lay(route, -width_of(w));
        std::vector<Cell> better = shortest_out(w, cost_of(w, route));
        if (!better.empty()) {
          route = std::move(better);
          shorter = true;
        }
        room_.lay(route, width_of(w));
      }
    }
  }

  // The shortest way to the outside and on, if it is shorter than `known`; else empty. Cells from which even
  // the straight way is no shorter are not looked at.
  [[nodiscard]] std::vector<Cell> shortest_out(std::size_t w, double known) const {
    constexpr double kGain = 1'000;  // nm: less is no gain
    const EscapeWire& wire = wires_[w];
    const Nm width = width_of(w);
    struct Reached {
      double cost = 0;
      int before = -1;
    };
    std::map<int, Reached> reached;
    using Entry = std::pair<double, int>;  // with the way still to go
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    const auto offer = [&](Cell c, double cost, int before) {
      const double all = cost + wire.beyond(c);
      if (all > known - kGain) return;
      const auto [entry, fresh] = reached.try_emplace(room_.number(c), Reached{cost, before});
      if (!fresh && cost >= entry->second.cost) return;
      entry->second = {cost, before};
      open.emplace(all, room_.number(c));
    };
    for (const Cell c : Room::around(wire.from)) offer(c, 0, -1);
    while (!open.empty()) {
      const auto [all, n] = open.top();
      open.pop();
      const Cell here = room_.cell(n);
      const Reached at = reached.at(n);
      if (all > at.cost + wire.beyond(here)) continue;
      if (room_.is_outside(here)) {
        std::vector<Cell> route;
        for (int back = n; back >= 0; back = reached.at(back).before) route.push_back(room_.cell(back));
        std::reverse(route.begin(), route.end());
        return route;
      }
      if (at.before >= 0 && room_.inside(here) < width) continue;
      for (const Cell next : Room::beside(here)) {
        if (!room_.is_cell(next) || room_.between(n, room_.number(next)) < width) continue;
        offer(next, at.cost + room_.step(here, next), n);
      }
    }
    return {};
  }

  static FlowOrder by_number(const Room& room, Nm width) {
    FlowOrder order;
    order.between = [&room, width](int a, int b) { return static_cast<long>(room.between(a, b) / width); };
    order.inside = [&room, width](Cell c) { return static_cast<long>(room.inside(c) / width); };
    return order;
  }

  // Not found is not the same as impossible: the order decided. Three tests that every way out must pass, on
  // the empty array; where one fails nothing could fit.
  [[nodiscard]] bool may_fit() const {
    const Room empty(grid_);
    const auto sizes = widths();
    const bool inside = std::any_of(wires_.begin(), wires_.end(), [](const auto& w) { return w.inside; });
    // One width and nothing laid before: the flow is exact.
    if (!inside && sizes.size() <= 1) return false;
    for (std::size_t w = 0; w < wires_.size(); ++w) {
      if (wires_[w].inside && shortest_inside(w, empty).empty()) return false;
    }
    // All that are at least so wide, taken as no wider than that.
    for (const Nm width : sizes) {
      FlowOrder order = by_number(empty, width);
      add_leaving(width, false, order);
      if (EscapeFlow(empty, order).greatest() < static_cast<long>(order.from.size())) return false;
    }
    // The sum of widths, as if a wire could be split along its length.
    FlowOrder order;
    order.between = [&](int a, int b) { return static_cast<long>(empty.between(a, b)); };
    order.inside = [&](Cell c) { return static_cast<long>(empty.inside(c)); };
    add_leaving(0, true, order);
    long sum = 0;
    for (const long amount : order.amount) sum += amount;
    return order.from.empty() || EscapeFlow(empty, order).greatest() >= sum;
  }

  // Wires that leave and are at least `least` wide; each sends 1, or its width `by_width`.
  void add_leaving(Nm least, bool by_width, FlowOrder& order) const {
    for (std::size_t w = 0; w < wires_.size(); ++w) {
      if (wires_[w].inside || width_of(w) < least) continue;
      order.from.push_back(wires_[w].from);
      order.amount.push_back(by_width ? static_cast<long>(width_of(w)) : 1);
    }
  }

  const EscapeGrid& grid_;
  const std::vector<EscapeWire>& wires_;
  Nm wire_;
  Room room_;
  Escape escape_;
};

}  // namespace

Escape find_escape(const EscapeGrid& grid, const std::vector<EscapeWire>& wires, Nm wire) {
  return Finder(grid, wires, wire).run();
}

}  // namespace landfall::rework
