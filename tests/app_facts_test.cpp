// Facts in the bench: one that outdoes another takes its place whole or not at all.
#include <doctest/doctest.h>

#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/facts.hpp"

using namespace landfall;
using testing::kNow;

namespace {

std::vector<std::string> ways_of(store::Bench& bench, std::int64_t job) {
  std::vector<std::string> ways;
  const auto read = bench.job(job);
  REQUIRE(read.ok());
  for (const Fact& fact : read->facts) ways.push_back(fact.name);
  return ways;
}

}  // namespace

TEST_CASE("a fact that cannot be kept leaves the one that it would outdo") {
  const testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  store::Bench bench = testing::open_bench(file);
  const std::int64_t id = testing::new_job(bench);
  const auto board = app::open_board(bench, bench.job(id)->board);
  REQUIRE(board.ok());
  REQUIRE(app::tell_fact(bench, **board, *bench.job(id), {"toward", "U1.A1", "n"}, kNow).ok());
  REQUIRE(ways_of(bench, id) == std::vector<std::string>{"n"});

  // The write of the new one fails, as when the program is killed between the two.
  testing::Raw raw(file);
  raw.run("CREATE TRIGGER stop BEFORE INSERT ON fact BEGIN SELECT RAISE(ABORT, 'stopped'); END");
  CHECK_FALSE(app::tell_fact(bench, **board, *bench.job(id), {"toward", "U1.A1", "s"}, kNow).ok());
  CHECK(ways_of(bench, id) == std::vector<std::string>{"n"});

  raw.run("DROP TRIGGER stop");
  REQUIRE(app::tell_fact(bench, **board, *bench.job(id), {"toward", "U1.A1", "s"}, kNow).ok());
  CHECK(ways_of(bench, id) == std::vector<std::string>{"s"});
  CHECK(raw.text("SELECT count(*) FROM fact WHERE withdrawn IS NOT NULL") == "1");
  testing::check_whole(file);
}

TEST_CASE("a fact told over one that was taken back meanwhile is not kept") {
  const testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));
  const std::int64_t id = testing::new_job(bench);
  const auto board = app::open_board(bench, bench.job(id)->board);
  REQUIRE(board.ok());
  const auto first = app::tell_fact(bench, **board, *bench.job(id), {"toward", "U1.A1", "n"}, kNow);
  REQUIRE(first.ok());
  const auto seen = bench.job(id);
  REQUIRE(bench.withdraw_fact(id, first->id, kNow).ok());
  const auto second = app::tell_fact(bench, **board, *seen, {"toward", "U1.A1", "s"}, kNow);
  REQUIRE_FALSE(second.ok());
  CHECK(second.error().code == ErrorCode::kNotFound);
  CHECK(ways_of(bench, id).empty());
}
