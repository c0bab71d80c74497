// find_benchmark: find as you type over one board of 1,000,000 pins, and `find` over a bench of 200 boards
// with 5,000 pins and 20,000 tracks each. DESIGN.md section 10 has the goal: a search over 1,000,000 pins
// within 10 ms a keystroke. Boards are invented; names repeat as on real ones.
#include <filesystem>
#include <memory>
#include <string>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/store/bench.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/find_board.hpp"

using namespace landfall;

namespace {

constexpr std::int64_t kPinsOfPart = 1'000;
constexpr int kBoards = 200;
constexpr std::int64_t kPinsOfBoard = 5'000;
constexpr const char* kNow = "2026-01-01T00:00:00Z";

// Parts of 1,000 balls; four pins a net; a function at every pin; `tracks_a_pin` tracks.
Board invented(std::int64_t pins, int tracks_a_pin, int number) {
  Board board;
  board.layers = {"F.Cu", "B.Cu"};
  const std::int64_t nets = pins / 4;
  for (std::int64_t net = 0; net < nets; ++net)
    board.nets.push_back({fmt::format("/CPU{}/RAM{}_D{}", number, net % 8, net), false, {}});
  for (std::int64_t n = 0; n < pins; ++n) {
    const std::int64_t place = n % kPinsOfPart;
    const auto part = static_cast<Index>(n / kPinsOfPart);
    if (place == 0) {
      Part fresh;
      fresh.reference = fmt::format("U{}", part + 1);
      fresh.value = "invented";
      fresh.placed = true;
      board.parts.push_back(fresh);
    }
    const auto net = static_cast<Index>(n * 7919 % nets);
    Pin pin{part, ball_text({static_cast<int>(place / 40) + 1, static_cast<int>(place % 40) + 1}),
            fmt::format("DQ{}_{}", place % 64, place), PinType::kBidirectional, net};
    Land land;
    land.part = part;
    land.pin = static_cast<Index>(n);
    land.net = net;
    land.at = {place % 40 * 500'000 + part * 24'000'000, place / 40 * 500'000};
    land.width = land.height = 400'000;
    land.layers = 1;
    for (int i = 0; i < tracks_a_pin; ++i)
      board.tracks.push_back(
          {land.at + Point{i * 50'000, 0}, land.at + Point{(i + 1) * 50'000, 0}, 100'000, 0, net});
    board.lands.push_back(std::move(land));
    board.pins.push_back(std::move(pin));
  }
  return board;
}

void keystroke(benchmark::State& state, const char* text) {
  static const auto board = std::make_unique<Board>(invented(1'000'000, 0, 0));
  static const auto index = std::make_unique<BoardIndex>(*board);
  static const auto find = std::make_unique<app::FindIndex>(*index);
  std::size_t total = 0;
  for (auto _ : state) {
    auto hits = find->find(text, 50, &total);
    benchmark::DoNotOptimize(hits);
  }
  state.counters["hits"] = static_cast<double>(total);
}
// As somebody types them: one sign, more, a whole ball, one that is nowhere.
BENCHMARK_CAPTURE(keystroke, d, "d")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(keystroke, dq, "dq")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(keystroke, dq6, "dq6")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(keystroke, dq39_999, "dq39_999")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(keystroke, u937_y17, "u937.y17")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(keystroke, ram7_d249999, "ram7_d249999")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(keystroke, nowhere, "dqs_n")->Unit(benchmark::kMillisecond);

// The bench of 200 boards, made once in a folder that goes at the end.
class Boards {
 public:
  Boards() : folder_(std::filesystem::temp_directory_path() / "landfall-find-benchmark") {
    std::filesystem::remove_all(folder_);
    auto bench = store::Bench::open(folder_ / "bench.sqlite");
    if (!bench.ok()) std::abort();
    bench_ = std::make_unique<store::Bench>(std::move(bench).value());
    for (int i = 0; i < kBoards; ++i) {
      if (!bench_->keep_board(fmt::format("board {}", i), invented(kPinsOfBoard, 4, i), {{}, {}, kNow}).ok())
        std::abort();
    }
  }
  ~Boards() {
    bench_.reset();
    std::filesystem::remove_all(folder_);
  }
  Boards(const Boards&) = delete;
  Boards& operator=(const Boards&) = delete;
  Boards(Boards&&) = delete;
  Boards& operator=(Boards&&) = delete;
  static store::Bench& bench() {
    static const Boards all;
    return *all.bench_;
  }

 private:
  std::filesystem::path folder_;
  std::unique_ptr<store::Bench> bench_;
};

// As the command does: without copper.
void over_200_boards(benchmark::State& state, const char* text, bool classes) {
  store::Bench& bench = Boards::bench();
  const auto boards = bench.boards();
  std::size_t total = 0;
  for (auto _ : state) {
    total = 0;
    for (const auto& info : *boards) total += app::find_on_board(bench, info.id, text, 50, classes)->total;
  }
  state.counters["hits"] = static_cast<double>(total);
}
BENCHMARK_CAPTURE(over_200_boards, one_net, "cpu77/ram1_d9", false)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(over_200_boards, one_net_with_class, "cpu77/ram1_d9", true)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(over_200_boards, on_every_board, "dq63", false)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(over_200_boards, on_every_board_with_class, "dq63", true)->Unit(benchmark::kMillisecond);

// What it would be if each board were opened whole, for comparison.
void over_200_whole_boards(benchmark::State& state) {
  store::Bench& bench = Boards::bench();
  const auto boards = bench.boards();
  for (auto _ : state) {
    for (const auto& info : *boards) {
      const auto board = app::open_board(bench, info.id);
      auto hits = app::FindIndex((*board)->index()).find("cpu77/ram1_d9", 50);
      benchmark::DoNotOptimize(hits);
    }
  }
}
BENCHMARK(over_200_whole_boards)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace

BENCHMARK_MAIN();
