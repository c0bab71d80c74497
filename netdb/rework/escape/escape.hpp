// Wires leave between the balls, under the chip that will be soldered back on top. The room is a graph: a
// cell lies between four sites, a gap between two neighbouring sites joins two cells, and so many wires pass
// it as TRADE.md T31 to T33 say. A minimum-cost flow of greatest size says whether all get out, and how; its
// minimum cut names the bottleneck. DESIGN.md section 5, "Escape". Pure.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "netdb/model/package.hpp"
#include "netdb/model/units.hpp"

namespace landfall::rework {

// Rows and columns count from 0 here.
struct EscapeGrid {
  int rows = 0, columns = 0;
  Nm pitch_x = 0, pitch_y = 0;  // along a row, along a column
  Nm joint = 0;                 // a joint's widest diameter once soldered
  Nm clearance = 0;             // between a wire and a joint
  std::vector<char> ball;       // rows x columns: whether there is one
  [[nodiscard]] bool has_ball(int row, int column) const {
    return row >= 0 && column >= 0 && row < rows && column < columns &&
           ball[static_cast<std::size_t>(row * columns + column)] != 0;
  }
};

struct GridPlace {
  int row = 0, column = 0;
  friend bool operator==(const GridPlace&, const GridPlace&) = default;
};

// A cell: (i, j) lies above row i and left of column j, so 0..rows, 0..columns; those at the rim are outside.
using Cell = GridPlace;

struct EscapeWire {
  GridPlace from;
  bool inside = false;   // it ends within the array, at `to`: a site, or a landing in a cell
  bool to_cell = false;  // `to` is a cell, not a site
  GridPlace to;
  Nm overall = 0;  // its diameter; 0: that of find_escape()
  // How far it has still to go from a cell, nm: no more than any way from there. Of one that leaves; none:
  // the nearest way out is as good as any.
  std::function<double(Cell)> beyond{};
};

struct EscapeRoute {
  std::vector<Cell> cells;  // from the cell beside the site to the last one; empty: no way
};

struct Escape {
  bool fits = true;
  std::size_t asked = 0, found = 0;  // wires
  std::vector<EscapeRoute> routes;   // beside the wires
  // Not all were found, yet nothing that was tried forbids it: it could not be shown either way. False where
  // it is proven that they do not fit.
  bool may_fit = false;
  // When it does not fit: the gaps of the minimum cut (each two cells) and how many wires they let through,
  // for the thickest wires that did not all get out.
  std::vector<std::pair<Cell, Cell>> bottleneck;
  int bottleneck_room = 0;
  Nm bottleneck_wire = 0;  // their diameter
};

// How many wires of overall diameter `wire` pass from one cell to its neighbour.
int room_between(const EscapeGrid& grid, Cell a, Cell b, Nm wire);

// Capacity is width, in whole nanometres. Those that end inside go first, thick before thin, short before
// long, each by its shortest way; then all that must leave, thickness by thickness from the thickest on: each
// thickness as one minimum-cost flow on the room that is left. At last each wire that leaves is laid anew by
// its own shortest way to where it goes, on the room that the others leave it, until none gets shorter. What
// it finds does fit. With one thickness and none that ends inside what it does not find does not fit either;
// else `may_fit` tells which (several widths in one flow are a hard problem, and the order is not always the
// best one). O(wires x cells log cells).
Escape find_escape(const EscapeGrid& grid, const std::vector<EscapeWire>& wires, Nm wire);

}  // namespace landfall::rework
