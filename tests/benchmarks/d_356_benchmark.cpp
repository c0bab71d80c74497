// d_356_benchmark: an IPC-D-356 of 100,000 records, generated here. DESIGN.md section 10 has the goal for
// text: 100 MB/s and more. Shapes as real files have them: pins of some hundred parts, a third vias, names
// cut to 14 signs, lines with their trailing blanks kept (80 columns) or stripped.
#include <string>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "importers/ipc_d_356/ipc_d_356.hpp"

using namespace landfall;

namespace {

constexpr int kRecords = 100'000;

std::string generated(bool blanks_kept) {
  std::string text = "P  CODE 00\nP  UNITS CUST 0\nP  VER IPC-D-356A\n";
  const auto add = [&](std::string line) {
    if (blanks_kept) line.resize(80, ' ');
    text += line + "\n";
  };
  for (int i = 0; i < kRecords; ++i) {
    const int x = (i % 400) * 39;
    const int y = (i / 400) * 39;
    const std::string net = i % 5 == 0 ? "GND" : fmt::format("/CPU/RAM{}_D{}", i % 8, i / 7);
    if (i % 3 == 0) {
      add(fmt::format("317{:<14.14}   VIA        MD0079PA00X+{:06}Y-{:06}X0177Y0000R000 S3", net, x, y));
    } else {
      add(fmt::format("327{:<14.14}   U{:<5}-{:<4}       A{:02}X+{:06}Y-{:06}X0150Y0200R{:03} S{}", net,
                      i / 400, i % 400, i % 2 == 0 ? 1 : 4, x, y, i % 4 * 90, i % 2 == 0 ? 2 : 1));
    }
  }
  return text + "999\n";
}

void read(benchmark::State& state, bool blanks_kept) {
  const std::string text = generated(blanks_kept);
  for (auto _ : state) {
    Diagnostics log;
    auto design = importers::read_ipc_d_356(text, log);
    benchmark::DoNotOptimize(design);
    if (!design || !log.entries().empty()) {
      state.SkipWithError(log.entries().empty() ? "not read" : log.entries().front().message.c_str());
    }
  }
  state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(text.size()));
}
BENCHMARK_CAPTURE(read, blanks_kept, true)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(read, blanks_stripped, false)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
