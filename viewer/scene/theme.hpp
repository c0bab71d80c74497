// Colours by what they are used for, in three themes. LOOK: the tokens; hues of classes with their second
// sign, so that nothing depends on colour alone.
#pragma once

#include <cstdint>
#include <string_view>

#include "netdb/model/signal.hpp"

namespace landfall::scene {

struct Colour {
  std::uint8_t r = 0, g = 0, b = 0, a = 255;
  friend bool operator==(const Colour&, const Colour&) = default;
};

// "#RRGGBB".
constexpr Colour colour(std::string_view hex) {
  const auto digit = [](char c) { return c <= '9' ? c - '0' : (c | 0x20) - 'a' + 10; };
  const auto pair = [&](std::size_t at) {
    return static_cast<std::uint8_t>(digit(hex[at]) * 16 + digit(hex[at + 1]));
  };
  return {pair(1), pair(3), pair(5), 255};
}

enum class ThemeName { kDay, kNight, kStrong };
std::string_view word(ThemeName theme);

struct Theme {
  Colour ground, sheet, field, pick, lands, zone_lands, balls, zone_balls, ink, ink2, invert, line, rule, act,
      mark, ok, warn, bad;
  std::array<Colour, kSignalClasses> classes;
  double stroke = 1;  // lines are drawn so many times as thick
};
const Theme& theme(ThemeName name);

// `top` at `share` (0 to 1) over `under`, opaque.
Colour mix(Colour top, Colour under, double share);

// WCAG 2.2's contrast ratio of two opaque colours, 1 to 21 (W3C: relative luminance).
double contrast(Colour a, Colour b);

}  // namespace landfall::scene
