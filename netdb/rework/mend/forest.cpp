#include "netdb/rework/mend/forest.hpp"

#include <algorithm>
#include <numeric>

#include "netdb/rework/copper/copper.hpp"

namespace landfall::rework {

std::vector<std::size_t> least_forest(std::size_t things, const std::vector<ForestEdge>& edges) {
  std::vector<std::size_t> order(edges.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return edges[a].cost < edges[b].cost; });
  Sets sets(things);
  std::vector<std::size_t> taken;
  for (const std::size_t e : order) {
    const auto a = static_cast<Node>(edges[e].a);
    const auto b = static_cast<Node>(edges[e].b);
    if (sets.root(a) == sets.root(b)) continue;
    sets.join(a, b);
    taken.push_back(e);
  }
  return taken;
}

}  // namespace landfall::rework
