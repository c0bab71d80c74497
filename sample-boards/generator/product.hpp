// The invented product: main board of "Skua 4", a chart plotter for fishing boats. Everything here is made
// up. Lengths in cells of 0.2 mm, y down as KiCad's files have it; parts are not turned.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace landfall::sample {

inline constexpr std::int64_t kCell = 200'000;  // nm
inline constexpr int kBoardWidth = 500;         // cells: 100 mm
inline constexpr int kBoardHeight = 350;        // cells: 70 mm

struct Cell {
  int x = 0, y = 0;
  friend bool operator==(const Cell&, const Cell&) = default;
  friend auto operator<=>(const Cell&, const Cell&) = default;
};

struct Terminal {
  std::string number, function, type;  // type in KiCad's words
  std::string net;                     // empty: not connected
  Cell at;                             // on the board
  std::int64_t width = 0, height = 0;  // nm
  bool round = false;
};

struct Component {
  std::string reference, value, footprint, symbol;
  Cell at;
  bool bottom = false;
  std::vector<Terminal> terminals;
};

// A rail that is a plane on one layer inside a rectangle of cells.
struct Plane {
  std::string net;
  int layer = 0;  // copper layer from the front
  Cell low, high;
};

// The board's corners hold screws: no plane within 28 cells of both edges. The columns that the plane covers
// in a row of cells.
struct Span {
  int low = 0, high = 0;
};
Span plane_span(const Plane& plane, int y);

struct Product {
  std::vector<Component> components;
  std::vector<Plane> planes;
  std::vector<Cell> holes;  // for screws, not plated
};

Product skua4();

}  // namespace landfall::sample
