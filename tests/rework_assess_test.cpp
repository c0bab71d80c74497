// What was lost and what it takes: DESIGN.md section 5, by hand on small boards and on one real one.
#include <algorithm>
#include <map>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/model/board_index.hpp"
#include "netdb/rework/assess.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
using rework::Need;
using rework::State;

namespace {

// U1 with ten VDD and ten VSS balls, a data line to U2, a strapped input, a spare, a test point line.
struct Small {
  Board board;
  Index add_net(const std::string& name) {
    board.nets.push_back({name, false, {}});
    return static_cast<Index>(board.nets.size() - 1);
  }
  Index add_part(const std::string& reference) {
    Part part;
    part.reference = reference;
    board.parts.push_back(part);
    return static_cast<Index>(board.parts.size() - 1);
  }
  void add_pin(Index part, const std::string& number, const std::string& function, PinType type, Index net) {
    board.pins.push_back({part, number, function, type, net});
  }
};

Small small(int supply_balls) {
  Small s;
  const Index vdd = s.add_net("VDD");
  const Index gnd = s.add_net("GND");
  const Index line = s.add_net("LINE");
  const Index probe = s.add_net("PROBE");
  const Index u1 = s.add_part("U1");
  const Index u2 = s.add_part("U2");
  const Index tp = s.add_part("TP1");
  for (int i = 1; i <= supply_balls; ++i) {
    s.add_pin(u1, fmt::format("A{}", i), "VDD", PinType::kPowerIn, vdd);
    s.add_pin(u1, fmt::format("B{}", i), "VSS", PinType::kPowerIn, gnd);
  }
  s.add_pin(u1, "C1", "D0", PinType::kBidirectional, line);
  s.add_pin(u1, "C2", "BOOT", PinType::kInput, gnd);
  s.add_pin(u1, "C3", "NC", PinType::kNotConnected, kNone);
  s.add_pin(u1, "C4", "T", PinType::kOutput, probe);
  s.add_pin(u2, "1", "", PinType::kUnknown, line);
  s.add_pin(u2, "2", "", PinType::kUnknown, gnd);
  s.add_pin(u2, "3", "", PinType::kUnknown, vdd);
  s.add_pin(tp, "1", "", PinType::kPassive, probe);
  return s;
}

rework::Assessment assess(const Board& board, std::vector<Mark> marks,
                          std::vector<std::string> lifted = {"U1"}, const rework::MendRules& rules = {}) {
  const BoardIndex index(board);
  Job job;
  job.lifted = std::move(lifted);
  job.marks = std::move(marks);
  const rework::Copper copper(board);
  return rework::assess(index, signals::analyse(index, {}), copper, job, {}, rules);
}

Need need_of(const rework::Assessment& a, const Board& board, const std::string& ball) {
  for (const auto& site : a.sites) {
    if (board.pins[site.pin].number == ball) return site.need;
  }
  FAIL("no answer for " << ball);
  return Need::kNone;
}

}  // namespace

TEST_CASE("each kind of mark has the need that the design gives it") {
  const Board board = small(20).board;
  const auto a = assess(board, {{"U1", "C1", MarkKind::kTorn, ""}});
  CHECK(need_of(a, board, "C1") == Need::kWire);
  CHECK(a.wires == 1);
  CHECK(a.bound);
  for (const auto& [kind, need] : {std::pair{MarkKind::kMask, Need::kNone},
                                   {MarkKind::kLoose, Need::kRebuild},
                                   {MarkKind::kMissing, Need::kWire},
                                   {MarkKind::kBarrel, Need::kWire},
                                   {MarkKind::kChip, Need::kCannot}}) {
    CHECK(need_of(assess(board, {{"U1", "C1", kind, ""}}), board, "C1") == need);
  }
  const auto sound = assess(board, {{"U1", "C1", MarkKind::kSound, ""}});
  CHECK(sound.sites.empty());
  CHECK(sound.sound == 1);
  CHECK(sound.not_inspected == 43);
}

TEST_CASE("a spare, a test point's line and a strapped input are told apart") {
  const Board board = small(20).board;
  const auto a = assess(board, {{"U1", "C2", MarkKind::kTorn, ""},
                                {"U1", "C3", MarkKind::kTorn, ""},
                                {"U1", "C4", MarkKind::kTorn, ""}});
  CHECK(need_of(a, board, "C2") == Need::kWire);  // a signal ball strapped to a supply is a signal
  CHECK(need_of(a, board, "C3") == Need::kNone);
  CHECK(need_of(a, board, "C4") == Need::kOptional);
}

TEST_CASE(
    "supplies go by the lost share of their group: to 10 % none, to 25 % optional, more is needed, and four "
    "have no spare") {
  const auto lose = [](int of, int lost) {
    const Board board = small(of).board;
    std::vector<Mark> marks;
    for (int i = 1; i <= lost; ++i) marks.push_back({"U1", fmt::format("A{}", i), MarkKind::kTorn, ""});
    return need_of(assess(board, marks), board, "A1");
  };
  CHECK(lose(20, 2) == Need::kNone);
  CHECK(lose(20, 3) == Need::kOptional);
  CHECK(lose(20, 5) == Need::kOptional);
  CHECK(lose(20, 6) == Need::kWire);
  CHECK(lose(4, 1) == Need::kWire);
  CHECK(lose(10, 1) == Need::kNone);
  CHECK(lose(5, 1) == Need::kOptional);
}

TEST_CASE("a mark on a ball that the board has not is kept and listed") {
  const auto a = assess(small(20).board, {{"U1", "ZZ9", MarkKind::kTorn, ""}});
  CHECK(a.strays.size() == 1);
  CHECK(a.sites.empty());
}

TEST_CASE("fifteen sites of a real mainboard, checked by hand against its memories' standard map") {
  if (!testing::have_shared()) return;
  const Board board =
      testing::open_design(testing::shared_file("boards/kicad_pcb/TERES_PCB1-A64-MAIN_Rev.C.kicad_pcb"))
          .board;
  // U1's corner near A1. By hand from the file: A1 and C3 are GND (73 balls at U1); A2, B2, B3, B1, A5 and A4
  // are S0SDQ22, 21, 23, 20, 27 and 26; C2 is S0SDQM2; D1, D2 are S0SDQS2; E5 is S0SCS0; G2 is the clock's
  // leg; A13 and B13 are on nets of their own.
  std::vector<Mark> marks;
  for (const char* ball : {"A1", "C3", "A2", "B2", "B3", "C2", "D1", "D2", "E5", "A13", "B13"})
    marks.push_back({"U1", ball, MarkKind::kTorn, ""});
  marks.push_back({"U1", "B1", MarkKind::kLoose, ""});
  marks.push_back({"U1", "A5", MarkKind::kMissing, ""});
  marks.push_back({"U1", "A4", MarkKind::kBarrel, ""});
  marks.push_back({"U1", "G2", MarkKind::kChip, ""});
  const auto a = assess(board, marks);
  CHECK(a.sites.size() == 15);
  for (const char* ball : {"A1", "C3", "A13", "B13"}) CHECK(need_of(a, board, ball) == Need::kNone);
  // The copper, read by hand: C2's trace goes to a via at 133.1, 51.6 and E5's to one at 138.125, 55.9, both
  // in the open; A5's trace still ends at its rim. A2, B2, B3, D1, D2 run on the top from land to land
  // without a via, so that a torn land takes all of it; A4's own via is pulled, and its second one lies under
  // the memory.
  for (const char* ball : {"C2", "E5"}) CHECK(need_of(a, board, ball) == Need::kWire);
  for (const char* ball : {"A5", "B1"}) CHECK(need_of(a, board, ball) == Need::kRebuild);
  for (const char* ball : {"A2", "B2", "B3", "D1", "D2", "A4", "G2"})
    CHECK(need_of(a, board, ball) == Need::kCannot);
  CHECK(a.wires == 2);
  CHECK(a.rebuilds == 2);
  CHECK(a.cannot == 7);
  for (const auto& mend : a.mends) {
    for (const auto& wire : mend.jumpers)
      CHECK(wire.to.at == (board.pins[wire.from.pin].number == "C2" ? Point{133'100'000, -51'600'000}
                                                                    : Point{138'125'000, -55'900'000}));
  }
  // A torn land that takes at most 1 mm of its trace leaves the rest as a landing.
  rework::MendRules reach;
  reach.torn_reach = 1'000'000;
  const auto b = assess(board, marks, {"U1"}, reach);
  for (const char* ball : {"A2", "B2", "B3", "D1", "D2"}) CHECK(need_of(b, board, ball) == Need::kWire);
  CHECK(a.none == 4);
  CHECK(a.not_inspected == 381);
  const BoardIndex index(board);
  const Signals signals = signals::analyse(index, {});
  std::map<std::string, State> lanes;
  for (const auto& lane : a.lanes) lanes[signals.lanes[lane.group].name] = lane.state;
  CHECK(lanes["S0S lane 0"] == State::kUp);
  CHECK(lanes["S0S lane 1"] == State::kUp);
  CHECK(lanes["S0S lane 2"] == State::kDown);
  CHECK(lanes["S0S lane 3"] == State::kDown);
  REQUIRE_FALSE(a.channels.empty());
  CHECK(signals.channels[a.channels.front().group].name == "S0S");
  CHECK(a.channels.front().state == State::kDown);
  for (std::size_t i = 1; i < a.channels.size(); ++i) CHECK(a.channels[i].state == State::kUp);
}
