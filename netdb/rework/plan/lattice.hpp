// A lifted array's grid on the board: where its cells lie, which site a pin is.
#pragma once

#include <map>
#include <optional>

#include "netdb/model/board_index.hpp"
#include "netdb/model/package.hpp"
#include "netdb/rework/escape/escape.hpp"

namespace landfall::rework {

class Lattice {
 public:
  // Nothing when the package is no area array with places, or its pitch is not known.
  static std::optional<Lattice> of(const BoardIndex& index, const Package& package, Nm clearance);

  [[nodiscard]] const EscapeGrid& grid() const { return grid_; }
  [[nodiscard]] std::optional<GridPlace> site(Index pin) const;
  [[nodiscard]] std::string name(GridPlace site) const;  // of the ball there, else "row 3, column 4"
  // On the board; rows and columns may lie between sites or beyond the rim.
  [[nodiscard]] Point place(double row, double column) const;
  [[nodiscard]] Point middle_of(Cell cell) const { return place(cell.row - 0.5, cell.column - 0.5); }
  // The cell that the place lies in; nothing outside the outermost sites.
  [[nodiscard]] std::optional<Cell> cell_at(Point at) const;

 private:
  EscapeGrid grid_;
  std::map<Index, GridPlace> sites_;
  std::map<std::pair<int, int>, std::string> names_;
  // x = origin + row * down + column * right, fitted to the lands by least squares.
  double origin_x_ = 0, origin_y_ = 0, down_x_ = 0, down_y_ = 0, right_x_ = 0, right_y_ = 0;
};

}  // namespace landfall::rework
