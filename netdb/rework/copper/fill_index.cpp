#include "netdb/rework/copper/fill_index.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace landfall::rework {

FillIndex::FillIndex(Shape shape) : shape_(std::move(shape)) {
  const std::size_t n = shape_.core.size();
  low_ = shape_.box.bottom + shape_.radius;
  const Nm height = shape_.box.top - shape_.radius - low_;
  const auto bands = static_cast<Nm>(std::clamp<std::size_t>(n / 4, 1, 4096));
  // No more than some nine entries an edge, however the ring zigzags.
  double climbed = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const auto [a, b] = edge(i);
    climbed += std::abs(static_cast<double>(b.y - a.y));
  }
  band_ =
      std::max({height / bands + 1, static_cast<Nm>(climbed / (8.0 * static_cast<double>(n))) + 1, Nm{1}});
  const std::size_t count = band_of(low_ + height) + 1;
  starts_.assign(count + 1, 0);
  const auto each = [&](auto visit) {
    for (std::size_t i = 0; i < n; ++i) {
      const auto [a, b] = edge(i);
      const std::size_t last = band_of(std::max(a.y, b.y));
      for (std::size_t band = band_of(std::min(a.y, b.y)); band <= last; ++band) visit(band, i);
    }
  };
  each([&](std::size_t band, std::size_t) { ++starts_[band + 1]; });
  for (std::size_t band = 0; band < count; ++band) starts_[band + 1] += starts_[band];
  edges_.resize(starts_.back());
  std::vector<std::uint32_t> next(starts_.begin(), starts_.end() - 1);
  each([&](std::size_t band, std::size_t i) { edges_[next[band]++] = static_cast<std::uint32_t>(i); });
}

std::size_t FillIndex::band_of(Nm y) const {
  const Nm band = std::max<Nm>(y - low_, 0) / band_;
  const Nm last = starts_.empty() ? band : static_cast<Nm>(starts_.size()) - 2;
  return static_cast<std::size_t>(std::min(band, last));
}

bool FillIndex::winds_around(Point p) const {
  const Box& box = shape_.box;
  if (shape_.core.size() < 3 || p.x < box.left || p.x > box.right || p.y < box.bottom || p.y > box.top)
    return false;
  int winding = 0;
  const std::size_t band = band_of(p.y);
  for (std::uint32_t k = starts_[band]; k < starts_[band + 1]; ++k) {
    const auto [a, b] = edge(edges_[k]);
    if ((a.y <= p.y) == (b.y <= p.y)) continue;
    const double side = static_cast<double>(b.x - a.x) * static_cast<double>(p.y - a.y) -
                        static_cast<double>(b.y - a.y) * static_cast<double>(p.x - a.x);
    if (a.y <= p.y && side > 0) ++winding;
    if (a.y > p.y && side < 0) --winding;
  }
  return winding != 0;
}

double FillIndex::edge_distance(Point a, Point b, double limit, double enough) const {
  const auto reach = static_cast<Nm>(limit) + 1;
  const Nm left = std::min(a.x, b.x) - reach;
  const Nm right = std::max(a.x, b.x) + reach;
  const Nm bottom = std::min(a.y, b.y) - reach;
  const Nm top = std::max(a.y, b.y) + reach;
  double least = limit;
  const std::size_t last = band_of(top);
  for (std::size_t band = band_of(bottom); band <= last; ++band) {
    for (std::uint32_t k = starts_[band]; k < starts_[band + 1]; ++k) {
      const auto [c, d] = edge(edges_[k]);
      if (std::max(c.x, d.x) < left || std::min(c.x, d.x) > right || std::max(c.y, d.y) < bottom ||
          std::min(c.y, d.y) > top)
        continue;
      least = std::min(least, segment_distance(a, b, c, d));
      if (least <= enough) return least;
    }
  }
  return least;
}

double FillIndex::gap_to(const Shape& other, double enough, double far) const {
  if (!shape_.box.meets(other.box, static_cast<Nm>(far) + 1)) return far + 1;
  if (winds_around(other.core[0]) || landfall::rework::winds_around(other, shape_.core[0])) return -1e9;
  const auto pens = static_cast<double>(shape_.radius + other.radius);
  double least = far + 1 + pens;
  const std::size_t n = other.core.size();
  const std::size_t segments = n == 1 ? 1 : (other.area ? n : n - 1);
  for (std::size_t i = 0; i < segments; ++i) {
    least = edge_distance(other.core[i], other.core[(i + 1) % n], least, enough + pens);
    if (least - pens <= enough) break;
  }
  return least == 0 && pens == 0 ? -1e9 : least - pens;
}

double FillIndex::gap_to(const FillIndex& other, double enough, double far) const {
  const bool smaller = shape_.core.size() <= other.shape_.core.size();
  const FillIndex& small = smaller ? *this : other;
  const FillIndex& large = smaller ? other : *this;
  if (large.winds_around(small.shape_.core[0]) || small.winds_around(large.shape_.core[0])) return -1e9;
  const auto pens = static_cast<double>(shape_.radius + other.shape_.radius);
  double least = far + 1 + pens;
  for (std::size_t i = 0; i < small.shape_.core.size(); ++i) {
    const auto [a, b] = small.edge(i);
    least = large.edge_distance(a, b, least, enough + pens);
    if (least - pens <= enough) break;
  }
  return least == 0 && pens == 0 ? -1e9 : least - pens;
}

}  // namespace landfall::rework
