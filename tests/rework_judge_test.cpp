// The word for a wire and for a pair. C and T numbers are those of the trade reference that the
// formulas cite; the outside source stands beside each.
#include <cmath>
#include <optional>
#include <string>

#include <doctest/doctest.h>

#include "netdb/rework/physics/judge.hpp"

using namespace landfall;
using namespace landfall::rework::physics;

namespace {

constexpr Nm kMm = kNmPerMm;

WireCase on_ddr3(double length_mm) {
  WireCase wire;
  wire.length = std::llround(length_mm * 1e6);
  wire.use = LineUse::kData;
  wire.interface_id = "ddr3";
  wire.mbps = 1600;
  return wire;
}

}  // namespace

TEST_SUITE("rework/judge") {
  TEST_CASE("up to 5 % of the unit interval is fine, up to 30 % risky, beyond it will not work") {
    // DDR3-1600: 625 ps, 5.43 ps/mm of lying wire (C40): 5 % is 5.75 mm, 30 % 34.5 mm.
    CHECK(judge_wire(on_ddr3(5.7)).word == Word::kFine);
    CHECK(judge_wire(on_ddr3(5.8)).word == Word::kRisky);
    CHECK(judge_wire(on_ddr3(34.5)).word == Word::kRisky);
    CHECK(judge_wire(on_ddr3(34.6)).word == Word::kWillNotWork);
    const WireJudgement bound = judge_wire(on_ddr3(10));
    CHECK(bound.bound);
    CHECK(bound.delay_ps == doctest::Approx(54.3).epsilon(0.001));
    CHECK(bound.why.find("at most") != std::string::npos);
    CHECK(bound.ohm == doctest::Approx(0.02195).epsilon(0.001));
    CHECK(bound.inductance_nh == doctest::Approx(9.98).epsilon(0.001));  // C41
    CHECK(bound.inductance_bound);
    // The middle by hand: (L / Z0 + C Z0) / 2 with C = T^2 / L: (9.98 / 50 + 0.2953 x 0.050) / 2 ns.
    CHECK(*bound.middle_late_ps == doctest::Approx(107.2).epsilon(0.002));
    // r = 183.8 / 50, m = 1.974, rise 2.2 x 54.3 x sqrt(m^2 - 1) = 203.4 ps on an edge of 150.
    CHECK(*bound.rise_ps == 150);
    CHECK(*bound.rise_after_ps == doctest::Approx(std::hypot(150, 203.4)).epsilon(0.002));
    CHECK(*bound.critical_mm == doctest::Approx(150 / (6 * 5.43)).epsilon(0.001));
    CHECK(bound.edge.find("10.0 nH") != std::string::npos);
  }

  TEST_CASE("the lost track counts: C50's 12 mm for 8 mm of stripline is 1.54 % of DDR3-1600, fine") {
    WireCase wire = on_ddr3(12);
    CHECK(judge_wire(wire).word == Word::kRisky);
    wire.lost_track = 8 * kMm;
    wire.lost_medium = Medium::kStripline;
    const WireJudgement known = judge_wire(wire);
    CHECK_FALSE(known.bound);
    CHECK(known.delay_ps == doctest::Approx(9.65).epsilon(0.005));
    CHECK(*known.share == doctest::Approx(0.0154).epsilon(0.01));
    CHECK(known.word == Word::kFine);
    CHECK(known.within_matching == false);  // 9.65 ps against T30d's 5 ps: fine by the share, yet outside
    CHECK(known.why.find("later than the lost track") != std::string::npos);
    wire.lost_track = 60 * kMm;  // a wire that is much too early fails as one that is too late
    CHECK(judge_wire(wire).word == Word::kWillNotWork);
    CHECK(judge_wire(wire).why.find("earlier") != std::string::npos);
  }

  TEST_CASE("an address lasts two intervals of data on DDR3 and DDR4, one on LPDDR3 (JEDEC, from memory)") {
    WireCase wire = on_ddr3(10);
    wire.use = LineUse::kAddress;
    CHECK(*judge_wire(wire).unit_interval_ps == doctest::Approx(1250));
    CHECK(judge_wire(wire).word == Word::kFine);
    wire.interface_id = "lpddr3";
    CHECK(*judge_wire(wire).unit_interval_ps == doctest::Approx(625));
    CHECK(judge_wire(wire).word == Word::kRisky);
  }

  TEST_CASE("the word never gets better with a longer wire or a faster grade") {
    for (const InterfaceInfo& info : interfaces()) {
      if (info.slow()) continue;
      CAPTURE(info.id);
      for (const double length : {1.0, 4.0, 12.0, 50.0}) {
        Word last = Word::kFine;
        for (const Grade& grade : info.grades) {
          WireCase wire = on_ddr3(length);
          wire.interface_id = std::string(info.id);
          wire.mbps = grade.mbps;
          const Word now = judge_wire(wire).word;
          CHECK(now >= last);
          last = now;
          wire.length *= 2;
          CHECK(judge_wire(wire).word >= now);
        }
      }
    }
  }

  TEST_CASE("slow lines are fine at any length, an unknown line is not judged") {
    WireCase wire = on_ddr3(150);
    wire.use = LineUse::kSlow;
    CHECK(judge_wire(wire).word == Word::kFine);
    wire.use = LineUse::kUnknown;
    CHECK(judge_wire(wire).word == Word::kNotJudged);
    wire.use = LineUse::kData;
    wire.interface_id = "no such thing";
    CHECK(judge_wire(wire).word == Word::kNotJudged);
    CHECK_FALSE(judge_wire(wire).share);
    wire = on_ddr3(0);
    CHECK(judge_wire(wire).word == Word::kNotJudged);
  }

  TEST_CASE("lines that stand still are fine at any length, and of a reference it is said what harms it") {
    WireCase wire = on_ddr3(150);
    wire.use = LineUse::kReference;
    CHECK(judge_wire(wire).word == Word::kFine);
    CHECK(judge_wire(wire).why.find("noise") != std::string::npos);
    CHECK(judge_wire(wire).why.find("common practice, no source") != std::string::npos);
    CHECK_FALSE(judge_wire(wire).share);
    wire.use = LineUse::kSteady;
    CHECK(judge_wire(wire).word == Word::kFine);
    PairCase pair;
    pair.positive = wire;
    CHECK(judge_pair(pair).word == Word::kFine);
    wire = on_ddr3(0);
    wire.use = LineUse::kSteady;
    CHECK(judge_wire(wire).word == Word::kNotJudged);
  }

  TEST_CASE("a grade that nobody stated is said to be assumed, with the setting that changes it") {
    WireCase wire = on_ddr3(20);
    wire.mbps_stated = false;
    WireJudgement judged = judge_wire(wire);
    CHECK(judged.grade == "DDR3-1600");
    CHECK(judged.grade_assumed);
    CHECK(judged.grade_setting == "speed.ddr3");
    CHECK(judged.why.find("DDR3-1600 (assumed, the setting speed.ddr3 changes it)") != std::string::npos);
    wire.mbps = 1333.33;
    wire.mbps_stated = true;
    judged = judge_wire(wire);
    CHECK_FALSE(judged.grade_assumed);
    CHECK(judged.why.find("DDR3-1333 (as the setting speed.ddr3 says)") != std::string::npos);
    // One grade only: nothing to assume, no setting.
    wire.interface_id = "rgmii";
    wire.mbps = 0;
    judged = judge_wire(wire);
    CHECK_FALSE(judged.grade_assumed);
    CHECK(judged.grade_setting.empty());
    CHECK(judged.why.find("assumed") == std::string::npos);
    PairCase pair;
    pair.positive = on_ddr3(20);
    CHECK(judge_pair(pair).grade_assumed);
    CHECK(judge_pair(pair).grade_setting == "speed.ddr3");
    wire.use = LineUse::kSlow;
    CHECK(judge_wire(wire).grade.empty());
  }

  TEST_CASE("a supply is judged by its drop and rise, and only by a current that somebody knows") {
    WireCase wire;
    wire.length = 10 * kMm;
    wire.use = LineUse::kSupply;
    wire.rail_volt = 1.2;
    const WireJudgement unknown = judge_wire(wire);
    CHECK(unknown.word == Word::kNotJudged);
    CHECK(unknown.current.allowed_a == doctest::Approx(0.547).epsilon(0.002));  // 12 mV over C26's 21.95 mohm
    CHECK(unknown.current.decided_by == "the drop");
    CHECK(unknown.why.find("0.55 A") != std::string::npos);
    wire.current_a = 0.5;
    CHECK(judge_wire(wire).word == Word::kFine);
    wire.current_a = 1.0;
    CHECK(judge_wire(wire).word == Word::kRisky);
    wire.current_a = 1.2;
    CHECK(judge_wire(wire).word == Word::kWillNotWork);
    wire.rail_volt.reset();  // ground: the rise alone, 1.49 A (T23)
    CHECK(judge_wire(wire).word == Word::kFine);
    CHECK(judge_wire(wire).current.decided_by == "the rise");
  }

  TEST_CASE("a plane at a known height takes the place of free space: C43") {
    WireCase wire = on_ddr3(10);
    wire.height = 200'000;
    const WireJudgement over = judge_wire(wire);
    CHECK_FALSE(over.inductance_bound);
    CHECK(over.inductance_nh == doctest::Approx(4.13).epsilon(0.002));
    wire.height = 10'000;  // a plane inside the wire is none
    CHECK(judge_wire(wire).inductance_bound);
  }

  TEST_CASE("a pair is judged by its skew, and both legs alike take it away") {
    WireCase leg = on_ddr3(9);
    leg.interface_id = "pcie";
    leg.mbps = 2500;
    const PairJudgement one = judge_pair({leg, std::nullopt});
    CHECK(one.bound);
    CHECK(one.skew_ps == doctest::Approx(9 * 5.43).epsilon(0.001));
    CHECK(one.word == Word::kRisky);  // 12 % of 400 ps
    CHECK(one.alike_length == 9 * kMm);
    CHECK(one.offer.find("9.0 mm each") != std::string::npos);
    const PairJudgement both = judge_pair({leg, leg});
    CHECK(both.skew_ps == 0);
    CHECK_FALSE(both.bound);
    CHECK(both.word == Word::kFine);
    CHECK(both.offer.empty());
    WireCase longer = leg;
    longer.length = 10 * kMm;
    const PairJudgement uneven = judge_pair({leg, longer});
    CHECK(uneven.skew_ps == doctest::Approx(5.43).epsilon(0.001));
    CHECK(uneven.word == Word::kFine);       // 1.4 %
    CHECK(uneven.within_matching == false);  // 0.9 ps
    CHECK(uneven.alike_length == 10 * kMm);
    CHECK(judge_pair({}).word == Word::kNotJudged);
    // Known tracks count: the longer wire replaces a track that was 1 mm longer too.
    leg.lost_track = 4 * kMm;
    longer.lost_track = 5 * kMm;
    const PairJudgement known = judge_pair({leg, longer});
    CHECK(known.skew_ps == doctest::Approx(5.51 - 5.43).epsilon(0.15));
    CHECK(known.within_matching == true);
  }

  TEST_CASE("a strobe pair is also judged against the lines beside it, a self-clocked one is not") {
    const WireCase leg = on_ddr3(20);  // 108.6 ps
    const PairJudgement strobe = judge_pair({leg, leg});
    CHECK(strobe.skew_ps == 0);
    CHECK(strobe.word == Word::kRisky);  // 17 % of 625 ps
    CHECK(strobe.why.find("lines beside it") != std::string::npos);
    WireCase link = leg;
    link.interface_id = "sata";
    link.mbps = 6000;
    CHECK(judge_pair({link, link}).word == Word::kFine);
    WireCase slow = leg;
    slow.use = LineUse::kSlow;
    CHECK(judge_pair({slow, slow}).word == Word::kFine);
    WireCase unknown = leg;
    unknown.use = LineUse::kUnknown;
    CHECK(judge_pair({unknown, std::nullopt}).word == Word::kNotJudged);
  }
}
