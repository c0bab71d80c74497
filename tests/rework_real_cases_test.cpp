// Marks on real boards, each case worked out by hand from the file's own pads, tracks and vias before the
// program was asked. Places are the file's, in mm, y downwards.
#include <array>
#include <filesystem>
#include <random>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "netdb/rework/assess.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/files.hpp"
#include "tests/support/made_board.hpp"

using namespace landfall;
using testing::mm;

namespace {

struct Bench {
  Board board;
  std::string part;
  BoardIndex index;
  Signals signals;
  rework::Copper copper;

  Bench(const char* file, const char* lifted)
      : board(
            testing::open_design(testing::shared_file(std::string("boards/kicad_pcb/") + file + ".kicad_pcb"))
                .board),
        part(lifted),
        index(board),
        signals(signals::analyse(index, {})),
        copper(board) {}

  rework::Assessment mark(const std::vector<std::pair<const char*, MarkKind>>& marks,
                          const rework::MendRules& rules = {}) const {
    Job job;
    job.lifted = {part};
    for (const auto& [ball, kind] : marks) job.marks.push_back({part, ball, kind, ""});
    return rework::assess(index, signals, copper, job, {}, rules);
  }

  // One wire and nothing else, from the ball to the pin.
  void one_wire(const char* ball, MarkKind kind, const char* to) const {
    const auto a = mark({{ball, kind}});
    CAPTURE(ball);
    CHECK(a.wires == 1);
    CHECK(a.rebuilds == 0);
    CHECK(a.cannot == 0);
    CHECK_FALSE(a.bound);
    REQUIRE(a.mends.size() == 1);
    REQUIRE(a.mends[0].jumpers.size() == 1);
    REQUIRE(a.mends[0].jumpers[0].to.pin != kNone);
    CHECK(index.pin_text(a.mends[0].jumpers[0].to.pin) == to);
  }

  void one_wire_to(const char* ball, MarkKind kind, double x, double y) const {
    const auto a = mark({{ball, kind}});
    CAPTURE(ball);
    CHECK(a.wires == 1);
    CHECK(a.rebuilds == 0);
    REQUIRE(a.mends.size() == 1);
    REQUIRE(a.mends[0].jumpers.size() == 1);
    CHECK(distance(a.mends[0].jumpers[0].to.at, {mm(x), mm(-y)}) <= 2);
  }

  void one_rebuild(const char* ball) const {
    const auto a = mark({{ball, MarkKind::kMissing}});
    CAPTURE(ball);
    CHECK(a.wires == 0);
    CHECK(a.rebuilds == 1);
  }
};

}  // namespace

TEST_CASE("six cases on iCE40HX8K-EVB, U4 of 256 balls") {
  if (!testing::have_shared()) return;
  const Bench board("iCE40HX8K-EVB_Rev_B1", "U4");
  // TxD runs on the front from T16 to PGM1.4 without a via or branch: torn, all of it goes up to PGM1's land.
  board.one_wire("T16", MarkKind::kTorn, "PGM1.4");
  board.one_rebuild("T16");
  // RxD: L11's trace of 0.57 mm ends at the via at 140.9, 93.6; from there on an inner layer to PGM1.3.
  board.one_wire_to("L11", MarkKind::kTorn, 140.9, 93.6);
  board.one_wire("L11", MarkKind::kBarrel, "PGM1.3");
  // SS_B: one chain on the front from R12 to a knot at 117.3, 92.7; beyond it PGM1.10 (21.6 mm off) and R9.1
  // (17.3).
  board.one_wire("R12", MarkKind::kTorn, "R9.1");
  // SCK: one chain from R11 to R20.1 at 128.397, 88.646; beyond it U1.6 and PGM1.9.
  board.one_wire("R11", MarkKind::kTorn, "R20.1");
}

TEST_CASE("six cases on lpddr4-testbed, U1 of 200 balls") {
  if (!testing::have_shared()) return;
  const Bench board("lpddr4-testbed_2022-12-29", "U1");
  // A5 goes straight to its series resistor R6.1, 2.1 mm off, no via.
  board.one_wire("A5", MarkKind::kTorn, "R6.1");
  board.one_rebuild("A5");
  // DQ00_A: a via at 153.375, 92.6 beside B2; a second one at 153.925, 96.825; the card edge's contact J1.203
  // 2 mm on, which goes into a slot.
  board.one_wire_to("B2", MarkKind::kTorn, 153.375, 92.6);
  board.one_wire_to("B2", MarkKind::kBarrel, 153.925, 96.825);
  // G2: its via at 153.375, 88.7 pulled; far off a via at 157.305, 88.55 and R1.2 0.6 mm behind it.
  board.one_wire("G2", MarkKind::kBarrel, "R1.2");
  // A1 is unconnected.
  const auto spare = board.mark({{"A1", MarkKind::kTorn}});
  CHECK(spare.none == 1);
  CHECK(spare.wires == 0);
}

TEST_CASE("four cases on A64-OLinuXino, U1 of 396 balls") {
  if (!testing::have_shared()) return;
  const Bench board("A64-OLinuXino_Rev_A", "U1");
  // F12 and G13 are one net; each has a via of its own (141.375, 72.475 and 142.025, 71.825), joined on In3
  // and led to a via at 136.652, 69.342; C54 and C56 lie on the back.
  board.one_wire_to("F12", MarkKind::kTorn, 141.375, 72.475);
  const auto both = board.mark({{"F12", MarkKind::kBarrel}, {"G13", MarkKind::kBarrel}});
  CHECK(both.wires == 2);
  CHECK(both.rebuilds == 0);
  REQUIRE(both.mends.size() == 1);
  std::size_t from_site_to_site = 0;
  std::size_t to_the_far_via = 0;
  for (const auto& wire : both.mends[0].jumpers) {
    from_site_to_site += wire.to.kind == rework::LandingKind::kSite ? 1U : 0U;
    to_the_far_via += distance(wire.to.at, {mm(136.652), mm(-69.342)}) <= 2 ? 1U : 0U;
  }
  CHECK(from_site_to_site == 1);
  CHECK(to_the_far_via == 1);
  // C11's only via is pulled, and C51 and C53 lie on the back: no landing on the front, C51.1 once both sides
  // count.
  const auto front = board.mark({{"C11", MarkKind::kBarrel}});
  CHECK(front.wires == 0);
  CHECK(front.cannot == 1);
  rework::MendRules rules;
  rules.both_sides = true;
  const auto either = board.mark({{"C11", MarkKind::kBarrel}}, rules);
  CHECK(either.wires == 1);
  REQUIRE(either.mends.size() == 1);
  REQUIRE(either.mends[0].jumpers.size() == 1);
  REQUIRE(either.mends[0].jumpers[0].to.pin != kNone);
  CHECK(board.index.pin_text(either.mends[0].jumpers[0].to.pin) == "C51.1");
}

TEST_CASE("A64-OLinuXino: what lies under a memory's edge is no landing from that side") {
  if (!testing::have_shared()) return;
  const Bench board("A64-OLinuXino_Rev_A", "U1");
  // K4's net goes on by three vias and to ball T7 of either memory. The via beside K4 is pulled. The other
  // two lie at 120.6, 75.0, 0.4 mm beyond the middles of U3's outer row (x 121 to 133, y 69.8 to 76.2), under
  // its edge, and at 123.4, 88.2 among the balls of U2 (x 123 to 135, y 83.8 to 90.2). All that the front has
  // of the net is the short traces from those vias to the balls: no landing on the front.
  const auto front = board.mark({{"K4", MarkKind::kBarrel}});
  CHECK(front.wires == 0);
  CHECK(front.cannot == 1);
  CHECK(front.sites.at(0).reason.find("the other side has one") != std::string::npos);
  // From the back both vias are open. K4 is at 143.65, 77.35: 23.17 mm to U3's via, 22.97 mm to U2's.
  rework::MendRules rules;
  rules.both_sides = true;
  const auto either = board.mark({{"K4", MarkKind::kBarrel}}, rules);
  CHECK(either.wires == 1);
  REQUIRE(either.mends.size() == 1);
  REQUIRE(either.mends[0].jumpers.size() == 1);
  CHECK(distance(either.mends[0].jumpers[0].to.at, {mm(123.4), mm(-88.2)}) <= 2);
  CHECK(either.mends[0].jumpers[0].to.side == Side::kBottom);
}

TEST_CASE("orangecrab: CKE's one via lies under the memory's edge") {
  if (!testing::have_shared()) return;
  const Bench board("orangecrab_r0.2.1", "U3");
  // The via at 171.252, 100.825 is 0.4 mm beyond U4's outer balls (x 171.65); the outline that the footprint
  // draws on F.Fab reaches 1.3 mm beyond them. The trace from D18 to it is on the front and torn with D18.
  CHECK(board.mark({{"D18", MarkKind::kTorn}}).wires == 0);
  CHECK(board.mark({{"D18", MarkKind::kTorn}}).cannot == 1);
  rework::MendRules rules;
  rules.both_sides = true;
  const auto either = board.mark({{"D18", MarkKind::kTorn}}, rules);
  CHECK(either.wires == 1);
  REQUIRE(either.mends.size() == 1);
  REQUIRE(either.mends[0].jumpers.size() == 1);
  CHECK(distance(either.mends[0].jumpers[0].to.at, {mm(171.252), mm(-100.825)}) <= 2);
}

TEST_CASE("what the copper remembers of other clicks changes no answer: 60 random marks on and off") {
  if (!testing::have_shared()) return;
  const Bench bench("lpddr4-testbed_2022-12-29", "U1");
  std::mt19937 random(7);
  std::vector<std::string> balls;
  for (const Index pin : bench.index.pins_of_part(bench.index.part("U1")))
    balls.push_back(bench.board.pins[pin].number);
  constexpr std::array kKinds{MarkKind::kTorn, MarkKind::kMissing, MarkKind::kBarrel};
  Job job;
  job.lifted = {"U1"};
  std::size_t with_wires = 0;
  for (int click = 0; click < 60; ++click) {
    if (click % 3 == 2 && !job.marks.empty()) {
      job.marks.erase(job.marks.begin() + static_cast<std::ptrdiff_t>(random() % job.marks.size()));
    } else {
      job.marks.push_back({"U1", balls[random() % balls.size()], kKinds[random() % 3], ""});
    }
    const rework::Assessment known = rework::assess(bench.index, bench.signals, bench.copper, job, {});
    const rework::Copper anew(bench.board);
    const rework::Assessment fresh = rework::assess(bench.index, bench.signals, anew, job, {});
    CAPTURE(click);
    CHECK(known.wires == fresh.wires);
    CHECK(known.rebuilds == fresh.rebuilds);
    CHECK(known.cannot == fresh.cannot);
    CHECK(known.cut_off == fresh.cut_off);
    REQUIRE(known.sites.size() == fresh.sites.size());
    for (std::size_t i = 0; i < fresh.sites.size(); ++i)
      CHECK(known.sites[i].reason == fresh.sites[i].reason);
    if (fresh.wires > 0) ++with_wires;
  }
  CHECK(with_wires > 10);
}

TEST_CASE(
    "orangecrab: address balls beyond its 64M x 16 memory need nothing, and nothing is cut off by them") {
  if (!testing::have_shared()) return;
  const Bench crab("orangecrab_r0.2.1", "U3");
  for (const char* ball : {"C1", "A2", "C7"}) {  // RAM_A13, RAM_A14, RAM_A15: U3 to U4 and nothing else
    CAPTURE(ball);
    for (const MarkKind kind : {MarkKind::kMissing, MarkKind::kTorn, MarkKind::kBarrel, MarkKind::kChip}) {
      const auto a = crab.mark({{ball, kind}});
      REQUIRE(a.sites.size() == 1);
      CHECK(a.sites[0].need == rework::Need::kNone);
      CHECK(a.sites[0].reason.find("not needed by this memory") == 0);
      CHECK(a.wires + a.rebuilds + a.cannot + a.optional == 0);
      CHECK(a.cut_off.empty());
      for (const auto& channel : a.channels) CHECK(channel.state == rework::State::kUp);
    }
  }
  // Measured open, it is still not missed.
  Job job;
  job.lifted = {"U3"};
  job.facts.push_back({0, FactKind::kOpen, "U3.C1", "", "", {}, 0, ""});
  const auto open = rework::assess(crab.index, crab.signals, crab.copper, job, {}, {});
  CHECK(open.wires == 0);
  CHECK(open.cut_off.empty());
  // RAM_A12 is needed: its land missing.
  const auto needed = crab.mark({{"B6", MarkKind::kMissing}});
  CHECK(needed.wires + needed.rebuilds == 1);
}

TEST_CASE("card edges among the parts of 17 boards: the one SODIMM edge and no package with a heat land") {
  if (!testing::have_shared()) return;
  // Found by a script of its own over the files: parts of eight pads and more, none drilled, on both faces.
  std::vector<std::string> edges;
  for (const auto& file : std::filesystem::directory_iterator(testing::shared_file("boards/kicad_pcb"))) {
    if (file.path().extension() != ".kicad_pcb") continue;
    const Board board = testing::open_design(file.path()).board;
    const BoardIndex index(board);
    for (Index part = 0; part < board.parts.size(); ++part) {
      if (rework::kind_of_land(index, part) == rework::LandingKind::kContact)
        edges.push_back(file.path().stem().string() + " " + board.parts[part].reference);
    }
  }
  CHECK(edges == std::vector<std::string>{"lpddr4-testbed_2022-12-29 J1"});
}
