#include "netdb/rework/copper/path.hpp"

#include <algorithm>
#include <cmath>

namespace landfall::rework {
namespace {

double length_of(Point a, Point b) {
  // Not hypot: its care for overflow costs four times as much, and a board's squares stay far below 1e300.
  const auto dx = static_cast<double>(b.x - a.x);
  const auto dy = static_cast<double>(b.y - a.y);
  return std::sqrt(dx * dx + dy * dy);
}

Point between_points(Point a, Point b, double share) {
  return {a.x + std::llround(share * static_cast<double>(b.x - a.x)),
          a.y + std::llround(share * static_cast<double>(b.y - a.y))};
}

}  // namespace

Path::Path(std::vector<Point> core) : core_(std::move(core)) {
  sums_.push_back(0);
  for (std::size_t i = 1; i < core_.size(); ++i)
    sums_.push_back(sums_.back() + length_of(core_[i - 1], core_[i]));
}

Point Path::place(double at) const {
  if (at <= 0 || core_.size() < 2) return core_.front();
  if (at >= length()) return core_.back();
  const auto next =
      static_cast<std::size_t>(std::upper_bound(sums_.begin(), sums_.end(), at) - sums_.begin());
  const double piece = sums_[next] - sums_[next - 1];
  return between_points(core_[next - 1], core_[next], piece > 0 ? (at - sums_[next - 1]) / piece : 0);
}

double Path::distance(Point p) const {
  double least = length_of(p, core_.front());
  for (std::size_t i = 1; i < core_.size(); ++i)
    least = std::min(least, foot(p, core_[i - 1], core_[i]).distance);
  return least;
}

double Path::nearest(Point p) const {
  double least = length_of(p, core_.front());
  double at = 0;
  for (std::size_t i = 1; i < core_.size(); ++i) {
    const Foot there = foot(p, core_[i - 1], core_[i]);
    if (there.distance >= least) continue;
    least = there.distance;
    at = sums_[i - 1] + there.along * (sums_[i] - sums_[i - 1]);
  }
  return at;
}

std::vector<Point> Path::between(double from, double to) const {
  std::vector<Point> points{place(from)};
  for (std::size_t i = 0; i < core_.size(); ++i) {
    if (sums_[i] > from && sums_[i] < to) points.push_back(core_[i]);
  }
  const Point last = place(to);
  if (!(points.back() == last)) points.push_back(last);
  return points;
}

std::vector<std::pair<double, double>> Path::inside(const Shape& shape) const {
  // The distance from a convex outline is a convex function along a straight piece, so that the part within
  // is one stretch around the least.
  std::vector<std::pair<double, double>> stretches;
  const auto depth = [&](Point p) {
    Shape dot;
    dot.core = {p};
    return gap(shape, dot);
  };
  const std::size_t pieces = std::max<std::size_t>(core_.size(), 2) - 1;
  for (std::size_t i = 0; i < pieces; ++i) {
    const Point a = core_[i];
    const Point b = core_[std::min(i + 1, core_.size() - 1)];
    const double long_way = length_of(a, b);
    const auto at = [&](double s) { return depth(between_points(a, b, long_way > 0 ? s / long_way : 0)); };
    double low = 0;
    double high = long_way;
    if (at(low) > 0 && at(high) > 0) {
      while (high - low > 1) {
        const double third = (high - low) / 3;
        if (at(low + third) <= at(high - third)) {
          high -= third;
        } else {
          low += third;
        }
      }
    } else {
      low = high = at(0) <= 0 ? 0 : long_way;
    }
    const double least = (low + high) / 2;
    if (at(least) > 0) continue;
    const auto edge = [&](double in, double out) {
      if (at(out) <= 0) return out;
      while (std::abs(out - in) > 1) {
        const double mid = (in + out) / 2;
        (at(mid) <= 0 ? in : out) = mid;
      }
      return in;
    };
    const double from = i < sums_.size() ? sums_[i] : 0;
    const std::pair<double, double> found{from + edge(least, 0), from + edge(least, long_way)};
    if (!stretches.empty() && found.first - stretches.back().second <= 2) {
      stretches.back().second = found.second;
    } else {
      stretches.push_back(found);
    }
  }
  return stretches;
}

}  // namespace landfall::rework
