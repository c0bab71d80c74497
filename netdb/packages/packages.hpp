// Ball maps: a part's grid from the places of its lands, checked against the names of its balls.
// DESIGN.md section 4; row letters: JEDEC Publication 95 (TRADE.md T1).
#pragma once

#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/package.hpp"
#include "netdb/model/result.hpp"

namespace landfall::packages {

// The part's grid. From places where the part's lands have them (a robust least-squares fit of column and row
// to x and y, reflection included), else from the names alone. A part that is no area array (a slot, a QFP)
// comes back as kOther with each pin's place. Names are never changed: what disagrees with its place is said.
// Pure. O(pins log pins).
Package package_of(const BoardIndex& index, Index part);

// The references of all area arrays with at least `least` balls, most balls first.
std::vector<Index> area_arrays(const BoardIndex& index, std::size_t least = 9);

// A board of one bare part "U1" from rows, columns and pitch, balls named by JEDEC, no nets.
// kUsage when rows or columns are not in 1..200 or the pitch is not in 0.05 mm..10 mm.
Result<Board> bare_board(int rows, int columns, Nm pitch);

}  // namespace landfall::packages
