#include "netdb/packages/grid_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace landfall::packages {
namespace {

constexpr double kQuarterStep = 0.25;

struct Sums {  // of the normal equations of v = a + b column + c row
  double n = 0, c = 0, r = 0, cc = 0, cr = 0, rr = 0, v = 0, cv = 0, rv = 0;
};

struct Coefficients {
  double a = 0, b = 0, c = 0;
};

// Cramer's rule on the 3 x 3 normal equations; nothing when the places do not span a plane.
std::optional<Coefficients> solve(const Sums& s) {
  const double det =
      s.n * (s.cc * s.rr - s.cr * s.cr) - s.c * (s.c * s.rr - s.cr * s.r) + s.r * (s.c * s.cr - s.cc * s.r);
  if (std::abs(det) < 1e-9) return std::nullopt;
  const double a = s.v * (s.cc * s.rr - s.cr * s.cr) - s.c * (s.cv * s.rr - s.cr * s.rv) +
                   s.r * (s.cv * s.cr - s.cc * s.rv);
  const double b =
      s.n * (s.cv * s.rr - s.cr * s.rv) - s.v * (s.c * s.rr - s.cr * s.r) + s.r * (s.c * s.rv - s.cv * s.r);
  const double c =
      s.n * (s.cc * s.rv - s.cv * s.cr) - s.c * (s.c * s.rv - s.cv * s.r) + s.v * (s.c * s.cr - s.cc * s.r);
  return Coefficients{a / det, b / det, c / det};
}

std::optional<Lattice> least_squares(const std::vector<NamedPlace>& places, const std::vector<bool>& used) {
  Sums sx;
  Sums sy;
  // Around the first place, so that the sums stay small against the coordinates.
  const Point origin = places.front().at;
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (!used[i] || !places[i].named) continue;
    const double c = places[i].named->column;
    const double r = places[i].named->row;
    for (Sums* s : {&sx, &sy}) {
      const Nm length = s == &sx ? places[i].at.x - origin.x : places[i].at.y - origin.y;
      const double v = static_cast<double>(length);
      s->n += 1;
      s->c += c;
      s->r += r;
      s->cc += c * c;
      s->cr += c * r;
      s->rr += r * r;
      s->v += v;
      s->cv += c * v;
      s->rv += r * v;
    }
  }
  const auto x = solve(sx);
  const auto y = solve(sy);
  if (!x || !y) return std::nullopt;
  return Lattice{
      x->a + static_cast<double>(origin.x), y->a + static_cast<double>(origin.y), x->b, y->b, x->c, y->c};
}

double steps_off(const Lattice& lattice, const NamedPlace& place) {
  const double x = lattice.x0 + lattice.across_x * place.named->column + lattice.down_x * place.named->row;
  const double y = lattice.y0 + lattice.across_y * place.named->column + lattice.down_y * place.named->row;
  const double step =
      std::min(std::hypot(lattice.across_x, lattice.across_y), std::hypot(lattice.down_x, lattice.down_y));
  return std::hypot(x - static_cast<double>(place.at.x), y - static_cast<double>(place.at.y)) /
         std::max(step, 1.0);
}

// A first lattice that outliers do not pull: the median step between neighbours in a row and in a column.
std::optional<Lattice> median_lattice(const std::vector<NamedPlace>& places) {
  std::array<std::vector<double>, 4> steps;  // across x, across y, down x, down y
  std::vector<const NamedPlace*> sorted;
  for (const NamedPlace& place : places) {
    if (place.named) sorted.push_back(&place);
  }
  const auto take = [&](auto key, int part) {
    std::sort(sorted.begin(), sorted.end(), [&](const auto* a, const auto* b) { return key(*a) < key(*b); });
    for (std::size_t i = 1; i < sorted.size(); ++i) {
      const auto [line_a, step_a] = key(*sorted[i - 1]);
      const auto [line_b, step_b] = key(*sorted[i]);
      if (line_a != line_b || step_a == step_b) continue;
      const Point by = sorted[i]->at - sorted[i - 1]->at;
      steps[static_cast<std::size_t>(part)].push_back(static_cast<double>(by.x) / (step_b - step_a));
      steps[static_cast<std::size_t>(part) + 1].push_back(static_cast<double>(by.y) / (step_b - step_a));
    }
  };
  take([](const NamedPlace& p) { return std::pair(p.named->row, p.named->column); }, 0);
  take([](const NamedPlace& p) { return std::pair(p.named->column, p.named->row); }, 2);
  const auto median = [](std::vector<double>& v) {
    std::nth_element(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2), v.end());
    return v[v.size() / 2];
  };
  for (const auto& s : steps) {
    if (s.empty()) return std::nullopt;
  }
  Lattice lattice{0, 0, median(steps[0]), median(steps[1]), median(steps[2]), median(steps[3])};
  std::vector<double> xs;
  std::vector<double> ys;
  for (const NamedPlace* place : sorted) {
    xs.push_back(static_cast<double>(place->at.x) - lattice.across_x * place->named->column -
                 lattice.down_x * place->named->row);
    ys.push_back(static_cast<double>(place->at.y) - lattice.across_y * place->named->column -
                 lattice.down_y * place->named->row);
  }
  lattice.x0 = median(xs);
  lattice.y0 = median(ys);
  return lattice;
}

}  // namespace

std::optional<GridFit> fit_names(const std::vector<NamedPlace>& places) {
  std::set<int> rows;
  std::set<int> columns;
  GridFit fit;
  for (const NamedPlace& place : places) {
    if (!place.named) continue;
    ++fit.named;
    rows.insert(place.named->row);
    columns.insert(place.named->column);
  }
  if (fit.named < 4 || rows.size() < 2 || columns.size() < 2) return std::nullopt;
  auto lattice = median_lattice(places);
  if (!lattice) return std::nullopt;
  std::vector<bool> used(places.size(), false);
  for (int round = 0; round < 10; ++round) {
    std::vector<bool> next(places.size(), false);
    fit.agree = 0;
    for (std::size_t i = 0; i < places.size(); ++i) {
      next[i] = places[i].named && steps_off(*lattice, places[i]) <= kQuarterStep;
      if (next[i]) ++fit.agree;
    }
    if (next == used) break;
    used = next;
    const auto better = least_squares(places, used);
    if (!better) break;
    lattice = better;
  }
  fit.lattice = *lattice;
  return fit;
}

Nearest nearest_site(const Lattice& lattice, Point at) {
  const double det = lattice.across_x * lattice.down_y - lattice.across_y * lattice.down_x;
  const double x = static_cast<double>(at.x) - lattice.x0;
  const double y = static_cast<double>(at.y) - lattice.y0;
  const double column = (x * lattice.down_y - y * lattice.down_x) / det;
  const double row = (lattice.across_x * y - lattice.across_y * x) / det;
  Nearest nearest{{static_cast<int>(std::lround(row)), static_cast<int>(std::lround(column))}, 0};
  nearest.off = std::hypot(column - std::round(column), row - std::round(row));
  return nearest;
}

namespace {

// The distinct values of one axis, values within `same` joined, and their common step; 0 when they have none.
struct Axis {
  std::vector<double> values;
  double step = 0;
};

Axis axis_of(std::vector<double> values) {
  constexpr double kSame = 20'000;  // 0.02 mm
  std::sort(values.begin(), values.end());
  Axis axis;
  for (const double v : values) {
    if (axis.values.empty() || v - axis.values.back() > kSame) axis.values.push_back(v);
  }
  if (axis.values.size() < 3) return axis;
  double least = axis.values[1] - axis.values[0];
  for (std::size_t i = 2; i < axis.values.size(); ++i)
    least = std::min(least, axis.values[i] - axis.values[i - 1]);
  for (const double v : axis.values) {
    const double steps = (v - axis.values.front()) / least;
    if (std::abs(steps - std::round(steps)) > kQuarterStep) return axis;
  }
  axis.step = least;
  return axis;
}

}  // namespace

std::optional<Lattice> fit_places(const std::vector<Point>& places, double angle, bool mirrored) {
  if (places.size() < 9) return std::nullopt;
  std::vector<double> us;
  std::vector<double> vs;
  for (const Point& place : places) {
    const Point own = turned(place, -angle);
    us.push_back(static_cast<double>(own.x));
    vs.push_back(static_cast<double>(own.y));
  }
  const Axis u = axis_of(us);
  const Axis v = axis_of(vs);
  if (u.step <= 0 || v.step <= 0) return std::nullopt;
  const double columns = std::round((u.values.back() - u.values.front()) / u.step) + 1;
  const double rows = std::round((v.values.back() - v.values.front()) / v.step) + 1;
  if (columns < 3 || rows < 3 || columns * rows > 3.0 * static_cast<double>(places.size()))
    return std::nullopt;
  // Column 1 at the left and row 1 on top, in the lands view: of a bottom part left is the board's right.
  const double left = mirrored ? u.values.back() : u.values.front();
  const double across = mirrored ? -u.step : u.step;
  const double radians = angle * std::numbers::pi / 180.0;
  const double c = std::cos(radians);
  const double s = std::sin(radians);
  const double u0 = left - across;
  const double v0 = v.values.back() + v.step;
  return Lattice{u0 * c - v0 * s, u0 * s + v0 * c, across * c, across * s, v.step * s, -v.step * c};
}

}  // namespace landfall::packages
