#include "netdb/rework/escape/room.hpp"

#include <algorithm>

#include "netdb/rework/escape_gap.hpp"

namespace landfall::rework {
namespace {

// Between the joints' clearances. Each joint takes half its diameter and the clearance of the space between
// the two middles; a half nanometre too many is given up.
Nm whole_between(const EscapeGrid& grid, Cell a, Cell b) {
  // The two sites that the gap lies between: left and right of a step down, above and below a step sideways.
  const bool sideways = a.row == b.row;
  const int row = std::max(a.row, b.row);
  const int column = std::max(a.column, b.column);
  const GridPlace first{row - 1, column - 1};
  const GridPlace second = sideways ? GridPlace{row, column - 1} : GridPlace{row - 1, column};
  const Nm pitch = sideways ? grid.pitch_y : grid.pitch_x;
  const auto inside = [&](GridPlace p) {
    return p.row >= 0 && p.column >= 0 && p.row < grid.rows && p.column < grid.columns;
  };
  if (!inside(first) || !inside(second)) return kOpenRoom;  // along the rim there is all the room
  Nm twice = 2 * pitch;
  for (const GridPlace& site : {first, second}) {
    if (grid.has_ball(site.row, site.column)) twice -= grid.joint + 2 * grid.clearance;
  }
  return std::max<Nm>(twice, 0) / 2;
}

}  // namespace

Nm Room::between(int a, int b) const {
  const Nm whole = whole_between(*grid_, cell(a), cell(b));
  const auto taken = taken_between_.find(std::minmax(a, b));
  if (whole == kOpenRoom || taken == taken_between_.end()) return whole;
  return std::max<Nm>(whole - taken->second, 0);
}

Nm Room::inside(Cell c) const {
  if (is_outside(c)) return kOpenRoom;
  for (int row = c.row - 1; row <= c.row; ++row) {
    for (int column = c.column - 1; column <= c.column; ++column) {
      if (!grid_->has_ball(row, column)) return kOpenRoom;
    }
  }
  const Nm whole = diagonal_gap({grid_->pitch_x, grid_->joint, grid_->clearance, 0}, grid_->pitch_y) -
                   2 * grid_->clearance;
  const auto taken = taken_inside_.find(number(c));
  return std::max<Nm>(whole - (taken == taken_inside_.end() ? 0 : taken->second), 0);
}

void Room::lay(const std::vector<Cell>& route, Nm wire) {
  for (std::size_t i = 1; i < route.size(); ++i) {
    taken_between_[std::minmax(number(route[i - 1]), number(route[i]))] += wire;
    if (i + 1 < route.size()) taken_inside_[number(route[i])] += wire;
  }
}

int room_between(const EscapeGrid& grid, Cell a, Cell b, Nm wire) {
  const Nm room = whole_between(grid, a, b);
  if (room == kOpenRoom) return 1'000'000;
  return wire > 0 ? static_cast<int>(room / wire) : 0;
}

}  // namespace landfall::rework
