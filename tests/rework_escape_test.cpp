// The way out between the balls against brute force: on small random grids a wire set fits exactly when an
// exhaustive search finds ways for all, and the cut that is named sums to what got out.
#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <random>
#include <set>

#include <doctest/doctest.h>

#include "netdb/rework/escape/escape.hpp"

using namespace landfall::rework;

namespace {

EscapeGrid full_grid(int rows, int columns, landfall::Nm pitch, landfall::Nm joint, landfall::Nm clearance) {
  EscapeGrid grid;
  grid.rows = rows;
  grid.columns = columns;
  grid.pitch_x = grid.pitch_y = pitch;
  grid.joint = joint;
  grid.clearance = clearance;
  grid.ball.assign(static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns), 1);
  return grid;
}

// The greatest number of wires that get out, by augmenting paths on a graph of its own: cells with the room
// to turn in them, gaps with the room to pass. Kept apart from the product's code on purpose.
int most_out(const EscapeGrid& grid, const std::vector<EscapeWire>& wires, landfall::Nm wire) {
  const int width = grid.columns + 1;
  const int cells = (grid.rows + 1) * width;
  const int sink = 2 * cells + static_cast<int>(wires.size());
  const int source = sink + 1;
  std::vector<std::vector<int>> room(static_cast<std::size_t>(source + 1),
                                     std::vector<int>(static_cast<std::size_t>(source + 1), 0));
  const auto at = [&](int a, int b) -> int& {
    return room[static_cast<std::size_t>(a)][static_cast<std::size_t>(b)];
  };
  const auto balls_around = [&](int i, int j) {
    int n = 0;
    for (int r = i - 1; r <= i; ++r) {
      for (int c = j - 1; c <= j; ++c) n += grid.has_ball(r, c) ? 1 : 0;
    }
    return n;
  };
  const double diagonal = std::hypot(static_cast<double>(grid.pitch_x), static_cast<double>(grid.pitch_y)) -
                          static_cast<double>(grid.joint + 2 * grid.clearance);
  for (int i = 0; i <= grid.rows; ++i) {
    for (int j = 0; j <= grid.columns; ++j) {
      const int n = i * width + j;
      const bool outside = i == 0 || j == 0 || i == grid.rows || j == grid.columns;
      const bool tight = !outside && balls_around(i, j) == 4;
      at(2 * n, 2 * n + 1) = tight ? static_cast<int>(diagonal / static_cast<double>(wire)) : 1000;
      if (outside) {
        at(2 * n + 1, sink) = 1000;
        continue;
      }
      const int steps[4][2] = {{0, 1}, {1, 0}, {0, -1}, {-1, 0}};
      for (const auto& step : steps) {
        const int m = (i + step[0]) * width + j + step[1];
        at(2 * n + 1, 2 * m) = room_between(grid, {i, j}, {i + step[0], j + step[1]}, wire);
      }
    }
  }
  for (std::size_t w = 0; w < wires.size(); ++w) {
    const int node = 2 * cells + static_cast<int>(w);
    at(source, node) = 1;
    for (int i = wires[w].from.row; i <= wires[w].from.row + 1; ++i) {
      for (int j = wires[w].from.column; j <= wires[w].from.column + 1; ++j)
        at(node, 2 * (i * width + j) + 1) = 1;
    }
  }
  int flow = 0;
  while (true) {
    std::vector<char> seen(room.size(), 0);
    const std::function<bool(int)> push = [&](int node) {
      if (node == sink) return true;
      seen[static_cast<std::size_t>(node)] = 1;
      for (int next = 0; next <= source; ++next) {
        if (at(node, next) <= 0 || seen[static_cast<std::size_t>(next)] != 0 || !push(next)) continue;
        --at(node, next);
        ++at(next, node);
        return true;
      }
      return false;
    };
    if (!push(source)) return flow;
    ++flow;
  }
}

}  // namespace

TEST_CASE("one wire from the middle of a full array finds a way of gaps that let it through") {
  const EscapeGrid grid = full_grid(5, 5, 800'000, 500'000, 50'000);
  const Escape escape = find_escape(grid, {{{2, 2}, false, false, {}}}, 117'000);
  CHECK(escape.fits);
  REQUIRE(escape.routes.size() == 1);
  CHECK(escape.routes[0].cells.size() == 3);                // the least: a cell beside it, one more, outside
  CHECK(room_between(grid, {2, 2}, {2, 3}, 117'000) == 1);  // TRADE.md C52
}

TEST_CASE("at 0.5 mm pitch the 0.1 mm wire passes nowhere and the 0.05 mm one does: TRADE.md section 8") {
  const EscapeGrid grid = full_grid(7, 7, 500'000, 300'000, 50'000);
  const std::vector<EscapeWire> wires{{{3, 3}, false, false, {}}};
  const Escape thick = find_escape(grid, wires, 117'000);
  CHECK_FALSE(thick.fits);
  CHECK_FALSE(thick.bottleneck.empty());
  CHECK(thick.bottleneck_room == 0);
  CHECK(find_escape(grid, wires, 60'000).fits);
}

TEST_CASE("pitches that are no whole micrometres: real packages have them, and sums must stay exact") {
  EscapeGrid grid = full_grid(20, 20, 649'997, 320'001, 50'000);
  grid.pitch_y = 650'003;
  std::vector<EscapeWire> wires;
  for (int row = 0; row < 12; ++row) {
    for (int column = 0; column < 5; ++column) wires.push_back({{row, column}, false, false, {}});
  }
  const Escape escape = find_escape(grid, wires, 60'000);
  CHECK(escape.found == most_out(grid, wires, 60'000));
}

TEST_CASE("wires that end inside go first and use up room") {
  // One row of cells between two rows of balls, one wire through each gap: the inside wire blocks the way
  // east.
  EscapeGrid grid = full_grid(2, 4, 800'000, 500'000, 50'000);
  const EscapeWire inside{{0, 0}, true, false, {0, 3}};
  const Escape escape = find_escape(grid, {inside}, 117'000);
  CHECK(escape.fits);
  CHECK(escape.routes[0].cells.size() >= 3);
}

TEST_CASE("what gets out equals an augmenting-path count on thousands of random grids, the cut sums to it") {
  std::mt19937 random(7);
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  int blocked = 0;
  for (int round = 0; round < 3000; ++round) {
    EscapeGrid grid = full_grid(2 + below(4), 2 + below(4), 650'000 + 50'000 * below(4),
                                400'000 + 50'000 * below(3), 50'000);
    for (char& ball : grid.ball) ball = below(6) == 0 ? 0 : 1;
    std::vector<EscapeWire> wires;
    for (int r = 0; r < grid.rows; ++r) {
      for (int c = 0; c < grid.columns; ++c) {
        if (grid.has_ball(r, c) && below(2) == 0) wires.push_back({{r, c}, false, false, {}});
      }
    }
    const landfall::Nm wire = 60'000 + 57'000 * below(3);
    const Escape escape = find_escape(grid, wires, wire);
    REQUIRE(static_cast<int>(escape.found) == most_out(grid, wires, wire));
    if (escape.fits) continue;
    ++blocked;
    // Some wires may be shut in by a cut of their own links; then the cut counts these as one each.
    CHECK(escape.bottleneck_room == static_cast<int>(escape.found));
  }
  CHECK(blocked > 100);
}

namespace {

// Whether all wires of different width can lie side by side, by trying every way of every wire. Small grids
// only; apart from the product's code. A wire fills the gaps that it passes and the cells that it crosses.
class EveryWay {
 public:
  EveryWay(const EscapeGrid& grid, const std::vector<EscapeWire>& wires) : grid_(grid), wires_(wires) {}
  bool fits() { return lay(0); }
  // Too many ways to try: the answer then counts for nothing.
  [[nodiscard]] bool gave_up() const { return steps_ > 100'000; }

 private:
  [[nodiscard]] bool outside(Cell c) const {
    return c.row == 0 || c.column == 0 || c.row == grid_.rows || c.column == grid_.columns;
  }
  [[nodiscard]] double gap(Cell a, Cell b) const {
    const bool sideways = a.row == b.row;
    const int row = std::max(a.row, b.row), column = std::max(a.column, b.column);
    double room = static_cast<double>(sideways ? grid_.pitch_y : grid_.pitch_x);
    const int other_row = sideways ? row : row - 1;
    const int other_column = sideways ? column - 1 : column;
    for (const auto& site : {GridPlace{row - 1, column - 1}, GridPlace{other_row, other_column}}) {
      if (grid_.has_ball(site.row, site.column))
        room -= static_cast<double>(grid_.joint) / 2 + static_cast<double>(grid_.clearance);
    }
    return room;
  }
  [[nodiscard]] double cell_room(Cell c) const {
    for (int r = c.row - 1; r <= c.row; ++r) {
      for (int q = c.column - 1; q <= c.column; ++q) {
        if (!grid_.has_ball(r, q)) return 1e12;
      }
    }
    return std::hypot(static_cast<double>(grid_.pitch_x), static_cast<double>(grid_.pitch_y)) -
           static_cast<double>(grid_.joint + 2 * grid_.clearance);
  }
  bool lay(std::size_t w) {
    if (w == wires_.size()) return true;
    const auto& from = wires_[w].from;
    for (int i = from.row; i <= from.row + 1; ++i) {
      for (int j = from.column; j <= from.column + 1; ++j) {
        if (walk(w, {i, j}, true)) return true;
      }
    }
    return false;
  }
  bool walk(std::size_t w, Cell at, bool first) {
    const auto width = static_cast<double>(wires_[w].overall);
    const std::pair<int, int> here{at.row, at.column};
    if (outside(at)) return lay(w + 1);
    if (++steps_ > 100'000) return true;
    if (on_way_.contains({w, here})) return false;
    const double kept = filled_[here];
    if (!first && kept + width > cell_room(at)) return false;
    if (!first) filled_[here] = kept + width;
    on_way_.insert({w, here});
    const int steps[4][2] = {{0, 1}, {1, 0}, {0, -1}, {-1, 0}};
    for (const auto& step : steps) {
      const Cell next{at.row + step[0], at.column + step[1]};
      const std::pair<int, int> there{next.row, next.column};
      const auto name = std::make_pair(std::min(here, there), std::max(here, there));
      const double taken = passed_[name];
      if (taken + width > gap(at, next)) continue;
      passed_[name] = taken + width;
      if (walk(w, next, false)) return true;
      passed_[name] = taken;
    }
    on_way_.erase({w, here});
    filled_[here] = kept;
    return false;
  }

  const EscapeGrid& grid_;
  const std::vector<EscapeWire>& wires_;
  int steps_ = 0;
  std::map<std::pair<std::pair<int, int>, std::pair<int, int>>, double> passed_;
  std::map<std::pair<int, int>, double> filled_;
  std::set<std::pair<std::size_t, std::pair<int, int>>> on_way_;
};

}  // namespace

TEST_CASE(
    "mixed widths against every way there is: never 'fits' where it does not, never 'does not' where it "
    "does") {
  std::mt19937 random(23);
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  int given_up = 0, fits = 0, proven = 0, not_shown = 0, missed = 0;
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    EscapeGrid grid = full_grid(3 + below(2), 3 + below(2), 550'000 + 50'000 * below(3), 400'000, 40'000);
    for (char& ball : grid.ball) ball = below(9) == 0 ? 0 : 1;
    std::vector<EscapeWire> wires;
    for (int n = 3 + below(8); n > 0; --n) {
      const GridPlace from{1 + below(grid.rows - 2), 1 + below(grid.columns - 2)};
      if (grid.has_ball(from.row, from.column))
        wires.push_back({from, false, false, {}, 37'000 + 40'000 * below(4)});
    }
    const Escape escape = find_escape(grid, wires, 60'000);
    EveryWay every(grid, wires);
    const bool true_answer = every.fits();
    if (every.gave_up()) {
      ++given_up;
      continue;
    }
    if (escape.fits) {
      ++fits;
      CHECK(true_answer);
    } else if (escape.may_fit) {
      ++not_shown;
      missed += true_answer ? 1 : 0;
    } else {
      ++proven;
      CHECK_FALSE(true_answer);
    }
  }
  MESSAGE(given_up, " given up, fits ", fits, ", proven not to ", proven, ", not shown ", not_shown,
          ", of these it would fit ", missed);
  CHECK(given_up < 40);  // one in ten
  CHECK(fits > 200);
  CHECK(proven > 50);
  CHECK(not_shown < 20);  // one in twenty
}

TEST_CASE("a thick wire takes the room of several thin ones") {
  // Straight gap 0.8 - 0.5 - 0.1 = 0.2 mm: one of 0.1 and one of 0.09 pass, two of 0.1 and no hair more.
  EscapeGrid grid = full_grid(3, 3, 800'000, 500'000, 50'000);
  const auto wire = [](landfall::Nm overall) { return EscapeWire{{1, 1}, false, false, {}, overall}; };
  // Four cells touch the middle ball, two gaps to the outside each, one wire or two in each gap.
  std::vector<EscapeWire> eight(8, wire(101'000));
  CHECK(find_escape(grid, eight, 0).fits);
  eight.push_back(wire(60'000));
  CHECK(find_escape(grid, eight, 0).fits);  // 101 + 60 of 200
  eight.push_back(wire(101'000));
  const Escape escape = find_escape(grid, eight, 0);
  CHECK_FALSE(escape.fits);
  CHECK_FALSE(escape.may_fit);
  CHECK(escape.bottleneck_wire == 101'000);
}

namespace {

// The length of a way and of what is still to go; how far a single wire has at least, by relaxing all cells
// until nothing changes. Apart from the product's code.
double way_length(const EscapeGrid& grid, const EscapeWire& wire, const std::vector<Cell>& cells) {
  double sum = wire.beyond(cells.back());
  for (std::size_t i = 1; i < cells.size(); ++i)
    sum += static_cast<double>(cells[i].row == cells[i - 1].row ? grid.pitch_x : grid.pitch_y);
  return sum;
}

double least_length(const EscapeGrid& grid, const EscapeWire& wire, landfall::Nm width) {
  std::map<std::pair<int, int>, double> known;
  const auto tight = [&](Cell c) {
    for (int r = c.row - 1; r <= c.row; ++r) {
      for (int q = c.column - 1; q <= c.column; ++q) {
        if (!grid.has_ball(r, q)) return false;
      }
    }
    return std::hypot(static_cast<double>(grid.pitch_x), static_cast<double>(grid.pitch_y)) -
               static_cast<double>(grid.joint + 2 * grid.clearance) <
           static_cast<double>(width);
  };
  std::set<std::pair<int, int>> starts;
  for (int i = wire.from.row; i <= wire.from.row + 1; ++i) {
    for (int j = wire.from.column; j <= wire.from.column + 1; ++j) starts.insert({i, j});
  }
  for (const auto& start : starts) known[start] = 0;
  const auto outside = [&](Cell c) {
    return c.row == 0 || c.column == 0 || c.row == grid.rows || c.column == grid.columns;
  };
  for (bool changed = true; changed;) {
    changed = false;
    for (int i = 0; i <= grid.rows; ++i) {
      for (int j = 0; j <= grid.columns; ++j) {
        const auto here = known.find({i, j});
        if (here == known.end() || outside({i, j}) || (!starts.contains({i, j}) && tight({i, j}))) continue;
        const double cost = here->second;
        const int steps[4][2] = {{0, 1}, {1, 0}, {0, -1}, {-1, 0}};
        for (const auto& step : steps) {
          const Cell next{i + step[0], j + step[1]};
          if (room_between(grid, {i, j}, next, width) < 1) continue;
          const double there = cost + static_cast<double>(step[0] == 0 ? grid.pitch_x : grid.pitch_y);
          const auto [entry, fresh] = known.try_emplace({next.row, next.column}, there);
          if (!fresh && there >= entry->second - 1) continue;
          entry->second = there;
          changed = true;
        }
      }
    }
  }
  double least = 1e18;
  for (const auto& [cell, cost] : known) {
    const Cell c{cell.first, cell.second};
    if (outside(c)) least = std::min(least, cost + wire.beyond(c));
  }
  return least;
}

}  // namespace

TEST_CASE("a wire leaves toward where it goes: alone by its shortest way, never longer for being thinner") {
  std::mt19937 random(29);
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  int found = 0, turned = 0;
  for (int round = 0; round < 1000; ++round) {
    CAPTURE(round);
    EscapeGrid grid = full_grid(3 + below(7), 3 + below(7), 650'000 + 50'000 * below(4), 450'000, 50'000);
    grid.pitch_y += 50'000 * below(2);
    for (char& ball : grid.ball) ball = below(7) == 0 ? 0 : 1;
    EscapeWire wire{{below(grid.rows), below(grid.columns)}, false, false, {}};
    const double x = below(20) - 5, y = below(20) - 5;  // in cells
    wire.beyond = [=](Cell c) {
      return std::hypot((c.column - x) * static_cast<double>(grid.pitch_x),
                        (c.row - y) * static_cast<double>(grid.pitch_y));
    };
    double thicker = 1e18;
    for (const landfall::Nm width : {174'000, 117'000, 60'000}) {
      const Escape escape = find_escape(grid, {wire}, width);
      const double least = least_length(grid, wire, width);
      REQUIRE(escape.fits == (least < 1e17));
      if (!escape.fits) continue;
      ++found;
      const double length = way_length(grid, wire, escape.routes[0].cells);
      CHECK(length <= least + 1'000.0);
      CHECK(length >= least - 1.0);
      CHECK(length <= thicker + 1'000.0);
      thicker = length;
      EscapeWire anywhere = wire;
      anywhere.beyond = {};
      const Escape nearest = find_escape(grid, {anywhere}, width);
      turned += way_length(grid, wire, nearest.routes[0].cells) > length + 1'000 ? 1 : 0;
    }
  }
  CHECK(found > 1000);
  CHECK(turned > 100);  // the nearest way out was not the best one
}

TEST_CASE("many wires that leave toward where they go: all that got out still do, none over another") {
  std::mt19937 random(31);
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  double before = 0, after = 0;
  for (int round = 0; round < 500; ++round) {
    CAPTURE(round);
    const EscapeGrid grid = full_grid(5 + below(5), 5 + below(5), 800'000, 500'000, 50'000);
    std::vector<EscapeWire> wires;
    for (int n = 4 + below(12); n > 0; --n) {
      EscapeWire wire{{below(grid.rows), below(grid.columns)}, false, false, {}};
      const double x = below(30) - 10, y = below(30) - 10;
      wire.beyond = [=](Cell c) { return std::hypot((c.column - x) * 800'000.0, (c.row - y) * 800'000.0); };
      wires.push_back(wire);
    }
    std::vector<EscapeWire> anywhere = wires;
    for (EscapeWire& wire : anywhere) wire.beyond = {};
    const Escape plain = find_escape(grid, anywhere, 117'000);
    const Escape toward = find_escape(grid, wires, 117'000);
    REQUIRE(toward.found == plain.found);
    std::map<std::pair<std::pair<int, int>, std::pair<int, int>>, int> passed;
    for (std::size_t w = 0; w < wires.size(); ++w) {
      const auto& cells = toward.routes[w].cells;
      REQUIRE(cells.empty() == plain.routes[w].cells.empty());
      if (cells.empty()) continue;
      before += way_length(grid, wires[w], plain.routes[w].cells);
      after += way_length(grid, wires[w], cells);
      for (std::size_t i = 1; i < cells.size(); ++i) {
        const std::pair<int, int> a{cells[i - 1].row, cells[i - 1].column}, b{cells[i].row, cells[i].column};
        const int through = ++passed[{std::min(a, b), std::max(a, b)}];
        CHECK(through <= room_between(grid, cells[i - 1], cells[i], 117'000));
      }
    }
  }
  MESSAGE("in all, mm: by the nearest way out ", before / 1e6, ", toward the landing ", after / 1e6);
  CHECK(after < before);
}
