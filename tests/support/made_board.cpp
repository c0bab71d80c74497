#include "tests/support/made_board.hpp"

#include <algorithm>

namespace landfall::testing {

MadeBoard::MadeBoard(int layers) {
  for (int i = 0; i < layers; ++i) board.layers.push_back("L" + std::to_string(i + 1));
  Part u1;
  u1.reference = "U1";
  u1.placed = true;
  board.parts.push_back(u1);
  for (int row = 0; row < 4; ++row) {
    for (int column = 0; column < 4; ++column) {
      Pin pin;
      pin.part = 0;
      pin.number = std::string(1, static_cast<char>('A' + row)) + std::to_string(column + 1);
      board.pins.push_back(pin);
      Land land;
      land.part = 0;
      land.pin = static_cast<Index>(board.pins.size() - 1);
      land.at = {mm(0.8 * column), mm(-0.8 * row)};
      land.width = land.height = mm(0.4);
      land.layers = layer_bit(0);
      board.lands.push_back(land);
    }
  }
}

Index MadeBoard::net(const std::string& name) {
  for (std::size_t i = 0; i < board.nets.size(); ++i) {
    if (board.nets[i].name == name) return static_cast<Index>(i);
  }
  board.nets.push_back({name, false, {}});
  return static_cast<Index>(board.nets.size() - 1);
}

Index MadeBoard::ball(const std::string& name, Index net, PinType type) {
  for (std::size_t i = 0; i < board.pins.size(); ++i) {
    Pin& pin = board.pins[i];
    if (pin.part != 0 || pin.number != name) continue;
    pin.net = net;
    pin.type = type;
    for (Land& land : board.lands) {
      if (land.pin == i) land.net = net;
    }
    return static_cast<Index>(i);
  }
  return kNone;
}

Index MadeBoard::part(const std::string& reference, int count, double x, double y, Side side) {
  Part made;
  made.reference = reference;
  made.side = side;
  made.placed = true;
  made.at = {mm(x), mm(y)};
  board.parts.push_back(made);
  const auto part = static_cast<Index>(board.parts.size() - 1);
  for (int i = 0; i < count; ++i) {
    Pin pin;
    pin.part = part;
    pin.number = std::to_string(i + 1);
    board.pins.push_back(pin);
    Land land;
    land.part = part;
    land.pin = static_cast<Index>(board.pins.size() - 1);
    land.at = {mm(x + i), mm(y)};
    land.shape = LandShape::kRect;
    land.width = land.height = mm(0.5);
    land.side = side;
    land.layers = layer_bit(side == Side::kBottom ? static_cast<int>(board.layers.size()) - 1 : 0);
    board.lands.push_back(land);
  }
  return part;
}

Index MadeBoard::array(const std::string& reference, double x, double y, const std::string& footprint) {
  const Index made = part(reference, 9, x, y);
  board.parts[made].at = {mm(x + 0.8), mm(y - 0.8)};
  board.parts[made].footprint = footprint;
  int n = 0;
  for (Land& land : board.lands) {
    if (land.part != made) continue;
    board.pins[land.pin].number = std::string(1, static_cast<char>('A' + n / 3)) + std::to_string(n % 3 + 1);
    land.at = {mm(x + 0.8 * (n % 3)), mm(y - 0.8 * (n / 3))};
    land.shape = LandShape::kCircle;
    land.width = land.height = mm(0.4);
    ++n;
  }
  return made;
}

void MadeBoard::pin(Index part, int number, Index net) {
  for (std::size_t i = 0; i < board.pins.size(); ++i) {
    if (board.pins[i].part != part || board.pins[i].number != std::to_string(number)) continue;
    board.pins[i].net = net;
    for (Land& land : board.lands) {
      if (land.pin == i) land.net = net;
    }
  }
}

void MadeBoard::track(Index net, double x1, double y1, double x2, double y2, int layer, double width) {
  board.tracks.push_back({{mm(x1), mm(y1)}, {mm(x2), mm(y2)}, mm(width), layer, net});
}

void MadeBoard::via(Index net, double x, double y, double diameter) {
  Via via;
  via.at = {mm(x), mm(y)};
  via.diameter = mm(diameter);
  via.drill = mm(0.2);
  via.last = static_cast<int>(board.layers.size()) - 1;
  via.net = net;
  board.vias.push_back(via);
}

void MadeBoard::fill(Index net, int layer, double left, double bottom, double right, double top) {
  Fill fill;
  fill.net = net;
  fill.layer = layer;
  fill.ring = {{mm(left), mm(bottom)}, {mm(right), mm(bottom)}, {mm(right), mm(top)}, {mm(left), mm(top)}};
  board.fills.push_back(fill);
  Zone zone;
  zone.net = net;
  zone.layers = layer_bit(layer);
  zone.filled = true;
  board.zones.push_back(zone);
}

}  // namespace landfall::testing
