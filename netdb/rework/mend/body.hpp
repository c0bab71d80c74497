// How far the body of an area-array part reaches over the board beyond its balls. No importer keeps a drawn
// body; a footprint's name often says its size, and where none does a margin stands for it.
#pragma once

#include <optional>
#include <string_view>

#include "netdb/model/board_index.hpp"
#include "netdb/rework/copper/shape.hpp"

namespace landfall::rework {

// What a body whose size is not told is taken to reach beyond the middles of its outer balls, in pitches, and
// what it may reach at most. Source: Debian's kicad-footprints 6.0.10, Package_BGA and Package_CSP, outline
// on F.Fab: over both axes of 135 arrays whose names state a pitch, 1.0 is the median and nine in ten are
// at 1.5 or less (tests/rework_body_test.cpp reads them).
inline constexpr double kBodyReach = 1.0;
inline constexpr double kBodyAtMost = 1.5;

struct Body {
  Box balls;          // around the part's lands: covered for certain
  Box reach;          // of the body as told, else what is assumed
  Box at_most;        // the same as reach where it is told
  bool told = false;  // the footprint's name says how large it is
};

// The body's size as a footprint's name gives it, along its x and y before turning: a field "9.0x13.0mm", or
// "B9.0x13.0mm", between underscores (KiCad Library Convention F2.2). Nothing when no field does.
struct BodySize {
  Nm x = 0, y = 0;
};
std::optional<BodySize> size_in_name(std::string_view footprint);

// Of a part that is_area_array; nothing when its lands are not known. A size in the name is believed only
// where it covers every ball's middle and goes at most 5 mm beyond. O(pins of the part, a row of them each).
std::optional<Body> body_of(const BoardIndex& index, Index part);

}  // namespace landfall::rework
