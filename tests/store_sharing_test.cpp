// What a site's mark has been: a number a state, kept with each gesture, and made for files from before.
#include <algorithm>
#include <set>

#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

std::vector<std::int64_t> states_of(store::Bench& bench, std::int64_t job, const std::string& ball) {
  const auto pasts = bench.site_pasts(job);
  REQUIRE(pasts.ok());
  for (const store::SitePast& past : *pasts) {
    if (past.ball == ball) return past.states;
  }
  return {};
}

void set(store::Bench& bench, std::int64_t job, const char* ball, std::optional<MarkKind> kind) {
  REQUIRE(bench.record(job, "m", {{"U1", ball, kind, std::nullopt}}, testing::kNow).ok());
}

}  // namespace

TEST_CASE(
    "each state of a site has a number of its own, through undo and redo, agreeing moves theirs to the end") {
  const testing::ScratchFolder folder;
  auto bench = testing::open_bench(folder.file("b.sqlite"));
  const std::int64_t job = testing::new_job(bench);
  CHECK(bench.site_pasts(job)->empty());
  set(bench, job, "A1", MarkKind::kTorn);
  set(bench, job, "A1", MarkKind::kTorn);  // changes nothing
  CHECK(states_of(bench, job, "A1").size() == 1);
  set(bench, job, "A1", MarkKind::kMissing);
  REQUIRE(bench.undo(job, testing::kNow).ok());
  REQUIRE(bench.redo(job, testing::kNow).ok());
  set(bench, job, "A1", std::nullopt);
  const auto states = states_of(bench, job, "A1");
  CHECK(states.size() == 5);
  CHECK(std::set<std::int64_t>(states.begin(), states.end()).size() == 5);
  REQUIRE(bench.agree_on(job, {{"U1", "A1", {77, states[0]}}, {"U1", "A2", {5}}}, testing::kNow).ok());
  const auto now = states_of(bench, job, "A1");
  CHECK(now.size() == 6);
  CHECK(now.back() == states[0]);
  CHECK(now[4] == 77);
  CHECK(states_of(bench, job, "A2") == std::vector<std::int64_t>{5});
  CHECK(bench.job(job)->marks.empty());
  CHECK_FALSE(bench.agree_on(job + 1, {{"U1", "A1", {77}}}, testing::kNow).ok());
}

TEST_CASE(
    "a file from before gets states by kind, so that two benches agree on marks that they had exchanged") {
  const testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  std::int64_t job = 0;
  {
    auto bench = testing::open_bench(file);
    job = testing::new_job(bench);
    set(bench, job, "A1", MarkKind::kTorn);
    set(bench, job, "A2", MarkKind::kTorn);
    set(bench, job, "A2", MarkKind::kBarrel);
    set(bench, job, "A2", std::nullopt);
    set(bench, job, "B1", MarkKind::kLoose);
    REQUIRE(bench.undo(job, testing::kNow).ok());
  }
  {
    testing::Raw raw(file);
    raw.run(
        "DROP TABLE kept_number; DROP TABLE mark_past; ALTER TABLE source DROP COLUMN part; ALTER TABLE "
        "intake DROP COLUMN turn; "
        "ALTER TABLE said DROP COLUMN if_works; ALTER TABLE said DROP COLUMN if_fails; "
        "ALTER TABLE outcome DROP COLUMN withdrawn; PRAGMA user_version = 5");
  }
  auto bench = testing::open_bench(file);
  const auto kind = [](MarkKind k) { return -1 - static_cast<std::int64_t>(k); };
  CHECK(states_of(bench, job, "A1") == std::vector<std::int64_t>{kind(MarkKind::kTorn)});
  const auto off = states_of(bench, job, "A2");
  REQUIRE(off.size() >= 3);
  CHECK(off[0] == kind(MarkKind::kTorn));
  CHECK(off[1] == kind(MarkKind::kBarrel));
  CHECK(std::abs(off.back()) > 100);  // taken off: drawn, so that it is later than any mark
  const auto undone = states_of(bench, job, "B1");
  REQUIRE(undone.size() == 2);
  CHECK(undone[0] == kind(MarkKind::kLoose));
  testing::check_whole(file);
}
