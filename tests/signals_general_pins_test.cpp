// Pins that any signal may use, as programmable chips have them: their names give a place, not a use.
// Sources: the unconfigured BSDL files of programmable chips call such a pin IO_ and its ball, or IO and its
// ball; UG475 "7 Series FPGAs Packaging and Pinout", table 1-12, IO_LXXY_ZZZ; KiCad's symbols FPGA_*.
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "netdb/signals/signals.hpp"

using namespace landfall;

namespace {

using Pins = std::vector<std::pair<std::string, std::string>>;  // ball, name

// A list: one chip, each name a net of its own.
Board list_of(const Pins& pins) {
  Board board;
  board.parts.push_back({});
  board.parts.back().reference = "U1";
  for (const auto& [ball, name] : pins) {
    board.pins.push_back({0, ball, name, PinType::kUnknown, static_cast<Index>(board.nets.size())});
    board.nets.push_back({name, false, {}});
  }
  return board;
}

std::vector<SignalClass> classes_of(const Board& board) {
  const BoardIndex index(board);
  const Signals found = signals::analyse(index, {});
  std::vector<SignalClass> classes;
  for (const NetSignal& net : found.nets) classes.push_back(net.signal_class);
  return classes;
}

// Rows A, D and AD with eight balls each, and P and N, named `before` and the ball.
Pins named_by_ball(const std::string& before) {
  Pins pins;
  for (const char* row : {"A", "D", "AD", "MA", "P", "N"}) {
    for (int column = 1; column <= 8; ++column) {
      const std::string ball = row + std::to_string(column);
      pins.emplace_back(ball, before + ball);
    }
  }
  return pins;
}

}  // namespace

TEST_CASE("a pin called IO and its own ball is no address, data line or leg of a pair") {
  for (const std::string before : {"IO_", "IO", "PAD_", "io_", "GPIO_", "IO3_", "IO0"}) {
    CAPTURE(before);
    for (const SignalClass c : classes_of(list_of(named_by_ball(before)))) CHECK(c == SignalClass::kUnknown);
  }
}

TEST_CASE("on a board too a net that bears such a pin's name has no class from it") {
  Board board = list_of(named_by_ball("IO_"));
  for (Pin& pin : board.pins) pin.function.clear();  // a netlist without the pins' names
  for (const SignalClass c : classes_of(board)) CHECK(c == SignalClass::kUnknown);
}

TEST_CASE("the same names on other balls are a bus, and real pairs stay pairs") {
  Pins pins;
  for (int i = 0; i < 8; ++i) pins.emplace_back("B" + std::to_string(i + 1), "EXT_A" + std::to_string(i));
  pins.insert(pins.end(), {{"C1", "IO_L3P"}, {"C2", "IO_L3N"}, {"P4", "CLK_P4"}, {"N4", "CLK_N4"}});
  const auto classes = classes_of(list_of(pins));
  for (std::size_t i = 0; i < 8; ++i) CHECK(classes[i] == SignalClass::kAddress);
  for (std::size_t i = 8; i < 12; ++i) CHECK(classes[i] == SignalClass::kDifferential);
}

TEST_CASE("a general pin's bank and place are no bus, and what else it may be is no class") {
  Pins pins;
  // GateMate: bank, leg and number.
  for (int i = 0; i < 9; ++i) pins.emplace_back("C" + std::to_string(i + 1), "IO_WA_A" + std::to_string(i));
  pins.emplace_back("D1", "IO_L6N_T0_VREF_34");
  pins.emplace_back("D2", "IO_L12P_CLK_34");
  pins.emplace_back("D3", "IO_L1N_DONE_2");
  for (const SignalClass c : classes_of(list_of(pins))) CHECK(c == SignalClass::kUnknown);
}

TEST_CASE("a bus that a designer called IO_D keeps its class: the pins on it have other names") {
  Board board;
  board.parts.push_back({});
  board.parts.back().reference = "U1";
  for (int i = 0; i < 8; ++i) {
    board.pins.push_back(
        {0, "B" + std::to_string(i + 1), "PB" + std::to_string(i), PinType::kUnknown, static_cast<Index>(i)});
    board.nets.push_back({"IO_D" + std::to_string(i), false, {}});
  }
  for (const SignalClass c : classes_of(board)) CHECK(c == SignalClass::kData);
}
