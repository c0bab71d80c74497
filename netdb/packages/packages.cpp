#include "netdb/packages/packages.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

#include "netdb/packages/grid_fit.hpp"

namespace landfall::packages {
namespace {

// A name says a site when letters come first ("AB14") or digits do ("1A1", "14AB": some makers).
std::optional<Site> site_named(std::string_view name) {
  if (const auto site = parse_ball(name)) return site;
  const auto letters = name.find_first_not_of("0123456789");
  if (letters == 0 || letters == std::string_view::npos) return std::nullopt;
  const auto row = row_number(name.substr(letters));
  const auto column = parse_integer(name.substr(0, letters));
  if (!row || !column || *column < 1 || *column > 999) return std::nullopt;
  return Site{*row, static_cast<int>(*column)};
}

// A plain alphabet with I, O, Q, S, X, Z left in, as some makers letter their rows.
std::optional<Site> plain_site_named(std::string_view name) {
  const auto digits = name.find_first_of("0123456789");
  if (digits == 0 || digits == std::string_view::npos || digits > 2) return std::nullopt;
  int row = 0;
  for (const char c : name.substr(0, digits)) {
    if (c < 'A' || c > 'Z') return std::nullopt;
    row = row * 26 + (c - 'A' + 1);
  }
  const auto column = parse_integer(name.substr(digits));
  if (!column || *column < 1 || *column > 999) return std::nullopt;
  return Site{row, static_cast<int>(*column)};
}

class Builder {
 public:
  Builder(const BoardIndex& index, Index part) : index_(index), board_(index.board()) {
    package_.part = part;
    package_.side = board_.parts[part].side == Side::kBottom ? Side::kBottom : Side::kTop;
  }

  Package build() {
    collect();
    if (package_.sites.empty()) return std::move(package_);
    if (!placed_.empty() && build_from_places()) return std::move(package_);
    if (placed_.empty() && build_from_names()) return std::move(package_);
    build_other();
    return std::move(package_);
  }

 private:
  void collect() {
    for (const Index pin : index_.pins_of_part(package_.part)) {
      PackageSite site;
      site.pin = pin;
      site.name = board_.pins[pin].number;
      const auto lands = index_.lands_of_pin(pin);
      if (!lands.empty()) {
        const Land& land = board_.lands[lands.front()];
        site.has_place = true;
        site.place = land.at;  // on the board; turned into the package's frame at the end
        if (land.side != Side::kThrough && placed_.empty()) package_.side = land.side;
        placed_.push_back(package_.sites.size());
      }
      package_.sites.push_back(std::move(site));
    }
  }

  // Fiducials and mounting pads of a footprint are called fid1, MP, EP: no balls, and not in the grid.
  static bool is_ball_like(const std::string& name) {
    if (site_named(name) || plain_site_named(name)) return true;
    return parse_integer(name).has_value();
  }

  bool build_from_places() {
    std::vector<NamedPlace> named;
    std::vector<NamedPlace> plain;
    std::size_t plain_only = 0;
    for (const std::size_t i : placed_) {
      const PackageSite& site = package_.sites[i];
      const auto jedec = site_named(site.name);
      const auto alphabet = plain_site_named(site.name);
      if (!jedec && alphabet) ++plain_only;
      named.push_back({site.place, jedec});
      plain.push_back({site.place, alphabet});
    }
    auto fit = fit_names(named);
    bool whole_alphabet = false;
    if (plain_only > 0) {
      const auto other = fit_names(plain);
      if (other && (!fit || other->agree > fit->agree)) {
        fit = other;
        whole_alphabet = true;
      }
    }
    // Names that fit the places badly say nothing: a connector's A1..A20 in two rows is a grid of two.
    if (fit && fit->agree * 10 >= placed_.size() * 7 && spans(whole_alphabet ? plain : named)) {
      lattice_ = fit->lattice;
      assign(whole_alphabet);
      if (is_array()) return true;
    }
    if (fit && build_by_order(named, fit->lattice)) return true;
    return build_from_numbers();
  }

  // A large package may have several lattices side by side, each with its own pitch; its names then count
  // rows and columns across all of them. They stand for the grid, the mean lattice tells turn and face.
  bool build_by_order(const std::vector<NamedPlace>& named, const Lattice& lattice) {
    constexpr std::size_t kLeast = 100;
    const auto balls = static_cast<std::size_t>(
        std::count_if(named.begin(), named.end(), [](const auto& p) { return p.named.has_value(); }));
    if (balls < kLeast || balls * 10 < placed_.size() * 9 || !spans(named)) return false;
    lattice_ = lattice;
    candidate_.clear();
    for (const std::size_t i : placed_) {
      PackageSite ball = package_.sites[i];
      const auto site = site_named(ball.name);
      if (!site) continue;
      ball.site = *site;
      candidate_.push_back(std::move(ball));
    }
    said_.clear();
    package_.several_grids = is_array();
    return package_.several_grids;
  }

  // Plain numbers, or names that are none: only the places tell.
  bool build_from_numbers() {
    std::vector<Point> places;
    for (const std::size_t i : placed_) {
      if (is_ball_like(package_.sites[i].name)) places.push_back(package_.sites[i].place);
    }
    const auto lattice =
        fit_places(places, board_.parts[package_.part].angle, package_.side == Side::kBottom);
    if (!lattice) return false;
    lattice_ = *lattice;
    numbers_only_ = true;
    assign(false);
    return is_array();
  }

  static bool spans(const std::vector<NamedPlace>& places) {
    std::set<int> rows;
    std::set<int> columns;
    for (const NamedPlace& place : places) {
      if (!place.named) continue;
      rows.insert(place.named->row);
      columns.insert(place.named->column);
    }
    return rows.size() >= 2 && columns.size() >= 2;
  }

  // Gives each ball its grid place and drops what is none (fiducials).
  void assign(bool whole_alphabet) {
    std::vector<PackageSite> balls;
    std::map<Site, std::string> taken;
    std::vector<std::string> said;
    for (const PackageSite& site : package_.sites) {
      const auto named = whole_alphabet ? plain_site_named(site.name) : site_named(site.name);
      if (!site.has_place) continue;
      if (!named && !numbers_only_) continue;
      if (numbers_only_ && !is_ball_like(site.name)) continue;
      const Nearest nearest = nearest_site(lattice_, site.place);
      PackageSite ball = site;
      ball.site = nearest.site;
      if (named && !numbers_only_ && nearest.site != *named) {
        said.push_back(fmt::format("{} lies where {} should be", site.name, ball_text(nearest.site)));
      } else if (nearest.off > 0.25) {
        said.push_back(fmt::format("{} lies {:.2f} of a step off the grid", site.name, nearest.off));
      }
      const auto [entry, fresh] = taken.try_emplace(ball.site, ball.name);
      if (!fresh) said.push_back(fmt::format("{} and {} lie at the same place", entry->second, ball.name));
      balls.push_back(std::move(ball));
    }
    candidate_ = std::move(balls);
    said_ = std::move(said);
  }

  // An area array has rows and columns of some number, and is not just a rim of pads.
  bool is_array() {
    if (candidate_.size() < 4) return false;
    int last_row = 0;
    int last_column = 0;
    int first_row = candidate_.front().site.row;
    int first_column = candidate_.front().site.column;
    for (const PackageSite& site : candidate_) {
      last_row = std::max(last_row, site.site.row);
      last_column = std::max(last_column, site.site.column);
      first_row = std::min(first_row, site.site.row);
      first_column = std::min(first_column, site.site.column);
    }
    // Only drilled lands: a connector, however regular.
    const auto drilled = std::count_if(candidate_.begin(), candidate_.end(), [&](const PackageSite& site) {
      return board_.lands[index_.lands_of_pin(site.pin).front()].side == Side::kThrough;
    });
    if (static_cast<std::size_t>(drilled) * 2 > candidate_.size()) return false;
    const int rows = last_row - first_row + 1;
    const int columns = last_column - first_column + 1;
    if (rows < 2 || columns < 2 || rows > 500 || columns > 500) return false;
    if (candidate_.size() > 9 && std::min(rows, columns) < 3) return false;  // two rows of contacts
    if (static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns) > 8 * candidate_.size())
      return false;
    package_.kind = PackageKind::kAreaArray;
    package_.from_places = true;
    package_.rows = last_row;
    package_.columns = last_column;
    package_.sites = std::move(candidate_);
    package_.disagreements = std::move(said_);
    finish_places();
    return true;
  }

  // Two rows of contacts with a thermal pad between them are no array: without names to vouch for it each row
  // and each column must be half full.
  bool evenly_filled(int first_row, int first_column, int rows, int columns) const {
    std::vector<int> in_row(static_cast<std::size_t>(rows), 0);
    std::vector<int> in_column(static_cast<std::size_t>(columns), 0);
    for (const PackageSite& site : candidate_) {
      ++in_row[static_cast<std::size_t>(site.site.row - first_row)];
      ++in_column[static_cast<std::size_t>(site.site.column - first_column)];
    }
    return std::all_of(in_row.begin(), in_row.end(), [&](int n) { return n * 2 >= columns; }) &&
           std::all_of(in_column.begin(), in_column.end(), [&](int n) { return n * 2 >= rows; });
  }

  // Pitches, turn and side from the lattice; places into the lands view's frame.
  void finish_places() {
    const double across = std::hypot(lattice_.across_x, lattice_.across_y);
    const double down = std::hypot(lattice_.down_x, lattice_.down_y);
    package_.pitch_x = std::llround(across);
    package_.pitch_y = std::llround(down);
    // In the lands view, not turned, rows run down: across x down is clockwise, a negative cross product,
    // when the part is seen from its own side. From the top a bottom part runs the other way.
    const double cross = lattice_.across_x * lattice_.down_y - lattice_.across_y * lattice_.down_x;
    const bool as_top = cross < 0;
    package_.mirrored = as_top != (package_.side == Side::kTop);
    if (package_.mirrored) {
      package_.disagreements.insert(
          package_.disagreements.begin(),
          fmt::format("rows and columns run the mirror way round for a part on the {} side",
                      word(package_.side)));
    }
    // The columns' direction; for a bottom part as the lands view shows it, x turned over.
    const double x = as_top ? lattice_.across_x : -lattice_.across_x;
    package_.angle = normal_degrees(std::atan2(lattice_.across_y, x) * 180.0 / std::numbers::pi);
    // Places rounded to a tenth of a mil turn a small package by hundredths of a degree.
    const double whole = std::round(package_.angle);
    if (std::abs(package_.angle - whole) < 0.05) package_.angle = normal_degrees(whole);
    const double middle_column = (1.0 + package_.columns) / 2;
    const double middle_row = (1.0 + package_.rows) / 2;
    const Point middle{
        std::llround(lattice_.x0 + lattice_.across_x * middle_column + lattice_.down_x * middle_row),
        std::llround(lattice_.y0 + lattice_.across_y * middle_column + lattice_.down_y * middle_row)};
    for (PackageSite& site : package_.sites) {
      Point own = site.place - middle;
      if (!as_top) own.x = -own.x;
      site.place = turned(own, -package_.angle);
    }
    finish_sites();
  }

  void finish_sites() {
    std::sort(package_.sites.begin(), package_.sites.end(), [](const PackageSite& a, const PackageSite& b) {
      return std::pair(a.site, std::string_view(a.name)) < std::pair(b.site, std::string_view(b.name));
    });
    std::set<Site> present;
    for (const PackageSite& site : package_.sites) present.insert(site.site);
    if (package_.rows > 500 || package_.columns > 500) return;
    for (int row = 1; row <= package_.rows; ++row) {
      for (int column = 1; column <= package_.columns; ++column) {
        if (!present.contains({row, column})) package_.missing.push_back({row, column});
      }
    }
  }

  bool build_from_names() {
    std::set<int> rows;
    std::set<int> columns;
    std::size_t named = 0;
    for (PackageSite& site : package_.sites) {
      const auto place = site_named(site.name);
      if (!place) continue;
      ++named;
      site.site = *place;
      rows.insert(place->row);
      columns.insert(place->column);
    }
    if (named < 9 || named * 10 < package_.sites.size() * 9 || rows.size() < 3 || columns.size() < 3)
      return false;
    const auto area = static_cast<std::size_t>(*rows.rbegin()) * static_cast<std::size_t>(*columns.rbegin());
    if (area > 8 * named) return false;
    std::erase_if(package_.sites, [](const PackageSite& site) { return site.site.row == 0; });
    package_.kind = PackageKind::kAreaArray;
    package_.rows = *rows.rbegin();
    package_.columns = *columns.rbegin();
    finish_sites();
    return true;
  }

  // Not a grid: each terminal where it is, the part's own turn taken out.
  void build_other() {
    if (placed_.empty()) return;
    Point low = package_.sites[placed_.front()].place;
    Point high = low;
    for (const std::size_t i : placed_) {
      const Point p = package_.sites[i].place;
      low = {std::min(low.x, p.x), std::min(low.y, p.y)};
      high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
    const Point middle{(low.x + high.x) / 2, (low.y + high.y) / 2};
    package_.from_places = true;
    for (PackageSite& site : package_.sites) {
      if (!site.has_place) continue;
      Point own = site.place - middle;
      if (package_.side == Side::kBottom) own.x = -own.x;
      site.place = own;
    }
  }

  const BoardIndex& index_;
  const Board& board_;
  Package package_;
  std::vector<std::size_t> placed_;
  Lattice lattice_;
  bool numbers_only_ = false;
  std::vector<PackageSite> candidate_;
  std::vector<std::string> said_;
};

}  // namespace

Package package_of(const BoardIndex& index, Index part) {
  return Builder(index, part).build();
}

std::vector<Index> area_arrays(const BoardIndex& index, std::size_t least) {
  std::vector<std::pair<std::size_t, Index>> found;
  for (Index part = 0; part < index.board().parts.size(); ++part) {
    if (index.pins_of_part(part).size() < least) continue;
    const Package package = package_of(index, part);
    if (package.kind == PackageKind::kAreaArray) found.emplace_back(package.sites.size(), part);
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<Index> parts;
  for (const auto& [size, part] : found) parts.push_back(part);
  return parts;
}

Result<Board> bare_board(int rows, int columns, Nm pitch) {
  if (rows < 1 || rows > 200 || columns < 1 || columns > 200) {
    return Error{ErrorCode::kUsage, "a bare package has 1 to 200 rows and 1 to 200 columns"};
  }
  if (pitch < 50'000 || pitch > 10 * kNmPerMm) {
    return Error{ErrorCode::kUsage, "a pitch lies between 0.05 mm and 10 mm"};
  }
  Board board;
  Part part;
  part.reference = "U1";
  part.value = "bare package";
  part.placed = true;
  board.parts.push_back(std::move(part));
  for (int row = 1; row <= rows; ++row) {
    for (int column = 1; column <= columns; ++column) {
      Land land;
      land.part = 0;
      land.pin = static_cast<Index>(board.pins.size());
      land.at = {(2 * column - columns - 1) * pitch / 2, (rows + 1 - 2 * row) * pitch / 2};
      land.width = land.height = pitch / 2;
      board.pins.push_back({0, ball_text({row, column}), "", PinType::kUnknown, kNone});
      board.lands.push_back(std::move(land));
    }
  }
  return board;
}

}  // namespace landfall::packages
