#include "viewer/scene/map.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "viewer/scene/line_cut.hpp"
#include "viewer/scene/signs.hpp"

namespace landfall::scene {
namespace {

constexpr double kRuler = 26;
constexpr double kRadiusShare = 0.38;

}  // namespace

std::string_view word(Face face) {
  return face == Face::kLands ? "lands" : "balls";
}

MapView::MapView(const MapInput& input, Rect area) : in_(input), theme_(theme(input.theme)), area_(area) {
  inner_ = {area.x + kRuler, area.y + kRuler, area.width - 2 * kRuler, area.height - 2 * kRuler};
  const double turn = input.turn * std::numbers::pi / 180;
  cos_ = quarter() ? std::round(std::cos(turn)) : std::cos(turn);
  sin_ = quarter() ? std::round(std::sin(turn)) : std::sin(turn);
  const Package& package = *input.package;
  unit_ = static_cast<double>(package.pitch_x);
  if (package.pitch_x > 0 && in_.true_scale)
    aspect_ = static_cast<double>(package.pitch_y) / static_cast<double>(package.pitch_x);
  double half_x = package.columns / 2.0 + 0.6;
  double half_y = package.rows * aspect_ / 2.0 + 0.6;
  if (!on_grid()) {
    Nm far = 1;
    for (const PackageSite& site : package.sites)
      far = std::max({far, std::abs(site.place.x), std::abs(site.place.y)});
    if (package.kind != PackageKind::kAreaArray) unit_ = static_cast<double>(far) / 12;
    half_x = half_y = static_cast<double>(far) / unit_ + 1.2;
  }
  const double wide = std::abs(half_x * cos_) + std::abs(half_y * sin_) + (quarter() ? 0 : 1.2);
  const double high = std::abs(half_x * sin_) + std::abs(half_y * cos_) + (quarter() ? 0 : 1.2);
  const double fit = std::min(inner_.width / (2 * wide), inner_.height / (2 * high));
  pitch_ = in_.fixed_pitch > 0 ? in_.fixed_pitch : std::max(2.0, fit * in_.zoom);
  radius_ = kRadiusShare * pitch_;
  half_ = {half_x, half_y};
  middle_ = inner_.middle();
  middle_ = middle_ + (middle_ - to_screen(in_.centre));
  places_.reserve(package.sites.size());
  for (const PackageSite& site : package.sites) places_.push_back(to_screen(unit_place(site)));
  mark_.assign(package.sites.size(), -1);
  need_.assign(package.sites.size(), -1);
  std::map<Index, std::size_t> site_of_pin;
  for (std::size_t i = 0; i < package.sites.size(); ++i) site_of_pin[package.sites[i].pin] = i;
  if (in_.job != nullptr) {
    const std::string& reference = in_.board->board().parts[package.part].reference;
    for (std::size_t m = 0; m < in_.job->marks.size(); ++m) {
      if (in_.job->marks[m].part != reference) continue;
      const auto found = site_of_pin.find(in_.board->index().pin(package.part, in_.job->marks[m].ball));
      if (found != site_of_pin.end()) mark_[found->second] = static_cast<int>(m);
    }
  }
  if (in_.assessment != nullptr) {
    for (std::size_t s = 0; s < in_.assessment->sites.size(); ++s) {
      const auto found = site_of_pin.find(in_.assessment->sites[s].pin);
      if (found != site_of_pin.end()) need_[found->second] = static_cast<int>(s);
    }
  }
  if (package.kind == PackageKind::kAreaArray) {
    site_of_cell_.assign(
        static_cast<std::size_t>(package.rows + 1) * static_cast<std::size_t>(package.columns + 1), kNone);
    for (std::size_t i = 0; i < package.sites.size(); ++i) {
      const Site s = package.sites[i].site;
      if (s.row < 1 || s.column < 1) continue;
      site_of_cell_[cell_of(s.row, s.column)] = static_cast<Index>(i);
    }
    channel_groups_ = groups(false);
    lane_groups_ = groups(true);
  }
}

// The schematic grid, or places on it: true only where rows and columns have meaning.
bool MapView::on_grid() const {
  return in_.package->kind == PackageKind::kAreaArray && (!in_.true_scale || !in_.package->from_places);
}

bool MapView::quarter() const {
  return std::fmod(std::abs(in_.turn), 90.0) == 0;
}

// In steps, y up, origin in the package's middle, lands face, not turned.
P MapView::unit_place(const PackageSite& site) const {
  if (!on_grid())
    return {static_cast<double>(site.place.x) / unit_, static_cast<double>(site.place.y) / unit_};
  return {site.site.column - (1.0 + in_.package->columns) / 2,
          ((1.0 + in_.package->rows) / 2 - site.site.row) * aspect_};
}

P MapView::to_screen(P unit) const {
  const double x = in_.face == Face::kBalls ? -unit.x : unit.x;
  // Clockwise as seen: TRADE T5.
  return {middle_.x + (x * cos_ + unit.y * sin_) * pitch_, middle_.y - (unit.y * cos_ - x * sin_) * pitch_};
}

P MapView::to_unit(P screen) const {
  const double u = (screen.x - middle_.x) / pitch_;
  const double v = (middle_.y - screen.y) / pitch_;
  const double x = u * cos_ - v * sin_;
  return {in_.face == Face::kBalls ? -x : x, u * sin_ + v * cos_};
}

std::optional<Site> MapView::cell_at(P point) const {
  if (!inner_.contains(point) || !on_grid()) return std::nullopt;
  const Package& package = *in_.package;
  const P unit = to_unit(point);
  const auto column = std::lround(unit.x + (1.0 + package.columns) / 2);
  const auto row = std::lround((1.0 + package.rows) / 2 - unit.y / aspect_);
  if (row < 1 || column < 1 || row > package.rows || column > package.columns) return std::nullopt;
  return Site{static_cast<int>(row), static_cast<int>(column)};
}

std::optional<std::size_t> MapView::site_at(P point) const {
  if (!inner_.contains(point)) return std::nullopt;
  if (on_grid()) {
    const auto cell = cell_at(point);
    if (!cell) return std::nullopt;
    const Index site = site_of_cell_[cell_of(cell->row, cell->column)];
    if (site == kNone) return std::nullopt;
    return site;
  }
  std::optional<std::size_t> best;
  double least = pitch_ / 2;
  for (std::size_t i = 0; i < places_.size(); ++i) {
    const double d = std::hypot(places_[i].x - point.x, places_[i].y - point.y);
    if (d > least) continue;
    least = d;
    best = i;
  }
  return best;
}

std::vector<std::size_t> MapView::sites_in(P corner, P opposite) const {
  const Rect r{std::min(corner.x, opposite.x), std::min(corner.y, opposite.y),
               std::abs(corner.x - opposite.x), std::abs(corner.y - opposite.y)};
  std::vector<std::size_t> sites;
  for (std::size_t i = 0; i < places_.size(); ++i) {
    if (r.contains(places_[i]) && inner_.contains(places_[i])) sites.push_back(i);
  }
  return sites;
}

std::vector<std::size_t> MapView::sites_along(P from, P to) const {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  const int steps = std::max(1, static_cast<int>(std::ceil(length / std::max(pitch_ * 0.2, 1.0))));
  std::vector<std::size_t> sites;
  for (int i = 0; i <= steps; ++i) {
    const auto site = site_at(from + (to - from) * (static_cast<double>(i) / steps));
    if (site && std::find(sites.begin(), sites.end(), *site) == sites.end()) sites.push_back(*site);
  }
  return sites;
}

Index MapView::net_of(std::size_t site) const {
  return in_.board->board().pins[in_.package->sites[site].pin].net;
}

std::size_t MapView::cell_of(int row, int column) const {
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(in_.package->columns + 1) +
         static_cast<std::size_t>(column);
}

bool MapView::has_cell(const Group& group, int row, int column) const {
  if (row < 1 || column < 1 || row > in_.package->rows || column > in_.package->columns) return false;
  return group.cells[cell_of(row, column)];
}

// Memory channels, or their lanes: which cells of the grid belong to each.
std::vector<MapView::Group> MapView::groups(bool lanes) const {
  const Signals& signals = in_.board->signals();
  std::map<Index, Group> found;
  for (std::size_t i = 0; i < in_.package->sites.size(); ++i) {
    const Index net = net_of(i);
    const Site site = in_.package->sites[i].site;
    if (net == kNone || signals.nets[net].channel == kNone || site.row < 1 || site.column < 1) continue;
    if (signals.channels[signals.nets[net].channel].kind != InterfaceKind::kMemory) continue;
    const Index group = lanes ? signals.nets[net].lane : signals.nets[net].channel;
    if (group == kNone) continue;
    Group& entry = found[group];
    entry.group = group;
    entry.cells.resize(site_of_cell_.size(), false);
    entry.cells[cell_of(site.row, site.column)] = true;
  }
  std::vector<Group> result;
  for (auto& [group, entry] : found) {
    if (!lanes) close_gaps(entry);
    result.push_back(std::move(entry));
  }
  return result;
}

// Supplies and empty places between a channel's lines lie inside its limit, so that the limit is one line and
// not a hundred; lines of anything else stay outside.
void MapView::close_gaps(Group& group) const {
  constexpr int kReach = 3;
  const Signals& signals = in_.board->signals();
  const auto foreign = [&](int row, int column) {
    const Index site = site_of_cell_[cell_of(row, column)];
    const Index net = site == kNone ? kNone : net_of(site);
    return net != kNone && !is_supply(signals.nets[net].signal_class);
  };
  const auto seen = [&](int row, int column, int dr, int dc) {
    for (int i = 1; i <= kReach; ++i) {
      if (has_cell(group, row + i * dr, column + i * dc)) return true;
    }
    return false;
  };
  for (int round = 0; round < 3; ++round) {
    Group next = group;
    for (int row = 1; row <= in_.package->rows; ++row) {
      for (int column = 1; column <= in_.package->columns; ++column) {
        if (has_cell(group, row, column) || foreign(row, column)) continue;
        const bool across = seen(row, column, 0, 1) && seen(row, column, 0, -1);
        const bool down = seen(row, column, 1, 0) && seen(row, column, -1, 0);
        if (across || down) next.cells[cell_of(row, column)] = true;
      }
    }
    group = std::move(next);
  }
}

void MapView::draw(Canvas& canvas, const std::function<void(Canvas&)>& under_sites) const {
  draw_ground(canvas);
  // To scale as well: the places of an area array are its grid's, in the proportion of its pitches.
  const bool array = in_.package->kind == PackageKind::kAreaArray;
  if (array) {
    draw_package(canvas);
    draw_zones(canvas);
    draw_absent(canvas);
  }
  if (under_sites) under_sites(canvas);
  draw_selection(canvas);
  draw_sites(canvas);
  draw_rings(canvas);
  if (array) draw_channel_names(canvas);
  draw_frame(canvas);
  if (!array) return;
  if (quarter() && on_grid()) {
    draw_rulers(canvas);
  } else {
    draw_free_rulers(canvas);
  }
}

void MapView::draw_ground(Canvas& canvas) const {
  canvas.rect(inner_, in_.face == Face::kLands ? theme_.lands : theme_.balls);
}

void MapView::draw_package(Canvas& canvas) const {
  const Package& package = *in_.package;
  const double x = package.columns / 2.0 + 0.45;
  const double y = package.rows * aspect_ / 2.0 + 0.45;
  const double cut = 0.9;
  const P a = to_screen({-x + cut, y});
  const P b = to_screen({-x, y - cut});
  canvas.path({a, to_screen({x, y}), to_screen({x, -y}), to_screen({-x, -y}), b, a}, 1.2, theme_.ink);
  // The A1 corner: cut, and filled outside the line so that it touches no ball.
  canvas.polygon({a, to_screen({-x, y}), b}, theme_.ink);
}

void MapView::draw_limits(Canvas& canvas, const Group& group, const std::vector<double>& pattern,
                          double width, Colour c) const {
  const Package& package = *in_.package;
  const auto member = [&](int row, int column) { return has_cell(group, row, column); };
  const auto corner = [&](double row, double column) {
    return to_screen({column - (1.0 + package.columns) / 2, ((1.0 + package.rows) / 2 - row) * aspect_});
  };
  // Edges between a member cell and one that is none, joined into long runs so that the dashes show.
  for (int row = 0; row <= package.rows; ++row) {
    int start = 0;
    for (int column = 1; column <= package.columns + 1; ++column) {
      const bool edge = column <= package.columns && member(row, column) != member(row + 1, column);
      if (edge && start == 0) start = column;
      if (edge || start == 0) continue;
      canvas.dashes(corner(row + 0.5, start - 0.5), corner(row + 0.5, column - 0.5), pattern, width, c);
      start = 0;
    }
  }
  for (int column = 0; column <= package.columns; ++column) {
    int start = 0;
    for (int row = 1; row <= package.rows + 1; ++row) {
      const bool edge = row <= package.rows && member(row, column) != member(row, column + 1);
      if (edge && start == 0) start = row;
      if (edge || start == 0) continue;
      canvas.dashes(corner(start - 0.5, column + 0.5), corner(row - 0.5, column + 0.5), pattern, width, c);
      start = 0;
    }
  }
}

void MapView::draw_zones(Canvas& canvas) const {
  const Signals& signals = in_.board->signals();
  const Index net = in_.selected == kNone ? kNone : in_.board->board().pins[in_.selected].net;
  const Index lane = net == kNone ? kNone : signals.nets[net].lane;
  const Colour zone = in_.face == Face::kLands ? theme_.zone_lands : theme_.zone_balls;
  for (const Group& group : lane_groups_) {
    if (group.group != lane) continue;
    for (const PackageSite& site : in_.package->sites) {
      if (!has_cell(group, site.site.row, site.site.column)) continue;
      const P at = unit_place(site);
      canvas.polygon(
          {to_screen({at.x - 0.5, at.y + 0.5 * aspect_}), to_screen({at.x + 0.5, at.y + 0.5 * aspect_}),
           to_screen({at.x + 0.5, at.y - 0.5 * aspect_}), to_screen({at.x - 0.5, at.y - 0.5 * aspect_})},
          zone);
    }
    draw_limits(canvas, group, {4, 4}, 1, theme_.ink2);
  }
  for (const Group& group : channel_groups_) draw_limits(canvas, group, {14, 3, 3, 3}, 1.6, theme_.ink);
}

// The name stands on ground without balls nearest to its channel, else on a plate above its topmost site.
void MapView::draw_channel_names(Canvas& canvas) const {
  constexpr double kLeastPitch = 8;  // below it a name would hide what it names
  if (pitch_ < kLeastPitch) return;
  const Colour ground = in_.face == Face::kLands ? theme_.lands : theme_.balls;
  std::vector<Rect> taken;
  for (const Group& group : channel_groups_) {
    const std::string name = clean_text(in_.board->signals().channels[group.group].name);
    const double width = text_width(name, 15, Typeface::kBold) + 8;
    P middle;
    double count = 0;
    P top{0, 1e9};
    for (std::size_t i = 0; i < places_.size(); ++i) {
      if (!has_cell(group, in_.package->sites[i].site.row, in_.package->sites[i].site.column)) continue;
      middle = middle + places_[i];
      ++count;
      if (places_[i].y < top.y) top = places_[i];
    }
    middle = middle * (1 / std::max(count, 1.0));
    double least = 1e18;
    Rect best{top.x - width / 2, top.y - pitch_ / 2 - 9, width, 18};
    for (const Site& missing : in_.package->missing) {
      const P at = to_screen({missing.column - (1.0 + in_.package->columns) / 2,
                              ((1.0 + in_.package->rows) / 2 - missing.row) * aspect_});
      const Rect place{at.x - width / 2, at.y - 9, width, 18};
      const double far = std::hypot(at.x - middle.x, at.y - middle.y);
      if (far >= least) continue;
      const bool free = std::none_of(places_.begin(), places_.end(), [&](P p) {
        return p.x > place.x - radius_ && p.x < place.x + place.width + radius_ && p.y > place.y - radius_ &&
               p.y < place.y + place.height + radius_;
      });
      const bool alone = std::none_of(taken.begin(), taken.end(), [&](const Rect& r) {
        return r.x < place.x + place.width && place.x < r.x + r.width && r.y < place.y + place.height &&
               place.y < r.y + r.height;
      });
      if (!free || !alone) continue;
      least = far;
      best = place;
    }
    // Without free ground a small map's name would hide balls: the legend has it.
    const bool plate = least > 1e17;
    if (!inner_.contains(best.middle()) || (plate && pitch_ < 18)) continue;
    taken.push_back(best);
    canvas.rect(best, ground);
    canvas.label(best.middle(), name, 15, Typeface::kBold, Align::kMiddle, theme_.ink);
  }
}

void MapView::draw_absent(Canvas& canvas) const {
  for (const Site& missing : in_.package->missing) {
    const P at = to_screen({missing.column - (1.0 + in_.package->columns) / 2,
                            ((1.0 + in_.package->rows) / 2 - missing.row) * aspect_});
    if (inner_.contains(at)) canvas.disc(at, 1.2, theme_.rule);
  }
}

void MapView::draw_selection(Canvas& canvas) const {
  if (in_.selected == kNone) return;
  if (!quarter() && in_.package->kind == PackageKind::kAreaArray) return draw_turned_selection(canvas);
  for (std::size_t i = 0; i < places_.size(); ++i) {
    if (in_.package->sites[i].pin != in_.selected || !inner_.contains(places_[i])) continue;
    canvas.line({inner_.x, places_[i].y}, {inner_.x + inner_.width, places_[i].y}, 1, theme_.ink);
    canvas.line({places_[i].x, inner_.y}, {places_[i].x, inner_.y + inner_.height}, 1, theme_.ink);
  }
}

// At a free angle the hairlines run along row and column, from label to label.
void MapView::draw_turned_selection(Canvas& canvas) const {
  for (std::size_t i = 0; i < places_.size(); ++i) {
    if (in_.package->sites[i].pin != in_.selected || !inner_.contains(places_[i])) continue;
    const P at = unit_place(in_.package->sites[i]);
    const double x = half_.x + 0.4;
    const double y = half_.y + 0.4;
    for (const auto& [from, to] : {std::pair{P{-x, at.y}, P{x, at.y}}, {P{at.x, -y}, P{at.x, y}}}) {
      if (const auto seen = inside_of(inner_, to_screen(from), to_screen(to)))
        canvas.line(seen->first, seen->second, 1, theme_.ink);
    }
  }
}

void MapView::draw_frame(Canvas& canvas) const {
  // The band covers what zoom and pan brought beyond the inner line.
  canvas.rect({area_.x, area_.y, area_.width, kRuler}, theme_.sheet);
  canvas.rect({area_.x, area_.y + area_.height - kRuler, area_.width, kRuler}, theme_.sheet);
  canvas.rect({area_.x, area_.y, kRuler, area_.height}, theme_.sheet);
  canvas.rect({area_.x + area_.width - kRuler, area_.y, kRuler, area_.height}, theme_.sheet);
  const auto frame = [&](Rect r, double width) {
    canvas.path({{r.x, r.y},
                 {r.x + r.width, r.y},
                 {r.x + r.width, r.y + r.height},
                 {r.x, r.y + r.height},
                 {r.x, r.y}},
                width, theme_.ink);
  };
  frame({area_.x + 0.5, area_.y + 0.5, area_.width - 1, area_.height - 1}, 1);
  frame(inner_, 1);
  // Double for balls: the third cue beside ground and word.
  if (in_.face == Face::kBalls) frame({inner_.x - 4, inner_.y - 4, inner_.width + 8, inner_.height + 8}, 1);
}

}  // namespace landfall::scene
