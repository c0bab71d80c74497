// The readings' page as the window drives it: values in the sheet's order, judged at once, undone, taken
// back.
#include "tests/support/session.hpp"

using namespace landfall;

namespace {

struct ReadingsFixture : testing::SessionFixture {
  ReadingsFixture() {
    job();
    // A torn data line of a byte lane: its bus's lines stand beside it.
    app::apply(session, app::MarkPin{net_ball("RAM1_D9"), MarkKind::kTorn});
  }
  void show() {
    app::apply(session, app::ShowReadings{});
    REQUIRE(session.page == app::JobPage::kReadings);
    REQUIRE(session.readings);
  }
  const app::ReadingRow& row(std::size_t n) { return session.readings->sheet.rows.at(n); }
};

}  // namespace

TEST_CASE_FIXTURE(ReadingsFixture, "without a job there is no page, with one it shows at the selected net") {
  app::Session bare = *app::start_session(folder.file("other.sqlite"));
  app::apply(bare, app::ShowReadings{});
  CHECK(bare.message_is_error);
  CHECK_FALSE(bare.page);
  app::apply(session, app::SelectPin{net_ball("RAM1_D10")});
  show();
  CHECK(session.readings->row()->net == "RAM1_D10");
  CHECK(row(0).net == "RAM1_D9");
  CHECK(row(0).damaged);
  CHECK_FALSE(session.readings->row()->damaged);
  // Another page takes its place, and the same again is the way back.
  app::apply(session, app::ShowPlan{});
  CHECK_FALSE(session.page);
  show();
  CHECK_FALSE(session.plan_page);
  app::apply(session, app::ShowReadings{});
  CHECK_FALSE(session.page);
  show();
  app::apply(session, app::Leave{});
  CHECK_FALSE(session.page);
}

TEST_CASE_FIXTURE(ReadingsFixture,
                  "values go down the sheet, are judged by the lines beside, and a wrong one keeps nothing") {
  show();
  app::apply(session, app::GoToReading{0});
  CHECK(session.selected == net_ball("RAM1_D9"));
  app::apply(session, app::TypeReadings{"OL"});
  CHECK(session.readings->at == 1);
  CHECK(session.selected == net_ball(row(1).net));
  REQUIRE(row(0).before);
  CHECK_FALSE(row(0).before->value);
  app::apply(session, app::TypeReadings{"twelve"});
  CHECK(session.message_is_error);
  CHECK(session.readings->at == 1);
  CHECK_FALSE(row(1).before);
  app::apply(session, app::TypeReadings{"0,452 0.449 - 0.451 0.450"});
  CHECK(session.readings->at == 6);
  CHECK(row(1).before->value == 0.452);
  CHECK_FALSE(row(3).before);
  CHECK(row(0).judged_before.word == rework::ReadingWord::kOpen);
  CHECK(row(0).expected.known);
  app::apply(session, app::TypeReadings{"0.01"});
  // The damaged line beside it, which is open, is no measure of it.
  CHECK(row(1).judged_before.word == rework::ReadingWord::kGood);
  CHECK(row(6).judged_before.word == rework::ReadingWord::kShort);
  CHECK(session.message.find("short") != std::string::npos);
  // All values of a line or none: more than there are rows.
  std::string many;
  for (int i = 0; i < 400; ++i) many += "0.4 ";
  app::apply(session, app::TypeReadings{many});
  CHECK(session.message_is_error);
  CHECK(session.bench->readings(session.job->id)->size() == 6);
  // An empty line passes on; the last row is the end.
  const std::size_t last = session.readings->sheet.rows.size() - 1;
  app::apply(session, app::GoToReading{last});
  app::apply(session, app::TypeReadings{""});
  CHECK(session.readings->at == last);
  CHECK(session.message.find("last row") != std::string::npos);
  app::apply(session, app::StepReading{true});
  CHECK(session.readings->at == last - 1);
  app::apply(session, app::StepReading{false});
  app::apply(session, app::StepReading{false});
  CHECK(session.readings->at == last);
}

TEST_CASE_FIXTURE(ReadingsFixture,
                  "a line of readings is one undo, what stood before comes back, marks stay") {
  show();
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TypeReadings{"0.4 0.5"});
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TypeReadings{"0.6"});
  CHECK(row(0).before->value == 0.6);
  app::apply(session, app::Undo{});
  CHECK(row(0).before->value == 0.4);
  CHECK(session.readings->at == 0);
  app::apply(session, app::Undo{});
  CHECK_FALSE(row(0).before);
  CHECK_FALSE(row(1).before);
  app::apply(session, app::Undo{});
  CHECK(session.message_is_error);
  CHECK(session.job->marks.size() == 1);
  app::apply(session, app::Redo{});
  app::apply(session, app::Redo{});
  CHECK(row(0).before->value == 0.6);
  CHECK(row(1).before->value == 0.5);
  app::apply(session, app::Redo{});
  CHECK(session.message_is_error);
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TakeBackReading{});
  CHECK_FALSE(row(0).before);
  app::apply(session, app::TakeBackReading{});
  CHECK(session.message_is_error);
  app::apply(session, app::Undo{});
  CHECK(row(0).before->value == 0.6);
  CHECK(session.bench->readings(session.job->id)->size() == 2);
  // Off the page Undo is the marks' again.
  app::apply(session, app::ShowMap{});
  app::apply(session, app::Undo{});
  CHECK(session.job->marks.empty());
}

TEST_CASE_FIXTURE(ReadingsFixture,
                  "mode and stage have readings of their own, and the sheet of the ball says them") {
  show();
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TypeReadings{"0.45"});
  app::apply(session, app::ReadAs{ReadingMode::kOhm, ReadingStage::kBefore});
  CHECK_FALSE(row(0).before);
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TypeReadings{"4.7k"});
  CHECK(row(0).before->value == 4700);
  app::apply(session, app::ReadAs{ReadingMode::kDiode, ReadingStage::kAfter});
  CHECK(row(0).before->value == 0.45);
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TypeReadings{"0.46"});
  CHECK(row(0).after->value == 0.46);
  app::apply(session, app::SelectPin{net_ball("RAM1_D9")});
  REQUIRE(session.sheet);
  const std::string text = app::sheet_text(*session.sheet);
  CHECK(text.find("READINGS") != std::string::npos);
  CHECK(text.find("before\t0.450") != std::string::npos);
  CHECK(text.find("after\t0.460") != std::string::npos);
}

TEST_CASE_FIXTURE(ReadingsFixture, "a board known good is what the next of its kind is judged by") {
  show();
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TypeReadings{"0.600"});
  app::apply(session, app::KnowGood{true});
  CHECK(session.readings->sheet.known_good);
  job();
  CHECK_FALSE(session.page);  // the pages were the other job's
  CHECK(session.readings->done.empty());
  app::apply(session, app::MarkPin{net_ball("RAM1_D9"), MarkKind::kTorn});
  show();
  CHECK_FALSE(session.readings->sheet.known_good);
  REQUIRE(row(0).expected.known);
  CHECK(row(0).expected.value == 0.6);
  CHECK(row(0).expected.from.find("known good") != std::string::npos);
  app::apply(session, app::GoToReading{0});
  app::apply(session, app::TypeReadings{"0.300"});
  CHECK(row(0).judged_before.word == rework::ReadingWord::kDoubtful);
}

TEST_CASE_FIXTURE(ReadingsFixture, "a row that is typed next stays its net's while marks come and go") {
  show();
  app::apply(session, app::GoToReading{2});
  const std::string net = row(2).net;
  app::apply(session, app::MarkPin{net_ball(net), MarkKind::kTorn});
  CHECK(session.readings->row()->net == net);
  CHECK(session.readings->row()->damaged);
  app::apply(session, app::KnowGood{true});
  app::apply(session, app::KnowGood{false});
  CHECK_FALSE(session.readings->sheet.known_good);
}

TEST_CASE_FIXTURE(testing::SessionFixture, "a reading is undone although its row went with the last mark") {
  job();
  app::apply(session, app::TypeMarks{"AB3 torn"});
  app::apply(session, app::ShowReadings{});
  REQUIRE_FALSE(session.readings->sheet.rows.empty());
  const std::string net = session.readings->sheet.rows[session.readings->at].net;
  app::apply(session, app::TypeReadings{"0.45"});
  CHECK(session.bench->readings(session.job->id)->size() == 1);
  app::apply(session, app::ShowMap{});
  app::apply(session, app::Undo{});
  CHECK(session.job->marks.empty());
  app::apply(session, app::ShowReadings{});
  CHECK(session.readings->sheet.rows.empty());
  app::apply(session, app::Undo{});
  CHECK(session.bench->readings(session.job->id)->empty());
  CHECK(session.message.find(net) != std::string::npos);
}
