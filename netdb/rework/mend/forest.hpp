// The cheapest wires that join things of one net: a minimum spanning forest over the best landing-to-landing
// wire between each two.
#pragma once

#include <cstddef>
#include <vector>

namespace landfall::rework {

struct ForestEdge {
  std::size_t a = 0, b = 0;  // things
  double cost = 0;
};

// The places in `edges` of a minimum spanning forest over `things` things; ties go to the earlier edge.
// O(edges log edges).
std::vector<std::size_t> least_forest(std::size_t things, const std::vector<ForestEdge>& edges);

}  // namespace landfall::rework
