#include "netdb/rework/plan/lattice.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "netdb/rework/escape_gap.hpp"

namespace landfall::rework {
namespace {

// Least squares of value on (1, row, column): the normal equations by Cramer's rule. False when the sites lie
// on one line.
using Row3 = std::array<double, 3>;

double determinant(const Row3& a, const Row3& b, const Row3& c) {
  return a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) +
         a[2] * (b[0] * c[1] - b[1] * c[0]);
}

bool fit(const std::vector<Row3>& samples, std::array<double, 3>& found) {
  std::array<Row3, 3> m{};
  Row3 rhs{};
  for (const auto& [row, column, value] : samples) {
    const Row3 v{1, row, column};
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) m[i][j] += v[i] * v[j];
      rhs[i] += v[i] * value;
    }
  }
  const double d = determinant(m[0], m[1], m[2]);
  if (std::abs(d) < 1e-6) return false;
  for (std::size_t k = 0; k < 3; ++k) {
    std::array<Row3, 3> replaced = m;
    for (std::size_t i = 0; i < 3; ++i) replaced[i][k] = rhs[i];
    found[k] = determinant(replaced[0], replaced[1], replaced[2]) / d;
  }
  return true;
}

}  // namespace

std::optional<Lattice> Lattice::of(const BoardIndex& index, const Package& package, Nm clearance) {
  if (package.kind != PackageKind::kAreaArray || package.pitch_x <= 0 || package.pitch_y <= 0 ||
      package.rows < 1 || package.columns < 1)
    return std::nullopt;
  Lattice lattice;
  EscapeGrid& grid = lattice.grid_;
  grid.rows = package.rows;
  grid.columns = package.columns;
  grid.pitch_x = package.pitch_x;
  grid.pitch_y = package.pitch_y;
  grid.clearance = clearance;
  grid.ball.assign(static_cast<std::size_t>(grid.rows) * static_cast<std::size_t>(grid.columns), 0);
  std::vector<Row3> xs;
  std::vector<Row3> ys;
  std::vector<Nm> sides;  // the narrow one of each land
  for (const PackageSite& site : package.sites) {
    const GridPlace place{site.site.row - 1, site.site.column - 1};
    if (place.row < 0 || place.column < 0 || place.row >= grid.rows || place.column >= grid.columns) continue;
    grid.ball[static_cast<std::size_t>(place.row * grid.columns + place.column)] = 1;
    lattice.sites_[site.pin] = place;
    lattice.names_[{place.row, place.column}] = site.name;
    const auto lands = index.lands_of_pin(site.pin);
    if (lands.empty()) continue;
    const Land& l = index.board().lands[lands.front()];
    xs.push_back(
        {static_cast<double>(place.row), static_cast<double>(place.column), static_cast<double>(l.at.x)});
    ys.push_back(
        {static_cast<double>(place.row), static_cast<double>(place.column), static_cast<double>(l.at.y)});
    sides.push_back(std::min(l.width, l.height));
  }
  std::array<double, 3> x{};
  std::array<double, 3> y{};
  if (!fit(xs, x) || !fit(ys, y)) return std::nullopt;
  lattice.origin_x_ = x[0];
  lattice.down_x_ = x[1];
  lattice.right_x_ = x[2];
  lattice.origin_y_ = y[0];
  lattice.down_y_ = y[1];
  lattice.right_y_ = y[2];
  // Lands of one package may differ: the middle one in size stands for all, the wider of two.
  std::optional<Nm> land;
  if (!sides.empty()) {
    const auto middle = sides.begin() + static_cast<std::ptrdiff_t>(sides.size() / 2);
    std::nth_element(sides.begin(), middle, sides.end());
    land = *middle;
  }
  const auto joint = joint_after_soldering(std::min(grid.pitch_x, grid.pitch_y), land);
  if (!joint) return std::nullopt;
  grid.joint = joint->diameter;
  return lattice;
}

std::optional<GridPlace> Lattice::site(Index pin) const {
  const auto found = sites_.find(pin);
  if (found == sites_.end()) return std::nullopt;
  return found->second;
}

std::string Lattice::name(GridPlace site) const {
  const auto found = names_.find({site.row, site.column});
  if (found != names_.end()) return found->second;
  return fmt::format("row {}, column {}", site.row + 1, site.column + 1);
}

Point Lattice::place(double row, double column) const {
  return {std::llround(origin_x_ + row * down_x_ + column * right_x_),
          std::llround(origin_y_ + row * down_y_ + column * right_y_)};
}

std::optional<Cell> Lattice::cell_at(Point at) const {
  const double d = down_x_ * right_y_ - down_y_ * right_x_;
  if (std::abs(d) < 1) return std::nullopt;
  const double dx = static_cast<double>(at.x) - origin_x_;
  const double dy = static_cast<double>(at.y) - origin_y_;
  const double row = (dx * right_y_ - dy * right_x_) / d;
  const double column = (dy * down_x_ - dx * down_y_) / d;
  if (row < 0 || column < 0 || row > grid_.rows - 1 || column > grid_.columns - 1) return std::nullopt;
  return Cell{static_cast<int>(std::floor(row)) + 1, static_cast<int>(std::floor(column)) + 1};
}

}  // namespace landfall::rework
