#include "viewer/scene/board_scene.hpp"

#include <algorithm>
#include <cmath>

#include "netdb/signals/links.hpp"
#include "viewer/scene/signs.hpp"

namespace landfall::scene {
namespace {

constexpr double kRuler = 26;
constexpr double kLeastLand = 1.2;  // pixels; smaller ones are left out unless they are studied
constexpr double kNear = 2;         // pixels about copper that still hit it
constexpr double kMostScale = 400;  // pixels a mm

double distance_to_segment(P p, P a, P b) {
  const P along = b - a;
  const double length2 = along.x * along.x + along.y * along.y;
  const double t =
      length2 <= 0 ? 0 : std::clamp(((p.x - a.x) * along.x + (p.y - a.y) * along.y) / length2, 0.0, 1.0);
  return std::hypot(p.x - a.x - along.x * t, p.y - a.y - along.y * t);
}

}  // namespace

BoardView::BoardView(const BoardInput& input, Rect area)
    : in_(input), board_(input.board->board()), theme_(theme(input.theme)), area_(area) {
  inner_ = {area.x + kRuler, area.y + kRuler, area.width - 2 * kRuler, area.height - 2 * kRuler};
  if (const auto extent = extent_of(board_)) {
    low_ = place_of(extent->low);
    high_ = place_of(extent->high);
  } else {
    low_ = {0, 0};
    high_ = {10.0 * static_cast<double>(kNmPerMm), 10.0 * static_cast<double>(kNmPerMm)};
  }
  centre_ = (low_ + high_) * 0.5;
  const double per_mm = 1 / static_cast<double>(kNmPerMm);
  const double wide = std::max((high_.x - low_.x) * per_mm, 1.0);
  const double high = std::max((high_.y - low_.y) * per_mm, 1.0);
  const double fit = 0.94 * std::min(inner_.width / wide, inner_.height / high);
  scale_ = (in_.fixed_scale > 0 ? in_.fixed_scale : std::clamp(fit * in_.zoom, 0.05, kMostScale)) * per_mm;
  middle_ = inner_.middle() + in_.pan;
  const bool bottom = in_.side == Side::kBottom;
  flip_ = bottom ? -1 : 1;
  side_layer_ = bottom ? std::max(static_cast<int>(board_.layers.size()) - 1, 1) : 0;
  net_ = in_.net;
  if (net_ == kNone && in_.pin != kNone) net_ = board_.pins[in_.pin].net;
  if (net_ != kNone && !is_supply(in_.board->signals().nets[net_].signal_class)) {
    for (const signals::Beyond& b : signals::reach(in_.board->index(), in_.board->signals(), net_))
      series_.push_back({b.step.near_pin, b.step.far_pin, b.net});
  }
  lifted_.assign(board_.parts.size(), false);
  if (in_.job != nullptr) {
    for (const std::string& reference : in_.job->lifted) {
      const Index part = in_.board->index().part(reference);
      if (part != kNone) lifted_[part] = true;
    }
  }
  boxes_ = part_boxes(board_);
  for (Index i = 0; i < board_.lands.size(); ++i) {
    const Land& land = board_.lands[i];
    const auto across = static_cast<double>(std::max(land.width, land.height));
    if (!on_side(land) || !near_view(place_of(land.at), across)) continue;
    if (across * scale_ < kLeastLand && study(land.net) == Study::kNone) continue;
    lands_.push_back(i);
  }
  std::vector<double> areas(board_.lands.size());
  for (const Index land : lands_) areas[land] = land_area(board_.lands[land]);
  std::stable_sort(lands_.begin(), lands_.end(), [&](Index a, Index b) { return areas[a] > areas[b]; });
  for (Index i = 0; i < boxes_.size(); ++i) {
    const PartBox& box = boxes_[i];
    if (box.corners.empty() || (box.side != in_.side && !box.both_sides)) continue;
    if (near_view(box.middle, std::hypot(box.width, box.height))) parts_.push_back(i);
  }
  std::stable_sort(parts_.begin(), parts_.end(), [&](Index a, Index b) {
    return boxes_[a].width * boxes_[a].height > boxes_[b].width * boxes_[b].height;
  });
}

P BoardView::to_screen(P board) const {
  return {middle_.x + flip_ * (board.x - centre_.x) * scale_, middle_.y - (board.y - centre_.y) * scale_};
}

P BoardView::to_board(P screen) const {
  return {centre_.x + flip_ * (screen.x - middle_.x) / scale_, centre_.y - (screen.y - middle_.y) / scale_};
}

P BoardView::pan_about(P pointer, double factor) const {
  // The board's middle moves away from the pointer by the same factor.
  return pointer + (middle_ - pointer) * factor - inner_.middle();
}

bool BoardView::on_side(const Land& land) const {
  return land.side == Side::kThrough || land.side == in_.side;
}

bool BoardView::near_view(P board, double reach) const {
  const P at = to_screen(board);
  const double r = reach * scale_ + 4;
  return at.x > inner_.x - r && at.x < inner_.x + inner_.width + r && at.y > inner_.y - r &&
         at.y < inner_.y + inner_.height + r;
}

bool BoardView::strong(Index part) const {
  return part != kNone && (part == in_.part || lifted_[part]);
}

BoardView::Study BoardView::study(Index net) const {
  if (net == kNone) return Study::kNone;
  if (net == net_) return Study::kNet;
  const bool beyond =
      std::any_of(series_.begin(), series_.end(), [&](const Series& s) { return s.net == net; });
  return beyond ? Study::kBeyond : Study::kNone;
}

std::optional<P> BoardView::place_of_pin(Index pin) const {
  const auto lands = in_.board->index().lands_of_pin(pin);
  if (lands.empty()) return std::nullopt;
  return place_of(board_.lands[lands.front()].at);
}

Index BoardView::copper_at(P at, double near) const {
  for (const Via& via : board_.vias) {
    if (study(via.net) != Study::kNet) continue;
    const P p = place_of(via.at) - at;
    if (std::hypot(p.x, p.y) <= static_cast<double>(via.diameter) / 2 + near) return via.net;
  }
  const auto shown = [&](Index net, int layer) {
    return study(net) == Study::kNet || (in_.every_track && layer == side_layer_);
  };
  Index found = kNone;
  for (const Track& track : board_.tracks) {
    if (!shown(track.net, track.layer)) continue;
    if (distance_to_segment(at, place_of(track.from), place_of(track.to)) >
        static_cast<double>(track.width) / 2 + near)
      continue;
    found = track.net;
    if (found == net_) return found;
  }
  for (const Arc& arc : board_.arcs) {
    if (!shown(arc.net, arc.layer)) continue;
    const std::vector<P> points = arc_path(arc);
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      if (distance_to_segment(at, points[i], points[i + 1]) <= static_cast<double>(arc.width) / 2 + near)
        return arc.net;
    }
  }
  return found;
}

std::optional<BoardHit> BoardView::hit(P screen) const {
  if (!inner_.contains(screen)) return std::nullopt;
  const P at = to_board(screen);
  const double near = kNear / scale_;
  // Exactly on a land goes before close to one, so that small gaps between lands stay small.
  for (const double reach : {0.0, near}) {
    for (auto it = lands_.rbegin(); it != lands_.rend(); ++it) {
      const Land& land = board_.lands[*it];
      if (land_holds(land, at, reach)) return BoardHit{*it, land.part, land.pin, land.net};
    }
  }
  if (const Index net = copper_at(at, near); net != kNone) return BoardHit{kNone, kNone, kNone, net};
  for (auto it = parts_.rbegin(); it != parts_.rend(); ++it) {
    if (boxes_[*it].holds(at)) return BoardHit{kNone, *it, kNone, kNone};
  }
  return std::nullopt;
}

void BoardView::draw(Canvas& canvas) const {
  canvas.rect(inner_, theme_.lands);
  draw_parts(canvas);
  draw_outline(canvas);  // above the parts: a connector stands on the edge
  if (in_.every_track) draw_every_track(canvas);
  if (net_ != kNone) {
    draw_fills(canvas, false);
    draw_fills(canvas, true);
    draw_tracks(canvas, false);
  }
  draw_lands(canvas);
  if (net_ != kNone) {
    draw_tracks(canvas, true);
    draw_vias(canvas);
    draw_net_lands(canvas);
    draw_series(canvas);
  }
  draw_test_points(canvas);
  draw_marks(canvas);
  draw_selection(canvas);  // its hairlines run below the names
  draw_names(canvas);
  draw_wires(canvas);
  draw_frame(canvas);
  draw_rulers(canvas);
}

void BoardView::draw_outline(Canvas& canvas) const {
  for (const auto& path : outline_paths(board_.outline)) {
    std::vector<P> points;
    points.reserve(path.size());
    for (const P p : path) points.push_back(to_screen(p));
    canvas.path(std::move(points), 2, theme_.ink);
  }
  for (const Hole& hole : board_.holes) {
    const double r = static_cast<double>(hole.drill) / 2;
    if (r * scale_ < 1 || !near_view(place_of(hole.at), r)) continue;
    canvas.ring(to_screen(place_of(hole.at)), r * scale_, 1, theme_.line);
  }
}

void BoardView::draw_part(Canvas& canvas, Index part) const {
  const PartBox& box = boxes_[part];
  if (board_.parts[part].reference.empty() || box.lands < 2) return;
  std::vector<P> ring;
  for (const P p : box.corners) ring.push_back(to_screen(p));
  const bool here = box.side == in_.side;
  if (here) canvas.polygon(ring, theme_.sheet);
  const auto first = strong(part) && here ? first_corner(in_.board->index(), part, box) : std::nullopt;
  if (first) {
    // The first corner is cut and filled, as on the map.
    const P corner = ring[*first];
    const P before = ring[(*first + 3) % 4] - corner;
    const P after = ring[(*first + 1) % 4] - corner;
    const double side = std::min(std::hypot(before.x, before.y), std::hypot(after.x, after.y));
    const double cut = std::clamp(side / 9, 3.0, 14.0);
    const P a = corner + before * (cut / std::hypot(before.x, before.y));
    const P b = corner + after * (cut / std::hypot(after.x, after.y));
    canvas.polygon({a, corner, b}, theme_.ink);
  }
  ring.push_back(ring.front());
  if (strong(part) && here) {
    canvas.path(std::move(ring), 1.8, theme_.ink);
  } else {
    canvas.path(std::move(ring), 1, here ? theme_.line : theme_.rule);
  }
}

void BoardView::draw_parts(Canvas& canvas) const {
  // Those of the other side show only that their pins come through.
  for (const bool here : {false, true}) {
    for (const Index part : parts_) {
      if ((boxes_[part].side == in_.side) == here) draw_part(canvas, part);
    }
  }
}

void BoardView::draw_land(Canvas& canvas, const Land& land, Colour c) const {
  const P at = to_screen(place_of(land.at));
  if (land.shape == LandShape::kCircle) {
    canvas.disc(at, std::max(static_cast<double>(land.width) / 2 * scale_, 0.7), c);
  } else if (land.width > 0 && land.height > 0) {
    std::vector<P> ring =
        land_ring(land, static_cast<double>(std::min(land.width, land.height)) * scale_ > 4);
    for (P& p : ring) p = to_screen(p);
    canvas.polygon(std::move(ring), c);
  }
  if (!land.outline.empty()) {
    std::vector<P> ring;
    for (const Point p : land.outline) ring.push_back(to_screen(place_of(p)));
    // Its polygon need not be convex: strokes that touch fill it with any painter.
    for (const Stroke& s : hatch(ring, 1, 0, inner_.y, inner_.y + inner_.height))
      canvas.line({s.from, s.y}, {s.to, s.y}, 1.1 / theme_.stroke, c);
  }
  if (land.drill > 0 && static_cast<double>(land.drill) * scale_ > 2)
    canvas.disc(to_screen(place_of(land.hole)), static_cast<double>(land.drill) / 2 * scale_, theme_.lands);
}

void BoardView::draw_lands(Canvas& canvas) const {
  const Colour plain = mix(theme_.line, theme_.lands, 0.62);
  for (const Index land : lands_) draw_land(canvas, board_.lands[land], plain);
}

void BoardView::draw_test_points(Canvas& canvas) const {
  for (const Index part : parts_) {
    const PartBox& box = boxes_[part];
    const bool test = board_.parts[part].reference.starts_with("TP") && box.lands == 1;
    if (!test || !inner_.contains(to_screen(box.middle))) continue;
    const double r = std::max(box.width / 2 * scale_, 4.5);
    canvas.ring(to_screen(box.middle), r, 1.3, theme_.ink);
    canvas.disc(to_screen(box.middle), std::max(1.4, 0.3 * r), theme_.ink);
  }
}

void BoardView::draw_marks(Canvas& canvas) const {
  if (in_.job == nullptr) return;
  for (const Mark& mark : in_.job->marks) {
    const Index part = in_.board->index().part(mark.part);
    const Index pin = part == kNone ? kNone : in_.board->index().pin(part, mark.ball);
    if (pin == kNone) continue;
    for (const Index i : in_.board->index().lands_of_pin(pin)) {
      const Land& land = board_.lands[i];
      const P at = to_screen(place_of(land.at));
      if (!on_side(land) || !inner_.contains(at)) continue;
      const double r = static_cast<double>(std::min(land.width, land.height)) / 2 * scale_;
      if (mark.kind == MarkKind::kSound) {
        if (r >= 3) draw_sound_corner(canvas, at, r, theme_.mark);
      } else {
        draw_mark(canvas, mark.kind, at, std::max(r * 1.05, 2.6), theme_.mark, theme_.lands);
      }
      break;
    }
  }
}

void BoardView::draw_selection(Canvas& canvas) const {
  for (const bool chosen : {false, true}) {
    const Index land = chosen ? kNone : in_.pointed;
    std::optional<P> place;
    double r = 0;
    if (!chosen && land != kNone) place = place_of(board_.lands[land].at);
    if (!chosen && land != kNone)
      r = static_cast<double>(std::min(board_.lands[land].width, board_.lands[land].height)) / 2 * scale_;
    if (chosen && in_.pin != kNone) place = place_of_pin(in_.pin);
    if (!place) continue;
    const P at = to_screen(*place);
    if (!inner_.contains(at)) continue;
    if (!chosen) {
      for (int piece = 0; piece < 12; ++piece)
        canvas.arc(at, std::max(r + 3, 6.0), piece * 30.0, piece * 30.0 + 18, 1.4, theme_.ink);
      continue;
    }
    const Land& own = board_.lands[in_.board->index().lands_of_pin(in_.pin).front()];
    const double ring =
        std::max(static_cast<double>(std::min(own.width, own.height)) / 2 * scale_ + 4.6, 8.0);
    canvas.line({inner_.x, at.y}, {at.x - ring, at.y}, 1, theme_.ink);
    canvas.line({at.x + ring, at.y}, {inner_.x + inner_.width, at.y}, 1, theme_.ink);
    canvas.line({at.x, inner_.y}, {at.x, at.y - ring}, 1, theme_.ink);
    canvas.line({at.x, at.y + ring}, {at.x, inner_.y + inner_.height}, 1, theme_.ink);
    if (on_side(own)) {
      canvas.ring(at, ring, 2.6, theme_.ink);
    } else {
      // It lies on the other side: its place, not its land.
      for (int piece = 0; piece < 8; ++piece)
        canvas.arc(at, ring, piece * 45.0, piece * 45.0 + 25, 2, theme_.ink);
    }
  }
}

}  // namespace landfall::scene
