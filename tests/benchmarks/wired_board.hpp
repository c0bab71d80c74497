#pragma once

#include <fmt/format.h>

#include "netdb/packages/packages.hpp"

// A package of which every second ball is a supply and the rest are lines to a far part, without copper.
namespace landfall::testing {

inline Board wired(int rows, int columns) {
  Board board = *packages::bare_board(rows, columns, 800'000);
  Part far;
  far.reference = "U2";
  board.parts.push_back(far);
  const std::size_t balls = board.pins.size();
  for (std::size_t i = 0; i < balls; ++i) {
    const bool supply = i % 2 == 0;
    const std::string name = supply ? (i % 4 == 0 ? "GND" : "VDD") : fmt::format("RAM{}_D{}", i % 3, i);
    Index net = kNone;
    if (supply && i >= 4) net = i % 4 == 0 ? 0 : 1;
    if (net == kNone) {
      board.nets.push_back({name, false, {}});
      net = static_cast<Index>(board.nets.size() - 1);
    }
    board.pins[i].net = net;
    board.pins.push_back({1, fmt::format("{}", i), "", PinType::kUnknown, net});
  }
  return board;
}

}  // namespace landfall::testing
