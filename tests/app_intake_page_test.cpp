// The intake's page and the suspects' as the window drives them: answers kept, refused, undone; symptoms by
// name and by ball; a suspect's place on the map.
#include <algorithm>

#include "tests/support/session.hpp"

using namespace landfall;

namespace {

struct IntakeFixture : testing::SessionFixture {
  IntakeFixture() { job(); }
  const app::IntakeRow& row(std::string_view topic) {
    for (const app::IntakeRow& one : session.intake->rows) {
      if (one.topic->word == topic) return one;
    }
    FAIL("there is no such topic");
    return session.intake->rows.front();
  }
  bool warned(std::string_view word) {
    for (const std::string& caution : session.intake->cautions) {
      if (caution.find(word) != std::string::npos) return true;
    }
    return false;
  }
  void answer(const char* topic, const char* what) { app::apply(session, app::AnswerIntake{topic, what}); }
};

}  // namespace

TEST_CASE_FIXTURE(
    IntakeFixture,
    "each answer is kept at once and leads to its caution, a question of safety not answered is said") {
  app::apply(session, app::ShowIntake{});
  REQUIRE(session.page == app::JobPage::kIntake);
  REQUIRE(session.intake);
  CHECK(session.intake->rows.size() == app::intake_topics().size());
  CHECK(warned("Not answered yet: Is the battery out?"));
  CHECK(session.message.find("3 questions") == 0);
  answer("battery", "no");
  CHECK(row("battery").answer == "no");
  CHECK(row("battery").caution.find("take it out") != std::string::npos);
  CHECK(session.message == row("battery").caution);
  CHECK(warned("take it out"));
  CHECK_FALSE(warned("Is the battery out?"));
  answer("battery", "yes");
  CHECK(row("battery").caution.empty());
  CHECK_FALSE(warned("take it out"));
  answer("battery", "perhaps");
  CHECK(session.message_is_error);
  CHECK(row("battery").answer == "yes");
  answer("colour", "blue");
  CHECK(session.message_is_error);
  answer("symptoms", "no start, fan runs");
  CHECK(session.bench->intake(session.job->id)->size() == 2);
  answer("symptoms", "");
  CHECK(session.bench->intake(session.job->id)->size() == 1);
  app::apply(session, app::ShowIntake{});
  CHECK_FALSE(session.page);
}

TEST_CASE_FIXTURE(IntakeFixture, "answers are undone and done again one by one, the question of safety too") {
  app::apply(session, app::ShowIntake{});
  app::apply(session, app::MarkPin{pin("AB3"), MarkKind::kTorn});
  answer("liquid", "yes");
  answer("liquid", "no");
  answer("liquid", "no");  // no change, no step
  answer("safety-critical", "yes");
  CHECK(session.job->safety_critical == SafetyAnswer::kYes);
  CHECK(session.intake->cautions.front().find("Safety-critical") == 0);
  answer("safety-critical", "often");
  CHECK(session.message_is_error);
  app::apply(session, app::Undo{});
  CHECK(session.job->safety_critical == SafetyAnswer::kNo);
  app::apply(session, app::Undo{});
  CHECK(row("liquid").answer == "yes");
  app::apply(session, app::Undo{});
  CHECK(row("liquid").answer.empty());
  app::apply(session, app::Undo{});
  CHECK(session.message_is_error);
  CHECK(session.job->marks.size() == 1);  // marks are undone on the map
  for (int i = 0; i < 3; ++i) app::apply(session, app::Redo{});
  CHECK(row("liquid").answer == "no");
  CHECK(session.job->safety_critical == SafetyAnswer::kYes);
  app::apply(session, app::Redo{});
  CHECK(session.message_is_error);
}

TEST_CASE_FIXTURE(IntakeFixture,
                  "dark nets are typed or chosen, are kept with the intake, and meet at a place") {
  app::apply(session, app::ShowSuspects{});
  REQUIRE(session.page == app::JobPage::kSuspects);
  CHECK(session.suspects->answer.suspects.empty());
  app::apply(session, app::GoToSuspect{0});
  CHECK(session.message_is_error);
  app::apply(session, app::TypeSymptoms{"RAM1_D8 RAM1_D9 no_such_net", false});
  CHECK(session.message_is_error);
  CHECK(session.suspects->symptoms.dark.empty());
  app::apply(session, app::TypeSymptoms{"RAM1_D8 ram1_d9, RAM1_D10 RAM1_D11 RAM1_DQS1_P", false});
  CHECK_FALSE(session.message_is_error);
  CHECK(row("dark").answer == "RAM1_D8 RAM1_D9 RAM1_D10 RAM1_D11 RAM1_DQS1_P");
  REQUIRE(session.suspects->answer.suspects.size() > 1);
  CHECK(session.suspects->answer.suspects[0].dark.size() == 5);
  CHECK(session.message.find("5 of 5 dark lines meet at U3") == 0);  // what landfall suspect says of them
  CHECK(app::chance_text(session.suspects->answer.suspects[0].by_chance) == "1 in 91");
  // Up and Down choose one, Enter goes to its place: another part comes onto the map, its sites chosen.
  app::apply(session, app::StepSuspect{});
  CHECK(session.suspects->at == 1);
  app::apply(session, app::StepSuspect{true});
  app::apply(session, app::StepSuspect{true});
  CHECK(session.suspects->at == 0);
  const rework::Suspect first = session.suspects->answer.suspects[0];
  app::apply(session, app::GoToSuspect{0});
  CHECK_FALSE(session.page);
  CHECK(session.package.part == first.part);
  CHECK(session.chosen.size() > 4);
  std::ptrdiff_t dark = 0;
  for (const Index net : first.dark)
    dark += std::count_if(session.chosen.begin(), session.chosen.end(),
                          [&](Index pin) { return session.board->board().pins[pin].net == net; });
  CHECK(dark == 5);
  app::apply(session, app::GoBack{});
  app::apply(session, app::ShowSuspects{});
  CHECK(session.suspects->answer.suspects.size() > 1);
}

TEST_CASE_FIXTURE(IntakeFixture,
                  "a chosen ball's net turns dark, working and back, a net is never both, one undo each") {
  const Index d8 = net_ball("RAM1_D8");
  const Index d9 = net_ball("RAM1_D9");
  app::apply(session, app::TurnSymptom{{d8, d9}, false});
  CHECK(row("dark").answer == "RAM1_D8 RAM1_D9");
  app::apply(session, app::ShowSuspects{});
  app::apply(session, app::TurnSymptom{{d9}, true});
  CHECK(row("dark").answer == "RAM1_D8");
  CHECK(row("good").answer == "RAM1_D9");
  CHECK(session.suspects->symptoms.good.size() == 1);
  app::apply(session, app::Undo{});
  CHECK(row("dark").answer == "RAM1_D8 RAM1_D9");
  CHECK(row("good").answer.empty());
  CHECK(session.suspects->symptoms.dark.size() == 2);
  app::apply(session, app::Redo{});
  CHECK(row("good").answer == "RAM1_D9");
  app::apply(session, app::TurnSymptom{{d9}, true});
  CHECK(row("good").answer.empty());
  app::apply(session, app::TypeSymptoms{"", false});
  CHECK(row("dark").answer.empty());
  app::apply(session, app::TurnSymptom{{}, false});
  CHECK(session.message_is_error);
}

TEST_CASE_FIXTURE(IntakeFixture,
                  "with all answered the line says what stands against work, not that all is answered") {
  for (const char* topic : {"capacitors", "mains"}) answer(topic, topic[0] == 'c' ? "yes" : "no");
  answer("battery", "no");
  app::apply(session, app::ShowIntake{});
  CHECK(session.message.find("Do not begin yet: the battery is in: take it out") == 0);
  REQUIRE(session.intake->power.size() == 1);
  CHECK(session.intake->power[0] == "The battery is in: take it out before any reading and before any heat.");
  app::apply(session, app::ShowIntake{});
  answer("battery", "yes");
  app::apply(session, app::ShowIntake{});
  CHECK(session.message == "The questions of safety are answered; nothing stands against work.");
  CHECK(session.intake->power.empty());
}
