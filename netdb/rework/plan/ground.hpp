// The board's ground as a wire crosses it: parts are in the way, the rest is open. A search over a grid of
// squares finds a short way with few bends (TRADE.md T21a, T21b).
#pragma once

#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/rework/copper/shape.hpp"

namespace landfall::rework {

class Ground {
 public:
  // The bodies of the fitted parts of `side`, by the box around their lands; lifted parts will be back on. A
  // soldered array's body reaches beyond its lands (body_of); a lifted one's stays as wires leave it.
  Ground(const BoardIndex& index, Side side, const std::vector<Index>& lifted = {});

  // A way from `from` to `to` that keeps off the bodies, save those that hold an end; both ends included. An
  // end in the margin that is only assumed of an array's body opens the margin, not what lies about its
  // balls. Empty when there is none within 15 mm around the two. O(squares log squares), at most 250,000
  // squares.
  [[nodiscard]] std::vector<Point> way(Point from, Point to) const;

 private:
  struct Obstacle {
    Box box;    // covered for certain
    Box reach;  // what is kept off
  };
  std::vector<Obstacle> bodies_;
};

// Length of a line through points, in nm.
Nm line_length(const std::vector<Point>& line);

}  // namespace landfall::rework
