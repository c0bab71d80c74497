// The room between the balls as widths in nm: what each gap and each cell holds, and what is taken. Shared by
// the files of this folder.
#pragma once

#include <array>
#include <map>
#include <utility>
#include <vector>

#include "netdb/rework/escape/escape.hpp"

namespace landfall::rework {

class Room {
 public:
  explicit Room(const EscapeGrid& grid) : grid_(&grid) {}

  [[nodiscard]] int cells() const { return (grid_->rows + 1) * (grid_->columns + 1); }
  [[nodiscard]] int number(Cell c) const { return c.row * (grid_->columns + 1) + c.column; }
  [[nodiscard]] Cell cell(int n) const { return {n / (grid_->columns + 1), n % (grid_->columns + 1)}; }
  [[nodiscard]] bool is_cell(Cell c) const {
    return c.row >= 0 && c.column >= 0 && c.row <= grid_->rows && c.column <= grid_->columns;
  }
  [[nodiscard]] bool is_outside(Cell c) const {
    return c.row == 0 || c.column == 0 || c.row == grid_->rows || c.column == grid_->columns;
  }
  static std::array<Cell, 4> around(GridPlace site) {
    return {Cell{site.row, site.column},
            {site.row, site.column + 1},
            {site.row + 1, site.column},
            {site.row + 1, site.column + 1}};
  }
  static std::array<Cell, 4> beside(Cell c) {
    return {Cell{c.row, c.column + 1}, {c.row + 1, c.column}, {c.row, c.column - 1}, {c.row - 1, c.column}};
  }
  [[nodiscard]] double step(Cell a, Cell b) const {
    return static_cast<double>(a.row == b.row ? grid_->pitch_x : grid_->pitch_y);
  }

  // Width in nm that is still free, never below 0; kOpenRoom along the rim.
  [[nodiscard]] Nm between(int a, int b) const;
  // The same for wires that turn inside a cell of four balls; kOpenRoom where a ball is missing or outside.
  [[nodiscard]] Nm inside(Cell c) const;
  // A wire lies along the route: it fills the gaps that it passes, and the cells but those that it ends in.
  void lay(const std::vector<Cell>& route, Nm wire);

 private:
  const EscapeGrid* grid_;
  std::map<std::pair<int, int>, Nm> taken_between_;
  std::map<int, Nm> taken_inside_;
};

inline constexpr Nm kOpenRoom = 1'000'000'000'000;  // a kilometre

}  // namespace landfall::rework
