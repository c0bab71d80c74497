// Marking in the window: several at once, typed, noted, ordered; undo that outlives the program.
#include <doctest/doctest.h>

#include "tests/support/session.hpp"
#include "viewer/app/facts.hpp"

using namespace landfall;
using testing::SessionFixture;

TEST_CASE("what one gesture marks is one undo, however many sites") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::ChooseSites{{f.pin("A3"), f.pin("A4"), f.pin("B3")}});
  CHECK(app::acted_on(f.session).size() == 3);
  app::apply(f.session, app::MarkMany{app::acted_on(f.session), MarkKind::kTorn});
  CHECK(f.session.message == "3 sites torn. Undo with Ctrl+Z.");
  CHECK(f.session.marks.size() == 3);
  app::apply(f.session, app::Undo{});
  CHECK(f.session.marks.empty());
  CHECK(f.session.assessment.not_inspected == 420);
}

TEST_CASE("nothing is marked when nothing is selected, or the part was not lifted, or there is no job") {
  SessionFixture f;
  app::apply(f.session, app::MarkMany{{f.pin("A3")}, MarkKind::kTorn});
  CHECK(f.session.message == "No job. Marks need one.");
  f.job();
  app::apply(f.session, app::MarkMany{{}, MarkKind::kTorn});
  CHECK(f.session.message_is_error);
  const Index elsewhere = f.session.board->index().part("U2");
  REQUIRE(elsewhere != kNone);
  const Index other = f.session.board->index().pins_of_part(elsewhere).front();
  app::apply(f.session, app::MarkMany{{f.pin("A3"), other}, MarkKind::kTorn});
  CHECK(f.session.message == "U2 is not among the parts that this job lifted.");
  CHECK(f.session.marks.empty());
}

TEST_CASE("typed sites are marked whole or not at all, and 'off' takes them away") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::TypeMarks{"A3 A5..A8 torn"});
  CHECK_FALSE(f.session.message_is_error);
  CHECK(f.session.marks.size() == 5);
  app::apply(f.session, app::TypeMarks{"a3, A5 ; A99 sound"});
  CHECK(f.session.message_is_error);
  CHECK(f.session.marks.size() == 5);
  app::apply(f.session, app::TypeMarks{"A5..A8 off"});
  CHECK(f.session.marks.size() == 1);
  app::apply(f.session, app::TypeMarks{"   "});
  CHECK(f.session.message_is_error);
}

TEST_CASE("a note is kept with its mark, shown in sheet and list, and one undo takes it back") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::NoteMark{f.pin("A3"), "no mark yet"});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::SelectPin{f.pin("A3")});
  app::apply(f.session, app::MarkPin{f.pin("A3"), MarkKind::kLoose});
  app::apply(f.session,
             app::NoteMark{f.pin("A3"), "\u0431\u0435\u0437 \u043C\u0430\u0441\u043A\u0438, 3 \u03A9"});
  REQUIRE(f.session.marks.size() == 1);
  CHECK(f.session.marks.front().note == "\u0431\u0435\u0437 \u043C\u0430\u0441\u043A\u0438, 3 \u03A9");
  CHECK(app::sheet_text(*f.session.sheet).find("3 \u03A9") != std::string::npos);
  // Another kind leaves the note as it is.
  app::apply(f.session, app::MarkPin{f.pin("A3"), MarkKind::kMissing});
  CHECK_FALSE(f.session.marks.front().note.empty());
  app::apply(f.session, app::Undo{});
  app::apply(f.session, app::Undo{});
  CHECK(f.session.marks.front().note.empty());
}

TEST_CASE("undo and redo go on after a restart") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::TypeMarks{"A3 torn"});
  app::apply(f.session, app::TypeMarks{"A4 loose"});
  auto again = app::start_session(f.folder.file("b.sqlite"));
  REQUIRE(again.ok());
  app::apply(*again, app::OpenJob{1});
  CHECK(again->marks.size() == 2);
  app::apply(*again, app::Undo{});
  app::apply(*again, app::Undo{});
  CHECK(again->marks.empty());
  app::apply(*again, app::Undo{});
  CHECK(again->message == "There is nothing to undo.");
  auto third = app::start_session(f.folder.file("b.sqlite"));
  REQUIRE(third.ok());
  app::apply(*third, app::OpenJob{1});
  app::apply(*third, app::Redo{});
  REQUIRE(third->marks.size() == 1);
  CHECK(third->marks.front().ball == "A3");
}

TEST_CASE("the list of marks goes by need, row, kind, net and time") {
  SessionFixture f;
  f.job();
  for (const char* typed : {"AB3 loose", "A3 torn", "B12 mask", "A10 barrel"})
    app::apply(f.session, app::TypeMarks{typed});
  const auto balls = [&](app::MarkOrder order) {
    app::apply(f.session, app::OrderMarks{order});
    std::vector<std::string> names;
    for (const app::MarkRow& row : f.session.marks) names.push_back(row.ball);
    return names;
  };
  CHECK(balls(app::MarkOrder::kBall) == std::vector<std::string>{"A3", "A10", "B12", "AB3"});
  CHECK(balls(app::MarkOrder::kTime) == std::vector<std::string>{"A10", "B12", "A3", "AB3"});
  CHECK(balls(app::MarkOrder::kKind) == std::vector<std::string>{"A10", "A3", "AB3", "B12"});
  const auto by_need = balls(app::MarkOrder::kNeed);
  std::vector<rework::Need> needs;
  for (const app::MarkRow& row : f.session.marks) needs.push_back(row.need);
  // Cannot and wires first, what needs nothing last.
  for (std::size_t i = 1; i < needs.size(); ++i) {
    const bool nothing_before = needs[i - 1] == rework::Need::kNone && needs[i] != rework::Need::kNone;
    CHECK_FALSE(nothing_before);
  }
  balls(app::MarkOrder::kNet);
  for (std::size_t i = 1; i < f.session.marks.size(); ++i)
    CHECK_FALSE(natural_less(f.session.marks[i].net, f.session.marks[i - 1].net));
}

TEST_CASE("'kept' says when, only once a gesture is kept") {
  SessionFixture f;
  CHECK(f.session.kept.empty());
  f.job();
  app::apply(f.session, app::TypeMarks{"A3 torn"});
  CHECK(app::clock_text(f.session.kept).size() == 8);
  CHECK(app::clock_text("yesterday").empty());
  CHECK(app::clock_text("2026-03-01T1x:02:11Z").empty());
}

TEST_CASE("sites that were typed come into view: the first is selected, unless one of them is already") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::TypeMarks{"C3 C4..C6 torn"});
  CHECK(f.session.selected == f.pin("C3"));
  CHECK(f.session.message == "4 sites torn. Undo with Ctrl+Z.");
  app::apply(f.session, app::SelectPin{f.pin("C5")});
  app::apply(f.session, app::TypeMarks{"C4..C6 loose"});
  CHECK(f.session.selected == f.pin("C5"));
  app::apply(f.session, app::TypeMarks{"A99 torn"});
  CHECK(f.session.message_is_error);
  CHECK(f.session.selected == f.pin("C5"));
}

TEST_CASE("a fact typed in the marks' line, or clicked, stands until it is taken back on the sheet") {
  testing::SessionFixture f;
  f.job();
  app::apply(f.session, app::TypeMarks{"AB3 chip"});
  REQUIRE(f.session.assessment.cannot == 1);
  app::apply(f.session, app::TypeMarks{"spare AB3"});
  INFO(f.session.message);
  REQUIRE(f.session.job->facts.size() == 1);
  CHECK(f.session.job->facts[0].a == "U1.AB3");
  CHECK(f.session.assessment.cannot == 0);
  // The ball's sheet has it, with its way back; what is copied has the words alone.
  REQUIRE(f.session.sheet);
  std::int64_t back = 0;
  for (const app::SheetLine& line : f.session.sheet->lines) {
    for (const app::SheetPiece& piece : line.pieces) back = piece.take_back != 0 ? piece.take_back : back;
  }
  CHECK(back == f.session.job->facts[0].id);
  const std::string copied = app::sheet_text(*f.session.sheet);
  CHECK(copied.find("can do without U1.AB3") != std::string::npos);
  CHECK(copied.find("take back") == std::string::npos);
  app::apply(f.session, app::TakeBackFact{back});
  CHECK(f.session.job->facts.empty());
  CHECK(f.session.assessment.cannot == 1);
  // Another part is named; two words of one meaning are refused in words.
  app::apply(f.session, app::TypeMarks{"Joined AB3 U3.T3"});
  CHECK(f.session.job->facts.size() == 1);
  app::apply(f.session, app::TypeMarks{"joined AB3"});
  CHECK(f.session.message_is_error);
  CHECK(f.session.job->facts.size() == 1);
  app::apply(f.session, app::TellFact{"open U1.AB3"});
  REQUIRE(f.session.job->facts.size() == 1);
  CHECK(f.session.job->facts[0].kind == FactKind::kOpen);
}

TEST_CASE("undo and redo go through marks and facts in the order in which they were told") {
  testing::SessionFixture f;
  f.job();
  const auto told = [&] {
    std::vector<std::string> facts;
    for (const Fact& fact : f.session.job->facts)
      facts.push_back(app::fact_text(f.session.board->index(), fact));
    return facts;
  };
  const auto undo = [&] { app::apply(f.session, app::Undo{}); };
  const auto redo = [&] { app::apply(f.session, app::Redo{}); };
  using Facts = std::vector<std::string>;
  const Facts joined{"U1.AB3 beeps to U3.T3"};
  const Facts open{"U1.AB3 is open to all of its net"};
  app::apply(f.session, app::TypeMarks{"AB3 torn"});
  app::apply(f.session, app::TypeMarks{"joined AB3 U3.T3"});
  CHECK(f.session.message == "U1.AB3 beeps to U3.T3. Undo with Ctrl+Z.");
  app::apply(f.session, app::TypeMarks{"A1 torn"});
  app::apply(f.session, app::TypeMarks{"A1 torn"});   // changes nothing, and is no step
  app::apply(f.session, app::TypeMarks{"open AB3"});  // outdoes the one before
  REQUIRE(told() == open);
  undo();
  CHECK(f.session.message == "undone: U1.AB3 is open to all of its net");
  CHECK(told() == joined);
  CHECK(f.session.job->marks.size() == 2);
  undo();
  CHECK(told() == joined);
  CHECK(f.session.job->marks.size() == 1);
  undo();
  CHECK(told().empty());
  CHECK(f.session.job->marks.size() == 1);
  undo();
  CHECK(f.session.job->marks.empty());
  undo();
  CHECK(f.session.message_is_error);
  redo();
  CHECK(f.session.job->marks.size() == 1);
  CHECK(told().empty());
  redo();
  CHECK(f.session.message == "done again: U1.AB3 beeps to U3.T3");
  CHECK(told() == joined);
  CHECK(f.session.job->marks.size() == 1);
  // What is told now ends the way forward, marks included.
  app::apply(f.session, app::TypeMarks{"spare A1"});
  redo();
  CHECK(f.session.message_is_error);
  CHECK(f.session.job->marks.size() == 1);
  CHECK(told().size() == 2);
  undo();
  CHECK(told() == joined);
  // A fact that is taken back comes again, and is taken back again.
  app::apply(f.session, app::TakeBackFact{f.session.job->facts.front().id});
  CHECK(told().empty());
  undo();
  CHECK(f.session.message == "undone: taking back U1.AB3 beeps to U3.T3");
  CHECK(told() == joined);
  redo();
  CHECK(told().empty());
  // Another sitting knows the marks' way back alone.
  app::apply(f.session, app::OpenJob{1});
  undo();
  CHECK(f.session.job->marks.empty());
}

TEST_CASE(
    "a closed job refuses marks and readings and ticks and undo in the window, and takes them when it is "
    "opened again") {
  testing::SessionFixture f;
  f.job();
  app::apply(f.session, app::MarkPin{f.net_ball("RAM1_D9"), MarkKind::kTorn});
  app::apply(f.session, app::CloseJob{f.session.job->id, true});
  CHECK(f.session.message.find("Ctrl+J opens it again") != std::string::npos);
  const auto refused = [&](const app::Action& action) {
    app::apply(f.session, action);
    CHECK(f.session.message_is_error);
    CHECK(f.session.message == "job 1 is closed: open it again first (Ctrl+J)");
  };
  refused(app::MarkPin{f.pin("A1"), MarkKind::kTorn});
  refused(app::TypeMarks{"A1 torn"});
  refused(app::TypeMarks{"spare A1"});
  refused(app::TakeBackFact{1});
  refused(app::Undo{});
  refused(app::Redo{});
  app::apply(f.session, app::ShowReadings{});
  refused(app::TypeReadings{"OL"});
  app::apply(f.session, app::ShowPlan{});
  REQUIRE(!f.session.lines.empty());
  refused(app::NoteOutcome{f.session.lines.front().number, true});
  refused(app::NoteJobOutcome{true, ""});
  app::apply(f.session, app::ShowIntake{});
  refused(app::AnswerIntake{"ticket", "12"});
  refused(app::AnswerIntake{"safety-critical", "yes"});
  refused(app::AnswerSafety{true});
  refused(app::TypeSymptoms{"RAM1_D9", false});
  refused(app::Undo{});
  CHECK(f.session.bench->intake(1)->empty());
  CHECK(f.session.job->safety_critical == SafetyAnswer::kNo);
  CHECK(f.session.job->marks.size() == 1);
  app::apply(f.session, app::CloseJob{1, true});
  CHECK(f.session.message == "Job 1 is closed already. Ctrl+J opens it again.");
  CHECK(f.session.bench->outcomes(1)->empty());
  app::apply(f.session, app::CloseJob{1, false});
  CHECK(f.session.message == "Job 1 is open again.");
  app::apply(f.session, app::CloseJob{1, false});
  CHECK(f.session.message == "Job 1 is open already.");
  app::apply(f.session, app::ShowMap{});
  app::apply(f.session, app::MarkPin{f.pin("A1"), MarkKind::kTorn});
  CHECK(f.session.job->marks.size() == 2);
}

TEST_CASE("the end of a job is seen with the next mark, and is taken back on the page where it was noted") {
  testing::SessionFixture f;
  f.job();
  app::apply(f.session, app::MarkPin{f.net_ball("RAM1_D9"), MarkKind::kTorn});
  CHECK_FALSE(f.session.end);
  app::apply(f.session, app::ShowVerdict{});
  app::apply(f.session, app::NoteJobOutcome{false, ""});
  REQUIRE(f.session.end);
  CHECK_FALSE(f.session.end->worked);
  app::apply(f.session, app::ShowMap{});
  app::apply(f.session, app::MarkPin{f.pin("A1"), MarkKind::kTorn});
  CHECK(f.session.message.find("The end of job 1 is noted already: failed") != std::string::npos);
  app::apply(f.session, app::TypeMarks{"spare A1"});
  CHECK(f.session.message.find("The end of job 1 is noted already: failed") != std::string::npos);
  // What was said of the map does not stand on another page.
  app::apply(f.session, app::ShowVerdict{});
  CHECK(f.session.message.empty());
  app::apply(f.session, app::Undo{});
  CHECK_FALSE(f.session.end);
  CHECK(f.session.job->marks.size() == 2);
}

TEST_CASE("undo takes nothing from another window: what that one told or took back since stays") {
  testing::SessionFixture f;
  f.job();
  const auto facts = [&] { return f.session.bench->job(1)->facts; };
  const auto elsewhere = [&](const std::vector<std::string>& words) {
    const auto told =
        app::tell_fact(*f.session.bench, *f.session.board, *f.session.bench->job(1), words, app::now_utc());
    REQUIRE(told.ok());
  };
  app::apply(f.session, app::TypeMarks{"AB3 torn"});
  app::apply(f.session, app::TypeMarks{"joined AB3 U3.T3"});
  app::apply(f.session, app::TypeMarks{"open AB3"});
  elsewhere({"joined", "U1.AB3", "U3.T3"});  // measured anew there, which outdoes "open"
  app::apply(f.session, app::Undo{});
  CHECK(f.session.message_is_error);
  CHECK(f.session.message.find("changed in another window") != std::string::npos);
  REQUIRE(facts().size() == 1);
  CHECK(facts()[0].kind == FactKind::kJoined);
  // The step is gone, so that those before it can still be taken back.
  app::apply(f.session, app::Undo{});
  CHECK(facts().empty());
  app::apply(f.session, app::Undo{});
  CHECK(f.session.job->marks.empty());
}

TEST_CASE("a mark that another window took back does not stand in the way of the facts told before it") {
  testing::SessionFixture f;
  f.job();
  app::apply(f.session, app::TypeMarks{"joined AB3 U3.T3"});
  app::apply(f.session, app::TypeMarks{"A1 torn"});
  REQUIRE(f.session.bench->undo(1, app::now_utc()).ok());  // elsewhere
  app::apply(f.session, app::Undo{});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::Undo{});
  CHECK_FALSE(f.session.message_is_error);
  CHECK(f.session.bench->job(1)->facts.empty());
}
