// layout_benchmark [BOARD.kicad_pcb]: the scene of a whole board, built and drawn into shapes; without a file
// the sample board. The goal for a frame's building is a few ms.
#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "importers/design.hpp"
#include "viewer/scene/board_scene.hpp"

using namespace landfall;

namespace {

std::string file = "sample-boards/skua4/skua4.kicad_pcb";

const app::OpenBoard& board() {
  static const app::OpenBoard* const opened = [] {
    std::ifstream in(file, std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(in), {}};
    Diagnostics log;
    auto design = importers::read_design(bytes, file, log);
    if (!design.ok()) {
      fmt::print(stderr, "{}\n", design.error().message);
      std::exit(3);
    }
    return new app::OpenBoard({}, std::move(design).value().board, {});
  }();
  return *opened;
}

// The net with the most tracks, which is the dearest to draw.
Index busiest() {
  std::vector<std::size_t> tracks(board().board().nets.size(), 0);
  for (const Track& track : board().board().tracks) {
    if (track.net != kNone) ++tracks[track.net];
  }
  return static_cast<Index>(std::max_element(tracks.begin(), tracks.end()) - tracks.begin());
}

void build(benchmark::State& state, const scene::BoardInput& in) {
  const scene::Rect area{0, 0, 1100, 850};
  std::size_t shapes = 0;
  for (auto _ : state) {
    scene::Canvas canvas(1);
    scene::BoardView(in, area).draw(canvas);
    shapes = canvas.shapes().size();
    benchmark::DoNotOptimize(canvas.shapes().data());
  }
  state.counters["shapes"] = static_cast<double>(shapes);
}

void plain(benchmark::State& state) {
  scene::BoardInput in;
  in.board = &board();
  build(state, in);
}
BENCHMARK(plain)->Unit(benchmark::kMillisecond);

void net(benchmark::State& state) {
  scene::BoardInput in;
  in.board = &board();
  in.net = busiest();
  build(state, in);
}
BENCHMARK(net)->Unit(benchmark::kMillisecond);

void every_track(benchmark::State& state) {
  scene::BoardInput in;
  in.board = &board();
  in.every_track = true;
  build(state, in);
}
BENCHMARK(every_track)->Unit(benchmark::kMillisecond);

void hit(benchmark::State& state) {
  scene::BoardInput in;
  in.board = &board();
  in.net = busiest();
  const scene::BoardView view(in, {0, 0, 1100, 850});
  double x = 30;
  for (auto _ : state) {
    x = x > 1000 ? 30 : x + 7;
    benchmark::DoNotOptimize(view.hit({x, 400}));
  }
}
BENCHMARK(hit)->Unit(benchmark::kMillisecond);

}  // namespace

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  if (argc > 1) file = argv[1];
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
