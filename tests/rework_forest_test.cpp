// The forest against every way to join the things.
#include <random>

#include <doctest/doctest.h>

#include "netdb/rework/copper/copper.hpp"
#include "netdb/rework/mend/forest.hpp"

using namespace landfall::rework;

namespace {

// The least cost of any subset of edges that joins what all the edges together join.
double by_trying_all(std::size_t things, const std::vector<ForestEdge>& edges) {
  const auto pieces = [&](unsigned mask) {
    Sets sets(things);
    for (std::size_t e = 0; e < edges.size(); ++e) {
      if ((mask >> e & 1U) != 0) sets.join(static_cast<Node>(edges[e].a), static_cast<Node>(edges[e].b));
    }
    std::size_t roots = 0;
    for (std::size_t t = 0; t < things; ++t) roots += sets.root(static_cast<Node>(t)) == t ? 1 : 0;
    return roots;
  };
  const unsigned all = (1U << edges.size()) - 1;
  const std::size_t least_pieces = pieces(all);
  double least = 1e300;
  for (unsigned mask = 0; mask <= all; ++mask) {
    if (pieces(mask) != least_pieces) continue;
    double cost = 0;
    for (std::size_t e = 0; e < edges.size(); ++e) cost += (mask >> e & 1U) != 0 ? edges[e].cost : 0;
    least = std::min(least, cost);
  }
  return least;
}

}  // namespace

TEST_CASE("the forest costs as little as the best of all subsets, on thousands of random graphs") {
  std::mt19937 random(11);
  for (int round = 0; round < 3000; ++round) {
    const std::size_t things = 2 + random() % 4;
    std::vector<ForestEdge> edges;
    for (std::size_t a = 0; a < things; ++a) {
      for (std::size_t b = a + 1; b < things; ++b) {
        if (random() % 4 != 0) edges.push_back({a, b, static_cast<double>(random() % 50)});
      }
    }
    if (edges.size() > 10) edges.resize(10);
    double cost = 0;
    for (const std::size_t e : least_forest(things, edges)) cost += edges[e].cost;
    REQUIRE(cost == doctest::Approx(by_trying_all(things, edges)));
  }
}
