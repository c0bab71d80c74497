// The plan on a small drawn board: order, ways, readings, and what the verdict counts.
#include <array>
#include <chrono>
#include <random>
#include <set>
#include <string>

#include <doctest/doctest.h>

#include "netdb/packages/packages.hpp"
#include "netdb/rework/mend/tap.hpp"
#include "netdb/rework/plan/ground.hpp"
#include "netdb/rework/plan/lattice.hpp"
#include "netdb/rework/plan/lost_track.hpp"
#include "netdb/rework/plan/plan.hpp"
#include "netdb/rework/plan/words.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/made_board.hpp"

using namespace landfall;
using testing::MadeBoard;
using testing::mm;

namespace {

struct Job1 {
  BoardIndex index;
  Signals signals;
  rework::Copper copper;
  rework::Assessment assessment;
  rework::Plan plan;

  Job1(const Board& board, const std::vector<Mark>& marks, Nm supply_wire = 0)
      : index(board), signals(signals::analyse(index, {})), copper(board) {
    Job job;
    job.lifted = {"U1"};
    job.marks = marks;
    assessment = rework::assess(index, signals, copper, job, {});
    rework::PlanInput input;
    input.index = &index;
    input.signals = &signals;
    input.copper = &copper;
    input.assessment = &assessment;
    input.packages = {packages::package_of(index, 0)};
    input.supply_wire = supply_wire;
    plan = rework::make_plan(input);
  }
};

// B2, an inner ball, goes by a via beside it to R1; A1 on the top to R2, around U2 that lies in the way.
MadeBoard two_lines() {
  MadeBoard made;
  const Index inner = made.net("RESET_N");
  const Index outer = made.net("ENABLE");
  made.ball("B2", inner);
  made.track(inner, 0.8, -0.8, 1.2, -1.2);
  made.via(inner, 1.2, -1.2);
  made.track(inner, 1.2, -1.2, 12, -1.2, 1);
  made.via(inner, 12, -1.2);
  const Index r1 = made.part("R1", 2, 14, -1.2);
  made.track(inner, 12, -1.2, 14, -1.2);
  made.pin(r1, 1, inner);
  made.ball("A1", outer);
  const Index r2 = made.part("R2", 2, -12, 0);
  made.pin(r2, 2, outer);
  made.track(outer, 0, 0, -11, 0);
  return made;
}

}  // namespace

TEST_CASE("a supply's wire is the thicker one, a signal's is not, and both find their way out together") {
  MadeBoard made = two_lines();
  const Index supply = made.net("P3V3");
  made.ball("D4", supply, PinType::kPowerIn);
  const Index c1 = made.part("C1", 2, 2.4, -9);
  made.pin(c1, 1, supply);
  made.track(supply, 2.4, -2.4, 2.4, -9);
  const Nm thick = 200'000;
  const Job1 job(made.board, {{"U1", "A1", MarkKind::kTorn, ""}, {"U1", "D4", MarkKind::kTorn, ""}}, thick);
  REQUIRE(job.plan.wires.size() == 2);
  int supplies = 0;
  for (const auto& wire : job.plan.wires) {
    const bool is_supply = wire.jumper.net == supply;
    supplies += is_supply ? 1 : 0;
    CHECK((wire.bare == thick) == is_supply);
    CHECK(wire.clear_way);
  }
  CHECK(supplies == 1);
  CHECK(job.plan.fits);
}

TEST_CASE("what lies beneath comes first, inner before outer, and the near via needs no way out") {
  const MadeBoard made = two_lines();
  const Job1 job(made.board, {{"U1", "A1", MarkKind::kTorn, ""}, {"U1", "B2", MarkKind::kTorn, ""}});
  REQUIRE(job.plan.wires.size() == 2);
  CHECK(job.plan.wires[0].from == "U1.B2");
  CHECK(job.plan.wires[0].under_part);
  CHECK(job.plan.wires[0].number == 1);
  CHECK(job.plan.wires[1].from == "U1.A1");
  CHECK_FALSE(job.plan.wires[1].under_part);
  CHECK(job.plan.fits);
  for (const auto& wire : job.plan.wires) {
    CHECK(wire.route.front() == wire.jumper.from.at);
    CHECK(wire.route.back() == wire.jumper.to.at);
    CHECK(wire.length >= rework::line_length(wire.route));
    CHECK(wire.length >= wire.jumper.straight);
    CHECK(wire.procedure.number == "6.2.1");
    CHECK_FALSE(wire.before.empty());
    CHECK_FALSE(wire.after.empty());
  }
  const rework::verdict::Work work = rework::work_of(job.plan, job.assessment, 1);
  int wires = 0;
  for (const auto& group : work.groups) wires += group.count;
  CHECK(wires == 2);
  CHECK(work.cannot == 0);
}

TEST_CASE("the copper that a wire replaces is measured along the unmarked net") {
  const MadeBoard made = two_lines();
  const Job1 job(made.board, {{"U1", "A1", MarkKind::kTorn, ""}});
  REQUIRE(job.plan.wires.size() == 1);
  REQUIRE(job.plan.wires[0].lost_track);
  CHECK(*job.plan.wires[0].lost_track == mm(11));  // the track of 11 mm from A1 to R2.2
  CHECK_FALSE(job.plan.wires[0].judgement.bound);
}

TEST_CASE("a way goes around parts and keeps off their bodies") {
  MadeBoard made;
  made.part("U2", 6, -2, 5);  // a wall from -2.25 to 3.25 at y = 5
  const BoardIndex index(made.board);
  const rework::Ground ground(index, Side::kTop);
  const auto way = ground.way({mm(0.5), mm(3)}, {mm(0.5), mm(8)});
  REQUIRE(way.size() > 2);
  CHECK(way.front() == Point{mm(0.5), mm(3)});
  CHECK(way.back() == Point{mm(0.5), mm(8)});
  CHECK(rework::line_length(way) > mm(5));
  CHECK(rework::line_length(way) < mm(14));
  for (std::size_t i = 1; i < way.size(); ++i) {
    for (int s = 0; s <= 20; ++s) {
      const Point p{way[i - 1].x + (way[i].x - way[i - 1].x) * s / 20,
                    way[i - 1].y + (way[i].y - way[i - 1].y) * s / 20};
      const bool in_body = p.x > mm(-2) && p.x < mm(3) && p.y > mm(4.8) && p.y < mm(5.2);
      CHECK_FALSE(in_body);
    }
  }
}

// Whether the line keeps out of the box's inside; a square of the search is 0.2 mm.
static bool keeps_off(const std::vector<Point>& line, double left, double bottom, double right, double top) {
  for (std::size_t i = 1; i < line.size(); ++i) {
    for (int s = 0; s <= 100; ++s) {
      const Point p{line[i - 1].x + (line[i].x - line[i - 1].x) * s / 100,
                    line[i - 1].y + (line[i].y - line[i - 1].y) * s / 100};
      if (p.x > mm(left) && p.x < mm(right) && p.y > mm(bottom) && p.y < mm(top)) return false;
    }
  }
  return true;
}

TEST_CASE("a way goes around the body of a soldered array and not along its outer balls") {
  MadeBoard made;
  made.array("U2", 4.2,
             0);  // balls x 4.2 to 5.8, y -1.6 to 0; body a pitch beyond: x 3.4 to 6.6, y -2.4 to 0.8
  const BoardIndex index(made.board);
  const rework::Ground ground(index, Side::kTop);
  const auto past = ground.way({mm(5), mm(4)}, {mm(5), mm(-6)});
  REQUIRE(past.size() > 2);
  CHECK(keeps_off(past, 3.6, -2.2, 6.4, 0.6));
  // A terminal within the margin shows that the body ends before it; the balls stay covered.
  const auto beside = ground.way({mm(5), mm(-6)}, {mm(5), mm(0.7)});
  REQUIRE(beside.size() > 2);
  CHECK(keeps_off(beside, 4.2, -1.6, 5.8, 0));
}

TEST_CASE("a via just beyond what a body is taken to cover is said to lie perhaps under its edge") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0, 0, 0.4, -0.4);
  made.via(line, 0.4, -0.4);
  made.track(line, 0.4, -0.4, 5, 1.0, 1);
  made.via(line, 5, 1.0);  // 1.0 mm beyond U2's outer row: 0.8 counts as covered, 1.2 is possible
  made.track(line, 5, 1.0, 5, 6, 1);
  made.pin(made.part("R1", 2, 5, 6, Side::kBottom), 1, line);
  const Index u2 = made.array("U2", 4.2, 0);
  const std::vector<Mark> marks{{"U1", "A1", MarkKind::kBarrel, ""}};
  const Job1 unsure(made.board, marks);
  REQUIRE(unsure.plan.wires.size() == 1);
  CHECK(unsure.plan.wires[0].to.find("(perhaps under U2's edge)") != std::string::npos);
  made.board.parts[u2].side = Side::kBottom;  // reached from the top, it hides nothing
  const Job1 opposite(made.board, marks);
  REQUIRE(opposite.plan.wires.size() == 1);
  CHECK(opposite.plan.wires[0].to.find("perhaps") == std::string::npos);
  made.board.parts[u2].side = Side::kTop;
  made.board.parts[u2].footprint = "BGA-9_3.0x3.0mm_P0.8mm";  // up to 0.7 mm beyond: nothing is unsure
  const Job1 told(made.board, marks);
  REQUIRE(told.plan.wires.size() == 1);
  CHECK(told.plan.wires[0].to.find("perhaps") == std::string::npos);
}

TEST_CASE("the lattice puts sites where their lands are, and cells between them") {
  const MadeBoard made;
  const BoardIndex index(made.board);
  const auto lattice = rework::Lattice::of(index, packages::package_of(index, 0), 50'000);
  REQUIRE(lattice);
  for (const Pin& pin : made.board.pins) {
    const Index p = index.pin(0, pin.number);
    const auto site = lattice->site(p);
    REQUIRE(site);
    CHECK(distance(lattice->place(site->row, site->column),
                   made.board.lands[index.lands_of_pin(p).front()].at) <= 2);
    CHECK(lattice->name(*site) == pin.number);
  }
  CHECK(lattice->cell_at({mm(0.4), mm(-0.4)}) == rework::Cell{1, 1});
  CHECK_FALSE(lattice->cell_at({mm(-0.4), mm(-0.4)}));
}

TEST_CASE("the other leg of a pair is found by the usual endings") {
  MadeBoard made;
  const Index p = made.net("USB_P");
  const Index n = made.net("USB_N");
  const Index plus = made.net("CK+");
  const Index minus = made.net("CK-");
  const Index lone = made.net("STOP");
  const BoardIndex index(made.board);
  CHECK(rework::other_leg(index, p) == n);
  CHECK(rework::other_leg(index, n) == p);
  CHECK(rework::other_leg(index, plus) == minus);
  CHECK(rework::other_leg(index, lone) == kNone);
}

TEST_CASE("a bus is tapped where its nets lie close together") {
  MadeBoard made;
  const Index tx = made.net("TX");
  const Index rx = made.net("RX");
  made.ball("A1", tx);
  made.ball("A2", rx);
  const Index tp1 = made.part("TP1", 1, 20, 0);
  const Index r1 = made.part("R1", 2, -10, 0);
  const Index r2 = made.part("R2", 2, -10, 2);
  made.pin(tp1, 1, tx);
  made.pin(r1, 1, tx);
  made.pin(r2, 1, rx);
  made.track(tx, 0, 0, -10, 0);
  made.track(tx, 0, 0, 20, 0);
  made.track(rx, 0.8, 0, 0.8, 2);
  made.track(rx, 0.8, 2, -10, 2);
  const BoardIndex index(made.board);
  const rework::Copper copper(made.board);
  rework::LandingRules rules;
  rules.marked.assign(made.board.pins.size(), 0);
  const rework::Tap tap = rework::tap(index, copper, {tx, rx}, rules);
  REQUIRE(tap.points.size() == 2);
  // R1.1 and R2.1 are 2 mm apart; the test point is the better landing, but 30 mm away.
  CHECK(index.pin_text(tap.points[0].landing.pin) == "R1.1");
  CHECK(index.pin_text(tap.points[1].landing.pin) == "R2.1");
  CHECK(tap.spread == mm(2));
}

namespace {

// The rule as it was first written: every landing tried from every place.
rework::Tap tried_one_by_one(const std::vector<Index>& nets,
                             const std::vector<std::vector<rework::Landing>>& landings) {
  rework::Tap best;
  double least = 1e300;
  const auto choose = [&](Point centre) {
    rework::Tap tried;
    double cost = 0;
    for (std::size_t n = 0; n < nets.size(); ++n) {
      rework::TapPoint point;
      point.net = nets[n];
      double own = 1e300;
      for (const rework::Landing& landing : landings[n]) {
        const double here =
            rework::hardness(landing.kind) + static_cast<double>(distance(landing.at, centre));
        if (here >= own) continue;
        own = here;
        point.landing = landing;
        point.found = true;
      }
      if (point.found) cost += own;
      tried.points.push_back(std::move(point));
    }
    if (cost < least) {
      least = cost;
      best = std::move(tried);
    }
  };
  choose({});
  for (const auto& list : landings) {
    for (const rework::Landing& landing : list) choose(landing.at);
  }
  return best;
}

std::vector<std::vector<rework::Landing>> random_landings(std::mt19937& random, std::size_t nets,
                                                          std::size_t most, int places) {
  constexpr std::array<rework::LandingKind, 7> kKinds{
      rework::LandingKind::kTestPoint, rework::LandingKind::kConnector, rework::LandingKind::kTerminal,
      rework::LandingKind::kLead,      rework::LandingKind::kOpenVia,   rework::LandingKind::kTentedVia,
      rework::LandingKind::kConductor};
  std::vector<std::vector<rework::Landing>> landings(nets);
  Index item = 0;
  for (auto& list : landings) {
    const std::size_t count = random() % (most + 1);
    for (std::size_t i = 0; i < count; ++i) {
      rework::Landing landing;
      landing.kind = kKinds[random() % kKinds.size()];
      const auto place = [&] { return static_cast<Nm>(random() % static_cast<unsigned>(places)) * 100'000; };
      landing.at = {place(), place()};
      landing.item = item++;
      list.push_back(landing);
    }
  }
  return landings;
}

}  // namespace

TEST_CASE("taps: the same landings as when every one is tried from every place") {
  std::mt19937 random(5);
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    // Few places make many that cost the same, where the first must win; none at all is a board without any.
    const int places = round % 4 == 0 ? 1 : (round % 4 == 1 ? 6 : 2000);
    const std::size_t count = 1 + random() % 6;
    const auto landings = random_landings(random, count, 40, places);
    std::vector<Index> nets;
    for (std::size_t n = 0; n < count; ++n) nets.push_back(static_cast<Index>(n));
    const rework::Tap tap = rework::closest_together(nets, landings);
    const rework::Tap other = tried_one_by_one(nets, landings);
    REQUIRE(tap.points.size() == other.points.size());
    for (std::size_t n = 0; n < count; ++n) {
      CHECK(tap.points[n].found == other.points[n].found);
      CHECK(tap.points[n].landing.item == other.points[n].landing.item);
    }
  }
}

TEST_CASE("taps: a board's worth of landings takes no square of them") {
  std::mt19937 random(7);
  std::vector<std::vector<rework::Landing>> landings = random_landings(random, 3, 1, 1000);
  for (auto& list : landings) {
    while (list.size() < 10'000) {
      for (auto& more : random_landings(random, 1, 1000, 100'000))
        list.insert(list.end(), more.begin(), more.end());
    }
  }
  const auto begin = std::chrono::steady_clock::now();
  const rework::Tap tap = rework::closest_together({0, 1, 2}, landings);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
  CHECK(tap.points.size() == 3);
  MESSAGE("some 30,000 landings of three nets: " << took.count() << " s");
  CHECK(took.count() < 20);  // the square of them takes far longer
}

namespace {

// One line through four parts, with A1 and B2 in between and vias to land on; and a second net at A3.
MadeBoard numbered_board() {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.ball("B2", line);
  made.pin(made.part("R1", 2, -5, 0), 1, line);
  made.pin(made.part("R2", 2, 0, 5), 1, line);
  made.pin(made.part("R3", 2, 6, -0.8), 1, line);
  made.pin(made.part("R4", 2, 0.8, -6), 1, line);
  made.track(line, -5, 0, 0, 0);
  made.track(line, 0, 0, 0, 5);
  made.track(line, 0, 0, 0.8, -0.8);
  made.track(line, 0.8, -0.8, 6, -0.8);
  made.track(line, 0.8, -0.8, 0.8, -6);
  for (const auto& [x, y] :
       {std::pair(-2.0, 0.0), {-3.5, 0.0}, {0.0, 2.5}, {4.0, -0.8}, {0.8, -4.5}, {0.8, -3.4}})
    made.via(line, x, y);
  const Index other = made.net("OTHER");
  made.ball("A3", other);
  made.pin(made.part("R5", 2, 5, 6), 1, other);
  made.track(other, 1.6, 0, 1.6, 6);
  made.track(other, 1.6, 6, 5, 6);
  made.via(other, 1.6, 3);
  return made;
}

}  // namespace

TEST_CASE("numbers given out never change hands, whatever is marked and whatever fails") {
  const MadeBoard made = numbered_board();
  const BoardIndex index(made.board);
  const Signals signals = signals::analyse(index, {});
  const rework::Copper copper(made.board);
  std::size_t moved = 0;
  std::size_t stayed = 0;
  std::size_t joins = 0;
  for (unsigned seed = 0; seed < 60; ++seed) {
    std::mt19937 random(seed);
    const auto any = [&](std::size_t n) {
      return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
    };
    Job job;
    job.lifted = {"U1"};
    rework::MendRules rules;
    std::vector<rework::NumberedPiece> given;
    for (int step = 0; step < 12; ++step) {
      constexpr std::array kKinds{MarkKind::kTorn, MarkKind::kMissing, MarkKind::kBarrel, MarkKind::kLoose};
      const std::array<std::string, 3> balls{"A1", "B2", "A3"};
      const std::string ball = balls.at(any(3));
      std::erase_if(job.marks, [&](const Mark& mark) { return mark.ball == ball; });
      if (any(5) != 0) {
        job.marks.push_back({"U1", ball, kKinds.at(any(4)), ""});
        job.marks.back().spared =
            any(3) == 0;  // then the pieces that it parted are joined from place to place
      }
      const rework::Assessment assessment = rework::assess(index, signals, copper, job, {}, rules);
      rework::PlanInput input;
      input.index = &index;
      input.signals = &signals;
      input.copper = &copper;
      input.assessment = &assessment;
      input.packages = {packages::package_of(index, 0)};
      input.numbers = given;
      std::set<int> taken;
      for (const rework::NumberedPiece& piece : rework::number_pieces(input)) {
        CAPTURE(seed);
        CAPTURE(step);
        CAPTURE(piece.site);
        CHECK(piece.number > 0);
        CHECK(taken.insert(piece.number).second);
        const std::string near = rework::near_end(piece.site);
        const std::string far = rework::far_end(piece.site);
        joins += near.find(' ') != std::string::npos ? 1U : 0U;
        const rework::NumberedPiece* first = nullptr;
        for (const rework::NumberedPiece& old : given) {
          if (old.number == piece.number) first = &old;
          // These two ends had a number: they have no other.
          const bool same =
              old.rebuild == piece.rebuild && (old.site == piece.site || (old.site == far + " to " + near));
          if (same) CHECK(old.number == piece.number);
        }
        if (first == nullptr) {
          given.push_back(piece);
          continue;
        }
        const bool unmoved = first->site == piece.site || first->site == far + " to " + near;
        stayed += unmoved ? 1U : 0U;
        moved += unmoved ? 0U : 1U;
        if (unmoved) continue;
        // What goes elsewhere begins where it began; a join of places keeps one of its two.
        const std::string was_near = rework::near_end(first->site);
        const std::string was_far = rework::far_end(first->site);
        const bool join = was_near.find(' ') != std::string::npos;
        const bool held = join ? (was_near == near || was_near == far || was_far == near || was_far == far)
                               : was_near == near;
        CHECK(held);
        CHECK(first->net == piece.net);
      }
      // One wire fails at its far end: nothing lands there any more.
      std::vector<const rework::Jumper*> wires;
      for (const rework::NetMend& mend : assessment.mends) {
        for (const rework::Jumper& jumper : mend.jumpers) wires.push_back(&jumper);
      }
      if (!wires.empty() && any(3) == 0) rules.bans.push_back({wires[any(wires.size())]->to.at});
      if (any(4) == 0 && !rules.bans.empty()) rules.bans.erase(rules.bans.begin());
    }
  }
  CHECK(stayed > 100);
  CHECK(moved > 20);
  CHECK(joins > 20);
}

TEST_CASE("the reading before a wire names points that a probe can touch") {
  const MadeBoard made = two_lines();
  // A1's land is gone: R2.2 is the landing and the only other point of its net.
  const Job1 torn(made.board, {{"U1", "A1", MarkKind::kTorn, ""}});
  REQUIRE(torn.plan.wires.size() == 1);
  CHECK(torn.plan.wires[0].before ==
        "no copper at U1.A1: a probe touches R2.2 (terminal) alone, no second point is sure");
  // B2's via beside it is the landing, and R1.1 must beep to it.
  const Job1 inner(made.board, {{"U1", "B2", MarkKind::kTorn, ""}});
  REQUIRE(inner.plan.wires.size() == 1);
  CHECK(inner.plan.wires[0].before == "no copper at U1.B2: " + inner.plan.wires[0].to + " to R1.1: beeps");
  // Two sites without copper.
  MadeBoard both;
  const Index line = both.net("LINE");
  both.ball("A1", line);
  both.ball("A2", line);
  both.track(line, 0, 0, 0.8, 0);
  const Job1 pair(both.board, {{"U1", "A1", MarkKind::kTorn, ""}, {"U1", "A2", MarkKind::kTorn, ""}});
  REQUIRE(pair.plan.wires.size() == 1);
  CHECK(pair.plan.wires[0].before.find("no probe: neither U1.A") == 0);
}

TEST_CASE("a test point that hung on the torn land is no second point for the probe") {
  MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  made.track(line, 0, 0, -3, 0);
  made.pin(made.part("TP1", 1, -3, 0), 1, line);
  made.track(line, 0, 0, 0, 5);
  made.pin(made.part("R1", 2, 0, 5), 1, line);
  const Job1 job(made.board, {{"U1", "A1", MarkKind::kTorn, ""}});
  REQUIRE(job.plan.wires.size() == 1);
  CHECK(job.plan.wires[0].before.find("beeps") == std::string::npos);
  CHECK(job.plan.wires[0].before.find("no second point is sure") != std::string::npos);
}
