#include "viewer/scene/signs.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

namespace landfall::scene {
namespace {

// Half of a disc as a polygon: from `start` degrees on, clockwise.
std::vector<P> half_disc(P at, double radius, double start) {
  std::vector<P> points;
  for (int i = 0; i <= 18; ++i) {
    const double angle = (start + 10.0 * i) * std::numbers::pi / 180;
    points.push_back({at.x + radius * std::cos(angle), at.y + radius * std::sin(angle)});
  }
  return points;
}

void bar(Canvas& canvas, P at, double length, double thick, Colour c, bool upright) {
  const double w = upright ? thick : length;
  const double h = upright ? length : thick;
  canvas.rect({at.x - w / 2, at.y - h / 2, w, h}, c);
}

void supply(Canvas& canvas, P at, double r, Colour hue, bool plus) {
  const bool small = r < 7;
  const double length = small ? 1.4 * r : 1.12 * r;
  const double thick = std::max(1.0, small ? 0.44 * r : 0.24 * r);
  if (!small) canvas.ring(at, r, std::max(1.2, 0.15 * r), hue);
  bar(canvas, at, length, thick, hue, false);
  if (plus) bar(canvas, at, length, thick, hue, true);
}

void slit(Canvas& canvas, P at, double r, Colour under, bool slanted) {
  const double half = std::max(1.8, 0.36 * r) / 2;
  const double reach = 1.08 * r;
  if (!slanted) {
    canvas.rect({at.x - half, at.y - reach, 2 * half, 2 * reach}, under);
    return;
  }
  // From lower left to upper right.
  const double d = reach * 0.7071;
  const double o = half * 0.7071;
  canvas.polygon({{at.x - d - o, at.y + d - o},
                  {at.x + d - o, at.y - d - o},
                  {at.x + d + o, at.y - d + o},
                  {at.x - d + o, at.y + d + o}},
                 under);
}

}  // namespace

void draw_class(Canvas& canvas, SignalClass c, P at, double r, Colour hue, Colour under) {
  const double rim = std::max(1.2, 0.15 * r);
  switch (c) {
    case SignalClass::kPower:
      return supply(canvas, at, r, hue, true);
    case SignalClass::kGround:
      return supply(canvas, at, r, hue, false);
    case SignalClass::kUnconnected:
      return canvas.ring(at, r, rim, hue);
    case SignalClass::kUnknown:
      canvas.ring(at, r, rim, hue);
      return canvas.disc(at, 0.28 * r, hue);
    case SignalClass::kDifferential:
      canvas.disc({at.x - 0.52 * r, at.y}, 0.54 * r, hue);
      return canvas.disc({at.x + 0.52 * r, at.y}, 0.54 * r, hue);
    case SignalClass::kMask:
    case SignalClass::kCommand:
      canvas.ring(at, r * 0.92, std::max(1.2, 0.16 * r), hue);
      return canvas.polygon(half_disc(at, r, c == SignalClass::kMask ? 180 : 90), hue);
    default:
      break;
  }
  canvas.disc(at, r, hue);
  switch (c) {
    case SignalClass::kClock:
      for (const double side : {-1.0, 1.0}) {
        canvas.polygon({{at.x + side * 1.06 * r, at.y - 0.74 * r},
                        {at.x + side * 1.06 * r, at.y + 0.74 * r},
                        {at.x + side * 0.16 * r, at.y}},
                       under);
      }
      break;
    case SignalClass::kStrobe:
      slit(canvas, at, r, under, false);
      break;
    case SignalClass::kAnalogue:
      slit(canvas, at, r, under, true);
      break;
    case SignalClass::kAddress:
      canvas.disc(at, 0.44 * r, under);
      break;
    case SignalClass::kControl:
      canvas.rect({at.x + 0.06 * r, at.y - 1.08 * r, 1.02 * r, 1.02 * r}, under);
      break;
    default:
      break;
  }
}

void draw_mark(Canvas& canvas, MarkKind kind, P at, double h, Colour mark, Colour under) {
  const double plate = 1.14 * h;
  canvas.rect({at.x - plate, at.y - plate, 2 * plate, 2 * plate}, under);
  const double thick = std::max(1.4, 0.2 * h);
  Colour figure = under;
  double figure_down = 0;
  switch (kind) {
    case MarkKind::kSound:
      return;
    case MarkKind::kMask:
      canvas.rect({at.x - h, at.y - h, 2 * h, thick}, mark);
      canvas.rect({at.x - h, at.y + h - thick, 2 * h, thick}, mark);
      figure = mark;
      break;
    case MarkKind::kLoose:
      canvas.path({{at.x - h, at.y - h},
                   {at.x + h, at.y - h},
                   {at.x + h, at.y + h},
                   {at.x - h, at.y + h},
                   {at.x - h, at.y - h}},
                  thick, mark);
      figure = mark;
      break;
    case MarkKind::kMissing:
      canvas.rect({at.x - h, at.y - h, 2 * h, 2 * h}, mark);
      break;
    case MarkKind::kTorn:
      canvas.polygon({{at.x, at.y - 1.1 * h}, {at.x + 1.1 * h, at.y + h}, {at.x - 1.1 * h, at.y + h}}, mark);
      figure_down = 0.3 * h;
      break;
    case MarkKind::kBarrel:
      canvas.polygon(
          {{at.x, at.y - 1.2 * h}, {at.x + 1.2 * h, at.y}, {at.x, at.y + 1.2 * h}, {at.x - 1.2 * h, at.y}},
          mark);
      break;
    case MarkKind::kChip:
      canvas.rect({at.x - h, at.y - h, 2 * h, 1.8 * thick}, mark);
      canvas.rect({at.x - h, at.y - h, thick, 2 * h}, mark);
      canvas.rect({at.x + h - thick, at.y - h, thick, 2 * h}, mark);
      figure = mark;
      figure_down = 0.25 * h;
      break;
  }
  if (h < 6) return;
  canvas.label({at.x, at.y + figure_down}, std::to_string(static_cast<int>(kind)), std::max(8.0, 1.25 * h),
               Typeface::kBold, Align::kMiddle, figure);
}

void draw_sound_corner(Canvas& canvas, P ball, double r, Colour mark) {
  const P point{ball.x + 1.2 * r + 0.3, ball.y + 1.2 * r + 0.3};
  const double arm = std::max(3.2, 0.66 * r);
  canvas.path({{point.x, point.y - arm}, point, {point.x - arm, point.y}}, r >= 15 ? 0.1 * r : 1.5, mark);
}

void draw_need(Canvas& canvas, rework::Need need, P at, double r, Colour ink) {
  const double w = std::max(1.4, 0.28 * r);
  switch (need) {
    case rework::Need::kNone:
      return canvas.path({{at.x - r, at.y}, {at.x - 0.3 * r, at.y + 0.8 * r}, {at.x + r, at.y - 0.8 * r}}, w,
                         ink);
    case rework::Need::kOptional:
      return canvas.ring(at, 0.8 * r, w, ink);
    case rework::Need::kRebuild:
      canvas.disc({at.x, at.y - 0.35 * r}, 0.55 * r, ink);
      canvas.line({at.x, at.y}, {at.x, at.y + 0.8 * r}, w, ink);
      return canvas.line({at.x - r, at.y + 0.85 * r}, {at.x + r, at.y + 0.85 * r}, w, ink);
    case rework::Need::kWire:
      canvas.disc({at.x - 0.35 * r, at.y + 0.35 * r}, 0.6 * r, ink);
      return canvas.line({at.x, at.y}, {at.x + r, at.y - r}, w, ink);
    case rework::Need::kCannot:
      canvas.line({at.x - 0.8 * r, at.y - 0.8 * r}, {at.x + 0.8 * r, at.y + 0.8 * r}, w, ink);
      return canvas.line({at.x + 0.8 * r, at.y - 0.8 * r}, {at.x - 0.8 * r, at.y + 0.8 * r}, w, ink);
  }
}

void draw_state(Canvas& canvas, rework::State state, P at, double width, const Theme& theme) {
  const double h = width * 1.35;
  const double x = at.x - width / 2;
  const double y = at.y - h / 2;
  const double cell = h / 3;
  const auto box = [&](Colour c) {
    canvas.path({{x, y}, {x + width, y}, {x + width, y + h}, {x, y + h}, {x, y}}, 1.4, c);
    canvas.line({x, y + cell}, {x + width, y + cell}, 1, c);
    canvas.line({x, y + 2 * cell}, {x + width, y + 2 * cell}, 1, c);
  };
  switch (state) {
    case rework::State::kUp:
      canvas.rect({x, y, width, h}, theme.ok);
      return box(theme.ok);
    case rework::State::kDegraded:
      canvas.rect({x, y + 2 * cell, width, cell}, theme.warn);
      return box(theme.warn);
    case rework::State::kDown:
      box(theme.bad);
      return canvas.line({x - 3, y + h + 2}, {x + width + 3, y - 2}, 1.8, theme.bad);
    case rework::State::kUnknown:
      for (const auto& [a, b] : {std::pair<P, P>{{x, y}, {x + width, y}},
                                 {{x + width, y}, {x + width, y + h}},
                                 {{x + width, y + h}, {x, y + h}},
                                 {{x, y + h}, {x, y}}}) {
        canvas.dashes(a, b, {3, 2}, 1.2, theme.ink2);
      }
      return canvas.disc(at, 2, theme.ink2);
  }
}

}  // namespace landfall::scene
