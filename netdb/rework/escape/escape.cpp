#include "netdb/rework/escape/escape.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <memory>
#include <numeric>
#include <queue>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/successive_shortest_path_nonnegative_weights.hpp>

#include "netdb/rework/escape_gap.hpp"

namespace landfall::rework {
namespace {

// Weights are whole nanometres kept as doubles: the library adds up distances of nodes that cannot be reached,
// which overflows integers, and refuses the least rounding below zero, which fractions bring. Sums stay exact
// up to 2^53 nm.
using Traits = boost::adjacency_list_traits<boost::vecS, boost::vecS, boost::directedS>;
using Graph = boost::adjacency_list<
    boost::vecS, boost::vecS, boost::directedS, boost::no_property,
    boost::property<boost::edge_capacity_t, long,
                    boost::property<boost::edge_residual_capacity_t, long,
                                    boost::property<boost::edge_reverse_t, Traits::edge_descriptor,
                                                    boost::property<boost::edge_weight_t, double>>>>>;
using Edge = Traits::edge_descriptor;

class Finder {
 public:
  Finder(const EscapeGrid& grid, const std::vector<EscapeWire>& wires, Nm wire)
      : grid_(grid), wires_(wires), wire_(wire) {
    escape_.asked = wires.size();
    escape_.routes.resize(wires.size());
  }

  Escape run() {
    inside_first();
    leave();
    escape_.fits = escape_.found == escape_.asked;
    return std::move(escape_);
  }

 private:
  [[nodiscard]] int cells() const { return (grid_.rows + 1) * (grid_.columns + 1); }
  [[nodiscard]] int number(Cell c) const { return c.row * (grid_.columns + 1) + c.column; }
  [[nodiscard]] Cell cell(int n) const { return {n / (grid_.columns + 1), n % (grid_.columns + 1)}; }
  [[nodiscard]] bool is_cell(Cell c) const {
    return c.row >= 0 && c.column >= 0 && c.row <= grid_.rows && c.column <= grid_.columns;
  }
  [[nodiscard]] bool is_outside(Cell c) const {
    return c.row == 0 || c.column == 0 || c.row == grid_.rows || c.column == grid_.columns;
  }
  static std::array<Cell, 4> around(GridPlace site) {
    return {Cell{site.row, site.column},
            {site.row, site.column + 1},
            {site.row + 1, site.column},
            {site.row + 1, site.column + 1}};
  }
  static std::array<Cell, 4> beside(Cell c) {
    return {Cell{c.row, c.column + 1}, {c.row + 1, c.column}, {c.row, c.column - 1}, {c.row - 1, c.column}};
  }

  using Gap = std::pair<int, int>;
  static Gap gap_of(int a, int b) { return std::minmax(a, b); }

  [[nodiscard]] int room(int a, int b) const {
    const int whole = room_between(grid_, cell(a), cell(b), wire_);
    const auto used = used_.find(gap_of(a, b));
    return used == used_.end() ? whole : std::max(whole - used->second, 0);
  }

  // How many wires turn inside a cell of four joints.
  [[nodiscard]] long room_in(Cell c) const {
    for (int row = c.row - 1; row <= c.row; ++row) {
      for (int column = c.column - 1; column <= c.column; ++column) {
        if (!grid_.has_ball(row, column)) return 1'000'000;
      }
    }
    const auto n =
        wires_through_diagonal({grid_.pitch_x, grid_.joint, grid_.clearance, 0}, grid_.pitch_y, wire_);
    return n.ok() ? *n : 0;
  }

  [[nodiscard]] double step(Cell a, Cell b) const {
    return static_cast<double>(a.row == b.row ? grid_.pitch_x : grid_.pitch_y);
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
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return span(a) < span(b); });
    for (const std::size_t w : order) {
      if (shortest_inside(w)) ++escape_.found;
    }
  }

  // Dijkstra over the cells from those around the site to the target's.
  bool shortest_inside(std::size_t w) {
    const EscapeWire& wire = wires_[w];
    std::vector<double> cost(static_cast<std::size_t>(cells()), std::numeric_limits<double>::infinity());
    std::vector<int> before(cost.size(), -1);
    using Entry = std::pair<double, int>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    for (const Cell c : around(wire.from)) {
      cost[static_cast<std::size_t>(number(c))] = 0;
      open.emplace(0, number(c));
    }
    std::vector<int> goals;
    if (wire.to_cell) {
      goals.push_back(number(wire.to));
    } else {
      for (const Cell c : around(wire.to)) goals.push_back(number(c));
    }
    while (!open.empty()) {
      const auto [here, n] = open.top();
      open.pop();
      if (here > cost[static_cast<std::size_t>(n)]) continue;
      if (std::find(goals.begin(), goals.end(), n) != goals.end()) {
        for (int at = n; at >= 0; at = before[static_cast<std::size_t>(at)])
          escape_.routes[w].cells.push_back(cell(at));
        std::reverse(escape_.routes[w].cells.begin(), escape_.routes[w].cells.end());
        for (std::size_t i = 1; i < escape_.routes[w].cells.size(); ++i)
          ++used_[gap_of(number(escape_.routes[w].cells[i - 1]), number(escape_.routes[w].cells[i]))];
        return true;
      }
      for (const Cell next : beside(cell(n))) {
        if (!is_cell(next) || room(n, number(next)) < 1) continue;
        const double there = here + step(cell(n), next);
        auto& known = cost[static_cast<std::size_t>(number(next))];
        if (there >= known) continue;
        known = there;
        before[static_cast<std::size_t>(number(next))] = n;
        open.emplace(there, number(next));
      }
    }
    return false;
  }

  void add_edge(std::size_t from, std::size_t to, long capacity, double weight) {
    const Edge forth = boost::add_edge(from, to, *graph_).first;
    const Edge back = boost::add_edge(to, from, *graph_).first;
    boost::put(boost::edge_capacity, *graph_, forth, capacity);
    boost::put(boost::edge_capacity, *graph_, back, 0);
    boost::put(boost::edge_weight, *graph_, forth, weight);
    boost::put(boost::edge_weight, *graph_, back, -weight);
    boost::put(boost::edge_reverse, *graph_, forth, back);
    boost::put(boost::edge_reverse, *graph_, back, forth);
    edges_.push_back({from, to, forth});
  }

  // Each cell is two nodes, in and out, so that the room to turn in it counts.
  [[nodiscard]] std::size_t in(int n) const { return static_cast<std::size_t>(2 * n); }
  [[nodiscard]] std::size_t out(int n) const { return static_cast<std::size_t>(2 * n + 1); }

  void leave() {
    for (std::size_t w = 0; w < wires_.size(); ++w) {
      if (!wires_[w].inside) leaving_.push_back(w);
    }
    if (leaving_.empty()) return;
    const auto plain = static_cast<std::size_t>(2 * cells());
    source_ = plain + leaving_.size();
    sink_ = source_ + 1;
    graph_ = std::make_unique<Graph>(sink_ + 1);
    for (int n = 0; n < cells(); ++n) {
      const Cell c = cell(n);
      add_edge(in(n), out(n), is_outside(c) ? 1'000'000 : room_in(c), 0);
      if (is_outside(c)) {
        add_edge(out(n), sink_, 1'000'000, 0);
        continue;
      }
      for (const Cell next : beside(c)) {
        if (!is_cell(next)) continue;
        const int free = room(n, number(next));
        if (free > 0) add_edge(out(n), in(number(next)), free, step(c, next));
      }
    }
    for (std::size_t k = 0; k < leaving_.size(); ++k) {
      add_edge(source_, plain + k, 1, 0);
      for (const Cell c : around(wires_[leaving_[k]].from)) add_edge(plain + k, out(number(c)), 1, 0);
    }
    boost::successive_shortest_path_nonnegative_weights(*graph_, source_, sink_);
    take_routes(plain);
    if (escape_.found < escape_.asked) name_bottleneck();
  }

  long flow(Edge e) const {
    return boost::get(boost::edge_capacity, *graph_, e) -
           boost::get(boost::edge_residual_capacity, *graph_, e);
  }

  void take_routes(std::size_t plain) {
    std::map<std::pair<std::size_t, std::size_t>, long> left;
    for (const Put& put : edges_) {
      if (const long f = flow(put.edge); f > 0) left[{put.from, put.to}] += f;
    }
    for (std::size_t k = 0; k < leaving_.size(); ++k) {
      std::size_t at = plain + k;
      std::vector<Cell> route;
      for (int steps = 0; steps < 4 * cells() && at != sink_; ++steps) {
        auto edge = left.lower_bound({at, 0});
        while (edge != left.end() && edge->first.first == at && edge->second == 0) ++edge;
        if (edge == left.end() || edge->first.first != at) break;
        --edge->second;
        at = edge->first.second;
        if (at < plain && (route.empty() || !(route.back() == cell(static_cast<int>(at / 2)))))
          route.push_back(cell(static_cast<int>(at / 2)));
      }
      if (at != sink_) continue;
      escape_.routes[leaving_[k]].cells = std::move(route);
      ++escape_.found;
    }
  }

  // Cells that can still be reached from the source in what is left: the gaps out of them are the cut.
  void name_bottleneck() {
    std::vector<char> reached(boost::num_vertices(*graph_), 0);
    std::queue<std::size_t> open;
    open.push(source_);
    reached[source_] = 1;
    while (!open.empty()) {
      const std::size_t at = open.front();
      open.pop();
      for (auto [e, end] = boost::out_edges(at, *graph_); e != end; ++e) {
        const std::size_t next = boost::target(*e, *graph_);
        if (reached[next] != 0 || boost::get(boost::edge_residual_capacity, *graph_, *e) <= 0) continue;
        reached[next] = 1;
        open.push(next);
      }
    }
    const auto plain = static_cast<std::size_t>(2 * cells());
    for (const Put& put : edges_) {
      const std::size_t a = put.from;
      const std::size_t b = put.to;
      const long capacity = boost::get(boost::edge_capacity, *graph_, put.edge);
      if (reached[a] == 0 || reached[b] != 0) continue;
      escape_.bottleneck_room += static_cast<int>(capacity);
      if (a < plain && b < plain)
        escape_.bottleneck.emplace_back(cell(static_cast<int>(a / 2)), cell(static_cast<int>(b / 2)));
    }
    // Gaps that let no wire through at all are no edges; where nothing else parts the two sides they are it.
    for (int n = 0; n < cells(); ++n) {
      if (reached[out(n)] == 0 || is_outside(cell(n))) continue;
      for (const Cell next : beside(cell(n))) {
        if (is_cell(next) && room(n, number(next)) == 0 && reached[in(number(next))] == 0)
          escape_.bottleneck.emplace_back(cell(n), next);
      }
    }
  }

  const EscapeGrid& grid_;
  const std::vector<EscapeWire>& wires_;
  Nm wire_;
  Escape escape_;
  std::map<Gap, int> used_;
  std::vector<std::size_t> leaving_;
  std::size_t source_ = 0, sink_ = 0;
  // What was put in, one way each: boost::edges() draws a false alarm of g++ 12.
  struct Put {
    std::size_t from = 0, to = 0;
    Edge edge;
  };
  std::vector<Put> edges_;
  std::unique_ptr<Graph> graph_;
};

}  // namespace

int room_between(const EscapeGrid& grid, Cell a, Cell b, Nm wire) {
  // The two sites that the gap lies between: left and right of a step down, above and below a step sideways.
  const bool sideways = a.row == b.row;
  const int row = std::max(a.row, b.row);
  const int column = std::max(a.column, b.column);
  const GridPlace first{row - 1, column - 1};
  const GridPlace second = sideways ? GridPlace{row, column - 1} : GridPlace{row - 1, column};
  const Nm pitch = sideways ? grid.pitch_y : grid.pitch_x;
  const auto inside = [&](GridPlace p) {
    return p.row >= 0 && p.column >= 0 && p.row < grid.rows && p.column < grid.columns;
  };
  if (!inside(first) || !inside(second)) return 1'000'000;  // along the rim there is all the room
  // Each joint takes half its diameter and the clearance of the space between the two middles.
  Nm twice = 2 * pitch;
  for (const GridPlace& site : {first, second}) {
    if (grid.has_ball(site.row, site.column)) twice -= grid.joint + 2 * grid.clearance;
  }
  return wire > 0 && twice > 0 ? static_cast<int>(twice / (2 * wire)) : 0;
}

Escape find_escape(const EscapeGrid& grid, const std::vector<EscapeWire>& wires, Nm wire) {
  return Finder(grid, wires, wire).run();
}

}  // namespace landfall::rework
