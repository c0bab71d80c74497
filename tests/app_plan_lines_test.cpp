// The plan as lines, the plan's and the verdict's pages, and the map's place kept meanwhile.
#include <algorithm>

#include <doctest/doctest.h>

#include "netdb/packages/packages.hpp"
#include "tests/support/session.hpp"

using namespace landfall;
using app::LineState;

namespace {

struct Planned : testing::SessionFixture {
  Planned() {
    job();
    app::apply(session, app::TypeMarks{"AB3 AA3 Y2 torn"});
    app::apply(session, app::TypeMarks{"AB5 missing"});
    app::apply(session, app::MarkMany{{net_ball("RAM1_D8")}, MarkKind::kChip});
    app::apply(session, app::ShowPlan{});
    REQUIRE(session.plan);
    REQUIRE(session.lines.size() >= 4);
  }
  const app::PlanLine& line(int number) {
    const auto found = std::find_if(session.lines.begin(), session.lines.end(),
                                    [&](const app::PlanLine& one) { return one.number == number; });
    REQUIRE(found != session.lines.end());
    return *found;
  }
  std::size_t place(int number) { return static_cast<std::size_t>(&line(number) - session.lines.data()); }
};

}  // namespace

TEST_CASE("every wire, rebuild and site without remedy is one line, with the plan's own figures") {
  Planned f;
  const auto& plan = f.session.plan->plan;
  std::size_t cannot = 0;
  for (const auto& mend : f.session.assessment.mends) cannot += mend.cannot.size();
  CHECK(cannot > 0);
  CHECK(f.session.lines.size() == plan.wires.size() + plan.rebuilds.size() + cannot);
  CHECK(f.session.lines.front().state == LineState::kCannot);
  CHECK(f.session.lines.front().number == 0);
  CHECK(!f.session.lines.front().why.empty());
  for (const auto& wire : plan.wires) {
    const app::PlanLine& line = f.line(wire.number);
    CHECK_FALSE(line.rebuild);
    CHECK(line.pin == wire.jumper.from.pin);
    CHECK(line.net == wire.jumper.net);
    CHECK(line.length.value_or(0) == wire.length);
    CHECK(line.word == wire.word);
    CHECK(line.share == wire.judgement.share);
    CHECK(line.state == LineState::kToDo);
  }
  for (const auto& rebuild : plan.rebuilds) {
    CHECK(f.line(rebuild.number).rebuild);
    CHECK(f.line(rebuild.number).pin == rebuild.rebuild.pin);
  }
  // What cannot be done stands first, then the rebuilds.
  const auto rank = [](const app::PlanLine& line) { return line.number == 0 ? 0 : (line.rebuild ? 1 : 2); };
  CHECK(std::is_sorted(f.session.lines.begin(), f.session.lines.end(),
                       [&](const auto& a, const auto& b) { return rank(a) < rank(b); }));
}

TEST_CASE("a chosen line selects its ball, done and failed are counted, and a failed wire has a new way") {
  Planned f;
  const int first = f.session.plan->plan.wires.front().number;
  app::apply(f.session, app::ChooseLine{f.place(first)});
  CHECK(f.session.line == f.place(first));
  CHECK(f.session.selected == f.line(first).pin);
  app::apply(f.session, app::ChooseLine{99'999});
  CHECK(f.session.line == f.place(first));
  app::apply(f.session, app::NoteOutcome{first, true});
  CHECK(f.line(first).state == LineState::kDone);
  auto counts = app::count_lines(f.session.lines);
  CHECK(counts.done == 1);
  CHECK(counts.wires == f.session.plan->plan.wires.size());
  CHECK(counts.to_do == counts.wires - 1);
  const int second = f.session.plan->plan.wires[1].number;
  const std::string before = f.line(second).to;
  app::apply(f.session, app::NoteOutcome{second, false});
  REQUIRE(f.session.plan);
  CHECK(f.session.plan->failed.size() == 1);
  const bool elsewhere = std::any_of(f.session.lines.begin(), f.session.lines.end(), [&](const auto& line) {
    return line.number == second && line.to != before && line.state == LineState::kToDo;
  });
  const bool cannot = std::any_of(f.session.lines.begin(), f.session.lines.end(),
                                  [&](const auto& line) { return line.state == LineState::kCannot; });
  CHECK((elsewhere || cannot));
}

TEST_CASE("plan and verdict take each other's place, need a job, and go by Esc or again") {
  testing::SessionFixture none;
  app::apply(none.session, app::ShowVerdict{});
  CHECK(none.session.message_is_error);
  CHECK_FALSE(none.session.verdict_page);
  Planned f;
  app::apply(f.session, app::ShowVerdict{});
  CHECK(f.session.verdict_page);
  CHECK_FALSE(f.session.plan_page);
  REQUIRE(f.session.plan);
  CHECK(f.session.plan->verdict);
  app::apply(f.session, app::ShowVerdict{});
  CHECK_FALSE(f.session.verdict_page);
  app::apply(f.session, app::ShowVerdict{});
  app::apply(f.session, app::ShowBoard{});
  CHECK_FALSE(f.session.verdict_page);
  app::apply(f.session, app::ShowVerdict{});
  CHECK_FALSE(f.session.board_view);
  app::apply(f.session, app::ShowBench{});
  app::apply(f.session, app::ShowVerdict{});  // from the bench it comes, though it was there before
  CHECK(f.session.verdict_page);
  CHECK_FALSE(f.session.bench_page);
  f.session.topic.reset();
  app::apply(f.session, app::Leave{});
  CHECK_FALSE(f.session.verdict_page);
}

TEST_CASE("what is looked at on the plan's page leaves the map's own place alone, but for face and turn") {
  Planned f;
  app::apply(f.session, app::ShowPlan{});
  CHECK_FALSE(f.session.plan_page);
  app::apply(f.session, app::SetLook{{false, 0, false, 2, 1, -1}});
  const app::Look own = f.session.look;
  app::apply(f.session, app::ShowPlan{});
  app::apply(f.session, app::SetLook{{true, 90, false, 5, 7, 7}});
  CHECK(f.session.look.zoom == 5);
  app::apply(f.session, app::ShowMap{});
  CHECK(f.session.look.zoom == own.zoom);
  CHECK(f.session.look.x == own.x);
  CHECK(f.session.look.balls);
  CHECK(f.session.look.turn == 90);
  // Another board's look is not mixed up with it.
  app::apply(f.session, app::ShowPlan{});
  app::apply(f.session, app::SetLook{{false, 0, false, 6, 3, 3}});
  app::apply(f.session, app::ShowPart{f.session.board->index().part("U2")});
  app::apply(f.session, app::ShowMap{});
  CHECK(f.session.look.zoom == 1);
}

TEST_CASE("another board or job takes the plan, the verdict and their lines away with it") {
  for (const bool verdict : {false, true}) {
    Planned f;
    if (verdict) app::apply(f.session, app::ShowVerdict{});
    const auto other = packages::bare_board(3, 3, 800'000);
    REQUIRE(other.ok());
    const auto id = f.session.bench->keep_board("other", *other, {{}, {}, "2026-01-01T00:00:00Z"});
    REQUIRE(id.ok());
    app::apply(f.session, app::ShowBench{});
    app::apply(f.session, app::OpenPart{*id, ""});
    REQUIRE(f.session.board->info().name == "other");
    CHECK_FALSE(f.session.plan_page);
    CHECK_FALSE(f.session.verdict_page);
    CHECK_FALSE(f.session.plan);
    CHECK(f.session.lines.empty());
    app::apply(f.session, app::ChooseLine{0});
    CHECK(f.session.selected == kNone);
  }
}

TEST_CASE("done twice is noted once, and a find from the verdict shows what was found") {
  Planned f;
  const int number = f.session.plan->plan.wires.front().number;
  app::apply(f.session, app::NoteOutcome{number, true});
  const std::size_t noted = f.session.outcomes.size();
  app::apply(f.session, app::NoteOutcome{number, true});
  CHECK(f.session.outcomes.size() == noted);
  CHECK(f.session.message.find("already") != std::string::npos);
  app::apply(f.session, app::ShowVerdict{});
  app::apply(f.session, app::FindText{"RAM1_A11"});
  app::apply(f.session, app::GoToHit{0});
  CHECK_FALSE(f.session.verdict_page);
  CHECK(f.session.selected != kNone);
}

TEST_CASE("on the plan's page undo leaves the marks alone and says where they are undone") {
  Planned f;
  const std::size_t marks = f.session.job->marks.size();
  app::apply(f.session, app::Undo{});
  CHECK(f.session.message_is_error);
  CHECK(f.session.job->marks.size() == marks);
  app::apply(f.session, app::ShowMap{});
  app::apply(f.session, app::Undo{});
  CHECK(f.session.job->marks.size() < marks);
  app::apply(f.session, app::Redo{});
  CHECK(f.session.job->marks.size() == marks);
}
