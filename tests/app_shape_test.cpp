// A bare package shaped in the window: sites rubbed out and put back, balls named, and the way back.
#include <algorithm>

#include <doctest/doctest.h>

#include "tests/support/session.hpp"

using namespace landfall;
using testing::SessionFixture;

namespace {

struct Bare {
  Bare() {
    auto started = app::start_session(folder.file("b.sqlite"));
    REQUIRE(started.ok());
    session = std::move(started).value();
    app::apply(session, app::BareBoard{"bare", "6", "6", "0.8"});
    REQUIRE(session.board);
  }
  std::size_t kept() { return session.bench->board(session.board->info().id)->pins.size(); }
  std::string name_of(const std::string& ball) {
    const Board board = *session.bench->board(session.board->info().id);
    for (const Pin& pin : board.pins) {
      if (pin.number == ball) return pin.function;
    }
    return "none";
  }
  testing::ScratchFolder folder;
  app::Session session;
};

}  // namespace

TEST_CASE("sites are rubbed out, kept at once, and come back with their names by undo, also past redo") {
  Bare b;
  app::apply(b.session, app::RubOut{{"C3"}});
  CHECK(b.session.message_is_error);  // only while it is being shaped
  app::apply(b.session, app::ShapePackage{});
  REQUIRE(b.session.shaping);
  app::apply(b.session, app::NameBall{"C3", "VDD"});
  app::apply(b.session, app::NameBall{"C4", "VDD"});
  CHECK(b.name_of("C3") == "VDD");
  CHECK(b.session.selected == *app::find_ball(*b.session.board, b.session.package.part, "C4"));
  app::apply(b.session, app::RubOut{{"C3..D4"}});
  CHECK(b.kept() == 32);
  CHECK(b.session.package.sites.size() == 32);
  app::apply(b.session, app::Undo{});
  CHECK(b.kept() == 36);
  CHECK(b.name_of("C3") == "VDD");
  CHECK(b.name_of("D4").empty());
  const Board board = *b.session.bench->board(b.session.board->info().id);
  CHECK(board.nets.size() == 1);
  app::apply(b.session, app::Redo{});
  CHECK(b.kept() == 32);
  app::apply(b.session, app::Undo{});
  app::apply(b.session, app::Undo{});
  CHECK(b.name_of("C4").empty());
  CHECK(b.name_of("C3") == "VDD");
  app::apply(b.session, app::Undo{});
  CHECK(b.name_of("C3").empty());
  app::apply(b.session, app::Undo{});
  CHECK(b.session.message_is_error);
}

TEST_CASE("putting back takes only what was missing, and its undo no more than that") {
  Bare b;
  app::apply(b.session, app::ShapePackage{});
  app::apply(b.session, app::RubOut{{"B2", "B3"}});
  app::apply(b.session, app::PutBack{{"B1..B6"}});
  CHECK(b.kept() == 36);
  app::apply(b.session, app::Undo{});
  CHECK(b.kept() == 34);
  app::apply(b.session, app::PutBack{{"B1"}});
  CHECK_FALSE(b.session.message_is_error);
  CHECK(b.kept() == 34);
  // An edge that was rubbed out whole comes back by typing.
  app::apply(b.session, app::TypeShape{"F1..F6 out"});
  CHECK(b.kept() == 28);
  app::apply(b.session, app::TypeShape{"F1..F6 B2 back"});
  CHECK(b.kept() == 35);
  app::apply(b.session, app::TypeShape{"A1=CLK A2=RESET"});
  CHECK(b.name_of("A2") == "RESET");
  app::apply(b.session, app::Undo{});
  CHECK(b.name_of("A1").empty());
  for (const char* bad : {"", "out", "A1 A2", "Z99=X", "=A", "A1..=X", "C3..F6 away"}) {
    app::apply(b.session, app::TypeShape{bad});
    CAPTURE(bad);
    CHECK(b.session.message_is_error);
  }
  app::apply(b.session, app::RubOut{{"A1..F6"}});
  CHECK(b.session.message_is_error);  // something must be left
  CHECK(b.kept() == 35);
}

TEST_CASE("marks under a rubbed site are kept and said, after shaping, undo is the marks' again") {
  Bare b;
  app::apply(b.session, app::NewJob{{}, "", SafetyAnswer::kNo});
  app::apply(b.session, app::TypeMarks{"C3 torn"});
  app::apply(b.session, app::ShapePackage{});
  app::apply(b.session, app::RubOut{{"C3"}});
  CHECK(b.session.message.find("mark is kept") != std::string::npos);
  REQUIRE(b.session.job);
  CHECK(b.session.job->marks.size() == 1);
  app::apply(b.session, app::Undo{});
  CHECK(b.session.assessment.strays.empty());
  app::apply(b.session, app::Leave{});
  app::apply(b.session, app::Leave{});
  CHECK_FALSE(b.session.shaping);
  REQUIRE_FALSE(b.session.bench_page);
  app::apply(b.session, app::Undo{});
  CHECK(b.session.job->marks.empty());
}

TEST_CASE("a board that files describe is not shaped by hand") {
  SessionFixture f;
  app::apply(f.session, app::ShapePackage{});
  CHECK(f.session.message_is_error);
  CHECK_FALSE(f.session.shaping);
}

TEST_CASE(
    "a torn ball of which nothing is known counts as a wire, as a bound, until its name says otherwise") {
  Bare b;
  app::apply(b.session, app::NewJob{{}, "", SafetyAnswer::kNo});
  REQUIRE(b.session.job);
  app::apply(b.session, app::TypeMarks{"A1..A3 torn"});
  CHECK(b.session.assessment.bound);
  CHECK(b.session.assessment.wires == 3);
  CHECK(b.session.assessment.none == 0);
  const Index a1 = *app::find_ball(*b.session.board, b.session.package.part, "A1");
  const Index net = b.session.board->board().pins[a1].net;
  REQUIRE(net != kNone);
  CHECK(b.session.board->signals().nets[net].signal_class == SignalClass::kUnknown);
  app::apply(b.session, app::ShowPlan{});
  REQUIRE(b.session.plan);
  CHECK(b.session.plan->plan.bound);
  REQUIRE(b.session.plan->plan.wires.size() == 3);
  for (const rework::PlannedWire& wire : b.session.plan->plan.wires) {
    CHECK_FALSE(wire.under_part);  // where it goes nobody knows
    CHECK_FALSE(wire.beware.empty());
    CHECK(std::none_of(wire.beware.begin(), wire.beware.end(),
                       [&](const std::string& near) { return near.starts_with(wire.from + " "); }));
  }
  app::apply(b.session, app::ShowMap{});
  app::apply(b.session, app::ShapePackage{});
  app::apply(b.session, app::NameBall{"A1", "NC"});
  app::apply(b.session, app::ShapePackage{});
  CHECK(b.session.assessment.wires == 2);
  // Nothing of this is kept: the bench has the board as it was made.
  CHECK(b.session.bench->board(b.session.board->info().id)->nets.size() == 1);
}
