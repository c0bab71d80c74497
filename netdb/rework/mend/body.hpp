// How far the body of an area-array part reaches over the board beyond its balls. No importer keeps a drawn
// body; a footprint's name often says its size, and where none does a margin stands for it.
#pragma once

#include <optional>
#include <string_view>

#include "netdb/model/board_index.hpp"
#include "netdb/rework/copper/shape.hpp"

namespace landfall::rework {

// What a body whose size is not told is taken to reach beyond the middles of its outer balls, and what it may
// reach at most. From sizes in footprint names: 0.4 to 0.6 mm on a 200-ball LPDDR4 of 10 x 14.5 mm, 0.9 on a
// 381-ball FPGA of 17 mm, 1.0 on a 256-ball one of 14 mm, 1.3 and 0.5 on a 96-ball DDR3 of 9 x 13 mm. The
// choice of these two figures is common practice, no source.
inline constexpr Nm kBodyBeyondBalls = 1'000'000;
inline constexpr Nm kBodyAtMost = 1'300'000;

struct Body {
  Box balls;          // around the balls' lands: covered for certain
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
// where it covers every ball's middle and goes at most 5 mm beyond. O(pins of the part).
std::optional<Body> body_of(const BoardIndex& index, Index part);

}  // namespace landfall::rework
