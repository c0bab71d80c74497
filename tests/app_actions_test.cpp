// Actions of the session that no other test takes: what each changes, what it refuses, and the way back.
#include <doctest/doctest.h>

#include "tests/support/session.hpp"

using namespace landfall;
using testing::SessionFixture;

TEST_CASE("the safety question's answer is kept, takes plan and verdict away, and can be taken back") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::MarkPin{f.pin("AB3"), MarkKind::kTorn});
  app::apply(f.session, app::ShowPlan{});
  REQUIRE(f.session.plan);
  app::apply(f.session, app::AnswerSafety{true});
  CHECK(f.session.job->safety_critical == SafetyAnswer::kYes);
  REQUIRE(f.session.plan);
  CHECK(f.session.plan->plan.wires.empty());
  CHECK_FALSE(f.session.plan->verdict);
  CHECK(f.session.message.find("authorised repair") != std::string::npos);
  CHECK(f.session.bench->job(f.session.job->id)->safety_critical == SafetyAnswer::kYes);
  CHECK(f.session.assessment.wires == 1);  // the answers stay
  app::apply(f.session, app::AnswerSafety{false});
  REQUIRE(f.session.plan);
  CHECK(f.session.plan->plan.wires.size() == 1);
  CHECK(f.session.plan->verdict);
}

TEST_CASE("a wire that failed is gone around, and done again it counts as done") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::MarkPin{f.pin("AB3"), MarkKind::kTorn});
  app::apply(f.session, app::ShowPlan{});
  REQUIRE(f.session.plan);
  REQUIRE(f.session.plan->plan.wires.size() == 1);
  const int number = f.session.plan->plan.wires[0].number;
  const Point first = f.session.plan->plan.wires[0].jumper.to.at;
  app::apply(f.session, app::NoteOutcome{number + 100, true});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::NoteOutcome{number, false});
  CHECK_FALSE(f.session.message_is_error);
  REQUIRE(f.session.plan);
  for (const auto& wire : f.session.plan->plan.wires) CHECK(wire.jumper.to.at != first);
  REQUIRE(f.session.plan->failed.size() == 1);
  CHECK(f.session.plan->failed[0].number == number);
  REQUIRE_FALSE(f.session.plan->plan.wires.empty());
  app::apply(f.session, app::NoteOutcome{f.session.plan->plan.wires[0].number, true});
  const auto kept = f.session.bench->outcomes(f.session.job->id);
  REQUIRE(kept.ok());
  REQUIRE(kept->size() == 2);
  CHECK_FALSE(kept->front().worked);
  CHECK(kept->back().worked);
}

TEST_CASE(
    "going to a pin shows its part's map from wherever one is, and the way back leads to where one was") {
  SessionFixture f;
  const Index u1 = f.session.package.part;
  app::apply(f.session, app::SelectPin{f.pin("AB3")});
  app::apply(f.session, app::ShowBoard{});
  REQUIRE(f.session.board_view);
  const Index far = *app::find_pin(*f.session.board, "U3.A3");
  app::apply(f.session, app::GoToPin{far});
  CHECK_FALSE(f.session.board_view);
  CHECK(f.session.selected == far);
  CHECK(f.session.package.part == f.session.board->board().pins[far].part);
  app::apply(f.session, app::GoToPin{kNone});
  CHECK(f.session.selected == far);
  app::apply(f.session, app::GoBack{});
  CHECK(f.session.package.part == u1);
  CHECK(f.session.selected == f.pin("AB3"));
}

TEST_CASE(
    "text size goes by steps and stops at both ends, inspection is a switch, a complaint is an error in "
    "words") {
  SessionFixture f;
  const int before = f.session.preferences.text_percent;
  app::apply(f.session, app::SetTextSize{true});
  CHECK(f.session.preferences.text_percent > before);
  app::apply(f.session, app::SetTextSize{false});
  CHECK(f.session.preferences.text_percent == before);
  for (int i = 0; i < 20; ++i) app::apply(f.session, app::SetTextSize{true});
  CHECK(f.session.preferences.text_percent == 150);
  for (int i = 0; i < 20; ++i) app::apply(f.session, app::SetTextSize{false});
  CHECK(f.session.preferences.text_percent == 90);

  CHECK_FALSE(f.session.inspection);
  app::apply(f.session, app::ToggleInspection{});
  CHECK(f.session.inspection);
  app::apply(f.session, app::ToggleInspection{});
  CHECK_FALSE(f.session.inspection);

  app::apply(f.session, app::Complain{"no such key"});
  CHECK(f.session.message_is_error);
  CHECK(f.session.message == "no such key");
}

TEST_CASE("an import that is stopped leaves the bench as it was, and stopping nothing does nothing") {
  SessionFixture f;
  app::apply(f.session, app::StopImport{});
  CHECK_FALSE(f.session.import);
  app::apply(f.session, app::ImportFiles{{SessionFixture::board_file()}, std::nullopt});
  REQUIRE(f.session.import);
  app::apply(f.session, app::StopImport{});
  CHECK(f.session.import->stopping());
  f.session.import.reset();  // waits for the step that runs
  const auto boards = f.session.bench->boards();
  REQUIRE(boards.ok());
  CHECK(boards->size() == 1);
}

TEST_CASE("the plan opens at the line of the ball that is looked at") {
  testing::SessionFixture f;
  f.job();
  app::apply(f.session, app::TypeMarks{"Y2 AA3 AB3 torn"});
  for (const char* ball : {"AB3", "Y2", "AA3"}) {
    app::apply(f.session, app::SelectPin{f.pin(ball)});
    app::apply(f.session, app::ShowPlan{});
    REQUIRE(f.session.line < f.session.lines.size());
    CHECK(f.session.lines[f.session.line].ball == ball);
    app::apply(f.session, app::ShowMap{});
  }
}
