// A zone fill's ring with its edges sorted into bands of y, so that a place or a small shape meets only the
// edges near it: rings of 78,000 points occur.
#pragma once

#include <vector>

#include "netdb/rework/copper/shape.hpp"

namespace landfall::rework {

class FillIndex {
 public:
  explicit FillIndex(Shape shape);

  [[nodiscard]] const Shape& shape() const { return shape_; }
  [[nodiscard]] bool winds_around(Point p) const;

  // Distance between the fill's copper and the shape's, as gap(): exact down to the first value at or below
  // `enough`, where the search may stop early; some value above `far` when they are further apart than that.
  [[nodiscard]] double gap_to(const Shape& other, double enough, double far) const;
  [[nodiscard]] double gap_to(const FillIndex& other, double enough, double far) const;

 private:
  [[nodiscard]] std::size_t band_of(Nm y) const;
  [[nodiscard]] std::pair<Point, Point> edge(std::size_t i) const {
    return {shape_.core[i], shape_.core[i + 1 < shape_.core.size() ? i + 1 : 0]};
  }
  // The least distance from the segment to an edge, where it is below `limit`.
  [[nodiscard]] double edge_distance(Point a, Point b, double limit, double enough) const;

  Shape shape_;
  Nm low_ = 0;
  Nm band_ = 1;                                // height of a band
  std::vector<std::uint32_t> starts_, edges_;  // the bands' edges, in one array
};

}  // namespace landfall::rework
