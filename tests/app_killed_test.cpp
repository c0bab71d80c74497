// kill -9 at random instants while a process marks and imports, one after the other: no acknowledged mark or
// board is lost, an import is whole or absent, and the file is whole. DESIGN.md section 8.
// LANDFALL_KILLS=1000 for as many rounds as the design asks; a power cut is store_power_cut_test's.
#include <array>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <iostream>
#include <random>
#include <set>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include "netdb/model/units.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/import.hpp"

using namespace landfall;
using store::Bench;
using testing::kNow;

namespace {

constexpr int kFewRounds = 60;
constexpr int kPinsOfImport = 3'000;
constexpr int kMarksBetweenImports = 8;

// A test netlist of that many pins, each on a net of two.
std::string test_netlist() {
  std::string text = "P  UNITS CUST 1\nP  VER   IPC-D-356A\n";
  for (int i = 0; i < kPinsOfImport; ++i) {
    text += fmt::format("327{:<14}   {:<6}-{:<4}       A01X{:+07}Y{:+07}X0400Y0000R000S0\n",
                        fmt::format("NET_{}", i / 2), fmt::format("U{}", i / 500 + 1), i % 500 + 1,
                        i % 40 * 500, i / 40 * 500);
  }
  return text + "999\n";
}

std::string ball(int n) {
  return "B" + std::to_string(n);
}
std::string board_name(int n) {
  return "import " + std::to_string(n);
}

// What the child says before and after each thing it does. Written whole: it is shorter than a pipe's buffer.
enum class Says : int { kOpened, kMarking, kMarked, kReading, kKeeping, kImported };
struct Word {
  Says says = Says::kOpened;
  int n = 0;
};

// Until it is killed: an import, then marks, then an import. Never returns to doctest.
[[noreturn]] void work(const std::filesystem::path& file, std::int64_t job, const std::string& netlist,
                       int to) {
  const auto say = [to](Says says, int n) {
    const Word word{says, n};
    if (write(to, &word, sizeof word) != sizeof word) _exit(2);
  };
  auto bench = Bench::open(file);
  if (!bench.ok()) _exit(1);
  say(Says::kOpened, 0);
  int mark = 0;
  for (int n = 0;; ++n) {
    for (int i = 0; i < kMarksBetweenImports; ++i, ++mark) {
      say(Says::kMarking, mark);
      if (!bench->record(job, "m", {{"U1", ball(mark), MarkKind::kTorn, std::nullopt}}, kNow).ok()) _exit(3);
      say(Says::kMarked, mark);
    }
    say(Says::kReading, n);
    app::ImportRequest request;
    request.texts = {{"list.ipc", netlist + "C  " + std::to_string(n) + "\n"}};  // other bytes: another board
    request.name = board_name(n);
    request.on_step = [&](const app::ImportStep& step) {
      if (step.stage == app::ImportStage::kKeeping) say(Says::kKeeping, n);
      return true;
    };
    if (!app::import_files(*bench, request).ok()) _exit(4);
    say(Says::kImported, n);
  }
}

struct Tally {
  int rounds = 0;
  int in_mark = 0, in_reading = 0, in_keeping = 0, between = 0;  // where it was cut
  int marks = 0, boards = 0;                                     // acknowledged, and looked for
  int lost_marks = 0, lost_boards = 0, half = 0, damaged = 0;
};

// What is there after the cut, against what was said.
void look(const std::filesystem::path& file, std::int64_t job, int marked, int imported, Tally& tally) {
  auto bench = Bench::open(file);
  if (!bench.ok()) {
    ++tally.damaged;
    return;
  }
  const auto kept = bench->job(job);
  const auto boards = bench->boards();
  if (!kept.ok() || !boards.ok()) {
    ++tally.damaged;
    return;
  }
  std::set<std::string> balls;
  for (const Mark& mark : kept->marks) balls.insert(mark.ball);
  for (int n = 0; n <= marked; ++n) tally.lost_marks += balls.contains(ball(n)) ? 0 : 1;
  // One more may be there: kept, and not yet said.
  if (balls.size() > static_cast<std::size_t>(marked) + 2) ++tally.half;
  std::set<std::string> names;
  for (const store::BoardInfo& info : *boards) {
    names.insert(info.name);
    const auto board = bench->board(info.id);
    const std::size_t pins = info.name == "first" ? 1 : kPinsOfImport;
    if (!board.ok() || board->pins.size() != pins || bench->sources(info.id)->size() != pins / kPinsOfImport)
      ++tally.half;
  }
  for (int n = 0; n <= imported; ++n) tally.lost_boards += names.contains(board_name(n)) ? 0 : 1;
  if (names.size() > static_cast<std::size_t>(imported) + 3) ++tally.half;
  tally.marks += marked + 1;
  tally.boards += imported + 1;
  testing::Raw raw(file);
  if (raw.text("PRAGMA integrity_check") != "ok" || !raw.text("PRAGMA foreign_key_check").empty())
    ++tally.damaged;
}

class Child {
 public:
  Child(const std::filesystem::path& file, std::int64_t job, const std::string& netlist) {
    std::cout.flush();
    REQUIRE(pipe(ends_.data()) == 0);
    pid_ = fork();
    REQUIRE(pid_ >= 0);
    if (pid_ == 0) work(file, job, netlist, ends_[1]);
    close(ends_[1]);
  }
  ~Child() { close(ends_[0]); }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;
  Child(Child&&) = delete;
  Child& operator=(Child&&) = delete;

  bool hear(Word& word) { return read(ends_[0], &word, sizeof word) == sizeof word; }
  void kill_it() {
    REQUIRE(kill(pid_, SIGKILL) == 0);
    int status = 0;
    REQUIRE(waitpid(pid_, &status, 0) == pid_);
    REQUIRE(WIFSIGNALED(status));  // else it ended by itself: nothing was cut
  }

 private:
  std::array<int, 2> ends_{};
  pid_t pid_ = 0;
};

}  // namespace

TEST_CASE(
    "kill -9 at random instants while marking and importing: nothing acknowledged is lost, nothing half") {
  const char* wanted = std::getenv("LANDFALL_KILLS");
  const int rounds = wanted == nullptr ? kFewRounds : static_cast<int>(parse_integer(wanted).value_or(0));
  REQUIRE(rounds > 0);
  const testing::ScratchFolder folder;
  const auto start = folder.file("start.sqlite");
  std::int64_t job = 0;
  {
    Bench bench = testing::open_bench(start);
    Board bare;
    bare.parts = {{"U1", "", "", "", false, {}, 0, Side::kTop, true}};
    bare.pins = {{0, "B0", "", PinType::kUnknown, kNone}};
    Job fresh;
    fresh.board = *bench.keep_board("first", bare, {{}, {}, kNow});
    fresh.lifted = {"U1"};
    job = *bench.new_job(fresh, kNow);
  }
  const std::string netlist = test_netlist();
  const unsigned seed = std::random_device{}();
  INFO("seed ", seed);
  std::mt19937 random(seed);
  const auto file = folder.file("bench.sqlite");
  const auto fresh_file = [&] {
    for (const char* end : {"", "-wal", "-shm"}) std::filesystem::remove(file.string() + end);
    std::filesystem::copy_file(start, file);
  };

  // How long two turns of marks and an import take here: an instant is drawn from that.
  fresh_file();
  std::chrono::steady_clock::duration two_turns{};
  {
    Child child(file, job, netlist);
    Word word;
    REQUIRE(child.hear(word));
    const auto begin = std::chrono::steady_clock::now();
    while (child.hear(word) && !(word.says == Says::kImported && word.n == 1)) {
    }
    two_turns = std::chrono::steady_clock::now() - begin;
    child.kill_it();
  }
  const auto longest = std::chrono::duration_cast<std::chrono::microseconds>(two_turns).count();

  Tally tally;
  for (; tally.rounds < rounds; ++tally.rounds) {
    fresh_file();
    Child child(file, job, netlist);
    Word word;
    REQUIRE(child.hear(word));
    usleep(static_cast<useconds_t>(std::uniform_int_distribution<std::int64_t>(0, longest)(random)));
    child.kill_it();
    int marked = -1;
    int imported = -1;
    Says last = Says::kOpened;
    while (child.hear(word)) {
      last = word.says;
      if (word.says == Says::kMarked) marked = word.n;
      if (word.says == Says::kImported) imported = word.n;
    }
    tally.in_mark += last == Says::kMarking ? 1 : 0;
    tally.in_reading += last == Says::kReading ? 1 : 0;
    tally.in_keeping += last == Says::kKeeping ? 1 : 0;
    tally.between += last == Says::kMarked || last == Says::kImported || last == Says::kOpened ? 1 : 0;
    look(file, job, marked, imported, tally);
  }
  fmt::print(
      "kill -9: {} rounds within {:.0f} ms; cut in a mark {}, while an import was read {}, while it was kept "
      "{}, "
      "between {}; acknowledged marks {}, lost {}; acknowledged imports {}, lost {}; half {}, damaged {}\n",
      tally.rounds, static_cast<double>(longest) / 1'000, tally.in_mark, tally.in_reading, tally.in_keeping,
      tally.between, tally.marks, tally.lost_marks, tally.boards, tally.lost_boards, tally.half,
      tally.damaged);
  CHECK(tally.in_mark > 0);
  CHECK(tally.in_keeping > 0);
  CHECK(tally.marks > rounds);
  CHECK(tally.lost_marks == 0);
  CHECK(tally.lost_boards == 0);
  CHECK(tally.half == 0);
  CHECK(tally.damaged == 0);
}
