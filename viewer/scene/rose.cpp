#include "viewer/scene/rose.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace landfall::scene {
namespace {

// From the package (x right, y up, lands face, not turned) to the screen.
struct Turned {
  P at;
  double cos, sin, size;
  bool balls;
  [[nodiscard]] P operator()(double x, double y) const {
    if (balls) x = -x;
    return {at.x + (x * cos + y * sin) * size, at.y - (y * cos - x * sin) * size};
  }
};

}  // namespace

void draw_rose(Canvas& canvas, P at, double radius, Face face, double turn, const Theme& theme) {
  const bool balls = face == Face::kBalls;
  const Colour ground = balls ? theme.balls : theme.lands;
  canvas.disc(at, radius, ground);
  canvas.ring(at, radius, 1.2, theme.ink);
  if (balls) canvas.ring(at, radius - 3, 1, theme.ink);
  for (int degree = 0; degree < 360; degree += 10) {
    const double angle = degree * std::numbers::pi / 180;
    const double length = degree % 90 == 0 ? 8 : (degree % 30 == 0 ? 6 : 4);
    const P out{std::sin(angle), -std::cos(angle)};
    canvas.line(at + out * (radius - length), at + out * radius, degree % 90 == 0 ? 1.6 : 1, theme.ink);
  }
  const double angle = turn * std::numbers::pi / 180;
  const Turned place{at, std::cos(angle), std::sin(angle), radius, balls};
  canvas.polygon({place(0, 0.98), place(-0.12, 0.7), place(0.12, 0.7)}, theme.ink);
  const double h = 0.36;
  const double cut = 0.22;
  const std::vector<P> body{place(-h + cut, h), place(h, h), place(h, -h), place(-h, -h), place(-h, h - cut)};
  if (balls) {
    std::vector<P> line = body;
    line.push_back(body.front());
    canvas.path(line, 1.6, theme.ink);
    for (const double x : {-0.18, 0.0, 0.18}) {
      for (const double y : {-0.18, 0.0, 0.18})
        canvas.disc(place(x, y), std::max(1.0, radius * 0.035), theme.ink);
    }
  } else {
    canvas.polygon(body, theme.ink);
  }
  canvas.label(place(-0.5, 0.46), "A1", std::clamp(radius * 0.28, 10.0, 15.0), Typeface::kBold,
               Align::kMiddle, theme.ink);
}

double rose_turn(P middle, P point) {
  const double degrees = std::atan2(point.x - middle.x, middle.y - point.y) * 180 / std::numbers::pi;
  return normal_degrees(std::round(degrees));
}

std::string turn_words(double turn) {
  return turn == 0 ? std::string("not turned") : fmt::format("turned {:g}\u00B0 clockwise", turn);
}

}  // namespace landfall::scene
