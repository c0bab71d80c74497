// The bench file against power cuts, full disks, other programs and read-only places. DESIGN.md section 8.
#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <fstream>
#include <iostream>
#include <random>
#include <vector>

#include <doctest/doctest.h>
#include <sched.h>
#include <sqlite3.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "netdb/store/schema.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
using store::Bench;
using testing::check_whole;
using testing::full_board;
using testing::kNow;
using testing::marks_of;
using testing::new_job;
using testing::open_bench;
using testing::Raw;

namespace {

// Runs `work` in a child process; its answer, 0 to 255, or 128 and the signal that ended it. A child may not
// use doctest's checks: it answers by number.
template <class Work>
int in_child(Work work) {
  std::cout.flush();
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) _exit(work());
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

// Root may write anything: a child that is to meet a read-only place becomes somebody else.
bool be_nobody() {
  constexpr uid_t kNobody = 65534;
  return getuid() != 0 || (setgid(kNobody) == 0 && setuid(kNobody) == 0);
}

std::string site(int n) {
  return "B" + std::to_string(n);
}

bool mark(Bench& bench, std::int64_t job, const std::string& ball) {
  return bench.record(job, "m", {{"U1", ball, MarkKind::kTorn, std::nullopt}}, kNow).ok();
}

// The connections that are opened while it lives, for a look from inside.
class Connections {
 public:
  Connections() {
    opened().clear();
    sqlite3_auto_extension(reinterpret_cast<void (*)()>(note));
  }
  ~Connections() { sqlite3_cancel_auto_extension(reinterpret_cast<void (*)()>(note)); }
  Connections(const Connections&) = delete;
  Connections& operator=(const Connections&) = delete;
  Connections(Connections&&) = delete;
  Connections& operator=(Connections&&) = delete;
  [[nodiscard]] static sqlite3* last() { return opened().back(); }

 private:
  static std::vector<sqlite3*>& opened() {
    static std::vector<sqlite3*> list;
    return list;
  }
  static int note(sqlite3* handle, char** /*message*/, const void* /*api*/) {
    opened().push_back(handle);
    return SQLITE_OK;
  }
};

}  // namespace

TEST_CASE("boards and jobs are read as they were at one instant, though another program writes in between") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  Bench writer = open_bench(file);
  const auto job = new_job(writer);
  REQUIRE(mark(writer, job, "A1"));
  Connections connections;
  Bench reader = open_bench(file);
  struct Between {
    Bench* writer;
    std::string_view table;
    bool done = false;
  };
  // Just before that table is read, the other connection puts a smaller board in the place of this one, or
  // removes it with its jobs.
  const auto change = [](unsigned, void* context, void*, void* sql) -> int {
    auto* b = static_cast<Between*>(context);
    if (b->done || std::string_view(static_cast<const char*>(sql)).find(b->table) == std::string_view::npos)
      return 0;
    b->done = true;
    Board small;
    small.title = "small";
    const bool replace = b->table == "FROM pin";
    CHECK((replace ? b->writer->replace_board(1, small, {{}, {}, kNow}) : b->writer->remove_board(1, true))
              .ok());
    return 0;
  };
  Between at_pins{&writer, "FROM pin"};
  sqlite3_trace_v2(Connections::last(), SQLITE_TRACE_STMT, change, &at_pins);
  const auto board = reader.board(1);
  CHECK(at_pins.done);
  REQUIRE(board.ok());
  CHECK(*board == full_board());
  CHECK(reader.board(1)->title == "small");

  Between at_parts{&writer, "FROM job_part"};
  sqlite3_trace_v2(Connections::last(), SQLITE_TRACE_STMT, change, &at_parts);
  const auto jobs = reader.jobs();
  sqlite3_trace_v2(Connections::last(), 0, nullptr, nullptr);
  CHECK(at_parts.done);
  REQUIRE(jobs.ok());
  REQUIRE(jobs->size() == 1);
  CHECK(jobs->front().lifted == std::vector<std::string>{"U1"});
  CHECK(jobs->front().marks.size() == 1);
  CHECK(reader.jobs()->empty());
}

TEST_CASE("several questions inside one reading are answered from one instant") {
  testing::ScratchFolder folder;
  Bench writer = open_bench(folder.file("b.sqlite"));
  const auto job = new_job(writer);
  Bench reader = open_bench(folder.file("b.sqlite"));
  {
    const auto reading = reader.reading();
    CHECK(marks_of(reader, job).empty());
    REQUIRE(mark(writer, job, "A1"));
    REQUIRE(writer.set_setting("x", 1).ok());
    CHECK(marks_of(reader, job).empty());
    CHECK_FALSE(reader.setting("x")->has_value());
    CHECK(*reader.board(1) == full_board());
  }
  CHECK(marks_of(reader, job).size() == 1);
  CHECK(reader.setting("x")->has_value());
}

TEST_CASE("a process killed in the middle of a run of marks has lost none that it acknowledged") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  std::int64_t job = 0;
  {
    Bench bench = open_bench(file);
    job = new_job(bench);
  }
  const unsigned seed = 4711;
  INFO("seed ", seed);
  std::mt19937 random(seed);
  int first = 0;
  for (int round = 0; round < 12; ++round) {
    std::array<int, 2> pipe_ends{};
    REQUIRE(pipe(pipe_ends.data()) == 0);
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      auto bench = Bench::open(file);
      for (int n = first; bench.ok() && mark(*bench, job, site(n)); ++n) {
        if (write(pipe_ends[1], &n, sizeof n) != sizeof n) break;
      }
      _exit(1);
    }
    close(pipe_ends[1]);
    int acknowledged = -1;
    REQUIRE(read(pipe_ends[0], &acknowledged, sizeof acknowledged) == sizeof acknowledged);
    // Anywhere in the commits that follow, which take from 0.1 to some ms each.
    usleep(static_cast<useconds_t>(std::uniform_int_distribution(0, 20'000)(random)));
    REQUIRE(kill(child, SIGKILL) == 0);
    for (int n = 0; read(pipe_ends[0], &n, sizeof n) == sizeof n;) acknowledged = n;
    close(pipe_ends[0]);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    REQUIRE(WIFSIGNALED(status));
    Bench bench = open_bench(file);
    const auto kept = marks_of(bench, job);
    for (int n = 0; n <= acknowledged; ++n) CHECK_MESSAGE(kept.contains(site(n)), site(n));
    // At most the one that was being written is there without its acknowledgement.
    CHECK(kept.size() <= static_cast<std::size_t>(acknowledged) + 2);
    check_whole(file);
    first = static_cast<int>(kept.size());
  }
  CHECK(first >= 12);
}

TEST_CASE("a bench file that may not grow: error of the bench file, in words, and nothing lost") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  Connections connections;
  int kept = 0;
  std::int64_t job = 0;
  {
    Bench bench = open_bench(file);
    job = new_job(bench);
    // SQLite then says what it says on a full disk.
    const auto limit = [&](const std::string& pages) {
      REQUIRE(sqlite3_exec(Connections::last(), ("PRAGMA max_page_count = " + pages).c_str(), nullptr,
                           nullptr, nullptr) == SQLITE_OK);
    };
    limit("1");  // no fewer than there are: none more
    while (kept < 100'000 && mark(bench, job, site(kept))) ++kept;
    REQUIRE(kept < 100'000);
    const auto refused =
        bench.record(job, "m", {{"U1", site(kept), MarkKind::kTorn, std::string(5'000, 'n')}}, kNow);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().code == ErrorCode::kBench);
    CHECK(refused.error().message.find("full") != std::string::npos);
    CHECK(marks_of(bench, job).size() == static_cast<std::size_t>(kept));
    limit("100000");
    CHECK(mark(bench, job, site(kept++)));
  }
  Bench bench = open_bench(file);
  CHECK(marks_of(bench, job).size() == static_cast<std::size_t>(kept));
  check_whole(file);
}

TEST_CASE("a full disk: error of the bench file, in words, and nothing lost, work goes on with room") {
  testing::ScratchFolder folder;
  if (getuid() != 0) {
    std::cout << "SKIPPED: only root can make a small disk\n";
    return;
  }
  constexpr int kNoDisk = 77;
  const auto disk = folder.file("disk");
  REQUIRE(std::filesystem::create_directory(disk));
  // In a child with mounts of its own: nothing stays mounted. It answers the line that went wrong.
  const int answer = in_child([&]() -> int {
    if (unshare(CLONE_NEWNS) != 0 ||
        mount("none", "/", nullptr, static_cast<unsigned long>(MS_REC) | MS_PRIVATE, nullptr) != 0 ||
        mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=1m") != 0)
      return kNoDisk;
    const auto file = disk / "b.sqlite";
    std::size_t kept = 0;
    std::int64_t job = 0;
    {
      auto bench = Bench::open(file);
      if (!bench.ok() || !bench->keep_board("b", full_board(), {{}, {}, kNow}).ok()) return 1;
      Job wanted;
      wanted.board = 1;
      wanted.lifted = {"U1"};
      job = *bench->new_job(wanted, kNow);
      while (kept < 100'000 && mark(*bench, job, site(static_cast<int>(kept)))) ++kept;
      if (kept == 0 || kept == 100'000) return 2;
      Board large = full_board();
      for (int i = 0; i < 60'000; ++i) large.tracks.push_back({{i, i}, {i + 1, i}, 5, 0, 0});
      const auto refused = bench->keep_board("large", large, {{}, {}, kNow});
      if (refused.ok() || refused.error().code != ErrorCode::kBench) return 3;
      if (refused.error().message.find("disk is full") == std::string::npos) return 4;
      if (bench->job(job)->marks.size() != kept) return 5;
    }
    auto bench = Bench::open(file);
    if (!bench.ok()) return 6;
    if (bench->job(job)->marks.size() != kept || bench->boards()->size() != 1) return 7;
    if (mount("tmpfs", disk.c_str(), "tmpfs", MS_REMOUNT, "size=8m") != 0) return 8;
    if (!mark(*bench, job, site(static_cast<int>(kept)))) return 9;
    Raw raw(file);
    return raw.text("PRAGMA integrity_check") == "ok" ? 0 : 10;
  });
  if (answer == kNoDisk) {
    std::cout << "SKIPPED: no small disk can be made here\n";
    return;
  }
  CHECK(answer == 0);
}

TEST_CASE("many programs that create one bench file at the same moment all get it") {
  testing::ScratchFolder folder;
  constexpr int kPrograms = 8;
  for (int round = 0; round < 15; ++round) {
    const auto file = folder.file("b" + std::to_string(round) + ".sqlite");
    std::array<int, 2> gate{};
    REQUIRE(pipe(gate.data()) == 0);
    std::vector<pid_t> children;
    for (int i = 0; i < kPrograms; ++i) {
      const pid_t child = fork();
      REQUIRE(child >= 0);
      if (child == 0) {
        close(gate[1]);
        char nothing = 0;
        if (read(gate[0], &nothing, 1) != 0) _exit(3);  // until the parent closes its end
        auto bench = Bench::open(file);
        if (!bench.ok()) {
          std::cout << bench.error().message << std::endl;
          _exit(1);
        }
        _exit(bench->set_setting("of" + std::to_string(i), 1).ok() ? 0 : 2);
      }
      children.push_back(child);
    }
    close(gate[0]);
    close(gate[1]);
    for (const pid_t child : children) {
      int status = 0;
      REQUIRE(waitpid(child, &status, 0) == child);
      CHECK(WIFEXITED(status));
      CHECK(WEXITSTATUS(status) == 0);
    }
    Bench bench = open_bench(file);
    for (int i = 0; i < kPrograms; ++i) CHECK(bench.setting("of" + std::to_string(i))->has_value());
    check_whole(file);
  }
}

TEST_CASE("a file of a newer version is not written, though its log was left behind") {
  testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  { Bench bench = open_bench(file); }
  {
    Raw raw(file);
    // As after a power cut: the newer version's commits are in the log only.
    sqlite3_db_config(raw.handle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
    raw.run("PRAGMA user_version = 99; CREATE TABLE later (x)");
  }
  const auto log = folder.file("b.sqlite-wal");
  REQUIRE(std::filesystem::file_size(log) > 0);
  const auto before = testing::read_file(file);
  const auto log_before = testing::read_file(log);
  const auto refused = Bench::open(file);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().message.find("newer") != std::string::npos);
  CHECK(testing::read_file(file) == before);
  CHECK(testing::read_file(log) == log_before);
}

TEST_CASE("another program's database is not written, though a power cut left its journal behind") {
  testing::ScratchFolder folder;
  const auto file = folder.file("other.sqlite");
  const auto journal = folder.file("other.sqlite-journal");
  {
    Raw raw(file);
    raw.run("CREATE TABLE t (x); INSERT INTO t VALUES (zeroblob(100000))");
    raw.run("PRAGMA cache_size = 1; BEGIN; UPDATE t SET x = randomblob(100000)");
    // What a process that is killed here leaves.
    std::filesystem::copy_file(file, folder.file("copy.sqlite"));
    std::filesystem::copy_file(journal, folder.file("copy.sqlite-journal"));
    raw.run("ROLLBACK");
  }
  const auto copy = folder.file("copy.sqlite");
  const auto before = testing::read_file(copy);
  const auto journal_before = testing::read_file(folder.file("copy.sqlite-journal"));
  REQUIRE_FALSE(journal_before.empty());
  const auto refused = Bench::open(copy);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::kBench);
  CHECK(testing::read_file(copy) == before);
  CHECK(testing::read_file(folder.file("copy.sqlite-journal")) == journal_before);
}

TEST_CASE("a bench file that may not be written is opened read-only, says so, and refuses writes in words") {
  testing::ScratchFolder folder;
  namespace fs = std::filesystem;
  fs::permissions(folder.path(), fs::perms(0755));
  for (const auto mode : {fs::perms(0777), fs::perms(0555)}) {
    for (const bool file_too : {true, false}) {
      // A writable file in a writable folder is the usual case.
      if (mode == fs::perms(0777) && !file_too) continue;
      const auto own = folder.file("d" + std::to_string(static_cast<int>(mode)) + (file_too ? "r" : "w"));
      CAPTURE(own.string());
      REQUIRE(fs::create_directory(own));
      const auto file = own / "b #1.sqlite";
      std::int64_t job = 0;
      {
        Bench bench = open_bench(file);
        job = new_job(bench);
        REQUIRE(mark(bench, job, "A1"));
      }
      fs::permissions(file, fs::perms(file_too ? 0444 : 0666));
      fs::permissions(own, mode);
      const auto before = testing::read_file(file);
      const int answer = in_child([&]() -> int {
        if (!be_nobody()) return 1;
        auto bench = Bench::open(file);
        if (!bench.ok()) {
          std::cout << bench.error().message << std::endl;
          return 2;
        }
        if (!bench->read_only()) return 3;
        const auto read = bench->job(job);
        if (!read.ok() || read->marks.size() != 1 || !(*bench->board(1) == full_board())) return 4;
        const auto refused = bench->set_setting("x", 1);
        if (refused.ok() || refused.error().code != ErrorCode::kBench) return 5;
        return refused.error().message.find("read-only") == std::string::npos ? 6 : 0;
      });
      CHECK(answer == 0);
      CHECK(testing::read_file(file) == before);
      fs::permissions(own, fs::perms(0755));
    }
  }
}

TEST_CASE("a file of another user whose log was left behind is read with what the log holds") {
  testing::ScratchFolder folder;
  namespace fs = std::filesystem;
  if (getuid() != 0) {
    std::cout << "SKIPPED: only root has files of another user\n";
    return;
  }
  fs::permissions(folder.path(), fs::perms(0755));
  const auto file = folder.file("b.sqlite");
  Bench bench = open_bench(file);
  const auto job = new_job(bench);
  REQUIRE(mark(bench, job, "A1"));  // in the log still: the bench is open
  const int answer = in_child([&]() -> int {
    if (!be_nobody()) return 1;
    auto seen = Bench::open(file);
    if (!seen.ok()) return 2;
    if (!seen->read_only()) return 3;
    const auto read = seen->job(job);
    return read.ok() && read->marks.size() == 1 ? 0 : 4;
  });
  CHECK(answer == 0);
}

TEST_CASE(
    "a read-only place with a log that was left behind is refused in words: half the marks would be no "
    "answer") {
  testing::ScratchFolder folder;
  namespace fs = std::filesystem;
  fs::permissions(folder.path(), fs::perms(0755));
  const auto own = folder.file("own");
  const auto copy = folder.file("copy");
  REQUIRE((fs::create_directory(own) && fs::create_directory(copy)));
  {
    Bench bench = open_bench(own / "b.sqlite");
    new_job(bench);
    for (const char* name : {"b.sqlite", "b.sqlite-wal"}) fs::copy_file(own / name, copy / name);
  }
  const auto file = copy / "b.sqlite";
  for (const char* name : {"b.sqlite", "b.sqlite-wal"}) fs::permissions(copy / name, fs::perms(0444));
  fs::permissions(copy, fs::perms(0555));
  const int answer = in_child([&]() -> int {
    if (!be_nobody()) return 1;
    const auto bench = Bench::open(file);
    if (bench.ok()) return 2;
    if (bench.error().code != ErrorCode::kBench) return 3;
    return bench.error().message.find("log beside it") == std::string::npos ? 4 : 0;
  });
  fs::permissions(copy, fs::perms(0755));
  CHECK(answer == 0);
}
