// The bottleneck of a way out, as places on the board.
#pragma once

#include "netdb/rework/plan/lattice.hpp"
#include "netdb/rework/plan/plan.hpp"

namespace landfall::rework {

// Fills `closed`, `shut_in` and `stay` of an answer whose wires and escape are known; `wires`: as the escape
// took them, beside answer.wires. O(cells log cells).
void place_cut(const Lattice& lattice, const std::vector<EscapeWire>& wires, EscapeAnswer& answer);

// The two sites between which one passes from a cell to its neighbour.
std::pair<GridPlace, GridPlace> gap_sites(Cell a, Cell b);

}  // namespace landfall::rework
