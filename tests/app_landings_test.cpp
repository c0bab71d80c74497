// Where a ball's net can be soldered to, as the sheet and the `ball` command list it.
#include <algorithm>

#include <doctest/doctest.h>

#include "netdb/rework/mend/tap.hpp"
#include "tests/support/session.hpp"
#include "viewer/app/landings.hpp"

using namespace landfall;

namespace {

bool has_caption(const app::Sheet& sheet, std::string_view caption) {
  return std::any_of(sheet.lines.begin(), sheet.lines.end(),
                     [&](const app::SheetLine& line) { return line.caption && line.label == caption; });
}

}  // namespace

TEST_CASE_FIXTURE(testing::SessionFixture, "the landing that the plan takes is among the ball's landings") {
  job();
  app::apply(session, app::TypeMarks{"AB3 AA3 Y2 torn"});
  app::apply(session, app::MarkPin{net_ball("RAM1_D9"), MarkKind::kTorn});
  app::apply(session, app::ShowPlan{});
  REQUIRE(session.plan);
  REQUIRE(session.plan->plan.wires.size() >= 3);
  for (const rework::PlannedWire& wire : session.plan->plan.wires) {
    const rework::Landing& to = wire.jumper.to;
    if (to.kind == rework::LandingKind::kConductor || wire.jumper.from.pin == kNone) continue;
    CAPTURE(wire.from);
    const auto near = app::landings_near(*session.board, wire.jumper.from.pin, session.job->lifted,
                                         session.job->marks, 1'000);
    CHECK(std::any_of(near.begin(), near.end(), [&](const app::NearLanding& one) {
      return one.landing.at == to.at && one.landing.kind == to.kind;
    }));
  }
}

TEST_CASE_FIXTURE(
    testing::SessionFixture,
    "landings come by rank, never the ball itself, a marked land is none, supplies have no list") {
  job();
  const Index ball = net_ball("RAM1_D9");
  const auto near = app::landings_near(*session.board, ball, session.job->lifted, {}, 1'000);
  REQUIRE_FALSE(near.empty());
  const auto cost = [](const app::NearLanding& one) {
    return rework::hardness(one.landing.kind) + static_cast<double>(one.from_here);
  };
  CHECK(std::is_sorted(near.begin(), near.end(),
                       [&](const auto& a, const auto& b) { return cost(a) < cost(b); }));
  for (const app::NearLanding& one : near) {
    CHECK(one.landing.pin != ball);
    CHECK(!one.text.empty());
  }
  CHECK(app::landings_near(*session.board, ball, session.job->lifted, {}, 1).size() == 1);
  CHECK(app::landings_near(*session.board, net_ball("GND"), session.job->lifted, {}, 9).empty());
  app::apply(session, app::SelectPin{ball});
  CHECK(has_caption(*session.sheet, "LANDINGS"));
  app::apply(session, app::SelectPin{net_ball("GND")});
  CHECK_FALSE(has_caption(*session.sheet, "LANDINGS"));
}

TEST_CASE_FIXTURE(testing::SessionFixture, "a lane's and a bus's sheet say where all of it can be tapped") {
  const Signals& signals = session.board->signals();
  const Index net = *app::find_net(*session.board, "RAM1_D9");
  REQUIRE(signals.nets[net].lane != kNone);
  app::apply(session, app::Follow{{app::TopicKind::kLane, signals.nets[net].lane}});
  CHECK(has_caption(*session.sheet, "WHERE TO TAP"));
  std::size_t named = 0;
  bool tapping = false;
  for (const app::SheetLine& line : session.sheet->lines) {
    if (line.caption) tapping = line.label == "WHERE TO TAP";
    if (tapping && !line.caption) {
      REQUIRE(line.pieces.size() == 2);
      CHECK(line.pieces[0].link.has_value());
      ++named;
    }
  }
  const auto members = static_cast<std::size_t>(
      std::count_if(signals.nets.begin(), signals.nets.end(),
                    [&](const NetSignal& one) { return one.lane == signals.nets[net].lane; }));
  CHECK(named == members);
}
