// One job from intake to donor and to another bench, through the window's actions alone: on the sample board,
// and on a real one beside the project.
#include <algorithm>

#include "tests/support/files.hpp"
#include "tests/support/session.hpp"

using namespace landfall;

namespace {

struct Case {
  std::filesystem::path file;
  std::string lifted;             // the part that comes off
  std::string suspected;          // the part under which the dark lines meet
  std::vector<std::string> dark;  // what the slot tester shows
  std::string value;              // of a part that a donor is wanted for
};

class WholeJob {
 public:
  explicit WholeJob(const Case& c) : case_(c) {
    auto started = app::start_session(folder_.file("b.sqlite"));
    REQUIRE(started.ok());
    s_ = std::move(started).value();
  }

  void run() {
    board();
    intake();
    suspects();
    const std::string gone = marks();
    readings(gone);
    plan();
    shelf();
    sharing();
  }

 private:
  void act(const app::Action& action) {
    app::apply(s_, action);
    CHECK_MESSAGE(!s_.message_is_error, s_.message);
  }
  Index ball_on(const std::string& net) {
    for (const Index pin : s_.board->index().pins_of_net(*app::find_net(*s_.board, net))) {
      if (s_.board->board().pins[pin].part == s_.package.part) return pin;
    }
    FAIL(case_.lifted << " has no ball on " << net);
    return kNone;
  }

  void board() {
    app::ImportRequest request;
    request.files = {case_.file};
    REQUIRE(app::import_files(*s_.bench, request).ok());
    act(app::OpenPart{1, case_.lifted});
    act(app::NewJob{{}, "no start", SafetyAnswer::kNotAsked});
  }

  void intake() {
    act(app::ShowIntake{});
    act(app::AnswerIntake{"symptoms", "no start, fan runs"});
    act(app::AnswerIntake{"battery", "yes"});
    act(app::AnswerIntake{"capacitors", "yes"});
    act(app::AnswerIntake{"mains", "no"});
    CHECK(s_.intake->cautions.size() == 1);
    act(app::AnswerIntake{"safety-critical", "no"});
    CHECK(s_.intake->cautions.empty());
  }

  void suspects() {
    std::string text;
    for (const std::string& net : case_.dark) text += net + " ";
    act(app::ShowSuspects{});
    act(app::TypeSymptoms{text, false});
    REQUIRE_FALSE(s_.suspects->answer.suspects.empty());
    const rework::Suspect first = s_.suspects->answer.suspects.front();
    CHECK(s_.board->board().parts[first.part].reference == case_.suspected);
    CHECK(first.dark.size() == case_.dark.size());
    CHECK(first.by_chance < 0.05);
    act(app::GoToSuspect{0});
    CHECK(s_.package.part == first.part);
    CHECK_FALSE(s_.chosen.empty());
    act(app::ShowPart{s_.board->index().part(case_.lifted)});
  }

  // The land of the first dark line is missing.
  std::string marks() {
    const std::string gone = case_.dark.front();
    act(app::SelectPin{ball_on(gone)});
    act(app::MarkMany{app::acted_on(s_), MarkKind::kMissing});
    CHECK(s_.job->marks.size() == 1);
    return gone;
  }

  void readings(const std::string& gone) {
    act(app::ShowReadings{});
    const auto& rows = s_.readings->sheet.rows;
    REQUIRE(rows.size() > 6);
    CHECK(rows.front().net == gone);
    act(app::GoToReading{0});
    for (std::size_t n = 0; n < rows.size(); ++n) act(app::TypeReadings{n == 0 ? "OL" : "0.451"});
    CHECK(rows.front().judged_before.word == rework::ReadingWord::kOpen);
    CHECK(std::all_of(rows.begin() + 1, rows.end(), [](const app::ReadingRow& row) {
      return row.judged_before.word == rework::ReadingWord::kGood;
    }));
    act(app::ReadAs{ReadingMode::kDiode, ReadingStage::kAfter});
    act(app::GoToReading{0});
    act(app::TypeReadings{"0.452"});
    CHECK(rows.front().judged_after.word == rework::ReadingWord::kGood);
    act(app::KnowGood{true});
  }

  void plan() {
    act(app::ShowPlan{});
    REQUIRE(s_.plan->verdict);
    const std::size_t lines = s_.plan->plan.wires.size() + s_.plan->plan.rebuilds.size();
    REQUIRE(lines == 1);
    const int number =
        s_.plan->plan.wires.empty() ? s_.plan->plan.rebuilds[0].number : s_.plan->plan.wires[0].number;
    act(app::NoteOutcome{number, true});
    act(app::NoteJobOutcome{true, "memory test ran through the night"});
    CHECK(s_.outcomes.size() == 2);
  }

  void shelf() {
    act(app::ShowShelf{});
    CHECK(s_.shelf->tally.jobs == 1);
    act(app::ShelveJob{s_.job->id, true, "spare"});
    act(app::FindDonors{case_.value});
    CHECK_FALSE(s_.shelf->donors.empty());
    act(app::Leave{});
  }

  // Over to another bench, which takes the mark off and reads anew; back again.
  void sharing() {
    const auto over = folder_.file("over.landfall");
    act(app::HandOverJob{s_.job->id, over.string(), false, true});
    auto other = *app::start_session(folder_.file("other.sqlite"));
    app::apply(other, app::TakeInFile{over, std::nullopt});
    REQUIRE(other.sharing.jobs.size() == 1);
    CHECK(other.sharing.jobs[0].readings > 6);
    app::apply(other, app::OpenJob{other.sharing.jobs[0].job});
    REQUIRE(other.job);
    app::apply(other, app::TypeMarks{other.job->marks[0].part + "." + other.job->marks[0].ball + " off"});
    CHECK(other.job->marks.empty());
    const auto back = folder_.file("back.landfall");
    app::apply(other, app::HandOverJob{other.job->id, back.string(), false, true});
    act(app::TakeInFile{back, std::nullopt});
    CHECK(s_.sharing.jobs[0].off == 1);
    CHECK(s_.job->marks.empty());
    act(app::ShowMap{});
    act(app::Undo{});
    CHECK(s_.job->marks.size() == 1);
  }

  const Case& case_;
  testing::ScratchFolder folder_;
  app::Session s_;
};

}  // namespace

TEST_CASE("a whole job through the window's actions on the sample board") {
  WholeJob({testing::SessionFixture::board_file(),
            "U1",
            "U3",
            {"RAM1_D8", "RAM1_D9", "RAM1_D10", "RAM1_D11", "RAM1_DQS1_P"},
            "256M"})
      .run();
}

TEST_CASE("a whole job through the window's actions on a real board") {
  if (!testing::have_shared()) return;
  const auto file = testing::shared_file("boards/kicad_pcb/orangecrab_r0.2.1.kicad_pcb");
  // U4's corner near A1: a field-programmable array's memory, by the board's own net names.
  WholeJob({file, "U4", "U4", {"RAM_D15", "RAM_D13", "RAM_D11", "RAM_D9", "RAM_UDM"}, "MT41K"}).run();
}
