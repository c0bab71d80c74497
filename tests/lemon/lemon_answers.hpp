// Flows and forests by LEMON, a graph library that the product does not use, so that tests can compare.
// C++17: its headers need what C++20 took out of std::allocator.
#pragma once

#include <vector>

namespace landfall::testing {

struct LemonArc {
  int from = 0, to = 0;
  long capacity = 0;  // an edge of a forest has none
  long cost = 0;
};

struct LemonFlow {
  long value = 0;       // the greatest flow, by Preflow
  long cut = 0;         // capacity of the arcs out of Preflow's minimum cut
  long least_cost = 0;  // of a flow of that value, by NetworkSimplex
};

// Nodes are 0 to nodes - 1.
LemonFlow lemon_flow(int nodes, const std::vector<LemonArc>& arcs, int source, int sink);

// What a minimum spanning forest costs, by Kruskal.
long lemon_forest(int nodes, const std::vector<LemonArc>& edges);

}  // namespace landfall::testing
