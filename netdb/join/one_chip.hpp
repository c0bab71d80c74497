// Whether two lists that came together are of one chip.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "netdb/model/board.hpp"

namespace landfall::join {

// Whether a pin's name only repeats its ball, as boundary-scan descriptions of FPGAs call a general signal
// (IO_A10 or IOA10 at ball A10): such a name says nothing about what the pin is. From memory.
bool repeats_ball(std::string_view number, std::string_view name);

// What the names and balls of two bare parts say about their being one chip.
struct Likeness {
  std::string why_two;       // an end of "A and B ..."; empty when they may be one chip's
  std::size_t balls = 0;     // in both
  std::size_t of = 0;        // balls of the one that has fewer
  std::size_t repeated = 0;  // of `balls`, named in both, where one name only repeats the ball
};

// Two bare parts seem to be different chips where, of the balls that both name, more than a tenth are called
// otherwise; where the one numbers its pins and the other has a grid; or where more than a tenth of the one's
// balls have no land in the other's footprint. Names that only repeat their ball are not compared; where
// there are such, at least nine tenths of the balls of the one that has fewer must be in the other. Common
// practice, no source. O(pins).
Likeness likeness(const Board& a, const Board& b);

}  // namespace landfall::join
