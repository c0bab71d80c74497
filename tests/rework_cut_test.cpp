// The bottleneck as places on the board: what is drawn as closed does close the drawn cells in.
#include <map>
#include <random>
#include <set>

#include <doctest/doctest.h>

#include "netdb/packages/packages.hpp"
#include "netdb/rework/plan/cut.hpp"

using namespace landfall;
using rework::Cell;
using rework::GridPlace;

namespace {

using Line = std::pair<Point, Point>;

Line line(Point a, Point b) {
  return a < b ? Line{a, b} : Line{b, a};
}

// Sides that belong to one cell only: the outline of all cells together.
std::set<Line> outline(const std::vector<std::array<Point, 4>>& cells) {
  std::map<Line, int> count;
  for (const auto& c : cells) {
    for (std::size_t i = 0; i < 4; ++i) ++count[line(c[i], c[(i + 1) % 4])];
  }
  std::set<Line> once;
  for (const auto& [s, times] : count) {
    if (times == 1) once.insert(s);
  }
  return once;
}

}  // namespace

TEST_CASE("a bottleneck closes its cells in: their outline is closed gaps, those that stay sit in it") {
  const unsigned seed = 11;
  INFO("seed ", seed);
  std::mt19937 random(seed);
  const auto board = packages::bare_board(12, 13, 800'000);
  REQUIRE(board.ok());
  const BoardIndex index(*board);
  const auto lattice = rework::Lattice::of(index, packages::package_of(index, 0), 50'000);
  REQUIRE(lattice);
  int misfits = 0;
  int closed_in = 0;
  for (int round = 0; round < 200; ++round) {
    const Nm wire = round % 2 == 0 ? 117'000 : 226'000;
    std::set<std::pair<int, int>> sites;
    const int wanted = std::uniform_int_distribution<int>(6, 34)(random);
    while (static_cast<int>(sites.size()) < wanted)
      sites.insert({std::uniform_int_distribution<int>(2, 9)(random),
                    std::uniform_int_distribution<int>(2, 10)(random)});
    std::vector<rework::EscapeWire> wires;
    rework::EscapeAnswer answer;
    for (const auto& [row, column] : sites) {
      answer.wires.push_back(wires.size());
      wires.push_back({{row, column}, false, false, {}, wire});
    }
    answer.grid = lattice->grid();
    answer.escape = rework::find_escape(lattice->grid(), wires, wire);
    rework::place_cut(*lattice, wires, answer);
    CAPTURE(round);
    if (answer.escape.fits) {
      CHECK(answer.closed.empty());
      CHECK(answer.shut_in.empty());
      CHECK(answer.stay.empty());
      continue;
    }
    ++misfits;
    CHECK(answer.stay.size() == answer.escape.asked - answer.escape.found);
    CHECK(answer.closed.size() == answer.escape.bottleneck.size());
    if (answer.shut_in.empty()) continue;
    ++closed_in;
    std::set<Line> closed;
    for (const auto& [a, b] : answer.closed) closed.insert(line(a, b));
    for (const Line& s : outline(answer.shut_in)) CHECK(closed.contains(s));
    std::set<Point> corners;
    for (const auto& cell : answer.shut_in) corners.insert(cell.begin(), cell.end());
    for (const std::size_t wire_of : answer.stay)
      CHECK(corners.contains(lattice->place(wires[wire_of].from.row, wires[wire_of].from.column)));
  }
  CHECK(misfits > 50);
  CHECK(closed_in == misfits);
}

TEST_CASE("the two sites of a gap are those that one passes between") {
  CHECK(rework::gap_sites({2, 3}, {2, 4}) == std::pair<GridPlace, GridPlace>{{1, 3}, {2, 3}});
  CHECK(rework::gap_sites({2, 3}, {3, 3}) == std::pair<GridPlace, GridPlace>{{2, 2}, {2, 3}});
}
