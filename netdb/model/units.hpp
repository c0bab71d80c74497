// Lengths, places and sides. Everything is int64 nanometres in one frame: x right, y up, seen from the
// board's top side, bottom parts included (a side is a property; nothing is mirrored).
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>

namespace landfall {

using Nm = std::int64_t;

inline constexpr Nm kNmPerMm = 1'000'000;
// The 0.0001 inch of IPC-D-356 is exactly this many nanometres.
inline constexpr Nm kNmPerTenthMil = 2'540;
// No coordinate lies further out than 10 m: a bound that keeps every product of two lengths inside int64
// and every sum of two such products inside double's exact range of comparison.
inline constexpr Nm kFarthest = 10'000 * kNmPerMm;

struct Point {
  Nm x = 0;
  Nm y = 0;
  friend bool operator==(const Point&, const Point&) = default;
  friend auto operator<=>(const Point&, const Point&) = default;
  friend Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
  friend Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
};

// Distance between two places in nm, rounded to the nearest.
inline Nm distance(Point a, Point b) {
  return std::llround(std::hypot(static_cast<double>(a.x - b.x), static_cast<double>(a.y - b.y)));
}

// Degrees, counter-clockwise, brought into [0, 360).
inline double normal_degrees(double degrees) {
  const double turned = std::fmod(degrees, 360.0);
  return turned < 0 ? turned + 360.0 : turned;
}

// `p` turned counter-clockwise about the origin; exact (no cosine) for multiples of 90 degrees.
Point turned(Point p, double degrees);

enum class Side { kTop, kBottom, kThrough };

// "top", "bottom" or "through".
std::string_view word(Side side);

// A plain decimal number of millimetres, such as "-12.7" or "+.5", as nanometres: digit by digit, never
// through a double; the seventh decimal rounds half away from zero (FORMATS: up to 17 decimals were seen).
// Nothing when the text is no such number, has an exponent, or lies beyond kFarthest.
std::optional<Nm> parse_mm(std::string_view text);

// A whole number, the entire text consumed, `+` not allowed. Nothing on any other text or on overflow.
std::optional<std::int64_t> parse_integer(std::string_view text);

// A plain decimal number (an angle, a ratio) as a double; no inf, nan, hex or exponent.
std::optional<double> parse_decimal(std::string_view text);

// `nm` in millimetres with `places` decimals, '.' as the sign, minus as '-'.
std::string mm_text(Nm nm, int places = 2);

}  // namespace landfall
