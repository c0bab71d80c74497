// A bench file of impossible values, rescued: every job of the new file is assessed and planned.
#include <random>

#include <doctest/doctest.h>

#include "tests/support/spoiled_bench.hpp"
#include "viewer/app/desk.hpp"

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
