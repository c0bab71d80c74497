#include <algorithm>
#include <csignal>
#include <fstream>
#include <map>
#include <random>

#include <doctest/doctest.h>
#include <sqlite3.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "netdb/store/bench.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
using store::Bench;
using store::MarkChange;

namespace {

constexpr const char* kNow = "2026-01-02T03:04:05Z";

Bench open(const std::filesystem::path& file) {
  auto bench = Bench::open(file);
  REQUIRE_MESSAGE(bench.ok(), (bench.ok() ? std::string() : bench.error().message));
  return std::move(bench).value();
}

Board full_board() {
  Board b;
  b.title = "a \"title\" \xC3\xA4";
  b.thickness = 1'600'000;
  b.layers = {"F.Cu", "B.Cu"};
  b.nets = {{"GND", false, {}}, {"Net-(R1-Pad1)", true, {"ALIAS", ""}}, {"", false, {}}};
  b.parts = {{"U1", "v", "lib:fp", "lib:sym", true, {1, -2}, 45.5, Side::kBottom, false},
             {"R'1;--", "", "", "", false, {}, 0, Side::kTop, true}};
  b.pins = {{0, "A1", "DQ0", PinType::kBidirectional, 0},
            {0, "A2", "", PinType::kUnknown, kNone},
            {1, "1", "", PinType::kPassive, 1}};
  b.lands = {
      {0, 0, 0, {5, 6}, Side::kTop, LandShape::kCustom, 1, 2, 3, 90, {7, 8}, 9, 3, {{1, 2}, {-3, -4}}},
      {kNone, kNone, kNone, {}, Side::kThrough, LandShape::kRect, 0, 0, 0, 0, {}, 0, ~LayerSet{0}, {}}};
  b.tracks = {{{1, 2}, {3, 4}, 5, 1, 0}, {{-1, -2}, {-3, -4}, 5, 0, kNone}};
  b.arcs = {{{1, 1}, {2, 2}, {3, 1}, 5, 0, 1}};
  b.vias = {{{9, 9}, 3, 1, 0, 1, 0, Cover::kOpen, Cover::kTented}};
  b.fills = {{0, 1, 7, {{0, 0}, {1, 0}, {0, 1}}}, {kNone, 0, 0, {}}};
  b.zones = {{0, 3, true, false}, {kNone, 1, false, true}};
  b.holes = {{{4, 4}, 2}};
  b.outline = {{{0, 0}, {10, 0}}};
  return b;
}

void check_whole(const std::filesystem::path& file) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(file.c_str(), &db) == SQLITE_OK);
  for (const char* pragma : {"PRAGMA integrity_check", "PRAGMA foreign_key_check"}) {
    sqlite3_stmt* statement = nullptr;
    REQUIRE(sqlite3_prepare_v2(db, pragma, -1, &statement, nullptr) == SQLITE_OK);
    const int code = sqlite3_step(statement);
    if (std::string(pragma) == "PRAGMA integrity_check") {
      REQUIRE(code == SQLITE_ROW);
      CHECK(std::string(reinterpret_cast<const char*>(sqlite3_column_text(statement, 0))) == "ok");
    } else {
      CHECK(code == SQLITE_DONE);
    }
    sqlite3_finalize(statement);
  }
  sqlite3_close(db);
}

std::int64_t new_job(Bench& bench) {
  const auto board = bench.keep_board("b", full_board(), {{}, {}, kNow});
  REQUIRE(board.ok());
  Job job;
  job.board = *board;
  job.title = "t";
  job.lifted = {"U1"};
  const auto id = bench.new_job(job, kNow);
  REQUIRE(id.ok());
  return *id;
}

std::map<std::string, std::pair<MarkKind, std::string>> marks_of(Bench& bench, std::int64_t id) {
  std::map<std::string, std::pair<MarkKind, std::string>> marks;
  const auto job = bench.job(id);
  REQUIRE(job.ok());
  for (const Mark& mark : job->marks) marks[mark.ball] = {mark.kind, mark.note};
  return marks;
}

}  // namespace

TEST_CASE(
    "a board with every list filled comes back equal, with its sources, diagnostics and disagreements") {
  testing::ScratchFolder folder;
  const auto file = folder.file("deep/er/bench.sqlite");
  {
    Bench bench = open(file);
    store::SourceFile source{"a.kicad_pcb",
                             "kicad-board",
                             "4",
                             store::content_hash("x"),
                             {{Severity::kWarning, "a.kicad_pcb", 3, 4, "code", "says"}}};
    const auto id =
        bench.keep_board("Skua", full_board(), {{source}, {{"net", "U1.A1", "a: b", "GND"}}, kNow});
    REQUIRE(id.ok());
    CHECK_FALSE(bench.keep_board("SKUA", full_board(), {{}, {}, kNow}).ok());
    CHECK_FALSE(bench.keep_board("", full_board(), {{}, {}, kNow}).ok());
  }
  Bench bench = open(file);
  REQUIRE(bench.boards()->size() == 1);
  CHECK(*bench.board(1) == full_board());
  CHECK(bench.sources(1)->front().diagnostics.front().message == "says");
  CHECK(bench.disagreements(1)->front().what == "U1.A1");
  CHECK(*bench.board_of_content(store::content_hash("x")) == 1);
  CHECK_FALSE(bench.board_of_content(store::content_hash("y"))->has_value());
  CHECK(bench.board(7).error().code == ErrorCode::kNotFound);
  check_whole(file);
}

TEST_CASE("a revised board keeps its jobs and marks, and a removed one takes nothing with it unless told") {
  testing::ScratchFolder folder;
  Bench bench = open(folder.file("b.sqlite"));
  const auto job = new_job(bench);
  REQUIRE(bench.record(job, "m", {{"U1", "A1", MarkKind::kTorn, std::nullopt}}, kNow).ok());
  Board revised = full_board();
  revised.pins.erase(revised.pins.begin() + 1);
  REQUIRE(bench.replace_board(1, revised, {{}, {}, kNow}).ok());
  CHECK(*bench.board(1) == revised);
  CHECK(marks_of(bench, job).size() == 1);
  const auto refused = bench.remove_board(1, false);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::kChoice);
  CHECK(bench.job(job).ok());
  CHECK(bench.remove_board(1, true).ok());
  CHECK_FALSE(bench.job(job).ok());
  check_whole(folder.file("b.sqlite"));
}

TEST_CASE("marks, undo and redo agree with a plain model over random gestures") {
  testing::ScratchFolder folder;
  Bench bench = open(folder.file("b.sqlite"));
  const auto job = new_job(bench);
  using Marks = std::map<std::string, std::pair<MarkKind, std::string>>;
  std::vector<Marks> past{{}};  // states up to now
  std::vector<Marks> future;    // undone ones, the next last
  const unsigned seed = 77;
  INFO("seed ", seed);
  std::mt19937 random(seed);
  for (int round = 0; round < 400; ++round) {
    const int what = std::uniform_int_distribution(0, 9)(random);
    if (what < 6) {
      Marks next = past.back();
      std::vector<MarkChange> changes;
      for (int i = std::uniform_int_distribution(1, 4)(random); i > 0; --i) {
        const std::string ball = "A" + std::to_string(std::uniform_int_distribution(1, 6)(random));
        const bool twice =
            std::any_of(changes.begin(), changes.end(), [&](const MarkChange& c) { return c.ball == ball; });
        if (twice) continue;
        const int kind = std::uniform_int_distribution(-1, 6)(random);
        if (kind < 0) {
          changes.push_back({"U1", ball, std::nullopt, std::nullopt});
          next.erase(ball);
        } else {
          changes.push_back({"U1", ball, static_cast<MarkKind>(kind), std::nullopt});
          next[ball] = {static_cast<MarkKind>(kind), next.contains(ball) ? next[ball].second : ""};
        }
      }
      REQUIRE(bench.record(job, "g", changes, kNow).ok());
      // A gesture that changes nothing is none, and what was undone can still be done again.
      if (next != past.back()) {
        past.push_back(next);
        future.clear();
      }
    } else if (what < 8) {
      const auto undone = bench.undo(job, kNow);
      REQUIRE(undone.ok());
      CHECK(undone->has_value() == (past.size() > 1));
      if (past.size() > 1) {
        future.push_back(past.back());
        past.pop_back();
      }
    } else if (!future.empty()) {
      REQUIRE(bench.redo(job, kNow).ok());
      past.push_back(future.back());
      future.pop_back();
    }
    CHECK(marks_of(bench, job) == past.back());
  }
  check_whole(folder.file("b.sqlite"));
}

TEST_CASE("two connections see each other's marks") {
  testing::ScratchFolder folder;
  Bench one = open(folder.file("b.sqlite"));
  const auto job = new_job(one);
  Bench two = open(folder.file("b.sqlite"));
  const auto before = two.data_version();
  REQUIRE(one.record(job, "m", {{"U1", "A1", MarkKind::kTorn, std::nullopt}}, kNow).ok());
  CHECK(two.data_version() != before);
  CHECK(marks_of(two, job).size() == 1);
}

TEST_CASE("a process killed right after a mark was acknowledged has lost nothing") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  std::int64_t job = 0;
  {
    Bench bench = open(file);
    job = new_job(bench);
  }
  for (int round = 1; round <= 10; ++round) {
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      auto bench = Bench::open(file);
      const bool kept =
          bench.ok() &&
          bench->record(job, "m", {{"U1", "A" + std::to_string(round), MarkKind::kTorn, std::nullopt}}, kNow)
              .ok();
      if (kept) kill(getpid(), SIGKILL);
      _exit(1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    REQUIRE(WIFSIGNALED(status));
    Bench bench = open(file);
    CHECK(marks_of(bench, job).size() == static_cast<std::size_t>(round));
  }
  check_whole(file);
}

TEST_CASE("what is no bench file is left as it was, byte for byte") {
  testing::ScratchFolder folder;
  const auto text = folder.file("text.txt");
  std::ofstream(text) << std::string(5000, 'x');
  const auto before = testing::read_file(text);
  const auto refused = Bench::open(text);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::kBench);
  CHECK(testing::read_file(text) == before);
  CHECK_FALSE(Bench::open(folder.path()).ok());

  const auto other = folder.file("other.sqlite");
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(other.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, "CREATE TABLE t (x); INSERT INTO t VALUES (1)", nullptr, nullptr, nullptr) ==
          SQLITE_OK);
  sqlite3_close(db);
  const auto other_before = testing::read_file(other);
  CHECK_FALSE(Bench::open(other).ok());
  CHECK(testing::read_file(other) == other_before);

  const auto newer = folder.file("newer.sqlite");
  { Bench bench = open(newer); }
  REQUIRE(sqlite3_open(newer.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, "PRAGMA journal_mode = DELETE; PRAGMA user_version = 99", nullptr, nullptr,
                       nullptr) == SQLITE_OK);
  sqlite3_close(db);
  const auto newer_before = testing::read_file(newer);
  const auto from_future = Bench::open(newer);
  REQUIRE_FALSE(from_future.ok());
  CHECK(from_future.error().message.find("newer") != std::string::npos);
  CHECK(testing::read_file(newer) == newer_before);
}

TEST_CASE("a full disk: the board is refused and the bench is as it was") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  {
    Bench bench = open(file);
    REQUIRE(bench.keep_board("small", full_board(), {{}, {}, kNow}).ok());
  }
  Board large = full_board();
  for (int i = 0; i < 60'000; ++i) large.tracks.push_back({{i, i}, {i + 1, i}, 5, 0, 0});
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    // No file may grow beyond this: writing then fails as on a full disk.
    signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{700'000, 700'000};
    setrlimit(RLIMIT_FSIZE, &limit);
    auto bench = Bench::open(file);
    const bool refused = bench.ok() && !bench->keep_board("large", large, {{}, {}, kNow}).ok();
    _exit(refused ? 0 : 1);
  }
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
  Bench bench = open(file);
  CHECK(bench.boards()->size() == 1);
  CHECK(*bench.board(1) == full_board());
  check_whole(file);
}

TEST_CASE("rules and settings are kept, and taken away again") {
  testing::ScratchFolder folder;
  Bench bench = open(folder.file("b.sqlite"));
  new_job(bench);
  NameRule rule{0, "RAM*", SignalClass::kData, "bus", "", "ch"};
  const auto id = bench.add_rule(1, rule);
  REQUIRE(id.ok());
  rule.id = *id;
  CHECK(*bench.rules(1) == std::vector<NameRule>{rule});
  CHECK(bench.remove_rule(1, *id).ok());
  CHECK_FALSE(bench.remove_rule(1, *id).ok());
  CHECK_FALSE(bench.setting("x")->has_value());
  REQUIRE(bench.set_setting("x", 4.5).ok());
  CHECK(**bench.setting("x") == 4.5);
  REQUIRE(bench.set_setting("x", std::nullopt).ok());
  CHECK_FALSE(bench.setting("x")->has_value());
}
