#include "netdb/rework/escape/flow.hpp"

#include <map>
#include <queue>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/push_relabel_max_flow.hpp>
#include <boost/graph/successive_shortest_path_nonnegative_weights.hpp>

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

// Each cell is two nodes, in and out, so that the room to turn in it counts.
std::size_t in(int n) {
  return static_cast<std::size_t>(2 * n);
}
std::size_t out(int n) {
  return static_cast<std::size_t>(2 * n + 1);
}

}  // namespace

struct EscapeFlow::Inside {
  // What was put in, one way each: boost::edges() draws a false alarm of g++ 12.
  struct Put {
    std::size_t from = 0, to = 0;
    Edge edge;
  };

  void add(std::size_t from, std::size_t to, long capacity, double weight) {
    const Edge forth = boost::add_edge(from, to, graph).first;
    const Edge back = boost::add_edge(to, from, graph).first;
    boost::put(boost::edge_capacity, graph, forth, capacity);
    boost::put(boost::edge_capacity, graph, back, 0);
    boost::put(boost::edge_weight, graph, forth, weight);
    boost::put(boost::edge_weight, graph, back, -weight);
    boost::put(boost::edge_reverse, graph, forth, back);
    boost::put(boost::edge_reverse, graph, back, forth);
    edges.push_back({from, to, forth});
  }

  void add_cells(const FlowOrder& order) {
    for (int n = 0; n < room.cells(); ++n) {
      const Cell c = room.cell(n);
      add(in(n), out(n), order.inside(c), 0);
      if (room.is_outside(c)) {
        add(out(n), sink, static_cast<long>(kOpenRoom), 0);
        continue;
      }
      for (const Cell next : Room::beside(c)) {
        if (!room.is_cell(next)) continue;
        const long free = order.between(n, room.number(next));
        if (free > 0) {
          add(out(n), in(room.number(next)), free, room.step(c, next));
        } else {
          shut.emplace_back(n, room.number(next));
        }
      }
    }
  }

  [[nodiscard]] long flow(Edge e) const {
    return boost::get(boost::edge_capacity, graph, e) - boost::get(boost::edge_residual_capacity, graph, e);
  }

  [[nodiscard]] std::vector<std::vector<Cell>> routes() const {
    std::map<std::pair<std::size_t, std::size_t>, long> left;
    for (const Put& put : edges) {
      if (const long f = flow(put.edge); f > 0) left[{put.from, put.to}] += f;
    }
    std::vector<std::vector<Cell>> all(wires);
    for (std::size_t k = 0; k < wires; ++k) {
      std::size_t at = plain + k;
      std::vector<Cell> route;
      for (int steps = 0; steps < 4 * room.cells() && at != sink; ++steps) {
        auto edge = left.lower_bound({at, 0});
        while (edge != left.end() && edge->first.first == at && edge->second == 0) ++edge;
        if (edge == left.end() || edge->first.first != at) break;
        --edge->second;
        at = edge->first.second;
        if (at < plain && (route.empty() || !(route.back() == room.cell(static_cast<int>(at / 2)))))
          route.push_back(room.cell(static_cast<int>(at / 2)));
      }
      if (at == sink) all[k] = std::move(route);
    }
    return all;
  }

  const Room& room;
  std::size_t wires = 0, plain = 0, source = 0, sink = 0;
  Graph graph;
  std::vector<Put> edges;
  std::vector<std::pair<int, int>> shut;  // gaps that let nothing through are no edges
};

EscapeFlow::EscapeFlow(const Room& room, const FlowOrder& order) {
  const std::size_t wires = order.from.size();
  const auto plain = static_cast<std::size_t>(2 * room.cells());
  const std::size_t source = plain + wires;
  inside_ =
      std::make_unique<Inside>(Inside{room, wires, plain, source, source + 1, Graph(source + 2), {}, {}});
  inside_->add_cells(order);
  for (std::size_t k = 0; k < wires; ++k) {
    inside_->add(source, plain + k, order.amount[k], 0);
    for (const Cell c : Room::around(order.from[k]))
      inside_->add(plain + k, out(room.number(c)), order.amount[k], 0);
  }
}

EscapeFlow::~EscapeFlow() = default;

std::vector<std::vector<Cell>> EscapeFlow::cheapest() {
  boost::successive_shortest_path_nonnegative_weights(inside_->graph, inside_->source, inside_->sink);
  return inside_->routes();
}

long EscapeFlow::greatest() {
  return boost::push_relabel_max_flow(inside_->graph, inside_->source, inside_->sink);
}

// Cells that can still be reached from the source in what is left: the gaps out of them are the cut.
void EscapeFlow::name_cut(std::vector<std::pair<Cell, Cell>>& gaps, int& through) const {
  const Inside& i = *inside_;
  std::vector<char> reached(boost::num_vertices(i.graph), 0);
  std::queue<std::size_t> open;
  open.push(i.source);
  reached[i.source] = 1;
  while (!open.empty()) {
    const std::size_t at = open.front();
    open.pop();
    for (auto [e, end] = boost::out_edges(at, i.graph); e != end; ++e) {
      const std::size_t next = boost::target(*e, i.graph);
      if (reached[next] != 0 || boost::get(boost::edge_residual_capacity, i.graph, *e) <= 0) continue;
      reached[next] = 1;
      open.push(next);
    }
  }
  for (const Inside::Put& put : i.edges) {
    if (reached[put.from] == 0 || reached[put.to] != 0) continue;
    through += static_cast<int>(boost::get(boost::edge_capacity, i.graph, put.edge));
    if (put.from < i.plain && put.to < i.plain)
      gaps.emplace_back(i.room.cell(static_cast<int>(put.from / 2)),
                        i.room.cell(static_cast<int>(put.to / 2)));
  }
  // Where nothing else parts the two sides the gaps that are shut are it.
  for (const auto& [a, b] : i.shut) {
    if (reached[out(a)] != 0 && reached[in(b)] == 0) gaps.emplace_back(i.room.cell(a), i.room.cell(b));
  }
}

}  // namespace landfall::rework
