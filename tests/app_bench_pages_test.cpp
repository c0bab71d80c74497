// The shelf's page and sharing's, as the window drives them.
#include <fstream>

#include "tests/support/session.hpp"

using namespace landfall;

namespace {

struct BenchPagesFixture : testing::SessionFixture {
  BenchPagesFixture() {
    job();
    app::apply(session, app::MarkPin{pin("AB3"), MarkKind::kTorn});
  }
  std::int64_t own() { return session.job->id; }
};

}  // namespace

TEST_CASE_FIXTURE(BenchPagesFixture,
                  "a job's board goes onto the shelf, is found by value, and its parts are taken") {
  app::apply(session, app::ShowShelf{});
  REQUIRE(session.bench_view == app::BenchPage::kShelf);
  CHECK(session.bench_page);
  CHECK(session.shelf->rows.empty());
  app::apply(session, app::ShelveJob{own(), true, "corner gone"});
  REQUIRE(session.shelf->rows.size() == 1);
  CHECK(session.shelf->rows[0].board == "skua4");
  CHECK(session.shelf->rows[0].shelved.note == "corner gone");
  // What another program puts there shows with the next look.
  auto second = store::Bench::open(folder.file("b.sqlite"));
  REQUIRE(second.ok());
  REQUIRE(second->shelve(own(), "corner gone, dry", "2026-01-02T03:04:05Z").ok());
  app::apply(session, app::Refresh{});
  CHECK(session.shelf->rows[0].shelved.note == "corner gone, dry");
  app::apply(session, app::FindDonors{"256M"});
  const std::size_t found = session.shelf->donors.size();
  REQUIRE(found > 1);
  const std::string part = session.shelf->donors[0].part;
  app::apply(session, app::TakePart{own(), part});
  CHECK(session.shelf->donors.size() == found - 1);
  CHECK(session.shelf->rows[0].shelved.taken == std::vector<std::string>{part});
  app::apply(session, app::TakePart{own(), "U999"});
  CHECK(session.message_is_error);
  app::apply(session, app::TakePart{own(), part, false});
  CHECK(session.shelf->donors.size() == found);
  app::apply(session, app::TakePart{own(), part, false});
  CHECK(session.message_is_error);
  app::apply(session, app::FindDonors{"no such value"});
  CHECK(session.shelf->donors.empty());
  CHECK(session.message.find("No donor") == 0);
  app::apply(session, app::ShelveJob{own(), false, ""});
  CHECK(session.shelf->rows.empty());
  app::apply(session, app::ShelveJob{own(), false, ""});
  CHECK(session.message_is_error);
  app::apply(session, app::Leave{});
  CHECK_FALSE(session.bench_view);
  CHECK(session.bench_page);
}

TEST_CASE_FIXTURE(BenchPagesFixture, "what came of the job stands on the shelf's page beside what was said") {
  app::apply(session, app::NoteJobOutcome{true, ""});
  CHECK(session.message_is_error);  // the plan's page knows what is said now
  app::apply(session, app::ShowPlan{});
  REQUIRE(session.plan->verdict);
  const auto& repair = session.plan->verdict->option(rework::verdict::OptionKind::kRepair);
  REQUIRE(repair.chance);
  const double said = repair.chance->mean;
  app::apply(session, app::NoteJobOutcome{true, "ran through the night"});
  CHECK_FALSE(session.message_is_error);
  REQUIRE(session.outcomes.size() == 1);
  CHECK(app::is_of_whole_job(session.outcomes[0]));
  CHECK(session.outcomes[0].note == "ran through the night");
  app::apply(session, app::ShowShelf{});
  CHECK(session.shelf->tally.jobs == 1);
  CHECK(session.shelf->tally.worked == 1);
  CHECK(session.shelf->tally.said == doctest::Approx(said));
}

TEST_CASE_FIXTURE(BenchPagesFixture,
                  "sheets are written where the user says and replace a file only when asked twice") {
  std::vector<app::WriteSheets> asked;
  app::apply(session, app::WriteSheets{own(), folder.file("none"), false});
  CHECK(session.message_is_error);  // a program without sheets
  session.write_sheets = [&](store::Bench&, const app::WriteSheets& order) -> Result<std::string> {
    asked.push_back(order);
    std::ofstream(order.file) << "sheets";
    return std::string("wiring; 1 page");
  };
  app::apply(session, app::WriteSheets{own(), "", false});
  CHECK(session.message_is_error);
  CHECK(asked.empty());
  app::apply(session, app::WriteSheets{own(), folder.file("job-1"), true});
  REQUIRE(asked.size() == 1);
  CHECK(asked[0].file == folder.file("job-1.pdf"));
  CHECK(asked[0].letter);
  CHECK(session.message == folder.file("job-1.pdf").string() + ": wiring; 1 page.");
  app::apply(session, app::WriteSheets{own(), folder.file("job-1"), false});
  CHECK(session.message_is_error);
  CHECK(session.message.find("once more replaces it") != std::string::npos);
  CHECK(asked.size() == 1);
  app::apply(session, app::WriteSheets{own(), folder.file("job-1"), false});
  CHECK_FALSE(session.message_is_error);
  CHECK(asked.size() == 2);
  app::apply(session, app::WriteSheets{own(), folder.file("job-1"), false});
  CHECK(session.message_is_error);  // each time anew
}

TEST_CASE_FIXTURE(BenchPagesFixture,
                  "a job goes over as a file, its work comes back, and conflicts wait for a word") {
  const auto over = folder.file("over.landfall");
  app::apply(session, app::HandOverJob{own(), "", false, true});
  CHECK(session.message_is_error);
  app::apply(session, app::HandOverJob{own(), over.string(), false, true});
  CHECK_FALSE(session.message_is_error);
  app::apply(session, app::HandOverJob{own(), over.string(), false, true});
  CHECK(session.message_is_error);  // it is there already
  // The other bench: it drops the file on its window.
  app::Session other = *app::start_session(folder.file("other.sqlite"));
  app::apply(other, app::ImportFiles{{over}, std::nullopt});
  CHECK_FALSE(other.import);
  CHECK(other.bench_view == app::BenchPage::kSharing);
  REQUIRE(other.sharing.jobs.size() == 1);
  CHECK(other.sharing.jobs[0].marks == 1);
  REQUIRE(other.jobs.size() == 1);
  CHECK(other.boards.size() == 1);
  app::apply(other, app::OpenJob{other.jobs[0].id});
  CHECK_FALSE(other.bench_page);
  const auto ball = [&](app::Session& s, const char* name) {
    return *app::find_ball(*s.board, s.package.part, name);
  };
  app::apply(other, app::MarkPin{ball(other, "AB3"), MarkKind::kBarrel});
  app::apply(other, app::MarkPin{ball(other, "AA3"), MarkKind::kTorn});
  app::apply(session, app::MarkPin{pin("AB3"), std::nullopt});
  const auto back = folder.file("back.landfall");
  app::apply(other, app::HandOverJob{other.job->id, back.string(), false, true});
  app::apply(session, app::TakeInFile{back, std::nullopt});
  CHECK(session.sharing.waits);
  REQUIRE(session.sharing.jobs.size() == 1);
  REQUIRE(session.sharing.jobs[0].conflicts.size() == 1);
  CHECK(session.sharing.jobs[0].conflicts[0] == "U1.AB3: here taken off, there barrel");
  CHECK(session.job->marks.empty());
  app::apply(session, app::TakeInFile{back, app::Prefer::kTheirs});
  CHECK_FALSE(session.sharing.waits);
  CHECK(session.job->marks.size() == 2);  // the job that is open shows them
  app::apply(session, app::ShowSharing{});
  CHECK_FALSE(session.bench_view);
  app::apply(session, app::ShowSharing{});
  CHECK(session.sharing.jobs.empty());
  app::apply(session, app::TakeInFile{folder.file("none"), std::nullopt});
  CHECK(session.message_is_error);
  app::apply(session, app::ShowBench{});
  CHECK_FALSE(session.bench_view);
}
