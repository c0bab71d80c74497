#include <algorithm>
#include <cmath>

#include "netdb/signals/signals.hpp"
#include "viewer/scene/map.hpp"
#include "viewer/scene/signs.hpp"

// The map's balls, marks, rings and rulers.

namespace landfall::scene {
namespace {

constexpr double kOpenRadius = 11;
constexpr double kNamedRadius = 20;
constexpr double kRuler = 26;
constexpr double kLeastLabelGap = 17;

std::string polarity_short(std::string text) {
  if (text.ends_with("_P")) return text.substr(0, text.size() - 2) + "+";
  if (text.ends_with("_N")) return text.substr(0, text.size() - 2) + "-";
  return text;
}

}  // namespace

// The net's name less the stem of its group, at most so many signs; nothing when it does not fit.
std::string MapView::sounding(std::size_t site, std::size_t most) const {
  const Index net = net_of(site);
  if (net == kNone) return {};
  const Net& own = in_.board->board().nets[net];
  if (own.automatic) return {};
  std::string name = plain_name(leaf_name(own.name));
  const Index channel = in_.board->signals().nets[net].channel;
  if (channel != kNone) {
    const std::string& stem = in_.board->signals().channels[channel].name;
    const bool starts = name.size() > stem.size() && app::lower(name).starts_with(app::lower(stem));
    if (starts) name.erase(0, stem.size());
    while (!name.empty() && (name.front() == '_' || name.front() == '-')) name.erase(0, 1);
  }
  name = polarity_short(name);
  std::erase(name, '_');
  return name.size() <= most ? name : std::string();
}

void MapView::draw_sites(Canvas& canvas) const {
  const Signals& signals = in_.board->signals();
  const Index selected_net = in_.selected == kNone ? kNone : in_.board->board().pins[in_.selected].net;
  const Index lane = selected_net == kNone ? kNone : signals.nets[selected_net].lane;
  const Colour plain = in_.face == Face::kLands ? theme_.lands : theme_.balls;
  const Colour zone = in_.face == Face::kLands ? theme_.zone_lands : theme_.zone_balls;
  const Rect near{inner_.x - pitch_, inner_.y - pitch_, inner_.width + 2 * pitch_,
                  inner_.height + 2 * pitch_};
  for (std::size_t i = 0; i < places_.size(); ++i) {
    if (!near.contains(places_[i])) continue;
    const Index net = net_of(i);
    const bool in_zone = lane != kNone && net != kNone && signals.nets[net].lane == lane && on_grid();
    const Colour under = in_zone ? zone : plain;
    const bool pale =
        (in_.inspection && mark_[i] < 0) || (in_.single_out != nullptr && !(*in_.single_out)[i]);
    const bool marked =
        mark_[i] >= 0 && in_.job->marks[static_cast<std::size_t>(mark_[i])].kind != MarkKind::kSound;
    if (marked) {
      draw_marked(canvas, i, under);
    } else {
      draw_ball(canvas, i, under, pale ? 0.3 : 1.0);
    }
  }
}

void MapView::draw_ball(Canvas& canvas, std::size_t site, Colour under, double share) const {
  const Index net = net_of(site);
  const SignalClass c =
      net == kNone ? SignalClass::kUnconnected : in_.board->signals().nets[net].signal_class;
  const Colour hue = mix(theme_.classes[static_cast<std::size_t>(c)], under, share);
  const bool open = radius_ >= kOpenRadius && !is_supply(c) && c != SignalClass::kUnconnected && share > 0.9;
  if (open) {
    draw_open_ball(canvas, site, hue, under);
  } else {
    draw_class(canvas, c, places_[site], radius_, hue, under);
    if (radius_ >= kNamedRadius) {
      canvas.label({places_[site].x, places_[site].y - radius_ * 0.62}, in_.package->sites[site].name, 11,
                   Typeface::kMonoBold, Align::kMiddle, theme_.ink);
    }
  }
  if (mark_[site] >= 0) draw_sound_corner(canvas, places_[site], radius_, theme_.mark);
}

void MapView::draw_open_ball(Canvas& canvas, std::size_t site, Colour hue, Colour under) const {
  const P at = places_[site];
  const Index net = net_of(site);
  const SignalClass c =
      net == kNone ? SignalClass::kUnconnected : in_.board->signals().nets[net].signal_class;
  const Colour tint = mix(hue, under, 0.16);
  canvas.disc(at, radius_, tint);
  canvas.ring(at, radius_, std::max(1.2, 0.08 * radius_), hue);
  const bool named = radius_ >= kNamedRadius;
  if (named)
    canvas.label({at.x, at.y - radius_ * 0.3}, in_.package->sites[site].name, std::min(17.0, radius_ * 0.66),
                 Typeface::kMonoBold, Align::kMiddle, theme_.ink);
  const double down = named ? radius_ * 0.38 : 0.0;
  const std::string text = radius_ >= 14 ? sounding(site, named ? 5 : 3) : std::string();
  if (!text.empty())
    canvas.label({at.x, at.y + down}, text, std::clamp(radius_ * 0.6, 9.0, 12.0), Typeface::kMono,
                 Align::kMiddle, theme_.ink);
  const P badge{at.x - 0.74 * radius_, at.y - 0.74 * radius_};
  const double small = std::max(4.0, 0.26 * radius_);
  canvas.disc(badge, small + 1.2, under);
  draw_class(canvas, c, badge, small, hue, under);
}

void MapView::draw_marked(Canvas& canvas, std::size_t site, Colour under) const {
  const P at = places_[site];
  const Mark& mark = in_.job->marks[static_cast<std::size_t>(mark_[site])];
  draw_mark(canvas, mark.kind, at, radius_ * 0.86, theme_.mark, under);
  if (need_[site] >= 0 && radius_ >= 7) {
    const P corner{at.x + radius_ * 1.02, at.y - radius_ * 1.02};
    const double size = std::max(3.4, radius_ * 0.3);
    canvas.disc(corner, size + 1.5, under);
    draw_need(canvas, in_.assessment->sites[static_cast<std::size_t>(need_[site])].need, corner, size,
              theme_.ink);
  }
  if (radius_ < kNamedRadius) return;
  const std::string& name = in_.package->sites[site].name;
  const P plate{at.x, at.y + radius_ * 1.08};
  canvas.rect({plate.x - text_width(name, 11, Typeface::kMonoBold) / 2 - 2, plate.y - 7,
               text_width(name, 11, Typeface::kMonoBold) + 4, 13},
              under);
  canvas.label(plate, name, 11, Typeface::kMonoBold, Align::kMiddle, theme_.ink);
}

// What belongs to the net or group under study: a ring with four ticks.
void MapView::draw_net_ring(Canvas& canvas, P at) const {
  canvas.ring(at, radius_ + 4, 2, theme_.act);
  for (const P way : {P{1, 0}, P{-1, 0}, P{0, 1}, P{0, -1}})
    canvas.line(at + way * (radius_ + 4), at + way * (radius_ + 8), 2, theme_.act);
}

void MapView::draw_rings(Canvas& canvas) const {
  const Index net = in_.selected == kNone ? kNone : in_.board->board().pins[in_.selected].net;
  const bool supply = net != kNone && is_supply(in_.board->signals().nets[net].signal_class);
  const auto lit = [&](std::size_t site) { return in_.lit != nullptr && (*in_.lit)[site]; };
  for (std::size_t i = 0; i < places_.size(); ++i) {
    const Index pin = in_.package->sites[i].pin;
    if (!inner_.contains(places_[i])) continue;
    if (in_.chosen != nullptr && (*in_.chosen)[i]) draw_chosen(canvas, i);
    if (pin == in_.selected) {
      canvas.ring(places_[i], radius_ + 4.6, 2.6, theme_.ink);
    } else if (lit(i) || (net != kNone && net_of(i) == net && !supply)) {
      draw_net_ring(canvas, places_[i]);
    }
    if (pin == in_.pointed && pin != in_.selected) draw_pointed(canvas, i);
  }
}

void MapView::draw_pointed(Canvas& canvas, std::size_t site) const {
  for (int piece = 0; piece < 12; ++piece)
    canvas.arc(places_[site], radius_ + 3, piece * 30.0, piece * 30.0 + 18, 1.4, theme_.ink);
}

// Four corners of a frame: what the next mark is for.
void MapView::draw_chosen(Canvas& canvas, std::size_t site) const {
  const double h = radius_ + 2.5;
  const double arm = std::max(2.5, h * 0.45);
  for (const double x : {-1.0, 1.0}) {
    for (const double y : {-1.0, 1.0}) {
      const P corner{places_[site].x + x * h, places_[site].y + y * h};
      canvas.path({{corner.x - x * arm, corner.y}, corner, {corner.x, corner.y - y * arm}}, 1.8, theme_.ink);
    }
  }
}

// A bar along every second row and column, on both sides, as a chart's frame has.
void MapView::draw_graduation(Canvas& canvas, P at, bool upright) const {
  constexpr double kThick = 4;
  const double half = (upright ? pitch_ * aspect_ : pitch_) / 2;
  const double along = upright ? at.y : at.x;
  const double start = upright ? inner_.y : inner_.x;
  const double low = std::max(start, along - half);
  const double high = std::min(start + (upright ? inner_.height : inner_.width), along + half);
  if (high <= low || half < 2) return;
  if (upright) {
    canvas.rect({inner_.x - kThick, low, kThick, high - low}, theme_.ink);
    canvas.rect({inner_.x + inner_.width, low, kThick, high - low}, theme_.ink);
  } else {
    canvas.rect({low, inner_.y - kThick, high - low, kThick}, theme_.ink);
    canvas.rect({low, inner_.y + inner_.height, high - low, kThick}, theme_.ink);
  }
}

// Row letters and column numbers in the band, along with face and turn; thinned where they would touch.
void MapView::draw_rulers(Canvas& canvas) const {
  const Package& package = *in_.package;
  Site chosen;
  for (const PackageSite& site : package.sites) {
    if (site.pin == in_.selected && in_.selected != kNone) chosen = site.site;
  }
  const bool rows_upright = std::abs(sin_) < 0.5;  // row letters stand at the left and right
  const auto label = [&](const std::string& text, P at, bool upright, bool picked) {
    const double along = upright ? at.y : at.x;
    const double low = upright ? inner_.y : inner_.x;
    const double high = low + (upright ? inner_.height : inner_.width);
    if (along < low + 4 || along > high - 4) return;
    for (const bool second : {false, true}) {
      const P place = upright ? P{second ? area_.x + area_.width - kRuler / 2 : area_.x + kRuler / 2, along}
                              : P{along, second ? area_.y + area_.height - kRuler / 2 : area_.y + kRuler / 2};
      if (picked) canvas.rect({place.x - 12, place.y - 9, 24, 18}, theme_.ink);
      canvas.label(place, text, 13, Typeface::kMono, Align::kMiddle, picked ? theme_.invert : theme_.ink2);
    }
  };
  const auto step_for = [&](double gap) {
    for (const int step : {1, 2, 5, 10, 20}) {
      if (gap * step >= kLeastLabelGap) return step;
    }
    return 50;
  };
  const int row_step = step_for(pitch_ * aspect_);
  for (int row = 1; row <= package.rows; ++row) {
    const bool picked = row == chosen.row;
    if (row % 2 == 1)
      draw_graduation(canvas, to_screen({0, ((1.0 + package.rows) / 2 - row) * aspect_}), rows_upright);
    const bool beside = chosen.row > 0 && std::abs(row - chosen.row) < row_step;
    if (!picked && ((row - 1) % row_step != 0 || beside)) continue;
    const P at = to_screen({0, ((1.0 + package.rows) / 2 - row) * aspect_});
    label(row_letters(row), at, rows_upright, picked);
  }
  const int column_step = step_for(pitch_);
  for (int column = 1; column <= package.columns; ++column) {
    const bool picked = column == chosen.column;
    if (column % 2 == 1)
      draw_graduation(canvas, to_screen({column - (1.0 + package.columns) / 2, 0}), !rows_upright);
    const bool beside = chosen.column > 0 && std::abs(column - chosen.column) < column_step;
    if (!picked && ((column - 1) % column_step != 0 || beside)) continue;
    const P at = to_screen({column - (1.0 + package.columns) / 2, 0});
    label(std::to_string(column), at, !rows_upright, picked);
  }
}

// At a free angle, and to scale: letters upright at both ends of each row and column, outside the package.
void MapView::draw_free_rulers(Canvas& canvas) const {
  const Package& package = *in_.package;
  const double step = in_.true_scale && !on_grid() && package.pitch_x > 0
                          ? static_cast<double>(package.pitch_y) / static_cast<double>(package.pitch_x)
                          : aspect_;
  const double x = package.columns / 2.0 + 0.9;
  const double y = package.rows * step / 2.0 + 0.9;
  Site chosen;
  for (const PackageSite& site : package.sites) {
    if (site.pin == in_.selected && in_.selected != kNone) chosen = site.site;
  }
  const auto put = [&](const std::string& text, P unit, bool picked) {
    const P at = to_screen(unit);
    if (!inner_.contains(at)) return;
    if (picked) canvas.rect({at.x - 12, at.y - 9, 24, 18}, theme_.ink);
    canvas.label(at, text, 13, Typeface::kMono, Align::kMiddle, picked ? theme_.invert : theme_.ink2);
  };
  const int thin = std::max(1, static_cast<int>(std::ceil(kLeastLabelGap / (pitch_ * std::min(1.0, step)))));
  // The chosen one always stands; what is too near to it makes room.
  const auto shown = [&](int i, int own) {
    if (i == own) return true;
    return (i - 1) % thin == 0 && !(own > 0 && std::abs(i - own) < thin);
  };
  for (int row = 1; row <= package.rows; ++row) {
    if (!shown(row, chosen.row)) continue;
    const double at = ((1.0 + package.rows) / 2 - row) * step;
    put(row_letters(row), {-x, at}, row == chosen.row);
    put(row_letters(row), {x, at}, row == chosen.row);
  }
  for (int column = 1; column <= package.columns; ++column) {
    if (!shown(column, chosen.column)) continue;
    const double at = column - (1.0 + package.columns) / 2;
    put(std::to_string(column), {at, y}, column == chosen.column);
    put(std::to_string(column), {at, -y}, column == chosen.column);
  }
}

}  // namespace landfall::scene
