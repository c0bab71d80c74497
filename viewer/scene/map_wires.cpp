#include "viewer/scene/map_wires.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "viewer/scene/free_place.hpp"

namespace landfall::scene {
namespace {

// Board to screen, as the lands' places say: x' = a x + b y + c, and so for y'. By least squares over all
// sites, since a schematic map draws the same grid in another scale. Places in mm.
struct ToMap {
  std::array<double, 3> x{}, y{};
  [[nodiscard]] P at(Point p) const {
    const double u = static_cast<double>(p.x) / 1e6;
    const double v = static_cast<double>(p.y) / 1e6;
    return {x[0] * u + x[1] * v + x[2], y[0] * u + y[1] * v + y[2]};
  }
};

struct Sample {
  double u = 0, v = 0;
  P at;
};

std::optional<ToMap> fit(const std::vector<Sample>& samples, double tolerance) {
  if (samples.size() < 3) return std::nullopt;
  const double n = static_cast<double>(samples.size());
  double mu = 0, mv = 0, mx = 0, my = 0;
  for (const Sample& s : samples) {
    mu += s.u / n;
    mv += s.v / n;
    mx += s.at.x / n;
    my += s.at.y / n;
  }
  double uu = 0, uv = 0, vv = 0, ux = 0, vx = 0, uy = 0, vy = 0;
  for (const Sample& s : samples) {
    const double u = s.u - mu;
    const double v = s.v - mv;
    uu += u * u;
    uv += u * v;
    vv += v * v;
    ux += u * (s.at.x - mx);
    vx += v * (s.at.x - mx);
    uy += u * (s.at.y - my);
    vy += v * (s.at.y - my);
  }
  const double det = uu * vv - uv * uv;
  if (det <= 1e-9 * (uu + vv) * (uu + vv)) return std::nullopt;  // all in one line
  ToMap made;
  made.x = {(ux * vv - vx * uv) / det, (vx * uu - ux * uv) / det, 0};
  made.y = {(uy * vv - vy * uv) / det, (vy * uu - uy * uv) / det, 0};
  made.x[2] = mx - made.x[0] * mu - made.x[1] * mv;
  made.y[2] = my - made.y[0] * mu - made.y[1] * mv;
  for (const Sample& s : samples) {
    const P p{made.x[0] * s.u + made.x[1] * s.v + made.x[2], made.y[0] * s.u + made.y[1] * s.v + made.y[2]};
    if (std::hypot(p.x - s.at.x, p.y - s.at.y) > tolerance) return std::nullopt;
  }
  return made;
}

std::optional<ToMap> to_map(const WiresOnMap& on) {
  const BoardIndex& index = on.index;
  std::vector<Sample> samples;
  for (std::size_t i = 0; i < on.package.sites.size(); ++i) {
    const auto lands = index.lands_of_pin(on.package.sites[i].pin);
    if (lands.empty()) continue;
    const Point at = index.board().lands[lands[0]].at;
    samples.push_back({static_cast<double>(at.x) / 1e6, static_cast<double>(at.y) / 1e6, on.map.place(i)});
  }
  // A map whose grid is not the board's (several lattices drawn by name) gets no ways, only numbers.
  return fit(samples, on.map.pitch() * 0.4);
}

// Where the piece from `a` (inside) to `b` leaves the rectangle; nothing when `b` is inside too.
std::optional<P> leaves(const Rect& r, P a, P b) {
  if (r.contains(b)) return std::nullopt;
  double t = 1;
  const auto cut = [&](double from, double to, double low, double high) {
    if (to < low && from > to) t = std::min(t, (from - low) / (from - to));
    if (to > high && to > from) t = std::min(t, (high - from) / (to - from));
  };
  cut(a.x, b.x, r.x, r.x + r.width);
  cut(a.y, b.y, r.y, r.y + r.height);
  return a + (b - a) * std::max(t, 0.0);
}

// A wire that stays shut in has its number on the ground's colour, ringed.
void pill(Canvas& canvas, const Theme& theme, P at, int number, bool stays) {
  const std::string text = std::to_string(number);
  const double half = std::max(5.0, text_width(text, 10, Typeface::kBold) / 2 + 2);
  const auto shape = [&](double grow, Colour c) {
    canvas.disc({at.x - half + 5, at.y}, 6.5 + grow, c);
    canvas.disc({at.x + half - 5, at.y}, 6.5 + grow, c);
    canvas.rect({at.x - half + 5, at.y - 6.5 - grow, 2 * half - 10, 13 + 2 * grow}, c);
  };
  if (stays) shape(2.4, theme.bad);
  shape(0, stays ? theme.sheet : theme.ink);
  canvas.label(at, text, 10, Typeface::kBold, Align::kMiddle, stays ? theme.bad : theme.invert);
}

// A gap of the bottleneck: a bar from rim to rim.
void close_gap(Canvas& canvas, const Theme& theme, P a, P b, double radius) {
  const double length = std::hypot(b.x - a.x, b.y - a.y);
  if (length <= 2 * radius) return;
  const P step = (b - a) * (radius / length);
  canvas.line(a + step, b - step, 6, theme.bad);
}

std::vector<const rework::EscapeAnswer*> escapes_of(const WiresOnMap& on) {
  std::vector<const rework::EscapeAnswer*> own;
  for (const rework::EscapeAnswer& escape : on.plan.escapes) {
    if (escape.part == on.package.part) own.push_back(&escape);
  }
  return own;
}

// White under the line: it is seen over balls and on any ground. To do dashed, the present one strong, done
// and failed in their colours, a failed one crossed out.
void way(Canvas& canvas, const Theme& theme, P a, P b, WireState state) {
  const double width = state == WireState::kPresent ? 3.4 : (state == WireState::kDone ? 2 : 1.2);
  canvas.line(a, b, width + 1.4, theme.field);
  if (state == WireState::kToDo) return canvas.dashes(a, b, {6, 3}, 1, theme.ink);
  const Colour c =
      state == WireState::kPresent ? theme.ink : (state == WireState::kDone ? theme.ok : theme.bad);
  canvas.line(a, b, width, c);
}

std::optional<P> site_place(const WiresOnMap& on, const rework::Landing& landing) {
  for (std::size_t i = 0; i < on.package.sites.size(); ++i) {
    if (landing.pin != kNone && on.package.sites[i].pin == landing.pin) return on.map.place(i);
  }
  return std::nullopt;
}

}  // namespace

void draw_wires(Canvas& canvas, const Theme& theme, const WiresOnMap& on) {
  const auto map = to_map(on);
  const Rect frame = on.map.inner();
  struct Number {
    P at;
    int number = 0;
    bool stays = false;
  };
  std::vector<Number> numbers;
  std::vector<bool> stays(on.plan.wires.size(), false);
  for (const rework::EscapeAnswer* escape : escapes_of(on)) {
    for (const std::size_t wire : escape->stay) stays[wire] = true;
    if (!map) continue;
    for (const auto& [a, b] : escape->closed)
      close_gap(canvas, theme, map->at(a), map->at(b), on.map.radius());
  }
  for (std::size_t w = 0; w < on.plan.wires.size(); ++w) {
    const rework::PlannedWire& wire = on.plan.wires[w];
    const WireState state = w < on.states.size() ? on.states[w] : WireState::kToDo;
    const auto from = site_place(on, wire.jumper.from);
    const double beside = on.map.pitch() / 2;
    if (!from || !frame.contains(*from)) continue;  // it begins where the map does not reach
    numbers.push_back({{from->x + beside, from->y + beside}, wire.number, stays[w]});
    if (!map || stays[w]) continue;
    P last = *from;
    for (std::size_t i = 0; i < wire.route.size(); ++i) {
      const P next = map->at(wire.route[i]);
      const auto out = leaves(frame, last, next);
      way(canvas, theme, last, out ? *out : next, state);
      if (out) {
        numbers.push_back({{std::clamp(out->x, frame.x + 9, frame.x + frame.width - 9),
                            std::clamp(out->y, frame.y + 8, frame.y + frame.height - 8)},
                           wire.number,
                           false});
        break;
      }
      last = next;
      if (i + 1 == wire.route.size()) canvas.ring(last, 3, 1.2, theme.ink);
      if (state == WireState::kFailed && i == wire.route.size() / 2) {
        canvas.line(last - P{5, 5}, last + P{5, 5}, 1.8, theme.bad);
        canvas.line(last + P{-5, 5}, last + P{5, -5}, 1.8, theme.bad);
      }
    }
  }
  // Numbers that would lie on one another move apart, as long as they stay in the frame and its band.
  constexpr double kBand = 16;
  const Rect room{frame.x - kBand, frame.y - kBand, frame.width + 2 * kBand, frame.height + 2 * kBand};
  std::vector<P> taken;
  for (const Number& number : numbers)
    pill(canvas, theme, free_place(taken, number.at, room, {15, 13}, {14, 14}), number.number, number.stays);
}

void draw_shut_in(Canvas& canvas, const Theme& theme, const WiresOnMap& on) {
  constexpr double kTint = 0.16;
  const auto map = to_map(on);
  if (!map) return;
  for (const rework::EscapeAnswer* escape : escapes_of(on)) {
    for (const auto& corners : escape->shut_in) {
      canvas.polygon({map->at(corners[0]), map->at(corners[1]), map->at(corners[2]), map->at(corners[3])},
                     mix(theme.bad, on.ground, kTint));
    }
  }
}

}  // namespace landfall::scene
