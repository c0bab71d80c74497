// assess_benchmark: one more mark on a package of 1,500 balls, the map of one of 2,500, find over 1,000,000
// pins. DESIGN.md section 10 has the goals: 1 ms, 1 ms, 10 ms a keystroke.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "netdb/packages/packages.hpp"
#include "tests/benchmarks/wired_board.hpp"
#include "viewer/app/find.hpp"
#include "viewer/scene/map.hpp"

using namespace landfall;
using landfall::testing::wired;

namespace {

void assess_one_more_mark(benchmark::State& state) {
  const app::OpenBoard board({}, wired(50, 30), {});
  Job job;
  job.lifted = {"U1"};
  for (int i = 0; i < 60; ++i)
    job.marks.push_back(
        {"U1", board.board().pins[static_cast<std::size_t>(i) * 7].number, MarkKind::kTorn, ""});
  for (auto _ : state)
    benchmark::DoNotOptimize(rework::assess(board.index(), board.signals(), board.copper(), job, {}));
}
BENCHMARK(assess_one_more_mark)->Unit(benchmark::kMillisecond);

void map_of_2500_balls(benchmark::State& state) {
  const app::OpenBoard board({}, wired(50, 50), {});
  const Package package = packages::package_of(board.index(), 0);
  scene::MapInput in;
  in.board = &board;
  in.package = &package;
  for (auto _ : state) {
    scene::Canvas canvas(1);
    scene::MapView(in, {0, 0, 720, 640}).draw(canvas);
    benchmark::DoNotOptimize(canvas.shapes().data());
  }
}
BENCHMARK(map_of_2500_balls)->Unit(benchmark::kMillisecond);

const Board& large() {
  static const Board board = [] {
    Board b;
    for (int part = 0; part < 1000; ++part) {
      Part p;
      p.reference = fmt::format("U{}", part);
      b.parts.push_back(p);
      for (int pin = 0; pin < 1000; ++pin) {
        if (pin % 4 == 0) b.nets.push_back({fmt::format("NET_{}_{}", part, pin), false, {}});
        b.pins.push_back({static_cast<Index>(part), fmt::format("A{}", pin), "", PinType::kUnknown,
                          static_cast<Index>(b.nets.size() - 1)});
      }
    }
    return b;
  }();
  return board;
}

void find_in_a_million_pins(benchmark::State& state, const char* text) {
  const BoardIndex index(large());
  const app::FindIndex find(index);
  for (auto _ : state) benchmark::DoNotOptimize(find.find(text, 12));
}
BENCHMARK_CAPTURE(find_in_a_million_pins, frequent, "u")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(find_in_a_million_pins, some, "net_77")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(find_in_a_million_pins, rare, "u999.a999")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(find_in_a_million_pins, one_sign_that_is_not_there, "z")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(find_in_a_million_pins, two_signs_never_together, "au")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(find_in_a_million_pins, none, "zzzz")->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
