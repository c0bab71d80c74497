// Small boards drawn by hand in tests: a lifted U1 of 4 x 4 balls at 0.8 mm, parts around it, tracks, vias.
#pragma once

#include <string>

#include "netdb/model/board.hpp"

namespace landfall::testing {

class MadeBoard {
 public:
  // Two copper layers unless said otherwise. U1's balls A1 to D4: A1 at (0, 0), columns to the right, rows
  // down, lands 0.4 mm round, on the top; on no net yet.
  explicit MadeBoard(int layers = 2);

  Board board;
  Index net(const std::string& name);  // made when it is new
  Index ball(const std::string& name, Index net, PinType type = PinType::kBidirectional);
  // A part of `count` pins 1..count, each a land of 0.5 mm x 0.5 mm on the top, 1 mm apart to the right of
  // (x, y).
  Index part(const std::string& reference, int count, double x, double y, Side side = Side::kTop);
  // A soldered array of 3 x 3 balls at 0.8 mm, A1 at (x, y), columns to the right, rows down, its middle
  // where B2 is, lands 0.4 mm round; on no net.
  Index array(const std::string& reference, double x, double y, const std::string& footprint = "");
  void pin(Index part, int number, Index net);
  void track(Index net, double x1, double y1, double x2, double y2, int layer = 0, double width = 0.1);
  void via(Index net, double x, double y, double diameter = 0.45);
  void fill(Index net, int layer, double left, double bottom, double right, double top);
};

// Millimetres to nm.
inline Nm mm(double value) {
  return static_cast<Nm>(value * 1e6 + (value < 0 ? -0.5 : 0.5));
}

}  // namespace landfall::testing
