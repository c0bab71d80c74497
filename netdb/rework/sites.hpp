// Which pins of a part are sites of an area array, and which parts are such arrays: by the names of the pins,
// so that it needs no grid. Pure.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/test_point.hpp"

namespace landfall::rework {

// The part's balls: fiducials and mounting pads of its footprint ("fid1", "MP") are no sites of an area
// array. Of any other part all its pins.
std::vector<Index> sites_of(const BoardIndex& index, Index part);

// Nine pins or more, nine in ten of them named like balls, in three rows and columns or more.
bool is_area_array(const BoardIndex& index, Index part);

// "U1.A1"; kNone where the board has no such pin.
Index pin_named(const BoardIndex& index, std::string_view text);

// "R1.1, R1.2 and R2.1".
std::string names_of(const BoardIndex& index, const std::vector<Index>& pins);

// A pin that something works at: of a fitted part that is no test point.
bool is_live(const BoardIndex& index, Index pin);

}  // namespace landfall::rework
