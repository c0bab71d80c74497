// The pages for a pasted table and for a bare package's shape, without a display: keys and clicks in, the
// session's state out.
#include <chrono>
#include <thread>

#include <doctest/doctest.h>
#include <imgui.h>

#include "tests/support/files.hpp"
#include "tests/support/window.hpp"

using namespace landfall;
using importers::ColumnUse;

namespace {

constexpr int kEnter = 40, kEsc = 41, kR = 21, kV = 25, kX = 27, kZ = 29, kDown = 81, kRight = 79;

struct EmptyBench {
  EmptyBench() {
    auto started = app::start_session(folder.file("b.sqlite"));
    REQUIRE(started.ok());
    session = std::move(started).value();
    session.wake = [] {};
  }
  ~EmptyBench() { session.import.reset(); }
  EmptyBench(const EmptyBench&) = delete;
  EmptyBench& operator=(const EmptyBench&) = delete;
  EmptyBench(EmptyBench&&) = delete;
  EmptyBench& operator=(EmptyBench&&) = delete;

  std::string name_of(const std::string& ball) {
    for (const Pin& pin : session.board->board().pins) {
      if (pin.number == ball) return pin.function;
    }
    return "none";
  }
  testing::ScratchFolder folder;
  app::Session session;
};

struct Fixture : EmptyBench, testing::WindowDriver {
  Fixture() : WindowDriver(session) {
    for (int i = 0; i < 3; ++i) frame();
  }
  void key(int place, bool ctrl = false) { WindowDriver::key(place, false, ctrl); }
};

}  // namespace

TEST_CASE("Ctrl+V looks at the clipboard's table, arrows change what a column is for, Enter accepts") {
  Fixture f;
  ImGui::SetClipboardText("VDD\tA1\tE1\nDQ0\tA2\tE2\nGND\tB1\tE3\nDQ1\tB2\tE4\n");
  f.key(kV, true);
  REQUIRE(f.session.pasted);
  REQUIRE(f.session.pasted->look.columns.size() == 3);
  CHECK(f.session.bench->boards()->empty());
  f.key(kEsc);
  CHECK_FALSE(f.session.pasted);
  f.key(kV, true);
  REQUIRE(f.session.pasted);
  app::apply(f.session, app::UseColumn{2, ColumnUse::kSkipped});
  f.key(kDown);
  CHECK(f.state.column == 1);
  f.key(kDown);
  f.key(kRight);  // from "Skip" on to "Balls": the other package
  CHECK(f.session.pasted->look.columns[2].use == ColumnUse::kBall);
  CHECK(f.session.pasted->look.columns[1].use == ColumnUse::kSkipped);
  REQUIRE(f.session.pasted->look.problem.empty());
  f.key(kEnter);
  for (int i = 0; i < 6000 && f.session.import; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
    app::apply(f.session, app::PollWork{});
    f.frame();
  }
  REQUIRE(f.session.boards.size() == 1);
  const auto board = f.session.bench->board(f.session.boards.front().id);
  CHECK(board->pins.front().number == "E1");
}

TEST_CASE(
    "a stray key leaves a pasted table where it is and a table pasted over a board's map goes to that "
    "board") {
  Fixture f;
  ImGui::SetClipboardText("Ball,Name\nA1,VDD\nA2,VSS\nB1,DQ0\nB2,DQ1\n");
  f.key(kV, true);
  REQUIRE(f.session.pasted);
  CHECK_FALSE(f.state.into);
  for (const int place : {19, 5, 13, kR}) {  // P, B, J, R
    f.key(place);
    CHECK(f.session.pasted);
    CHECK(f.session.bench_page);
    CHECK(f.session.message.find("A table waits") != std::string::npos);
  }
  f.key(kEsc);
  CHECK_FALSE(f.session.pasted);
  app::apply(f.session, app::BareBoard{"bare", "6", "6", "0.8"});
  f.frame();
  REQUIRE_FALSE(f.session.bench_page);
  f.key(kV, true);
  REQUIRE(f.session.pasted);
  CHECK(f.state.into == f.session.board->info().id);
}

TEST_CASE("in a field Ctrl+V is the field's own") {
  Fixture f;
  ImGui::SetClipboardText("Ball,Name\nA1,VDD\nA2,VSS\n");
  f.key(17, true);  // Ctrl+N: the bare package's form, its first field has the caret
  for (int i = 0; i < 4; ++i) f.frame();
  CHECK(f.state.form == ui::Form::kBare);
  REQUIRE(ImGui::GetIO().WantTextInput);
  f.key(kV, true);
  CHECK_FALSE(f.session.pasted);
}

TEST_CASE("a bare package is shaped by click and by key, and balls are named one after the other") {
  Fixture f;
  app::apply(f.session, app::BareBoard{"bare", "6", "6", "0.8"});
  f.frame();
  f.click(f.cell(3, 3));
  CHECK(f.session.package.sites.size() == 36);  // a click alone rubs nothing out
  f.key(kR);
  REQUIRE(f.session.shaping);
  f.click(f.cell(3, 3));
  CHECK(f.session.package.sites.size() == 35);
  CHECK(f.name_of("C3") == "none");
  f.click(f.cell(3, 3));  // the gap
  CHECK(f.session.package.sites.size() == 36);
  f.key(kZ, true);
  CHECK(f.session.package.sites.size() == 35);
  app::apply(f.session, app::SelectPin{*app::find_ball(*f.session.board, f.session.package.part, "A1")});
  f.key(kX);
  CHECK(f.session.package.sites.size() == 34);
  CHECK(f.name_of("A1") == "none");
  f.state.tool = ui::ShapeTool::kName;
  f.click(f.cell(2, 1));
  CHECK(f.session.package.sites.size() == 34);
  CHECK(f.state.form == ui::Form::kBallName);
  f.frame();
  f.type("VDD");
  f.key(kEnter);
  f.frame();
  CHECK(f.name_of("B1") == "VDD");
  // The next ball of the row waits for its name.
  CHECK(f.state.field2 == "B2");
  f.frame();
  f.type("RESET");
  f.key(kEnter);
  CHECK(f.name_of("B2") == "RESET");
  f.key(kEsc);
  CHECK(f.session.shaping);
  f.key(31);  // "2" is a mark: not now
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::SelectPin{kNone});
  f.key(kEsc);
  CHECK_FALSE(f.session.shaping);
}
