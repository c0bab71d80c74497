#include "tests/lemon/lemon_answers.hpp"

#include <lemon/kruskal.h>
#include <lemon/list_graph.h>
#include <lemon/network_simplex.h>
#include <lemon/preflow.h>
#include <lemon/smart_graph.h>

namespace landfall::testing {

LemonFlow lemon_flow(int nodes, const std::vector<LemonArc>& arcs, int source, int sink) {
  lemon::SmartDigraph graph;
  std::vector<lemon::SmartDigraph::Node> node;
  for (int n = 0; n < nodes; ++n) node.push_back(graph.addNode());
  lemon::SmartDigraph::ArcMap<long> capacity(graph), cost(graph);
  for (const LemonArc& arc : arcs) {
    const auto a =
        graph.addArc(node[static_cast<std::size_t>(arc.from)], node[static_cast<std::size_t>(arc.to)]);
    capacity[a] = arc.capacity;
    cost[a] = arc.cost;
  }
  const auto s = node[static_cast<std::size_t>(source)], t = node[static_cast<std::size_t>(sink)];
  LemonFlow answer;
  lemon::Preflow<lemon::SmartDigraph, lemon::SmartDigraph::ArcMap<long>> preflow(graph, capacity, s, t);
  preflow.run();
  answer.value = preflow.flowValue();
  for (lemon::SmartDigraph::ArcIt a(graph); a != lemon::INVALID; ++a) {
    if (preflow.minCut(graph.source(a)) && !preflow.minCut(graph.target(a))) answer.cut += capacity[a];
  }
  lemon::NetworkSimplex<lemon::SmartDigraph, long> simplex(graph);
  simplex.upperMap(capacity).costMap(cost).stSupply(s, t, answer.value);
  answer.least_cost = simplex.run() == simplex.OPTIMAL ? simplex.totalCost() : -1;
  return answer;
}

long lemon_forest(int nodes, const std::vector<LemonArc>& edges) {
  lemon::SmartGraph graph;
  std::vector<lemon::SmartGraph::Node> node;
  for (int n = 0; n < nodes; ++n) node.push_back(graph.addNode());
  lemon::SmartGraph::EdgeMap<long> cost(graph);
  for (const LemonArc& edge : edges) {
    cost[graph.addEdge(node[static_cast<std::size_t>(edge.from)], node[static_cast<std::size_t>(edge.to)])] =
        edge.cost;
  }
  lemon::SmartGraph::EdgeMap<bool> tree(graph);
  return lemon::kruskal(graph, cost, tree);
}

}  // namespace landfall::testing
