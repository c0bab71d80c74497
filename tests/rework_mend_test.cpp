// The table of cases in DESIGN.md section 5 on small drawn boards: expected wires and rebuilds first, by
// hand.
#include <algorithm>
#include <vector>

#include <doctest/doctest.h>

#include "netdb/rework/assess.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/made_board.hpp"

using namespace landfall;
using rework::LandingKind;
using testing::MadeBoard;
using testing::mm;

namespace {

rework::Assessment assess(const Board& board, std::vector<Mark> marks, std::vector<Fact> facts = {},
                          const rework::MendRules& rules = {}) {
  const BoardIndex index(board);
  const rework::Copper copper(board);
  Job job;
  job.lifted = {"U1"};
  job.marks = std::move(marks);
  job.facts = std::move(facts);
  return rework::assess(index, signals::analyse(index, {}), copper, job, {}, rules);
}

Mark mark(const char* ball, MarkKind kind) {
  return {"U1", ball, kind, ""};
}

// A1 goes by a short trace to a via beside it, on the bottom to R1 on the top by a second via.
MadeBoard dogbone(double via_x = 0.4, double via_y = -0.4) {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0, 0, via_x, via_y);
  made.via(line, via_x, via_y);
  made.track(line, via_x, via_y, via_x, 5, 1);
  made.via(line, via_x, 5);
  const Index r1 = made.part("R1", 2, 2, 5);
  made.track(line, via_x, 5, 2, 5);
  made.pin(r1, 1, line);
  return made;
}

}  // namespace

TEST_CASE("a missing land whose trace still ends at its rim: no wire, one rebuild") {
  const auto a = assess(dogbone().board, {mark("A1", MarkKind::kMissing)});
  CHECK(a.wires == 0);
  CHECK(a.rebuilds == 1);
  CHECK_FALSE(a.bound);
  CHECK(a.sites.at(0).need == rework::Need::kRebuild);
}

TEST_CASE("torn up to the via beside it: one wire, to that via") {
  const auto a = assess(dogbone().board, {mark("A1", MarkKind::kTorn)});
  CHECK(a.wires == 1);
  CHECK(a.rebuilds == 0);
  REQUIRE(a.mends.size() == 1);
  REQUIRE(a.mends[0].jumpers.size() == 1);
  const auto& wire = a.mends[0].jumpers[0];
  CHECK(wire.from.kind == LandingKind::kSite);
  CHECK(wire.to.kind == LandingKind::kTentedVia);
  CHECK(wire.to.at == Point{400'000, -400'000});
}

TEST_CASE("the via pulled too: one wire, to the far side's nearest landing") {
  const auto a = assess(dogbone().board, {mark("A1", MarkKind::kBarrel)});
  CHECK(a.wires == 1);
  CHECK(a.rebuilds == 0);
  const auto& wire = a.mends.at(0).jumpers.at(0);
  // R1.1 lies 0.43 mm further than the second via, and is the better landing.
  CHECK(wire.to.kind == LandingKind::kTerminal);
  // 'Via is good': the barrel mark takes no via.
  Mark good = mark("A1", MarkKind::kBarrel);
  good.via_good = true;
  CHECK(assess(dogbone().board, {good}).mends.at(0).jumpers.at(0).to.at == Point{400'000, -400'000});
}

TEST_CASE("a trace through the land to a second pin: missing 0 wires and 1 rebuild, torn both ways 2 and 0") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  const Index r1 = made.part("R1", 2, -5, 0);
  const Index r2 = made.part("R2", 2, 5, 3);
  made.pin(r1, 1, line);
  made.pin(r2, 1, line);
  made.track(line, -5, 0, 3, 0);
  made.track(line, 3, 0, 5, 3);
  const auto missing = assess(made.board, {mark("A1", MarkKind::kMissing)});
  CHECK(missing.wires == 0);
  CHECK(missing.rebuilds == 1);
  CHECK(missing.mends.at(0).rebuilds.at(0).conductors == 2);
  CHECK(missing.cut_off.size() == 1);  // until the new land joins them again
  const auto torn = assess(made.board, {mark("A1", MarkKind::kTorn)});
  CHECK(torn.wires == 2);
  CHECK(torn.rebuilds == 0);
  CHECK(torn.cut_off.size() == 1);
  // Only the trace to the east: the western one still ends at the rim, so a rebuild and one wire.
  Mark east = mark("A1", MarkKind::kTorn);
  east.only_toward = "e";
  const auto half = assess(made.board, {east});
  CHECK(half.wires == 1);
  CHECK(half.rebuilds == 1);
}

TEST_CASE("two neighbouring sites of one net, both torn: two wires, one from site to site") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.ball("A2", line);
  const Index r1 = made.part("R1", 2, 6, 6);
  made.pin(r1, 1, line);
  made.track(line, 0, 0, 0, 6);
  made.track(line, 0.8, 0, 0.8, 6);
  made.track(line, 0, 6, 6, 6);
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn), mark("A2", MarkKind::kTorn)});
  CHECK(a.wires == 2);
  std::size_t between_sites = 0;
  for (const auto& wire : a.mends.at(0).jumpers)
    between_sites += wire.to.kind == LandingKind::kSite ? 1U : 0U;
  CHECK(between_sites == 1);
}

TEST_CASE("spare ground needs nothing, the last ball of a supply goes to the plane's nearest landing") {
  MadeBoard made(4);
  const Index gnd = made.net("GND");
  for (const char* ball : {"A1", "A2", "A3", "A4", "B1", "B2", "B3", "B4", "C1", "C2"})
    made.ball(ball, gnd, PinType::kPowerIn);
  const Index c1 = made.part("C1", 2, 8, 0);
  made.pin(c1, 1, gnd);
  made.fill(gnd, 0, -2, -4, 10, 2);
  const auto spare = assess(made.board, {mark("A1", MarkKind::kTorn)});
  CHECK(spare.wires == 0);
  CHECK(spare.rebuilds == 0);
  CHECK(spare.none == 1);

  MadeBoard last(4);
  const Index rail = last.net("VDD");
  last.ball("B2", rail, PinType::kPowerIn);
  last.track(rail, 0.8, -0.8, 1.2, -1.2);
  last.via(rail, 1.2, -1.2);
  last.fill(rail, 2, -2, -4, 10, 2);
  last.via(rail, 3.5, 0.5);  // the plane's own, on its way to the capacitor
  const Index c2 = last.part("C2", 2, 8, 0);
  last.pin(c2, 1, rail);
  last.via(rail, 7, 0);
  last.track(rail, 7, 0, 8, 0);
  const auto a = assess(last.board, {mark("B2", MarkKind::kBarrel)});
  CHECK(a.wires == 1);
  CHECK(a.mends.at(0).jumpers.at(0).to.at == Point{3'500'000, 500'000});
}

TEST_CASE("a chain through a lost land: the pin that nobody marked is cut off and joined as well") {
  // U2 - A1 - A2 - R1 in a row on the top; A1 is torn both ways.
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.ball("A2", line);
  const Index u2 = made.part("U2", 3, -5, 0);
  const Index r1 = made.part("R1", 2, 5, 0);
  const Index r2 = made.part("R2", 2, 5, 3);
  made.pin(u2, 1, line);
  made.pin(r1, 1, line);
  made.pin(r2, 1, line);
  made.track(line, -5, 0, 0, 0);
  made.track(line, 0, 0, 0.8, 0);
  made.track(line, 0.8, 0, 5, 0);
  made.track(line, 5, 0, 5, 3);
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn)});
  const BoardIndex index(made.board);
  REQUIRE(a.cut_off.size() == 1);
  CHECK(index.pin_text(a.cut_off[0]) == "U2.1");
  CHECK(a.wires == 2);  // A1, and U2's piece
}

TEST_CASE("no landing: the far pin is under another area array, or on the far side until that is allowed") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0, 0, 0.4, -0.4);
  made.via(line, 0.4, -0.4);
  made.track(line, 0.4, -0.4, 4, -6, 1);
  const Index r1 = made.part("R1", 2, 4, -6, Side::kBottom);
  made.pin(r1, 1, line);
  const auto top_only = assess(made.board, {mark("A1", MarkKind::kBarrel)});
  CHECK(top_only.wires == 0);
  CHECK(top_only.cannot == 1);
  CHECK(top_only.sites.at(0).reason.find("the other side has one") != std::string::npos);
  CHECK(top_only.sites.at(0).need == rework::Need::kCannot);
  rework::MendRules both;
  both.both_sides = true;
  const auto either = assess(made.board, {mark("A1", MarkKind::kBarrel)}, {}, both);
  CHECK(either.wires == 1);
  CHECK(either.cannot == 0);
}

namespace {

// A1 goes by a via beside it, which its mark pulls, on the bottom to R1 there; half way a second via comes up
// at (5, y). U2's balls lie from x = 4.2 to 5.8 and from y = 0 down to -1.6.
MadeBoard beside_an_array(double y, const char* footprint = "") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0, 0, 0.4, -0.4);
  made.via(line, 0.4, -0.4);
  made.track(line, 0.4, -0.4, 5, y, 1);
  made.via(line, 5, y);
  made.track(line, 5, y, 5, 6, 1);
  const Index r1 = made.part("R1", 2, 5, 6, Side::kBottom);
  made.pin(r1, 1, line);
  made.array("U2", 4.2, 0, footprint);
  return made;
}

std::size_t wires_of(const MadeBoard& made, bool both_sides = false) {
  rework::MendRules rules;
  rules.both_sides = both_sides;
  return assess(made.board, {mark("A1", MarkKind::kBarrel)}, {}, rules).wires;
}

}  // namespace

TEST_CASE("a via under the edge of a soldered array is no landing from that side") {
  // No size is told: one pitch beyond the middles of the outer balls counts as covered, up to y = 0.8.
  CHECK(wires_of(beside_an_array(0.7)) == 0);
  CHECK(wires_of(beside_an_array(0.9)) == 1);
  // Where the other side may be used, the via is reached where it comes out there.
  rework::MendRules rules;
  rules.both_sides = true;
  const auto either = assess(beside_an_array(0.7).board, {mark("A1", MarkKind::kBarrel)}, {}, rules);
  REQUIRE(either.mends.size() == 1);
  REQUIRE(either.mends[0].jumpers.size() == 1);
  const rework::Landing& far = either.mends[0].jumpers[0].to;
  CHECK(far.side == Side::kBottom);  // by the via or R1, which is there
  // A part that is soldered there shows that no body covers it: its terminal stays a landing.
  MadeBoard made = beside_an_array(0.7);
  const Index r2 = made.part("R2", 2, 5, 0.7);
  made.pin(r2, 1, 0);
  CHECK(wires_of(made) == 1);
  // An array that is not fitted, or lies on the other side, hides nothing.
  made = beside_an_array(0.7);
  made.board.parts.back().fitted = false;
  CHECK(wires_of(made) == 1);
  made = beside_an_array(0.7);
  made.board.parts.back().side = Side::kBottom;
  CHECK(wires_of(made) == 1);
}

TEST_CASE("a footprint's name that says the body's size settles how far it covers") {
  // 3.0 mm about a middle at y = -0.8: up to y = 0.7.
  constexpr const char* kSquare = "Package_BGA:BGA-9_3.0x3.0mm_Layout3x3_P0.8mm";
  CHECK(wires_of(beside_an_array(0.6, kSquare)) == 0);
  CHECK(wires_of(beside_an_array(0.8, kSquare)) == 1);
  // 2.0 x 5.0 mm: up to y = 1.7, and when the part is turned by a quarter up to y = 0.2.
  constexpr const char* kLong = "BGA-9_2.0x5.0mm_Layout3x3_P0.8x0.8mm";
  MadeBoard made = beside_an_array(1.6, kLong);
  CHECK(wires_of(made) == 0);
  made = beside_an_array(0.6, kLong);
  made.board.parts.back().angle = 90;
  CHECK(wires_of(made) == 1);
  // A size that does not cover the balls, or a board's worth of it, is none: a pitch stands.
  CHECK(wires_of(beside_an_array(0.7, "BGA-9_1.0x1.0mm")) == 0);
  CHECK(wires_of(beside_an_array(0.9, "BGA-9_90x90mm")) == 1);
}

TEST_CASE("facts outrank copper: what beeps can be built on, what is open is parted") {
  const Board board = dogbone().board;
  Fact beeps;
  beeps.kind = FactKind::kJoined;
  beeps.a = "U1.A1";
  beeps.b = "R1.1";
  const auto joined = assess(board, {mark("A1", MarkKind::kBarrel)}, {beeps});
  CHECK(joined.wires == 0);
  CHECK(joined.rebuilds == 1);
  Fact open;
  open.kind = FactKind::kOpen;
  open.a = "R1.1";
  const auto parted = assess(board, {}, {open});
  CHECK(parted.wires == 1);
  CHECK(parted.cut_off.size() == 1);
}

TEST_CASE(
    "a reading between two pins parts the one that has come loose, and nothing that the marks part already") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0, 0, 5, 0);
  const Index r1 = made.part("R1", 2, 5, 0);
  made.pin(r1, 1, line);
  const Index r2 = made.part("R2", 2, 5, 3);
  made.pin(r2, 1, line);
  made.track(line, 5, 0, 5, 3);
  const auto fact = [](FactKind kind, const char* a, const char* b) {
    Fact made_fact;
    made_fact.kind = kind;
    made_fact.a = a;
    made_fact.b = b;
    return made_fact;
  };
  const Fact open = fact(FactKind::kOpen, "U1.A1", "R1.1");
  const auto ball = assess(made.board, {}, {open});
  REQUIRE(ball.cut_off.size() == 1);
  CHECK(ball.cut_off[0] == BoardIndex(made.board).pin(0, "A1"));
  // The ball beeps to R2: then R1 is the one that has come loose.
  const auto far = assess(made.board, {}, {open, fact(FactKind::kJoined, "U1.A1", "R2.1")});
  REQUIRE(far.cut_off.size() == 1);
  CHECK(far.cut_off[0] == BoardIndex(made.board).pin(r1, "1"));
  CHECK(far.wires == 1);
  // A land that is torn off is open to everything: the reading says it again.
  const auto torn = assess(made.board, {mark("A1", MarkKind::kTorn)});
  const auto said = assess(made.board, {mark("A1", MarkKind::kTorn)}, {open});
  CHECK(said.wires == torn.wires);
  CHECK(said.cut_off == torn.cut_off);
}

TEST_CASE("where a ban is what keeps every landing off, the answer says so") {
  rework::MendRules rules;
  rework::Ban ban;
  ban.reach = 20'000'000;
  rules.bans.push_back(ban);
  const auto banned = assess(dogbone().board, {mark("A1", MarkKind::kTorn)}, {}, rules);
  CHECK(banned.wires == 0);
  REQUIRE(banned.cannot == 1);
  CHECK(banned.mends.at(0).cannot.at(0).why.find("you banned") != std::string::npos);
}

TEST_CASE("a torn land in a solid pour is built anew on it, one held by spokes is wired") {
  MadeBoard solid;
  const Index gnd = solid.net("GND");
  solid.ball("A1", gnd, PinType::kPowerIn);
  const Index c1 = solid.part("C1", 2, 8, 0);
  solid.pin(c1, 1, gnd);
  solid.fill(gnd, 0, -2, -4, 10, 2);
  const auto a = assess(solid.board, {mark("A1", MarkKind::kTorn)});
  CHECK(a.rebuilds == 1);
  CHECK(a.wires == 0);
}

TEST_CASE("an intact supply ball that the marks cut off is spared by the rule that spares a marked one") {
  // Ten ground balls; B1 reaches the plane only through A1's land.
  MadeBoard made(4);
  const Index gnd = made.net("GND");
  for (const char* ball : {"A1", "A2", "A3", "A4", "B1", "B2", "B3", "B4", "C1", "C2"})
    made.ball(ball, gnd, PinType::kPowerIn);
  for (const char* ball : {"A2", "A3", "A4", "B2", "B3", "B4", "C1", "C2"}) {
    for (const Land& land : std::vector<Land>(made.board.lands)) {
      if (land.pin == kNone || made.board.pins[land.pin].number != ball) continue;
      Via via;
      via.at = land.at;
      via.diameter = 300'000;
      via.drill = 150'000;
      via.last = 3;
      via.net = gnd;
      made.board.vias.push_back(via);
    }
  }
  made.track(gnd, 0, -0.8, 0, 0);  // B1 to A1
  made.track(gnd, 0, 0, 0.8, 0);   // A1 to A2
  made.fill(gnd, 1, -2, -4, 10, 2);
  const Index c1 = made.part("C1", 2, 8, 0);
  made.pin(c1, 1, gnd);
  made.via(gnd, 8, 0);
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn)});
  CHECK(a.cut_off.size() == 1);
  CHECK(a.wires == 0);
}

TEST_CASE("a connector with rows A and B is no area array: its pins are landings") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  const Index j1 = made.part("J1", 12, 6, 0);
  for (std::size_t i = 0; i < made.board.pins.size(); ++i) {
    Pin& pin = made.board.pins[i];
    if (pin.part != j1) continue;
    const int n = std::stoi(pin.number);
    pin.number = (n <= 6 ? "A" : "B") + std::to_string(n <= 6 ? n : n - 6);
    if (n != 1) continue;
    pin.net = line;
    for (Land& land : made.board.lands) {
      if (land.pin == i) land.net = line;
    }
  }
  made.track(line, 0, 0, 6, 0);
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn)});
  CHECK(a.wires == 1);
  CHECK(a.cannot == 0);
}

TEST_CASE("a land that only a track's round end overlaps is torn with that track") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0.24, 0, 5, 0);  // its middle line ends outside the land of 0.4 mm
  const Index r1 = made.part("R1", 2, 5, 0);
  made.pin(r1, 1, line);
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn)});
  CHECK(a.rebuilds == 0);
  CHECK(a.wires == 1);
}

TEST_CASE("where no copper is known the far pin is the nearest to the site, not to the candidate before it") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  const Index r1 = made.part("R1", 2, 4, 0);
  const Index r2 = made.part("R2", 2, 6, 0);
  made.pin(r1, 1, line);
  made.pin(r2, 1, line);
  const BoardIndex index(made.board);
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn)});
  CHECK(a.bound);
  REQUIRE(a.mends.at(0).jumpers.size() == 1);
  CHECK(index.pin_text(a.mends[0].jumpers[0].to.pin) == "R1.1");
}

TEST_CASE("a via that a barrel mark takes is named with its place, and where it held it is not") {
  const MadeBoard made = dogbone(0, -3.8);
  const auto far = assess(made.board, {mark("A1", MarkKind::kBarrel)});
  CHECK(far.sites.at(0).reason.find("3.8 mm away, counts as pulled") != std::string::npos);
  CHECK(far.mends.at(0).jumpers.at(0).why.find("3.8 mm away") != std::string::npos);
  const auto torn = assess(made.board, {mark("A1", MarkKind::kTorn)});
  CHECK(torn.sites.at(0).reason.find("pulled") == std::string::npos);
  const auto near = assess(dogbone().board, {mark("A1", MarkKind::kBarrel)});
  CHECK(near.sites.at(0).reason.find("0.6 mm away, counts as pulled") != std::string::npos);
  Mark good = mark("A1", MarkKind::kBarrel);
  good.via_good = true;
  CHECK(assess(made.board, {good}).sites.at(0).reason.find("pulled") == std::string::npos);
}

TEST_CASE("what the board can do without is no wire and no 'cannot', and its loss is not hidden") {
  Mark chip = mark("A1", MarkKind::kChip);
  CHECK(assess(dogbone().board, {chip}).cannot == 1);
  chip.spared = true;
  const auto spared = assess(dogbone().board, {chip});
  CHECK(spared.cannot == 0);
  CHECK(spared.wires == 0);
  CHECK(spared.none == 1);
  CHECK(spared.sites.at(0).spared);
  REQUIRE(spared.nets.size() == 1);
  CHECK(spared.nets[0].state == rework::State::kDown);
  Mark torn = mark("A1", MarkKind::kTorn);
  torn.spared = true;
  CHECK(assess(dogbone().board, {torn}).wires == 0);
}

TEST_CASE("a pin that a reading parted is told from one that the marks cut off") {
  const Fact open{1, FactKind::kOpen, "R1.1", "", "", {}, 0, ""};
  const auto read = assess(dogbone().board, {}, {open});
  REQUIRE(read.cut_off.size() == 1);
  CHECK(read.mends.at(0).open == read.cut_off);
  CHECK(read.nets.at(0).because.find("R1.1") != std::string::npos);
}

TEST_CASE("bare contacts on both faces are a card edge: the last place to solder to") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0, 0, 0, -0.6);
  made.via(line, 0, -0.6);
  made.track(line, 0, -0.6, 0, 6, 1);
  made.via(line, 0, 6);
  const Index edge = made.part("J1", 10, 0, 6);
  made.pin(edge, 1, line);
  for (int n = 2; n <= 10; ++n) made.pin(edge, n, kNone);
  const Mark barrel = mark("A1", MarkKind::kBarrel);
  CHECK(assess(made.board, {barrel}).mends.at(0).jumpers.at(0).to.kind == LandingKind::kConnector);
  for (Land& land : made.board.lands) {
    if (land.part == edge && land.pin % 2 == 0) land.side = Side::kBottom;
  }
  const auto card = assess(made.board, {barrel});
  // One land on the other face is a heat land's.
  MadeBoard heat = made;
  for (Land& land : heat.board.lands) {
    if (land.part == edge) land.side = land.pin % 10 == 0 ? Side::kBottom : Side::kTop;
  }
  CHECK(rework::kind_of_land(BoardIndex(heat.board), edge) == LandingKind::kConnector);
  CHECK(rework::kind_of_land(BoardIndex(made.board), edge) == LandingKind::kContact);
  CHECK(card.mends.at(0).jumpers.at(0).to.kind == LandingKind::kTentedVia);
}

TEST_CASE("a land that its mark leaves and the meter finds open is one wire, and its own line says so") {
  const Fact open{1, FactKind::kOpen, "U1.A1", "", "", {}, 0, ""};
  for (const MarkKind kind : {MarkKind::kMask, MarkKind::kLoose}) {
    const auto a = assess(dogbone().board, {mark("A1", kind)}, {open});
    CAPTURE(static_cast<int>(kind));
    CHECK(a.wires == 1);
    CHECK(a.rebuilds == 0);
    CHECK(a.sites.at(0).need == rework::Need::kWire);
    CHECK(a.sites.at(0).reason.starts_with("measured open"));
    CHECK(a.cut_off.empty());
    CHECK(a.mends.at(0).open.empty());
  }
}

TEST_CASE("a rim that the meter finds open to the other pin is no place for a new land") {
  CHECK(assess(dogbone().board, {mark("A1", MarkKind::kMissing)}).rebuilds == 1);
  const Fact both{1, FactKind::kOpen, "U1.A1", "R1.1", "", {}, 0, ""};
  const Fact whole{1, FactKind::kOpen, "U1.A1", "", "", {}, 0, ""};
  for (const Fact& fact : {both, whole}) {
    const auto a = assess(dogbone().board, {mark("A1", MarkKind::kMissing)}, {fact});
    CHECK(a.wires == 1);
    CHECK(a.rebuilds == 0);
  }
}

TEST_CASE("what was measured open and can be spared gets no wire, and is down all the same") {
  const Fact open{1, FactKind::kOpen, "R1.1", "", "", {}, 0, ""};
  const Fact spare{2, FactKind::kSpared, "R1.1", "", "", {}, 0, ""};
  const auto a = assess(dogbone().board, {}, {open, spare});
  CHECK(a.wires == 0);
  REQUIRE(a.nets.size() == 1);
  CHECK(a.nets[0].state == rework::State::kDown);
}

namespace {

Fact spare(const char* pin) {
  return {1, FactKind::kSpared, pin, "", "", {}, 0, ""};
}

// A1's trace goes through its land to R1 in the west and to R2 in the east.
MadeBoard through_a1() {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.pin(made.part("R1", 2, -5, 0), 1, line);
  made.pin(made.part("R2", 2, 5, 3), 1, line);
  made.track(line, -5, 0, 3, 0);
  made.track(line, 3, 0, 5, 3);
  return made;
}

}  // namespace

TEST_CASE("a ball whose only live partner can be spared is not needed and its loss shows") {
  for (const MarkKind kind : {MarkKind::kTorn, MarkKind::kMissing, MarkKind::kChip, MarkKind::kLoose}) {
    CAPTURE(static_cast<int>(kind));
    const auto a = assess(dogbone().board, {mark("A1", kind)}, {spare("R1.1")});
    CHECK(a.wires == 0);
    CHECK(a.rebuilds == 0);
    CHECK(a.cannot == 0);
    CHECK(a.sites.at(0).need == rework::Need::kNone);
    CHECK(a.sites.at(0).reason == "it leads to R1.1 alone, which the board can do without, as you said");
    CHECK(a.sites.at(0).spared);
    REQUIRE(a.nets.size() == 1);
    CHECK(a.nets[0].state == rework::State::kDown);
  }
  // A supply's only ball, and a board whose files give no copper.
  MadeBoard rail;
  const Index vdd = rail.net("VDD");
  rail.ball("A1", vdd, PinType::kPowerIn);
  rail.pin(rail.part("C1", 2, 5, 0), 1, vdd);
  const auto bare = assess(rail.board, {mark("A1", MarkKind::kTorn)}, {spare("C1.1")});
  CHECK(bare.wires == 0);
  CHECK(bare.sites.at(0).reason.find("it leads to C1.1 alone") == 0);
  // Another live pin: the wire stays.
  CHECK(assess(through_a1().board, {mark("A1", MarkKind::kTorn)}, {spare("R1.1")}).wires == 1);
  // Both can be spared.
  CHECK(assess(through_a1().board, {mark("A1", MarkKind::kTorn)}, {spare("R1.1"), spare("R2.1")})
            .sites.at(0)
            .reason.find("it leads to R1.1 and R2.1 alone") == 0);
}

TEST_CASE("a ball joined by copper to nothing but a spared pin is not said to have been alone before") {
  MadeBoard made = dogbone();
  const Index line = made.net("LINE");
  made.pin(made.part("R9", 2, 9, 9), 1, line);  // on the net, and not on the copper
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn)}, {spare("R1.1")});
  CHECK(a.wires == 0);
  CHECK(a.sites.at(0).need == rework::Need::kNone);
  CHECK(a.sites.at(0).reason.find("R1.1") != std::string::npos);
  CHECK(a.sites.at(0).reason.find("even before") == std::string::npos);
  CHECK(a.sites.at(0).spared);
}

TEST_CASE("a spared pin that the marks cut off gets no wire and its loss shows") {
  const auto a = assess(through_a1().board, {mark("A1", MarkKind::kTorn)}, {spare("R2.1")});
  const BoardIndex index(through_a1().board);
  CHECK(a.wires == 1);
  REQUIRE(a.cut_off.size() == 1);
  REQUIRE(a.nets.size() == 1);
  CHECK(a.nets[0].state == rework::State::kDown);
  CHECK(a.nets[0].lost.size() == 2);
  // What hangs together with a live pin is lost to nobody.
  MadeBoard joined = through_a1();
  joined.track(joined.net("LINE"), -5, 0, -5, 8, 1);
  joined.via(joined.net("LINE"), -5, 0);
  joined.track(joined.net("LINE"), -5, 8, 5, 3, 1);
  joined.via(joined.net("LINE"), 5, 3);
  CHECK(assess(joined.board, {mark("A1", MarkKind::kTorn)}, {spare("R2.1")}).cut_off.empty());
}

TEST_CASE("what cannot be reached and nobody marked says how the board does without it") {
  // R2 keeps no landing: all of its piece is banned.
  rework::MendRules rules;
  rules.bans.push_back({{mm(4), mm(1.5)}, mm(3.2)});
  const auto a = assess(through_a1().board, {mark("A1", MarkKind::kTorn)}, {}, rules);
  REQUIRE(a.cannot == 1);
  const auto& why = a.mends.at(0).cannot.at(0).why;
  CHECK(why.find("(fact spare R2.1 if the board can do without it)") != std::string::npos);
  CHECK(assess(through_a1().board, {mark("A1", MarkKind::kTorn)}, {spare("R2.1")}, rules).cannot == 0);
  // Two pins on the piece: both must be spared.
  MadeBoard two = through_a1();
  two.pin(two.part("R4", 3, -4, 0), 1, two.net("LINE"));
  two.pin(two.part("R5", 3, -2, 0), 1, two.net("LINE"));
  two.pin(two.part("R3", 2, 4, 0.5), 1, two.net("LINE"));
  two.track(two.net("LINE"), 3, 0, 4, 0.5);
  const auto both = assess(two.board, {mark("A1", MarkKind::kTorn)}, {}, rules);
  REQUIRE(both.cannot == 1);
  CHECK(both.mends.at(0).cannot.at(0).why.find(
            "(fact spare R2.1 and fact spare R3.1 if the board can do without them)") != std::string::npos);
}

// A1 alone leads on to X1.1; five more balls of VDD stand on a plane of their own vias.
static rework::State supply_beside(const char* other_end) {
  MadeBoard made;
  const Index vdd = made.net("VDD");
  made.ball("A1", vdd, PinType::kPowerIn);
  made.track(vdd, 0, 0, 0.4, -0.4);
  made.via(vdd, 0.4, -0.4);
  int n = 0;
  for (const char* ball : {"A2", "A3", "A4", "B1", "B2"}) {
    made.ball(ball, vdd, PinType::kPowerIn);
    made.via(vdd, n < 3 ? 0.8 * (n + 1) : 0.8 * (n - 3), n < 3 ? 0 : -0.8);
    ++n;
  }
  made.fill(vdd, 1, -1, -3.4, 4, 1);
  made.ball("B3", made.net("GND"), PinType::kPowerIn);
  const Index part = made.part("X1", 2, 0, 5);
  made.track(vdd, 0, 0, 0, 5);
  made.pin(part, 1, vdd);
  made.pin(part, 2, made.net(other_end));
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn)});
  REQUIRE(a.cut_off.size() == 1);
  CHECK(made.board.pins[a.cut_off[0]].part == part);
  for (const auto& group : a.nets) {
    if (group.group == vdd) return group.state;
  }
  FAIL("the supply is not listed");
  return rework::State::kUp;
}

TEST_CASE(
    "a capacitor that the marks cut off leaves its supply weaker and what feeds the supply takes it down") {
  CHECK(supply_beside("GND") == rework::State::kDegraded);
  CHECK(supply_beside("VIN") == rework::State::kDown);
}

TEST_CASE("a mark on a ball that has no land in the file is a wire as a bound, and nothing falls over it") {
  MadeBoard made = dogbone();
  std::erase_if(made.board.lands, [&](const Land& land) {
    return land.pin != kNone && land.part == 0 && made.board.pins[land.pin].number == "A1";
  });
  for (const MarkKind kind : {MarkKind::kMissing, MarkKind::kTorn, MarkKind::kBarrel}) {
    const auto a = assess(made.board, {mark("A1", kind)});
    CHECK(a.wires == 1);
    CHECK(a.rebuilds == 0);
  }
}

TEST_CASE("a marked ball that can be spared stands once, though other marks cut it off as well") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.ball("A2", line);
  made.track(line, 0, 0, 0.8, 0);
  made.track(line, 0, 0, 0, 5);
  made.pin(made.part("R1", 2, 0, 5), 1, line);
  Fact spare;
  spare.kind = FactKind::kSpared;
  spare.a = "U1.A2";
  const auto a = assess(made.board, {mark("A1", MarkKind::kTorn), mark("A2", MarkKind::kLoose)}, {spare});
  const Index ball = BoardIndex(made.board).pin(0, "A2");
  CHECK(std::count(a.cut_off.begin(), a.cut_off.end(), ball) == 0);
  CHECK(std::count_if(a.sites.begin(), a.sites.end(), [&](const auto& site) { return site.pin == ball; }) ==
        1);
}
