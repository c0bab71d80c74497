// 1,000 power cuts at random instants while marking and importing: nothing that was acknowledged is lost, an
// import is whole or absent, and the file is whole. DESIGN.md section 8.
#include <iostream>
#include <random>
#include <set>

#include <doctest/doctest.h>
#include <sqlite3.h>

#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "tests/support/power_cut.hpp"

using namespace landfall;
using store::Bench;
using testing::kNow;

namespace {

constexpr int kBalls = 60;

Board bare(int pins) {
  Board board;
  board.parts = {{"U1", "", "", "", false, {}, 0, Side::kTop, true}};
  for (int i = 0; i < pins; ++i)
    board.pins.push_back({0, "B" + std::to_string(i), "", PinType::kUnknown, kNone});
  return board;
}

struct Promised {
  std::set<std::string> marked;
  std::set<std::string> tried;  // asked for, and not acknowledged
  bool second_board = false;
  bool cut_import = false;  // the power went while the import was being kept
};

// Marks one by one, an import among them, until the power goes or all is done.
Promised work(Bench& bench, std::int64_t job, std::mt19937& random) {
  Promised promised;
  const auto import_at = static_cast<int>(random() % kBalls);
  for (int i = 0; i < kBalls; ++i) {
    if (i == import_at) {
      promised.second_board = bench.keep_board("second", bare(5'000), {{}, {}, kNow}).ok();
      promised.cut_import = !promised.second_board;
      if (promised.cut_import) return promised;
    }
    const std::string ball = "B" + std::to_string(i);
    if (!bench.record(job, "m", {{"U1", ball, MarkKind::kTorn, std::nullopt}}, kNow).ok()) {
      promised.tried.insert(ball);
      return promised;
    }
    promised.marked.insert(ball);
  }
  return promised;
}

struct Tally {
  int lost = 0;                    // rounds in which an acknowledged mark or board is not there
  int damaged = 0;                 // rounds after which the file is not whole, or does not open
  int half = 0;                    // rounds with a part of an import, or marks that nobody asked for
  int in_work = 0;                 // rounds whose power went while something was being done
  int in_import = 0, in_mark = 0;  // of these; the rest opened the file, or closed it
};

void look(const std::filesystem::path& file, std::int64_t job, const Promised& promised, Tally& tally) {
  auto opened = Bench::open(file);
  if (!opened.ok()) {
    ++tally.damaged;
    return;
  }
  const auto boards = opened->boards();
  const auto found = opened->job(job);
  if (!boards.ok() || !found.ok()) {
    ++tally.damaged;
    return;
  }
  std::set<std::string> there;
  for (const Mark& mark : found->marks) there.insert(mark.ball);
  const bool second = boards->size() == 2;
  if (!std::includes(there.begin(), there.end(), promised.marked.begin(), promised.marked.end()) ||
      (promised.second_board && !second))
    ++tally.lost;
  for (const std::string& ball : there) {
    if (!promised.marked.contains(ball) && !promised.tried.contains(ball)) ++tally.half;
  }
  for (const store::BoardInfo& board : *boards) {
    if (board.name == "second" && opened->board(board.id)->pins.size() != 5'000) ++tally.half;
  }
  testing::Raw raw(file);
  if (raw.text("PRAGMA integrity_check") != "ok" || !raw.text("PRAGMA foreign_key_check").empty())
    ++tally.damaged;
}

Tally cut_again_and_again(int rounds, bool lying) {
  Tally tally;
  const testing::ScratchFolder folder;
  const std::filesystem::path start = folder.file("start.sqlite");
  std::int64_t job = 0;
  {
    Bench bench = testing::open_bench(start);
    Job fresh;
    fresh.board = *bench.keep_board("first", bare(kBalls), {{}, {}, kNow});
    fresh.lifted = {"U1"};
    job = *bench.new_job(fresh, kNow);
  }
  long whole = 0;  // operations of a round whose power stays
  std::mt19937 random(11);
  for (int round = -1; round < rounds; ++round) {
    const std::filesystem::path at = folder.file("bench.sqlite");
    for (const char* end : {"", "-wal", "-shm"}) std::filesystem::remove(at.string() + end);
    std::filesystem::copy_file(start, at);
    const std::filesystem::path after = folder.file("after");
    std::filesystem::remove_all(after);
    Promised promised;
    {
      testing::PowerCut power;
      if (round >= 0) power.cut_after(static_cast<long>(random() % static_cast<unsigned long>(whole)));
      if (lying) power.lie_about_syncs();
      {
        auto bench = Bench::open(at);
        if (bench.ok()) promised = work(*bench, job, random);
        if (power.is_off()) ++tally.in_work;
        if (promised.cut_import) ++tally.in_import;
        if (!promised.tried.empty()) ++tally.in_mark;
        // The disk is looked at while the file is still open: nothing is put right on the way out.
        power.lay_down(after, random);
      }
      if (round < 0) {
        whole = power.operations();
        continue;
      }
    }
    look(after / "bench.sqlite", job, promised, tally);
  }
  return tally;
}

}  // namespace

TEST_CASE("1,000 power cuts while marking and importing: nothing acknowledged is lost, the file is whole") {
  const Tally tally = cut_again_and_again(1'000, false);
  std::cout << "power cuts: 1000 rounds, " << tally.in_work << " of them in the middle of work ("
            << tally.in_import << " in the import, " << tally.in_mark << " in a mark); lost " << tally.lost
            << ", damaged " << tally.damaged << ", half " << tally.half << "\n";
  CHECK(tally.in_work > 900);
  CHECK(tally.in_import > 80);
  CHECK(tally.in_mark > 100);
  CHECK(tally.lost == 0);
  CHECK(tally.damaged == 0);
  CHECK(tally.half == 0);
}

TEST_CASE("the same on a disk that says it has synced and has not: the test notices") {
  const Tally tally = cut_again_and_again(40, true);
  CHECK(tally.lost + tally.damaged > 10);
}
