#include <algorithm>
#include <cmath>

#include "viewer/scene/board_scene.hpp"
#include "viewer/scene/free_place.hpp"

// The board's copper that is asked for: the net under study, on this side strong, elsewhere thin; and its
// wires.

namespace landfall::scene {
namespace {

constexpr double kLeastStrong = 2.2;  // pixels: a track of the net is drawn at least so wide
constexpr double kThin = 1.5;
constexpr double kRoundEnds = 2.5;  // pixels: narrower runs need no round ends
constexpr double kSideHatch = 5;
constexpr double kOtherHatch = 12;
constexpr std::size_t kMostRings = 40;  // pins of a net beyond which their lands get no ring

double length_of(P a, P b) {
  return std::hypot(b.x - a.x, b.y - a.y);
}

}  // namespace

// One run of copper: as wide as it is where it is on this side, else a thin line along its middle.
void BoardView::draw_stroke(Canvas& canvas, const std::vector<P>& board, Nm width, Colour c,
                            bool solid) const {
  std::vector<P> points;
  for (const P p : board) {
    const P at = to_screen(p);
    if (points.empty() || length_of(points.back(), at) > 0.4) points.push_back(at);
  }
  const double wide = solid ? std::max(static_cast<double>(width) * scale_, kLeastStrong) : kThin;
  if (solid && wide > kRoundEnds) {
    canvas.disc(points.front(), wide / 2, c);
    if (points.size() > 1) canvas.disc(points.back(), wide / 2, c);
  }
  // A track's width is what it is, whatever the theme makes of lines.
  if (points.size() > 1) canvas.path(std::move(points), solid ? wide / theme_.stroke : wide, c);
}

void BoardView::draw_tracks(Canvas& canvas, bool side_layer) const {
  const Colour own = side_layer ? theme_.act : mix(theme_.act, theme_.lands, 0.75);
  const Colour beyond = mix(theme_.act, theme_.lands, side_layer ? 0.7 : 0.55);
  const auto draw_one = [&](const std::vector<P>& points, Nm width, int layer, Index net) {
    const Study how = study(net);
    if (how == Study::kNone || (layer == side_layer_) != side_layer) return;
    if (!near_view((points.front() + points.back()) * 0.5, length_of(points.front(), points.back()))) return;
    draw_stroke(canvas, points, width, how == Study::kNet ? own : beyond, side_layer);
  };
  for (const Track& track : board_.tracks) {
    if (study(track.net) != Study::kNone)
      draw_one({place_of(track.from), place_of(track.to)}, track.width, track.layer, track.net);
  }
  for (const Arc& arc : board_.arcs) {
    if (study(arc.net) != Study::kNone) draw_one(arc_path(arc), arc.width, arc.layer, arc.net);
  }
}

void BoardView::draw_every_track(Canvas& canvas) const {
  const Colour c = mix(theme_.line, theme_.lands, 0.4);
  for (const Track& track : board_.tracks) {
    const P a = place_of(track.from);
    const P b = place_of(track.to);
    if (track.layer != side_layer_ || !near_view((a + b) * 0.5, length_of(a, b))) continue;
    const double wide = std::max(static_cast<double>(track.width) * scale_, 0.8);
    canvas.line(to_screen(a), to_screen(b), wide / theme_.stroke, c);
    if (wide < kRoundEnds) continue;
    canvas.disc(to_screen(a), wide / 2, c);
    canvas.disc(to_screen(b), wide / 2, c);
  }
  for (const Arc& arc : board_.arcs) {
    if (arc.layer != side_layer_ ||
        !near_view(place_of(arc.mid), static_cast<double>(distance(arc.from, arc.to))))
      continue;
    std::vector<P> points = arc_path(arc);
    for (P& p : points) p = to_screen(p);
    canvas.path(std::move(points), std::max(static_cast<double>(arc.width) * scale_, 0.8) / theme_.stroke, c);
  }
}

// Filled zones: level hatching close together on this side, upright and wide apart on the others.
void BoardView::draw_fills(Canvas& canvas, bool side_layer) const {
  const Colour c = mix(theme_.act, theme_.lands, side_layer ? 0.7 : 0.4);
  for (const Fill& fill : board_.fills) {
    if (fill.net != net_ || (fill.layer == side_layer_) != side_layer) continue;
    std::vector<P> ring;
    ring.reserve(fill.ring.size());
    for (const Point p : fill.ring) {
      const P at = to_screen(place_of(p));
      ring.push_back(side_layer ? at : P{at.y, at.x});
    }
    const double low = side_layer ? inner_.y : inner_.x;
    const double high = low + (side_layer ? inner_.height : inner_.width);
    const double step = side_layer ? kSideHatch : kOtherHatch;
    // The hatching keeps to the board while it is dragged; layers stand beside one another.
    const double phase =
        std::fmod(side_layer ? middle_.y : middle_.x, step) + (side_layer ? 0 : 3.0 * fill.layer);
    for (const Stroke& s : hatch(ring, step, phase, low, high)) {
      const double least = side_layer ? inner_.x : inner_.y;
      const double most = least + (side_layer ? inner_.width : inner_.height);
      if (s.to < least || s.from > most) continue;
      const double from = std::max(s.from, least);
      const double to = std::min(s.to, most);
      const P a = side_layer ? P{from, s.y} : P{s.y, from};
      const P b = side_layer ? P{to, s.y} : P{s.y, to};
      canvas.line(a, b, 1, c);
    }
  }
}

// An exposed via is a thick ring, a tented one dashed; where the file does not say, a plain ring.
void BoardView::draw_vias(Canvas& canvas) const {
  for (const Via& via : board_.vias) {
    const Study how = study(via.net);
    const auto d = static_cast<double>(via.diameter);
    if (how == Study::kNone || !near_view(place_of(via.at), d)) continue;
    const bool here = via.first <= side_layer_ && side_layer_ <= via.last;
    const Colour c = mix(theme_.act, theme_.lands, how == Study::kNet ? (here ? 1.0 : 0.62) : 0.6);
    const P at = to_screen(place_of(via.at));
    const double r = std::max(d / 2 * scale_, 2.0);
    const Cover cover = in_.side == Side::kTop ? via.top : via.bottom;
    canvas.disc(at, r, theme_.lands);
    if (here && cover == Cover::kOpen) {
      canvas.ring(at, r * 0.75, std::max(r * 0.5, 1.4) / theme_.stroke, c);
    } else if (here && cover == Cover::kTented && r >= 4) {
      for (int piece = 0; piece < 8; ++piece)
        canvas.arc(at, r * 0.86, piece * 45.0, piece * 45.0 + 27, 1.4, c);
    } else {
      canvas.ring(at, r * 0.86, here ? 1.4 : 1, c);
    }
  }
}

void BoardView::draw_net_lands(Canvas& canvas) const {
  const Colour beyond = mix(theme_.act, theme_.lands, 0.7);
  const bool ringed = in_.board->index().pins_of_net(net_).size() <= kMostRings;
  for (const Index i : lands_) {
    const Land& land = board_.lands[i];
    const Study how = study(land.net);
    if (how == Study::kNone) continue;
    draw_land(canvas, land, how == Study::kNet ? theme_.act : beyond);
    const double r = static_cast<double>(std::min(land.width, land.height)) / 2 * scale_;
    if (ringed)
      canvas.ring(to_screen(place_of(land.at)), std::max(r + 3, 6.0), 1.6,
                  how == Study::kNet ? theme_.act : beyond);
  }
  // Those of the other side as dashed rings: there, but not to be reached from here.
  if (!ringed) return;
  for (const Index pin : in_.board->index().pins_of_net(net_)) {
    for (const Index i : in_.board->index().lands_of_pin(pin)) {
      const Land& land = board_.lands[i];
      const P at = to_screen(place_of(land.at));
      if (on_side(land) || !inner_.contains(at)) continue;
      const double r = std::max(static_cast<double>(std::min(land.width, land.height)) / 2 * scale_ + 3, 6.0);
      for (int piece = 0; piece < 6; ++piece)
        canvas.arc(at, r, piece * 60.0, piece * 60.0 + 30, 1.4, theme_.act);
    }
  }
}

// The way through a series part is no copper: dashed, from terminal to terminal.
void BoardView::draw_series(Canvas& canvas) const {
  for (const Series& s : series_) {
    const auto from = place_of_pin(s.near_pin);
    const auto to = place_of_pin(s.far_pin);
    if (!from || !to || !near_view(*from, length_of(*from, *to))) continue;
    canvas.dashes(to_screen(*from), to_screen(*to), {4, 3}, 1.8, theme_.act);
  }
}

void BoardView::draw_wires(Canvas& canvas) const {
  std::vector<WireEnd> ends;
  for (const BoardWire& wire : in_.wires) {
    if (wire.points.size() < 2) continue;
    std::vector<P> points;
    for (const Point p : wire.points) points.push_back(to_screen(place_of(p)));
    const bool present = wire.state == WireState::kPresent;
    Colour c = theme_.ink;
    if (wire.state == WireState::kDone) c = theme_.ok;
    if (wire.state == WireState::kFailed) c = theme_.bad;
    if (wire.state == WireState::kToDo) {
      for (std::size_t i = 0; i + 1 < points.size(); ++i)
        canvas.dashes(points[i], points[i + 1], {7, 4}, 1.8, c);
    } else {
      canvas.path(points, present ? 3.4 : (wire.state == WireState::kFailed ? 1.2 : 2), c);
    }
    if (wire.state == WireState::kFailed) {
      const P middle = (points[(points.size() - 1) / 2] + points[(points.size() - 1) / 2 + 1]) * 0.5;
      canvas.line(middle - P{5, 5}, middle + P{5, 5}, 1.8, c);
      canvas.line(middle + P{-5, 5}, middle + P{5, -5}, 1.8, c);
    }
    for (const P at : {points.front(), points.back()}) {
      if (inner_.contains(at)) ends.push_back({at, wire.number, c, present});
    }
  }
  draw_wire_numbers(canvas, std::move(ends));
}

// The present wire's stand where they belong; others beside, with a line to their end.
void BoardView::draw_wire_numbers(Canvas& canvas, std::vector<WireEnd> ends) const {
  std::stable_partition(ends.begin(), ends.end(), [](const WireEnd& end) { return end.present; });
  std::vector<P> taken;
  std::vector<P> places;
  for (const WireEnd& end : ends) places.push_back(free_place(taken, end.at, inner_, {24, 20}, {12, 10}));
  for (std::size_t i = 0; i < ends.size(); ++i) {
    const double moved = std::hypot(places[i].x - ends[i].at.x, places[i].y - ends[i].at.y);
    if (moved > 1) canvas.line(ends[i].at, places[i], 1, ends[i].colour);
  }
  for (std::size_t i = 0; i < ends.size(); ++i) {
    const P at = places[i];
    // A pill of 22 x 18, the one round-cornered thing.
    const auto pill = [&](double grow, Colour fill) {
      canvas.disc({at.x - 2, at.y}, 9 + grow, fill);
      canvas.disc({at.x + 2, at.y}, 9 + grow, fill);
      canvas.rect({at.x - 2, at.y - 9 - grow, 4, 18 + 2 * grow}, fill);
    };
    pill(0, ends[i].colour);
    if (!ends[i].present) pill(-1.4, theme_.sheet);
    canvas.label(at, std::to_string(ends[i].number), 12, Typeface::kBold, Align::kMiddle,
                 ends[i].present ? theme_.invert : theme_.ink);
  }
}

}  // namespace landfall::scene
