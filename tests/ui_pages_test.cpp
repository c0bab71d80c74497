// The job's pages and the bench's, without a display: keys and clicks in, the session's state out.
#include <algorithm>
#include <array>

#include <imgui.h>

#include "tests/support/window.hpp"

using namespace landfall;

namespace {

constexpr int kF = 9, kH = 11, kJ = 13, kL = 15, kV = 25, kP = 19, kOne = 30, kTwo = 31, kEnter = 40,
              kEsc = 41, kSemicolon = 51, kDown = 81, kUp = 82;

struct PagesFixture : testing::JobWindow {
  PagesFixture() {
    app::apply(session, app::MarkPin{net_ball("RAM1_D9"), MarkKind::kTorn});
    for (int i = 0; i < 3; ++i) frame();
  }
};

}  // namespace

TEST_CASE_FIXTURE(PagesFixture,
                  "readings are typed blind: value, Enter, next, arrows go between rows, Esc leaves") {
  key(kV);
  REQUIRE(session.page == app::JobPage::kReadings);
  key(kEnter);  // the caret goes to the field
  const auto& rows = session.readings->sheet.rows;
  const std::size_t first = session.readings->at;
  for (const char* value : {"OL", "0.452", "-", "0.450"}) {
    type(value);
    key(kEnter);
  }
  CHECK(session.readings->at == first + 4);
  REQUIRE(rows[first].before);
  CHECK_FALSE(rows[first].before->value);
  CHECK(rows[first + 1].before->value == 0.452);
  CHECK_FALSE(rows[first + 2].before);
  CHECK(rows[first + 3].before->value == 0.450);
  type("1x");
  key(kEnter);
  CHECK(session.message_is_error);
  CHECK(state.reading.typed == "1x");  // stays to be corrected
  CHECK(session.readings->at == first + 4);
  key(kUp);
  CHECK(session.readings->at == first + 3);
  key(kDown);
  CHECK(session.readings->at == first + 4);
  // Letters are text here, not keys; the first Esc lets the caret go, the next leaves.
  key(kF);
  CHECK(session.page == app::JobPage::kReadings);
  key(kEsc);
  CHECK(session.page == app::JobPage::kReadings);
  key(kEsc);
  CHECK_FALSE(session.page);
}

TEST_CASE_FIXTURE(
    PagesFixture,
    "the intake is answered from the keyboard: rows by arrows, choices by digits, text by Enter") {
  key(kJ, true);
  REQUIRE(session.page == app::JobPage::kIntake);
  const auto row_of = [&](std::string_view topic) {
    std::size_t n = 0;
    while (session.intake->rows[n].topic->word != topic) ++n;
    return n;
  };
  while (state.intake_row < row_of("battery")) key(kDown);
  key(kTwo);
  CHECK(session.intake->rows[row_of("battery")].answer == "no");
  CHECK(session.job->marks.size() == 1);  // a digit answers here and marks nothing
  key(kOne);
  CHECK(session.intake->rows[row_of("battery")].answer == "yes");
  key(kOne);
  CHECK(session.intake->rows[row_of("battery")].answer.empty());
  while (state.intake_row > row_of("symptoms")) key(kUp);
  key(kEnter);
  type("no start");
  key(kEnter);
  CHECK(session.intake->rows[row_of("symptoms")].answer == "no start");
  // A name that no net has is refused and stays to be corrected; Esc gives it up.
  key(kDown);
  REQUIRE(state.intake_row == row_of("dark"));
  key(kEnter);
  type("no_such_net");
  key(kEnter);
  CHECK(session.message_is_error);
  CHECK(state.kept_field.typed == "no_such_net");
  CHECK(session.intake->rows[row_of("dark")].answer.empty());
  key(kEsc);
  CHECK_FALSE(session.page);
}

TEST_CASE_FIXTURE(
    PagesFixture,
    "balls turned dark on the map stand among the symptoms, Enter goes to the suspect's place") {
  for (const char* net : {"RAM1_D8", "RAM1_D9", "RAM1_D10", "RAM1_D11", "RAM1_DQS1_P"}) {
    app::apply(session, app::SelectPin{net_ball(net)});
    key(kSemicolon);
  }
  key(kF, true);
  REQUIRE(session.page == app::JobPage::kSuspects);
  REQUIRE(session.suspects->answer.suspects.size() > 1);
  CHECK(session.suspects->symptoms.dark.size() == 5);
  key(kDown);
  CHECK(session.suspects->at == 1);
  key(kUp);
  key(kEnter);
  CHECK_FALSE(session.page);
  CHECK(session.package.part == session.suspects->answer.suspects[0].part);
  CHECK_FALSE(session.chosen.empty());
}

TEST_CASE_FIXTURE(PagesFixture, "every page is drawn at every size, with nothing on it and with long names") {
  // Something long wherever a user types.
  app::apply(session, app::AnswerIntake{"symptoms", std::string(300, 'w')});
  app::apply(session, app::ShelveJob{session.job->id, true, std::string(200, 'm')});
  for (const auto& [width, height] :
       std::array<std::array<float, 2>, 5>{{{1280, 800}, {1707, 960}, {900, 600}, {640, 400}, {480, 700}}}) {
    ImGui::GetIO().DisplaySize = {width, height};
    for (const int place : {kJ, kF, kL, kH}) {
      key(place, true);
      CHECK((session.page || session.bench_view));
      frame();
      app::apply(session, app::ShowMap{});
    }
    key(kV);
    CHECK(session.page == app::JobPage::kReadings);
    app::apply(session, app::ShowMap{});
  }
}

TEST_CASE_FIXTURE(PagesFixture,
                  "a small window has all views and shows the plan on the map and on the board") {
  ImGui::GetIO().DisplaySize = {640, 400};
  // Photo stands before Job, the last.
  for (float x = 632; x > 280 && !session.photo_page; x -= 12) click({x, 24});
  CHECK(session.photo_page);
  app::apply(session, app::ShowPlan{});
  frame();
  CHECK(state.plan_part == ui::PlanPart::kList);
  state.map_area = {};
  click({320, 352});
  CHECK(state.plan_part == ui::PlanPart::kMap);
  CHECK(state.map_area.height > 100);
  click({540, 352});
  CHECK(state.plan_part == ui::PlanPart::kBoard);
  click({100, 352});
  CHECK(state.plan_part == ui::PlanPart::kList);
}

TEST_CASE_FIXTURE(PagesFixture, "what can be said of a ball is one click away where its sheet is too high") {
  app::apply(session, app::SelectPin{net_ball("RAM1_D9")});
  for (int i = 0; i < 3; ++i) frame();
  click({1108, 463});  // the foot of the sheet
  CHECK(session.job->facts.empty());
  for (float y = 440; y > 250 && session.job->facts.empty(); y -= 8) click({1000, y});
  REQUIRE(session.job->facts.size() == 1);
  CHECK(session.job->facts[0].kind != FactKind::kJoined);
}

TEST_CASE_FIXTURE(PagesFixture, "the bench's pages are about the job that is worked on") {
  app::apply(session, app::ShowBench{});
  frame();
  CHECK(state.chosen_job == 1);
  app::apply(session, app::NewJob{{}, "second", SafetyAnswer::kNo});
  REQUIRE(session.job->id == 2);
  frame();
  key(kH, true);
  REQUIRE(session.bench_view == app::BenchPage::kSharing);
  CHECK(state.chosen_job == 2);
  app::apply(session, app::OpenJob{1});
  frame();
  app::apply(session, app::ShowBench{});
  frame();
  CHECK(state.chosen_job == 1);
}

TEST_CASE_FIXTURE(PagesFixture, "Ctrl+P and Enter write the sheets of the job that is open") {
  std::vector<app::WriteSheets> asked;
  session.write_sheets = [&](store::Bench&, const app::WriteSheets& order) -> Result<std::string> {
    asked.push_back(order);
    return std::string("wiring");
  };
  app::apply(session, app::ShowPlan{});
  frame();
  for (int times = 1; times <= 2; ++times) {  // from the plan, and on the page itself
    key(kP, false, true);
    for (int i = 0; i < 3; ++i) frame();
    REQUIRE(session.bench_view == app::BenchPage::kSharing);
    key(kEnter);
    for (int i = 0; i < 2; ++i) frame();
    REQUIRE(asked.size() == static_cast<std::size_t>(times));
    CHECK(asked.back().job == session.job->id);
    CHECK(asked.back().file.filename() == "job-1.pdf");
    CHECK(asked.back().file.is_absolute());
  }
}

TEST_CASE_FIXTURE(PagesFixture, "the map says of another wire's colours that they are only tried") {
  const auto says_tried = [&] {
    return std::any_of(state.drawn.begin(), state.drawn.end(), [](const scene::Shape& shape) {
      return shape.kind == scene::ShapeKind::kLabel && shape.text.starts_with("tried: wire ");
    });
  };
  app::apply(session, app::ShowPlan{});
  for (int i = 0; i < 3; ++i) frame();
  CHECK_FALSE(says_tried());
  app::apply(session, app::TryWire{});
  for (int i = 0; i < 3; ++i) frame();
  CHECK(says_tried());
  app::apply(session, app::DropTrial{});
  for (int i = 0; i < 3; ++i) frame();
  CHECK_FALSE(says_tried());
}
