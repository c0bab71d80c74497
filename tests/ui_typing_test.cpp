// Typing in the window: what is refused stays to be corrected, and nothing lies over the map unasked.
#include "tests/support/window.hpp"

using namespace landfall;

namespace {

constexpr int kM = 16, kSlash = 56, kD = 7;

}  // namespace

TEST_CASE_FIXTURE(testing::JobWindow,
                  "typed sites that are refused stay in their line, and go once they are taken") {
  key(kM);
  REQUIRE(state.form == ui::Form::kType);
  type("A3 A4 tor");
  key(testing::kPlaceEnter);
  CHECK(session.message_is_error);
  CHECK(state.form == ui::Form::kType);
  CHECK(state.field == "A3 A4 tor");
  CHECK(session.marks.empty());
  type("n");  // the caret is back at its end
  key(testing::kPlaceEnter);
  CHECK_FALSE(session.message_is_error);
  CHECK(session.marks.size() == 2);
  CHECK(state.form == ui::Form::kNone);
  CHECK(session.selected == pin("A3"));
}

TEST_CASE_FIXTURE(testing::JobWindow,
                  "Enter with nothing found keeps the caret, a click elsewhere puts the list away") {
  key(kSlash);
  type("zzzz");
  REQUIRE(session.find_text == "zzzz");
  key(testing::kPlaceEnter);
  frame();
  CHECK(ImGui::GetIO().WantTextInput);
  key(testing::kPlaceEsc);
  key(kSlash);
  type("RAM1");
  REQUIRE_FALSE(session.hits.empty());
  CHECK_FALSE(state.list_away);
  click(cell(20, 3));
  CHECK(state.list_away);
  CHECK(session.selected != kNone);
  CHECK(state.typed == "RAM1");
  // The field brings it back.
  key(kSlash);
  CHECK_FALSE(state.list_away);
}

TEST_CASE_FIXTURE(testing::JobWindow,
                  "a pointer that rests says nothing against a ball that a key has chosen since") {
  app::apply(session, app::SelectPin{pin("C3")});
  frame();
  move(cell(3, 10));
  REQUIRE(state.pointed == pin("C10"));
  CHECK(state.read_for == session.selected);
  key(kD);
  CHECK(session.selected != pin("C3"));
  CHECK(state.pointed == pin("C10"));
  CHECK(state.read_for != session.selected);  // the line reads the selected one
  ImGui::GetIO().MousePos.x += 1;
  frame();
  CHECK(state.read_for == session.selected);
}
