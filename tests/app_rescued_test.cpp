// A bench file of impossible values, rescued: every job of the new file is assessed and planned.
#include <random>

#include <doctest/doctest.h>

#include "tests/support/files.hpp"
#include "tests/support/spoiled_bench.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/import.hpp"
#include "viewer/app/known_files.hpp"

using namespace landfall;

TEST_CASE("every job of a rescued bench file is assessed and planned whatever its rows had said") {
  const testing::MemoryFolder folder;
  testing::make_full_bench(folder.file("good.sqlite"));
  const auto bad = folder.file("bad.sqlite");
  const auto out = folder.file("out.sqlite");
  // What an assessment and a plan read.
  constexpr std::array kTables{"board", "part", "pin",     "net",         "land",    "job",      "job_part",
                               "mark",  "fact", "outcome", "kept_number", "setting", "name_rule"};
  std::mt19937 random(3);  // NOLINT(cert-msc51-cpp): the same values each time
  int jobs = 0;
  for (int round = 0; round < 40; ++round) {
    CAPTURE(round);
    for (const char* ending : {"", "-wal", "-shm", "-journal"}) {
      std::filesystem::remove(bad.string() + ending);
      std::filesystem::remove(out.string() + ending);
    }
    std::filesystem::copy_file(folder.file("good.sqlite"), bad);
    std::string said;
    {
      const testing::Unguarded unguarded(bad);
      testing::Raw raw(bad);
      for (int i = 0; i < 4; ++i) {
        const std::string table = kTables.at(random() % kTables.size());
        const auto columns =
            testing::column_of_words(raw.handle(), "SELECT name FROM pragma_table_info('" + table + "')");
        const std::string& column = columns[random() % columns.size()];
        const std::string value = testing::kImpossible.at(random() % testing::kImpossible.size());
        const std::int64_t row = static_cast<std::int64_t>(random() % 4) - 1;
        testing::spoil(raw, table, column, value, row);
        said += table + "." + column + " " + std::to_string(row) + ":" + value + "; ";
      }
    }
    CAPTURE(said);
    const auto rescued = store::rescue(bad, out);
    REQUIRE_MESSAGE(rescued.ok(), (rescued.ok() ? std::string() : rescued.error().message));
    testing::check_counts(out, *rescued);
    auto bench = testing::open_bench(out);
    const auto all = bench.jobs();
    REQUIRE(all.ok());
    for (const Job& job : *all) {
      ++jobs;
      const auto plan = app::plan_job(bench, std::to_string(job.id));
      CHECK_MESSAGE(plan.ok(), (plan.ok() ? std::string() : plan.error().message));
    }
  }
  CHECK(jobs >= 40);
}

TEST_CASE("after a rescue that lost copper the board's own file is read again and makes it whole") {
  const testing::MemoryFolder folder;
  const auto bad = folder.file("bad.sqlite");
  const auto out = folder.file("out.sqlite");
  const std::filesystem::path file =
      std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4/skua4.kicad_pcb";
  Board good;
  {
    auto bench = testing::open_bench(bad);
    app::ImportRequest request;
    request.files = {file};
    const auto report = app::import_files(bench, request);
    REQUIRE(report.ok());
    good = *bench.board(report->board.id);
    CHECK_FALSE(app::rescued_note(bench, report->board.id));
  }
  {
    const testing::Unguarded unguarded(bad);
    testing::Raw raw(bad);
    raw.run("DELETE FROM track WHERE n % 7 = 3");
  }
  REQUIRE(store::rescue(bad, out).ok());
  auto bench = testing::open_bench(out);
  const auto board = *bench.boards();
  REQUIRE(board.size() == 1);
  CHECK_FALSE(*bench.board(board[0].id) == good);
  const auto note = app::rescued_note(bench, board[0].id);
  REQUIRE(note);
  CHECK(note->find("skua4.kicad_pcb") != std::string::npos);
  app::ImportRequest again;
  again.files = {file};
  again.into = board[0].id;
  const auto report = app::import_files(bench, again);
  REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
  CHECK_FALSE(report->unchanged);
  CHECK(report->board.id == board[0].id);
  CHECK(*bench.board(board[0].id) == good);
  CHECK_FALSE(app::rescued_note(bench, board[0].id));
}
