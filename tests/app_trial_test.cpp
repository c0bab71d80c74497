// 'What if' on the plan's page: tried, shown beside what holds, kept nowhere until it is said so.
#include <algorithm>

#include <doctest/doctest.h>

#include "tests/support/session.hpp"

using namespace landfall;

namespace {

struct Fixture : testing::SessionFixture {
  Fixture() {
    job();
    app::apply(session, app::TypeMarks{"AB3 AA3 Y2 torn"});
    app::apply(session, app::ShowPlan{});
    REQUIRE(session.plan);
    REQUIRE(session.plan->verdict);
    REQUIRE_FALSE(session.plan->plan.wires.empty());
  }
  [[nodiscard]] double margin(const app::PlanAnswer& answer) const {
    return answer.verdict->option(rework::verdict::OptionKind::kRepair).margin;
  }
  [[nodiscard]] const app::TrialFigure& figure(std::string_view name) const {
    const auto found = std::find_if(session.figures.begin(), session.figures.end(),
                                    [&](const app::TrialFigure& one) { return one.info->name == name; });
    REQUIRE(found != session.figures.end());
    return *found;
  }
};

}  // namespace

TEST_CASE("a figure that is tried moves the trial's verdict by what the chance says, and nothing else") {
  Fixture f;
  const double before = f.margin(*f.session.plan);
  const auto repair = f.session.plan->verdict->option(rework::verdict::OptionKind::kRepair);
  CHECK_FALSE(f.session.tried);
  CHECK(f.figure("price.repair").matters);
  app::apply(f.session, app::TryFigure{"price.repair", "1000"});
  CHECK_FALSE(f.session.message_is_error);
  REQUIRE(f.session.tried);
  CHECK(f.margin(*f.session.plan) == before);
  const double gain = repair.chance->mean * (1000 - f.figure("price.repair").now);
  CHECK(f.margin(*f.session.tried) == doctest::Approx(before + gain));
  CHECK(f.figure("price.repair").tried == 1000.0);
  // The settings know nothing of it.
  CHECK_FALSE(f.session.bench->setting("price.repair").value());
}

TEST_CASE("a figure that is no number, out of bounds or no figure is refused, and the trial stays") {
  Fixture f;
  app::apply(f.session, app::TryFigure{"rate.hour", "55"});
  REQUIRE(f.session.tried);
  const double before = f.margin(*f.session.tried);
  for (const char* bad : {"cheap", "1e9999", "nan"}) {
    CAPTURE(bad);
    app::apply(f.session, app::TryFigure{"price.repair", bad});
    CHECK(f.session.message_is_error);
  }
  app::apply(f.session, app::TryFigure{"chance.base", "101"});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::TryFigure{"escape.clearance", "0.1"});
  CHECK(f.session.message_is_error);
  REQUIRE(f.session.tried);
  CHECK(f.margin(*f.session.tried) == before);
  CHECK(f.session.trial_figures.size() == 1);
  // Empty, or the shop's own figure: no trial any more.
  app::apply(f.session, app::TryFigure{"rate.hour", ""});
  CHECK_FALSE(f.session.tried);
}

TEST_CASE("a wire left out: its net, lane and channel stay lost, and the chance has one wire fewer") {
  Fixture f;
  app::apply(f.session, app::MarkPin{f.net_ball("RAM1_D9"), MarkKind::kTorn});
  const rework::PlannedWire* lane_wire = nullptr;
  for (const auto& wire : f.session.plan->plan.wires) {
    if (f.session.board->signals().nets[wire.jumper.net].lane != kNone) lane_wire = &wire;
  }
  REQUIRE(lane_wire != nullptr);
  const int number = lane_wire->number;
  const Index net = lane_wire->jumper.net;
  const NetSignal signal = f.session.board->signals().nets[net];
  const double chance = f.session.plan->verdict->option(rework::verdict::OptionKind::kRepair).chance->mean;
  app::apply(f.session, app::LeaveOutWire{number, true});
  REQUIRE(f.session.tried);
  const auto& lost = f.session.tried->stays_lost;
  REQUIRE(lost.nets.size() == 1);
  CHECK(lost.nets[0].group == net);
  CHECK(lost.nets[0].state == rework::State::kDown);
  REQUIRE(lost.lanes.size() == 1);
  CHECK(lost.lanes[0].group == signal.lane);
  REQUIRE(lost.channels.size() == 1);
  CHECK(lost.channels[0].group == signal.channel);
  CHECK(f.session.tried->verdict->option(rework::verdict::OptionKind::kRepair).chance->mean > chance);
  CHECK(f.session.plan->stays_lost.nets.empty());
  app::apply(f.session, app::LeaveOutWire{number, false});
  CHECK_FALSE(f.session.tried);
  app::apply(f.session, app::LeaveOutWire{999, true});
  CHECK(f.session.message_is_error);
}

TEST_CASE("a trial is dropped as a whole, and goes with its job") {
  Fixture f;
  app::apply(f.session, app::DropTrial{});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::TryFigure{"rate.hour", "55"});
  app::apply(f.session, app::LeaveOutWire{f.session.plan->plan.wires[0].number, true});
  REQUIRE(f.session.tried);
  app::apply(f.session, app::DropTrial{});
  CHECK_FALSE(f.session.tried);
  CHECK(f.session.trial_figures.empty());
  CHECK(f.session.trial_without.empty());
  app::apply(f.session, app::TryFigure{"rate.hour", "55"});
  app::apply(f.session, app::NewJob{{}, "another", SafetyAnswer::kNo});
  CHECK(f.session.trial_figures.empty());
}

TEST_CASE("a trial outlives a mark on the same job") {
  Fixture f;
  app::apply(f.session, app::TryFigure{"rate.hour", "55"});
  app::apply(f.session, app::MarkPin{f.pin("C3"), MarkKind::kTorn});
  REQUIRE(f.session.tried);
  CHECK(f.session.tried->plan.wires.size() == f.session.plan->plan.wires.size());
  CHECK(f.margin(*f.session.tried) != f.margin(*f.session.plan));
}

TEST_CASE("a figure that is kept is the shop's from then on, and no trial any more") {
  Fixture f;
  app::apply(f.session, app::KeepFigure{"price.repair"});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::TryFigure{"price.repair", "1000"});
  app::apply(f.session, app::TryFigure{"rate.hour", "55"});
  app::apply(f.session, app::KeepFigure{"price.repair"});
  CHECK(f.session.bench->setting("price.repair").value() == 1000.0);
  CHECK(f.figure("price.repair").now == 1000.0);
  CHECK_FALSE(f.figure("price.repair").tried);
  CHECK(f.figure("rate.hour").tried == 55.0);
  REQUIRE(f.session.tried);
}

TEST_CASE("another wire is tried on the plan's page, its lines and ticks go by it, and it is kept nowhere") {
  Fixture f;
  const std::string own = f.session.plan->plan.wire;
  CHECK(app::shown_plan(f.session) == f.session.plan.get());
  app::apply(f.session, app::TryWire{});
  CHECK_FALSE(f.session.message_is_error);
  REQUIRE(app::tried_wire(f.session));
  CHECK(*app::tried_wire(f.session) == doctest::Approx(0.2));  // the next of the table after 0.1 mm
  REQUIRE(f.session.tried);
  CHECK(app::shown_plan(f.session) == f.session.tried.get());
  CHECK(f.session.plan->plan.wire == own);
  CHECK(f.session.tried->plan.wire != own);
  CHECK(f.session.lines.size() >= f.session.tried->plan.wires.size());
  CHECK_FALSE(f.session.bench->setting("wire.bare").value());
  // All of the table in turn, and the shop's own again.
  int turns = 1;
  for (; app::tried_wire(f.session) && turns < 20; ++turns) app::apply(f.session, app::TryWire{});
  CHECK(turns == 6);
  CHECK(app::shown_plan(f.session) == f.session.plan.get());
  CHECK(f.session.plan->plan.wire == own);
  // Kept, it is the shop's.
  app::apply(f.session, app::TryWire{});
  app::apply(f.session, app::KeepFigure{"wire.bare"});
  CHECK_FALSE(app::tried_wire(f.session));
  CHECK(f.session.bench->setting("wire.bare").value() == 0.2);
}
