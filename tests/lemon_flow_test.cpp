// The way out between the balls and the forest of wires against LEMON, on instances far beyond brute force
// (which the tests of rework do on small ones). Seeds are printed with what fails.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <random>
#include <vector>

#include <doctest/doctest.h>

#include "netdb/rework/escape/escape.hpp"
#include "netdb/rework/mend/forest.hpp"
#include "tests/lemon/lemon_answers.hpp"

using namespace landfall;
using rework::Escape;
using rework::EscapeGrid;
using rework::EscapeWire;

namespace {

struct Case {
  EscapeGrid grid;
  std::vector<EscapeWire> wires;
  Nm wire = 0;
};

// `share` of the balls must be wired out; a few sites are empty.
Case made(int rows, int columns, Nm wire, double share, std::mt19937& random) {
  std::uniform_real_distribution<double> any(0, 1);
  Case c;
  c.wire = wire;
  c.grid.rows = rows;
  c.grid.columns = columns;
  c.grid.pitch_x = 800'000;
  c.grid.pitch_y = 750'000;
  c.grid.joint = 450'000;
  c.grid.clearance = 40'000;
  c.grid.ball.assign(static_cast<std::size_t>(rows * columns), 1);
  for (char& ball : c.grid.ball) ball = any(random) < 0.08 ? 0 : 1;
  for (int r = 0; r < rows; ++r) {
    for (int q = 0; q < columns; ++q) {
      if (c.grid.has_ball(r, q) && any(random) < share) c.wires.push_back({{r, q}, false, false, {}});
    }
  }
  return c;
}

// The graph as DESIGN.md section 5 says it, written down apart from the product: a cell is two nodes with the
// room to turn between them, a gap is an arc with its room and the pitch as its cost.
testing::LemonFlow by_lemon(const Case& c) {
  const EscapeGrid& grid = c.grid;
  const int width = grid.columns + 1;
  const int cells = (grid.rows + 1) * width;
  const int count = static_cast<int>(c.wires.size());
  const int source = 2 * cells + count;
  const int sink = source + 1;
  constexpr long kMuch = 1'000'000;
  std::vector<testing::LemonArc> arcs;
  const double diagonal = std::hypot(static_cast<double>(grid.pitch_x), static_cast<double>(grid.pitch_y)) -
                          static_cast<double>(grid.joint + 2 * grid.clearance);
  for (int i = 0; i <= grid.rows; ++i) {
    for (int j = 0; j <= grid.columns; ++j) {
      const int n = i * width + j;
      const bool outside = i == 0 || j == 0 || i == grid.rows || j == grid.columns;
      bool four = true;
      for (int r = i - 1; r <= i; ++r) {
        for (int q = j - 1; q <= j; ++q) four = four && grid.has_ball(r, q);
      }
      const bool tight = !outside && four;
      arcs.push_back(
          {2 * n, 2 * n + 1, tight ? static_cast<long>(diagonal / static_cast<double>(c.wire)) : kMuch, 0});
      if (outside) {
        arcs.push_back({2 * n + 1, sink, kMuch, 0});
        continue;
      }
      const int steps[4][2] = {{0, 1}, {1, 0}, {0, -1}, {-1, 0}};
      for (const auto& step : steps) {
        const rework::Cell next{i + step[0], j + step[1]};
        const int m = next.row * width + next.column;
        const long room = std::min<long>(room_between(grid, {i, j}, next, c.wire), kMuch);
        arcs.push_back({2 * n + 1, 2 * m, room, step[0] == 0 ? grid.pitch_x : grid.pitch_y});
      }
    }
  }
  for (int w = 0; w < count; ++w) {
    const auto& from = c.wires[static_cast<std::size_t>(w)].from;
    arcs.push_back({source, 2 * cells + w, 1, 0});
    for (int i = from.row; i <= from.row + 1; ++i) {
      for (int j = from.column; j <= from.column + 1; ++j)
        arcs.push_back({2 * cells + w, 2 * (i * width + j) + 1, 1, 0});
    }
  }
  return testing::lemon_flow(sink + 1, arcs, source, sink);
}

long length_of(const EscapeGrid& grid, const Escape& escape) {
  long sum = 0;
  for (const auto& route : escape.routes) {
    for (std::size_t k = 1; k < route.cells.size(); ++k)
      sum += route.cells[k - 1].row == route.cells[k].row ? grid.pitch_x : grid.pitch_y;
  }
  return sum;
}

// `shares` of the balls wired out: from a few, which all get out, to more than the rim lets through.
void compare(int rows, int columns, unsigned seed, const std::vector<double>& shares) {
  CAPTURE(rows);
  CAPTURE(seed);
  std::mt19937 random(seed);
  const Nm sizes[] = {60'000, 117'000, 250'000};
  int fitted = 0;
  int blocked = 0;
  for (const double share : shares) {
    for (const Nm wire : sizes) {
      CAPTURE(share);
      CAPTURE(wire);
      const Case c = made(rows, columns, wire, share, random);
      const Escape escape = find_escape(c.grid, c.wires, c.wire);
      const testing::LemonFlow lemon = by_lemon(c);
      CHECK(static_cast<long>(escape.found) == lemon.value);
      CHECK(length_of(c.grid, escape) == lemon.least_cost);
      CHECK(lemon.cut == lemon.value);
      if (escape.fits) {
        ++fitted;
      } else {
        ++blocked;
        CHECK(escape.bottleneck_room == lemon.cut);
      }
    }
  }
  CHECK(fitted > 0);
  CHECK(blocked > 0);
}

}  // namespace

TEST_CASE("400 balls: what gets out, the length of the ways and the cut are LEMON's") {
  compare(20, 20, 1, {0.03, 0.10, 0.25, 0.60});
}
TEST_CASE("1200 balls: what gets out, the length of the ways and the cut are LEMON's") {
  compare(30, 40, 2, {0.02, 0.10, 0.20});
}
TEST_CASE("2500 balls: what gets out, the length of the ways and the cut are LEMON's") {
  compare(50, 50, 3, {0.01, 0.06});
}

TEST_CASE("forests of thousands of edges cost what LEMON's do") {
  std::mt19937 random(4);
  for (int round = 0; round < 20; ++round) {
    CAPTURE(round);
    const int things = 200 + 150 * round;
    const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
    std::vector<testing::LemonArc> edges;
    std::vector<rework::ForestEdge> ours;
    // Sparse ones fall into pieces, dense ones hold together; many costs are equal.
    const int count = things * (1 + round % 4);
    for (int e = 0; e < count; ++e) {
      const int a = below(things);
      const int b = below(things);
      if (a == b) continue;
      const long cost = below(round % 2 == 0 ? 50 : 1'000'000);
      edges.push_back({a, b, 0, cost});
      ours.push_back({static_cast<std::size_t>(a), static_cast<std::size_t>(b), static_cast<double>(cost)});
    }
    double sum = 0;
    for (const std::size_t e : rework::least_forest(static_cast<std::size_t>(things), ours))
      sum += ours[e].cost;
    CHECK(sum == static_cast<double>(testing::lemon_forest(things, edges)));
  }
}
