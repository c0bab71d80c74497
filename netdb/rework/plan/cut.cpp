#include "netdb/rework/plan/cut.hpp"

#include <algorithm>
#include <set>

namespace landfall::rework {
namespace {

using Gap = std::pair<std::pair<int, int>, std::pair<int, int>>;

Gap gap_of(Cell a, Cell b) {
  const std::pair<int, int> first{a.row, a.column};
  const std::pair<int, int> second{b.row, b.column};
  return first < second ? Gap{first, second} : Gap{second, first};
}

// The cells that can be reached from the starts without passing a closed gap; empty when the rim is among
// them: then the gaps do not close anything in.
std::set<std::pair<int, int>> shut_in_cells(const EscapeGrid& grid, const std::set<Gap>& closed,
                                            const std::vector<Cell>& starts) {
  std::set<std::pair<int, int>> reached;
  std::vector<Cell> open = starts;
  while (!open.empty()) {
    const Cell cell = open.back();
    open.pop_back();
    if (cell.row <= 0 || cell.column <= 0 || cell.row >= grid.rows || cell.column >= grid.columns) return {};
    if (!reached.insert({cell.row, cell.column}).second) continue;
    for (const Cell next : {Cell{cell.row - 1, cell.column}, Cell{cell.row + 1, cell.column},
                            Cell{cell.row, cell.column - 1}, Cell{cell.row, cell.column + 1}}) {
      if (!closed.contains(gap_of(cell, next))) open.push_back(next);
    }
  }
  return reached;
}

}  // namespace

std::pair<GridPlace, GridPlace> gap_sites(Cell a, Cell b) {
  const int row = std::max(a.row, b.row) - 1;
  const int column = std::max(a.column, b.column) - 1;
  if (a.row == b.row) return {{row, column}, {row + 1, column}};
  return {{row, column}, {row, column + 1}};
}

void place_cut(const Lattice& lattice, const std::vector<EscapeWire>& wires, EscapeAnswer& answer) {
  const Escape& escape = answer.escape;
  if (escape.fits) return;
  std::vector<Cell> starts;
  for (std::size_t k = 0; k < answer.wires.size(); ++k) {
    if (!escape.routes[k].cells.empty()) continue;
    answer.stay.push_back(answer.wires[k]);
    const GridPlace site = wires[k].from;  // its four cells
    for (const int row : {site.row, site.row + 1}) {
      for (const int column : {site.column, site.column + 1}) starts.push_back({row, column});
    }
  }
  if (escape.may_fit) return;
  std::set<Gap> closed;
  for (const auto& [a, b] : escape.bottleneck) {
    closed.insert(gap_of(a, b));
    const auto [first, second] = gap_sites(a, b);
    answer.closed.emplace_back(lattice.place(first.row, first.column),
                               lattice.place(second.row, second.column));
  }
  for (const auto& [row, column] : shut_in_cells(lattice.grid(), closed, starts)) {
    answer.shut_in.push_back({lattice.place(row - 1, column - 1), lattice.place(row - 1, column),
                              lattice.place(row, column), lattice.place(row, column - 1)});
  }
}

}  // namespace landfall::rework
