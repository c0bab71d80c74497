#include <algorithm>
#include <csignal>
#include <fstream>
#include <random>

#include <doctest/doctest.h>
#include <sqlite3.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "netdb/store/schema.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
using store::Bench;
using store::MarkChange;
using testing::check_whole;
using testing::full_board;
using testing::kNow;
using testing::Marks;
using testing::marks_of;
using testing::new_job;

TEST_CASE(
    "a board with every list filled comes back equal, with its sources, diagnostics and disagreements") {
  testing::ScratchFolder folder;
  const auto file = folder.file("deep/er/bench.sqlite");
  {
    Bench bench = testing::open_bench(file);
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
  Bench bench = testing::open_bench(file);
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
  Bench bench = testing::open_bench(folder.file("b.sqlite"));
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
  Bench bench = testing::open_bench(folder.file("b.sqlite"));
  const auto job = new_job(bench);
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

TEST_CASE("a gesture that names one site twice: the last word holds, and one undo takes all of it back") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  Bench bench = testing::open_bench(file);
  const auto job = new_job(bench);
  const auto torn = MarkChange{"U1", "A1", MarkKind::kTorn, "n"};
  REQUIRE(bench.record(job, "g", {torn, {"U1", "A1", MarkKind::kLoose, std::nullopt}}, kNow).ok());
  const Marks after{{"A1", {MarkKind::kLoose, "n"}}};
  CHECK(marks_of(bench, job) == after);
  CHECK(**bench.undo(job, kNow) == "g");
  CHECK(marks_of(bench, job).empty());
  CHECK(**bench.redo(job, kNow) == "g");
  CHECK(marks_of(bench, job) == after);
  // There and back within one gesture is nothing, and takes no undo.
  REQUIRE(bench.record(job, "h", {torn, {"U1", "A1", MarkKind::kLoose, "n"}}, kNow).ok());
  CHECK(**bench.undo(job, kNow) == "g");

  // A gesture kept with the site in two rows.
  testing::Raw(file).run(
      "INSERT INTO change SELECT gesture, 1, part, ball, kind_after, note_after, 4, 'x' FROM change;"
      "UPDATE job SET cursor = 1; INSERT INTO mark VALUES (1, 'U1', 'A1', 4, 'x')");
  CHECK(marks_of(bench, job) == Marks{{"A1", {MarkKind::kTorn, "x"}}});
  CHECK(**bench.undo(job, kNow) == "g");
  CHECK(marks_of(bench, job).empty());
}

TEST_CASE("a board that refers to what it does not have is refused, new or revised, and nothing is kept") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  Bench bench = testing::open_bench(file);
  REQUIRE(bench.keep_board("whole", full_board(), {{{"a", "f", "", "h", {{}}}}, {}, kNow}).ok());
  const auto refused = [&](const char* what, const auto& spoil) {
    CAPTURE(what);
    Board board = full_board();
    spoil(board);
    const auto kept = bench.keep_board("spoilt", board, {{}, {}, kNow});
    REQUIRE_FALSE(kept.ok());
    CHECK(kept.error().code == ErrorCode::kInput);
    CHECK(kept.error().message.find(what) == 0);
    CHECK(bench.replace_board(1, board, {{}, {}, kNow}).error().code == ErrorCode::kInput);
  };
  refused("pin 2 refers to a part", [](Board& b) { b.pins[2].part = 2; });
  refused("pin 0 refers to a part", [](Board& b) { b.pins[0].part = kNone; });
  refused("pin 1 refers to a net", [](Board& b) { b.pins[1].net = 3; });
  refused("land 0 refers to a part", [](Board& b) { b.lands[0].part = 9; });
  refused("land 0 refers to a pin", [](Board& b) { b.lands[0].pin = 3; });
  refused("land 1 refers to a net", [](Board& b) { b.lands[1].net = 3; });
  refused("track 1 refers to a net", [](Board& b) { b.tracks[1].net = 3; });
  refused("arc 0 refers to a net", [](Board& b) { b.arcs[0].net = 3; });
  refused("via 0 refers to a net", [](Board& b) { b.vias[0].net = 3; });
  refused("fill 0 refers to a net", [](Board& b) { b.fills[0].net = 3; });
  refused("zone 1 refers to a net", [](Board& b) { b.zones[1].net = 3; });
  CHECK(bench.boards()->size() == 1);
  CHECK(*bench.board(1) == full_board());
  // A revision leaves nothing of the old one behind, and references are minded again after it.
  REQUIRE(bench.replace_board(1, Board{}, {{}, {}, kNow}).ok());
  testing::Raw raw(file);
  for (const char* table : {"net_alias", "pin", "land", "source", "diagnostic"})
    CHECK_MESSAGE(raw.text(std::string("SELECT count(*) FROM ") + table) == "0", table);
  Job job;
  job.board = 7;
  job.lifted = {"U1"};
  CHECK_FALSE(bench.new_job(job, kNow).ok());
  check_whole(file);
}

TEST_CASE("a board is found by number and by the beginning of its name, a job by that of its title") {
  testing::ScratchFolder folder;
  Bench bench = testing::open_bench(folder.file("b.sqlite"));
  for (const char* name : {"Skua-4", "skua", "Heron", "sk_a", "\xC3\x84lster", "50%"})
    REQUIRE(bench.keep_board(name, full_board(), {{{"a", "f", "", "h", {}}}, {}, kNow}).ok());
  const auto called = [&](const char* beginning) {
    std::string names;
    for (const auto& info : *bench.boards_called(beginning)) names += info.name + " ";
    return names;
  };
  CHECK(called("SKU") == "skua Skua-4 ");
  CHECK(called("sk_") == "sk_a ");
  CHECK(called("\xC3\x84") == "\xC3\x84lster ");
  CHECK(called("50%") == "50% ");
  CHECK(called("eron").empty());
  const auto info = bench.board_info(3);
  REQUIRE(info.ok());
  CHECK(info->name == "Heron");
  CHECK(info->pins == 3);
  CHECK(info->formats == std::vector<std::string>{"f"});
  CHECK(bench.board_info(9).error().code == ErrorCode::kNotFound);
  for (const char* title : {"No start", "no sound", "Other"}) {
    Job job;
    job.board = 3;
    job.title = title;
    job.lifted = {"U1"};
    REQUIRE(bench.new_job(job, kNow).ok());
  }
  CHECK(bench.jobs_titled("NO ")->size() == 2);
  CHECK(bench.jobs_titled("no st")->front().lifted.size() == 1);
  CHECK(bench.jobs_titled("x")->empty());
  CHECK(bench.jobs_of_board(3)->size() == 3);
  CHECK(bench.jobs_of_board(1)->empty());
}

TEST_CASE("a migration is stamped step by step, and one that breaks a reference is taken back") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  auto database = store::Database::open(file);
  REQUIRE(database.ok());
  const auto version = [&] { return *database->number("PRAGMA user_version"); };
  const char* first =
      "CREATE TABLE a (id INTEGER PRIMARY KEY); CREATE TABLE b (a INTEGER REFERENCES a); "
      "INSERT INTO a VALUES (1), (2); INSERT INTO b VALUES (1), (2);";
  REQUIRE(store::migrate(*database, "b.sqlite", {first}).ok());
  CHECK(version() == 1);
  CHECK(*database->number("PRAGMA application_id") == store::kApplicationId);
  const char* good = "ALTER TABLE a ADD COLUMN word TEXT;";
  // A table built anew without one of its rows: what refers to it hangs in the air.
  const char* breaks =
      "CREATE TABLE new_a (id INTEGER PRIMARY KEY, word TEXT); INSERT INTO new_a SELECT * FROM a "
      "WHERE id = 1; DROP TABLE a; ALTER TABLE new_a RENAME TO a;";
  const auto broken = store::migrate(*database, "b.sqlite", {first, good, breaks});
  REQUIRE_FALSE(broken.ok());
  CHECK(broken.error().code == ErrorCode::kBench);
  CHECK(broken.error().message.find("rows of table b refer to rows of a that are not there") !=
        std::string::npos);
  CHECK(version() == 2);  // the good step is kept, the broken one is not
  CHECK(*database->number("SELECT count(*) FROM a") == 2);
  CHECK_FALSE(
      store::migrate(*database, "b.sqlite", {first, good, "CREATE TABLE c (x); SELECT nothing"}).ok());
  CHECK(version() == 2);
  CHECK(*database->number("SELECT count(*) FROM sqlite_schema WHERE name = 'c'") == 0);
  const char* rebuilds =
      "CREATE TABLE new_a (id INTEGER PRIMARY KEY, word TEXT); INSERT INTO new_a SELECT * FROM "
      "a; DROP TABLE a; ALTER TABLE new_a RENAME TO a;";
  CHECK(store::migrate(*database, "b.sqlite", {first, good, rebuilds}).ok());
  CHECK(version() == 3);
  CHECK(*database->number("SELECT count(*) FROM b") == 2);
}

TEST_CASE("rows that cannot be are told as damage, with table and row, and never used") {
  const auto message = [](const std::string& sql, const auto& ask) {
    testing::ScratchFolder folder;
    const auto file = folder.file("b.sqlite");
    Bench bench = testing::open_bench(file);
    const auto job = new_job(bench);
    REQUIRE(bench.record(job, "g", {{"U1", "A1", MarkKind::kTorn, std::nullopt}}, kNow).ok());
    REQUIRE(bench.add_rule(1, {0, "X*", SignalClass::kData, "", "", ""}).ok());
    testing::Raw(file).run("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON; " + sql);
    return ask(bench, job);
  };
  const auto of_board = [](Bench& bench, std::int64_t) {
    const auto board = bench.board(1);
    if (board.ok()) return std::string("no error");
    CHECK(board.error().code == ErrorCode::kBench);
    return board.error().message;
  };
  const auto of_job = [](Bench& bench, std::int64_t job) {
    const auto read = bench.job(job);
    CHECK(read.ok() == bench.jobs().ok());
    return read.ok() ? std::string("no error") : read.error().message;
  };
  const auto of_rules = [](Bench& bench, std::int64_t) {
    const auto rules = bench.rules(1);
    return rules.ok() ? std::string("no error") : rules.error().message;
  };
  CHECK(message("UPDATE board SET title = title", of_board) == "no error");
  for (const std::string change : {"pin 1: part = 2",
                                   "pin 0: part = -1",
                                   "pin 2: net = 3",
                                   "pin 0: net = 4294967295",
                                   "pin 0: type = 10",
                                   "part 0: side = 3",
                                   "part 1: side = -1",
                                   "land 0: part = 2",
                                   "land 0: pin = 3",
                                   "land 0: net = 77",
                                   "land 1: shape = 6",
                                   "land 0: x = 9223372036854775807",
                                   "land 0: outline = x'00'",
                                   "track 1: net = 3",
                                   "track 0: layer = 2",
                                   "track 0: layer = -1",
                                   "arc 0: net = 3",
                                   "arc 0: layer = 9",
                                   "via 0: net = 3",
                                   "via 0: last = 2",
                                   "via 0: first = -1",
                                   "via 0: bottom = 3",
                                   "fill 0: net = 3",
                                   "fill 0: layer = 2",
                                   "fill 1: ring = x'0102'",
                                   "zone 0: net = 3",
                                   "hole 0: y = -9223372036854775807",
                                   "edge 0: x2 = 1000000000000",
                                   "net 1: n = 7",
                                   "part 0: n = 5",
                                   "pin 0: n = -1",
                                   "layer 1: n = 2",
                                   "part 0: angle = 9e999"}) {
    CAPTURE(change);
    const auto space = change.find(' ');
    const auto colon = change.find(':');
    const auto table = change.substr(0, space);
    const auto row = change.substr(space + 1, colon - space - 1);
    const auto said =
        message("UPDATE " + table + " SET " + change.substr(colon + 1) + " WHERE n = " + row, of_board);
    CHECK(said.find("b.sqlite: the bench file is damaged: table " + table) != std::string::npos);
  }
  CHECK(message("INSERT INTO net_alias VALUES (1, 3, 0, 'x')", of_board).find("net_alias") !=
        std::string::npos);
  CHECK(message("DELETE FROM net WHERE n = 1", of_board).find("table net") != std::string::npos);
  CHECK(message("UPDATE mark SET kind = 7", of_job).find("damaged: table mark") != std::string::npos);
  CHECK(message("UPDATE job SET safety = 3", of_job).find("damaged: table job") != std::string::npos);
  CHECK(message("UPDATE name_rule SET class = 13", of_rules).find("damaged: table name_rule") !=
        std::string::npos);
  const auto of_undo = [](Bench& bench, std::int64_t job) {
    const auto undone = bench.undo(job, kNow);
    return undone.ok() ? std::string("no error") : undone.error().message;
  };
  CHECK(
      message("UPDATE change SET kind_before = 9, note_before = ''", of_undo).find("damaged: table change") !=
      std::string::npos);
  CHECK(message("DELETE FROM gesture", of_undo).find("damaged: table gesture") != std::string::npos);
}

TEST_CASE("two connections see each other's marks") {
  testing::ScratchFolder folder;
  Bench one = testing::open_bench(folder.file("b.sqlite"));
  const auto job = new_job(one);
  Bench two = testing::open_bench(folder.file("b.sqlite"));
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
    Bench bench = testing::open_bench(file);
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
    Bench bench = testing::open_bench(file);
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
  { Bench bench = testing::open_bench(newer); }
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
    Bench bench = testing::open_bench(file);
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
  Bench bench = testing::open_bench(file);
  CHECK(bench.boards()->size() == 1);
  CHECK(*bench.board(1) == full_board());
  check_whole(file);
}

TEST_CASE("rules and settings are kept, and taken away again") {
  testing::ScratchFolder folder;
  Bench bench = testing::open_bench(folder.file("b.sqlite"));
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
