// Everything known about one ball, and about one net: what the sheet and the commands show.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "netdb/model/package.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

struct PinOnNet {
  Index pin = kNone;
  std::string name;      // "U3.E3"
  std::string value;     // the part's
  std::string function;  // the pin's own word
  Side side = Side::kTop;
  bool placed = false;
  std::optional<Nm> from_here;  // straight to the ball asked about
  bool fitted = true;
};

struct BeyondSeries {
  std::string through;  // "R5, resistor, 22R"
  Index net = kNone;
  std::vector<PinOnNet> pins;
};

struct AboutNet {
  Index net = kNone;
  std::vector<PinOnNet> pins;        // nearest first where places are known
  std::vector<BeyondSeries> beyond;  // its reach
  std::size_t vias = 0;
};

struct AboutBall {
  Index pin = kNone;
  std::string name;  // "U1.Y3"
  std::string function;
  Index net = kNone;
  std::optional<Site> site;
  std::vector<std::string> neighbours;  // balls next to it on the grid, to test for shorts against
  std::vector<Index> neighbour_pins;    // the same, as pins
  AboutNet on_net;                      // without this ball itself
};

AboutNet about_net(const OpenBoard& board, Index net, Index from_pin);
AboutBall about_ball(const OpenBoard& board, Index pin);
// The same for a ball whose package is at hand: fitting it again is the dear part. `package` may be another
// part's, and is then of no use.
AboutBall about_ball(const OpenBoard& board, Index pin, const Package& package);

}  // namespace landfall::app
