// repair_benchmark BOARD.kicad_pcb PART: what a click costs with copper. One more mark on the part, the plan
// with its escape, the board against itself, on a real board; and how plan and assessment grow on drawn
// arrays of 100 to 2,500 balls. Goals (DESIGN.md section 10): 1 ms a click, 50 ms a plan.
#include <cstdio>
#include <fstream>
#include <sstream>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "importers/design.hpp"
#include "netdb/packages/packages.hpp"
#include "netdb/rework/copper/check.hpp"
#include "netdb/rework/plan/plan.hpp"
#include "netdb/signals/signals.hpp"

using namespace landfall;

namespace {

struct Desk {
  Board board;
  BoardIndex index;
  Signals signals;
  rework::Copper copper;
  Job job;
  Package package;
  std::vector<Mark> whole;  // the job's marks with none taken off
  std::size_t clicks = 0;

  Desk(Board given, const std::string& part, std::size_t marks)
      : board(std::move(given)), index(board), signals(signals::analyse(index, {})), copper(board) {
    const Index at = index.part(part);
    package = packages::package_of(index, at);
    job.lifted = {part};
    // A corner: the sites nearest the first one, every kind of damage in turn.
    for (const PackageSite& site : package.sites) {
      if (job.marks.size() == marks) break;
      if (site.site.row > 12 || site.site.column > 12) continue;
      constexpr MarkKind kKinds[] = {MarkKind::kTorn, MarkKind::kMissing, MarkKind::kBarrel};
      job.marks.push_back({part, site.name, kKinds[job.marks.size() % 3], ""});
    }
    whole = job.marks;
  }

  // One click: the mark in turn is taken off or put back, and the job assessed anew.
  rework::Assessment click() {
    const std::size_t n = whole.size();
    const std::size_t k = clicks / 2 % n;
    job.marks = whole;
    if (clicks++ % 2 == 0) job.marks.erase(job.marks.begin() + static_cast<std::ptrdiff_t>(k));
    return assess();
  }

  rework::Assessment assess() const { return rework::assess(index, signals, copper, job, {}); }
  rework::PlanInput input(const rework::Assessment& assessment) const {
    rework::PlanInput in;
    in.index = &index;
    in.signals = &signals;
    in.copper = &copper;
    in.assessment = &assessment;
    in.packages = {package};
    return in;
  }
};

// An array of side x side balls at 0.8 mm: inner balls go by a via beside them to a terminal outside.
Board drawn_array(int side) {
  Board board = *packages::bare_board(side, side, 800'000);
  board.layers = {"F.Cu", "In1.Cu", "In2.Cu", "B.Cu"};
  const std::size_t balls = board.pins.size();
  for (std::size_t i = 0; i < balls; ++i) {
    const bool ground = i % 3 == 0;
    if (ground && i > 0) {
      board.pins[i].net = 0;
    } else {
      board.nets.push_back({ground ? "GND" : fmt::format("N{}", i), false, {}});
      board.pins[i].net = static_cast<Index>(board.nets.size() - 1);
    }
  }
  const std::size_t lands = board.lands.size();
  for (std::size_t l = 0; l < lands; ++l) {
    Land& land = board.lands[l];
    land.net = board.pins[land.pin].net;
    const Point at = land.at;
    const Point via{at.x + 400'000, at.y - 400'000};
    board.tracks.push_back({at, via, 100'000, 0, land.net});
    Via made;
    made.at = via;
    made.diameter = 450'000;
    made.drill = 200'000;
    made.last = 3;
    made.net = land.net;
    board.vias.push_back(made);
  }
  Fill plane;
  plane.net = 0;
  plane.layer = 1;
  const Nm reach = static_cast<Nm>(side) * 800'000 + 5'000'000;
  plane.ring = {{-reach, -reach}, {reach, -reach}, {reach, reach}, {-reach, reach}};
  board.fills.push_back(plane);
  return board;
}

void click_on_drawn_array(benchmark::State& state) {
  Desk desk(drawn_array(static_cast<int>(state.range(0))), "U1", 40);
  benchmark::DoNotOptimize(desk.assess());
  for (auto _ : state) benchmark::DoNotOptimize(desk.click());
}
BENCHMARK(click_on_drawn_array)->Arg(10)->Arg(20)->Arg(35)->Arg(50)->Unit(benchmark::kMillisecond);

void plan_on_drawn_array(benchmark::State& state) {
  const Desk desk(drawn_array(static_cast<int>(state.range(0))), "U1", 40);
  const rework::Assessment assessment = desk.assess();
  const rework::PlanInput input = desk.input(assessment);
  for (auto _ : state) benchmark::DoNotOptimize(rework::make_plan(input));
}
BENCHMARK(plan_on_drawn_array)->Arg(10)->Arg(20)->Arg(35)->Arg(50)->Unit(benchmark::kMillisecond);

}  // namespace

int main(int argc, char** argv) {
  if (argc > 2 && argv[1][0] != '-') {
    std::ifstream in(argv[1], std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    Diagnostics log;
    const std::string bytes = text.str();
    auto design = importers::read_design(bytes, argv[1], log);
    if (!design.ok()) {
      fmt::print(stderr, "{}\n", design.error().message);
      return 3;
    }
    static Desk desk(std::move(design).value().board, argv[2], 60);
    static const rework::Assessment assessment = desk.assess();
    static const rework::PlanInput input = desk.input(assessment);
    benchmark::RegisterBenchmark("click_on_this_board", [](benchmark::State& state) {
      for (auto _ : state) benchmark::DoNotOptimize(desk.click());
    })->Unit(benchmark::kMillisecond);
    benchmark::RegisterBenchmark("plan_on_this_board", [](benchmark::State& state) {
      for (auto _ : state) benchmark::DoNotOptimize(rework::make_plan(input));
    })->Unit(benchmark::kMillisecond);
    benchmark::RegisterBenchmark("check_of_this_board", [](benchmark::State& state) {
      for (auto _ : state) benchmark::DoNotOptimize(rework::check_copper(rework::Copper(desk.board)));
    })->Unit(benchmark::kMillisecond);
    argv[2] = argv[0];
    argv += 2;
    argc -= 2;
  }
  benchmark::Initialize(&argc, argv);
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
