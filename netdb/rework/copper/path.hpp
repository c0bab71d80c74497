// A conductor's middle line with its length: places along it, and which stretches lie within an outline.
#pragma once

#include <utility>
#include <vector>

#include "netdb/rework/copper/shape.hpp"

namespace landfall::rework {

class Path {
 public:
  explicit Path(std::vector<Point> core);

  [[nodiscard]] double length() const { return sums_.back(); }  // nm
  [[nodiscard]] Point place(double at) const;                   // 0 to length(); beyond is the nearer end
  [[nodiscard]] double distance(Point p) const;                 // from the line
  [[nodiscard]] double nearest(Point p) const;                  // how far along the nearest place lies
  [[nodiscard]] std::vector<Point> between(double from, double to) const;

  // The stretches of the line within the shape's copper, in order, joined where they meet. Found to 1 nm
  // for outlines that are convex, piece by piece of the line.
  [[nodiscard]] std::vector<std::pair<double, double>> inside(const Shape& shape) const;

 private:
  std::vector<Point> core_;
  std::vector<double> sums_;  // length up to each point
};

}  // namespace landfall::rework
