// The bench page: imports on a thread, jobs with their question, bare packages, what the window remembers.
#include <atomic>
#include <chrono>
#include <fstream>
#include <thread>

#include <doctest/doctest.h>

#include "tests/support/session.hpp"

using namespace landfall;
using testing::SessionFixture;

namespace {

struct Empty {
  Empty() {
    auto started = app::start_session(folder.file("b.sqlite"));
    REQUIRE(started.ok());
    session = std::move(started).value();
    session.wake = [this] { ++woken; };
  }
  ~Empty() {
    session.import.reset();
    session.summing.reset();
  }
  Empty(const Empty&) = delete;
  Empty& operator=(const Empty&) = delete;
  Empty(Empty&&) = delete;
  Empty& operator=(Empty&&) = delete;
  // Polls until the import has ended; far longer than it can take.
  void finish() {
    for (int i = 0; i < 6000 && session.import; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
      app::apply(session, app::PollWork{});
    }
    REQUIRE_FALSE(session.import);
  }
  std::atomic<int> woken = 0;
  testing::ScratchFolder folder;
  app::Session session;
};

}  // namespace

TEST_CASE("an import runs beside the session, wakes it, and its warnings can be read") {
  Empty e;
  app::apply(e.session, app::ImportFiles{{SessionFixture::board_file()}, std::nullopt});
  REQUIRE(e.session.import);
  app::apply(e.session, app::ImportFiles{{SessionFixture::board_file()}, std::nullopt});
  CHECK(e.session.message_is_error);  // one at a time
  e.finish();
  CHECK(e.woken >= 3);
  REQUIRE(e.session.boards.size() == 1);
  CHECK(e.session.boards.front().name == "skua4");
  REQUIRE(e.session.warnings);
  CHECK(e.session.warnings->sources.front().name == "skua4.kicad_pcb");
  app::apply(e.session, app::Leave{});
  CHECK_FALSE(e.session.warnings);
  app::apply(e.session, app::ReadWarnings{e.session.boards.front().id});
  REQUIRE(e.session.warnings);
  CHECK(e.session.warnings->board == "skua4");
  // The very same again changes nothing.
  app::apply(e.session, app::ImportFiles{{SessionFixture::board_file()}, std::nullopt});
  e.finish();
  CHECK(e.session.boards.size() == 1);
  CHECK(e.session.message.find("already") != std::string::npos);
}

TEST_CASE("a file that cannot be understood leaves the bench as it was and says where") {
  Empty e;
  const auto file = e.folder.file("half.kicad_pcb");
  const std::string whole = testing::read_file(SessionFixture::board_file());
  std::ofstream(file, std::ios::binary) << whole.substr(0, whole.size() / 2);
  app::apply(e.session, app::ImportFiles{{file}, std::nullopt});
  e.finish();
  CHECK(e.session.message_is_error);
  CHECK(e.session.message.find("half.kicad_pcb") != std::string::npos);
  CHECK(e.session.bench->boards()->empty());
  app::apply(e.session, app::ImportFiles{{e.folder.file("none.net")}, std::nullopt});
  e.finish();
  CHECK(e.session.message_is_error);
  app::apply(e.session, app::ImportFiles{});
  CHECK(e.session.message_is_error);
}

TEST_CASE("stopped at any step before the board is kept, an import leaves nothing behind") {
  testing::ScratchFolder folder;
  int steps = 0;
  const auto import = [&](store::Bench& bench, int stop_at) {
    app::ImportRequest request;
    request.files = {SessionFixture::board_file()};
    steps = 0;
    request.on_step = [&](const app::ImportStep&) { return steps++ != stop_at; };
    return app::import_files(bench, request);
  };
  auto whole = store::Bench::open(folder.file("whole.sqlite"));
  REQUIRE(import(*whole, -1).ok());
  const int all = steps;
  CHECK(all > 4);  // files, half a megabyte each, joining, keeping, some thousand rows each
  auto bench = store::Bench::open(folder.file("b.sqlite"));
  REQUIRE(bench.ok());
  for (int stop_at = 0; stop_at < all; ++stop_at) {
    CAPTURE(stop_at);
    const auto report = import(*bench, stop_at);
    CHECK_FALSE(report.ok());
    CHECK(steps == stop_at + 1);
    CHECK(bench->boards()->empty());
  }
  CHECK(import(*bench, -1).ok());
  CHECK(bench->boards()->size() == 1);
}

TEST_CASE("a window closed during an import leaves either no board or a whole one, and every mark") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  {
    auto session = app::start_session(file);
    REQUIRE(session.ok());
    app::apply(*session, app::BareBoard{"bare", "5", "6", "0.8"});
    app::apply(*session, app::NewJob{});
    app::apply(*session, app::ImportFiles{{SessionFixture::board_file()}, std::nullopt});
    app::apply(*session, app::TypeMarks{"A1 torn"});
    CHECK_FALSE(session->message_is_error);
  }  // closed: the session goes, and with it the task
  auto again = app::start_session(file);
  REQUIRE(again.ok());
  CHECK(again->jobs.front().marks.size() == 1);
  for (const store::BoardInfo& board : again->boards) {
    if (board.name != "bare")
      CHECK(again->bench->board(board.id)->pins.size() == static_cast<std::size_t>(board.pins));
  }
}

TEST_CASE("a revised file under an open job: the job stays open with its marks") {
  SessionFixture f;
  f.job();
  app::apply(f.session, app::TypeMarks{"A3 torn"});
  const auto revised = f.folder.file("skua4.kicad_pcb");
  std::ofstream(revised, std::ios::binary) << testing::read_file(SessionFixture::board_file()) << "\n";
  app::apply(f.session, app::ImportFiles{{revised}, 1});
  for (int i = 0; i < 6000 && f.session.import; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
    app::apply(f.session, app::PollWork{});
  }
  CHECK_FALSE(f.session.message_is_error);
  REQUIRE(f.session.job);
  CHECK(f.session.marks.size() == 1);
  CHECK(f.session.boards.size() == 1);
}

TEST_CASE("a new job lifts the chosen parts and keeps the answer to the question") {
  SessionFixture f;
  app::apply(f.session, app::NewJob{{"U1", "u2"}, "no start", SafetyAnswer::kYes});
  REQUIRE(f.session.job);
  CHECK(f.session.job->lifted == std::vector<std::string>{"U1", "U2"});
  CHECK(f.session.job->title == "no start");
  CHECK(f.session.job->safety_critical == SafetyAnswer::kYes);
  app::apply(f.session, app::NewJob{{"U99"}, "", SafetyAnswer::kNo});
  CHECK(f.session.message_is_error);
  CHECK(f.session.job->title == "no start");
  app::apply(f.session, app::CloseJob{f.session.job->id, true});
  CHECK(f.session.job->closed);
  app::apply(f.session, app::CloseJob{f.session.job->id, false});
  CHECK_FALSE(f.session.job->closed);
}

TEST_CASE(
    "the list of jobs says what each comes to, as the answers themselves say it, and again after a mark") {
  SessionFixture f;
  std::atomic<int> woken = 0;
  f.session.wake = [&woken] { ++woken; };
  app::apply(f.session, app::NewJob{});
  REQUIRE(f.session.job);
  const std::int64_t job = f.session.job->id;
  const auto summed_up = [&] {
    app::apply(f.session, app::ShowBench{});
    for (int i = 0; i < 6000; ++i) {
      app::apply(f.session, app::PollWork{});
      const auto found = f.session.summaries.find(job);
      const Job& listed = f.session.jobs.front();
      if (found != f.session.summaries.end() && found->second.of == app::summary_key(listed))
        return found->second;
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return app::JobSummary{};
  };
  const app::JobSummary before = summed_up();
  CHECK(before.why_not.empty());
  CHECK(before.wires == 0);
  CHECK(before.hurt.empty());
  CHECK(before.channels > 0);
  CHECK(before.decision.empty());  // nothing is marked: there is nothing to decide
  const auto ball = app::find_ball(*f.session.board, f.session.package.part, "AB3");
  REQUIRE(ball.ok());
  app::apply(f.session, app::MarkPin{*ball, MarkKind::kTorn});
  const app::JobSummary after = summed_up();
  const auto plan = app::plan_job(*f.session.bench, std::to_string(job));
  REQUIRE(plan.ok());
  CHECK(after.wires == static_cast<int>(plan->job.assessment.wires));
  CHECK(after.wires == 1);
  REQUIRE(after.hurt.size() == 1);
  CHECK(after.hurt.front().first == "RAM1");
  REQUIRE(plan->verdict);
  CHECK(after.decision == word(plan->verdict->best));
  CHECK(woken > 0);
  f.session.summing.reset();
}

TEST_CASE("a bare package from rows, columns and pitch, wrong figures are refused and nothing is made") {
  Empty e;
  for (const auto& [rows, columns, pitch] : {std::tuple{"0", "5", "0.8"},
                                             {"5", "x", "0.8"},
                                             {"5", "5", "wide"},
                                             {"5", "5", "0.0001"},
                                             {"201", "5", "0.8"},
                                             {"", "", ""}}) {
    app::apply(e.session, app::BareBoard{"bare", rows, columns, pitch});
    CHECK(e.session.message_is_error);
    CHECK(e.session.bench->boards()->empty());
  }
  app::apply(e.session, app::BareBoard{"", "22", "20", "0.65"});
  REQUIRE(e.session.board);
  CHECK(e.session.package.sites.size() == 440);
  CHECK(e.session.board->info().name == "bare 22x20");
}

TEST_CASE("how a package was looked at is remembered by board and part, and set again") {
  SessionFixture f;
  app::apply(f.session, app::SetLook{{true, 450, true, 3, 2, -1}});
  CHECK(f.session.look.turn == 90);
  app::apply(f.session, app::ShowPart{f.session.board->index().part("U2")});
  CHECK(f.session.look == app::Look{});
  app::apply(f.session, app::ShowPart{f.session.board->index().part("U1")});
  CHECK(f.session.look == app::Look{true, 90, true, 3, 2, -1});
  // Also by the next start, through the file.
  const auto file = f.folder.file("config/window");
  REQUIRE(app::save_preferences(file, f.session.preferences));
  auto again = app::start_session(f.folder.file("b.sqlite"));
  REQUIRE(again.ok());
  again->preferences = app::load_preferences(file);
  CHECK(again->preferences == f.session.preferences);
  app::apply(*again, app::OpenPart{1, "U1"});
  CHECK(again->look.balls);
}

TEST_CASE("any text at all is a preferences file, and bad values are left out") {
  const auto p = app::read_preferences(
      "theme = 7\ntext = 117\nunits = mils\nwidth = -4\nheight = 900\nlook a = b/U1 = balls nan x 1 2 "
      "3\nlook c/U1 = "
      "balls 90 true 1e9 5 5\nlook d = e/U1 = lands 370 grid 2.5 0 0\n=\n\xFF\xFE");
  CHECK(p.theme == 0);
  CHECK(p.text_percent == 100);
  CHECK(p.mils);
  CHECK(p.width == 1280);
  CHECK(p.height == 900);
  REQUIRE(p.looks.size() == 1);
  CHECK(p.looks.at("d = e/U1").turn == 10);
  CHECK(app::read_preferences(app::preferences_text(p)) == p);
  CHECK(app::next_text_percent(100, true) == 115);
  CHECK(app::next_text_percent(150, true) == 150);
  CHECK(app::next_text_percent(90, false) == 90);
}

TEST_CASE("earlier messages are kept, and a session says what it refuses") {
  SessionFixture f;
  app::apply(f.session, app::Undo{});
  CHECK(f.session.message_is_error);
  CHECK(f.session.earlier.back() == "No job, so there is nothing to undo.");
}
