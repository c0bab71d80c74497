// Whether two lists that came together are of one chip.
#pragma once

#include <string>

#include "netdb/model/board.hpp"

namespace landfall::join {

// Why two bare parts seem to be different chips, as an end of "A and B ...": of the balls that both name more
// than a tenth are called otherwise, the one numbers its pins where the other has a grid, or more than a
// tenth of the one's balls have no land in the other's footprint. Empty when they may be one chip's, such as
// a list in two files. Common practice, no source. O(pins).
std::string why_two_chips(const Board& a, const Board& b);

}  // namespace landfall::join
