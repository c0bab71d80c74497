// import_split FILE BENCH: where an import's time and memory go, step by step, into a new bench file. For XML
// also pugixml's own parse of the same bytes. DESIGN.md section 10 has the goals: text at 100 MB/s, XML
// within 1.5 times pugixml, memory within 3 times the file.
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <pugixml.hpp>
#include <sys/resource.h>

#include "importers/design.hpp"
#include "netdb/join/join.hpp"
#include "netdb/store/bench.hpp"
#include "viewer/app/import.hpp"

using namespace landfall;

namespace {

// Seconds of this process on the processor since the last question, and by the clock: on a busy machine only
// the first can be compared.
class Watch {
 public:
  struct Passed {
    double busy = 0, clock = 0;
  };
  Passed passed() {
    const auto clock = std::chrono::steady_clock::now();
    const double busy = busy_seconds();
    const Passed since{busy - busy_, std::chrono::duration<double>(clock - clock_).count()};
    clock_ = clock;
    busy_ = busy;
    return since;
  }

 private:
  static double busy_seconds() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    const auto seconds = [](const timeval& t) {
      return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_usec) * 1e-6;
    };
    return seconds(usage.ru_utime) + seconds(usage.ru_stime);
  }
  std::chrono::steady_clock::time_point clock_ = std::chrono::steady_clock::now();
  double busy_ = busy_seconds();
};

double peak_mb() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024;
}

void say(const char* what, Watch::Passed passed) {
  fmt::print("  {:<6}{:8.3f} s busy {:8.3f} s by the clock   peak {:7.1f} MB\n", what, passed.busy,
             passed.clock, peak_mb());
}

int fail(const Error& error) {
  fmt::print(stderr, "import_split: {}\n", error.message);
  return 3;
}

int run(const std::filesystem::path& file, const std::filesystem::path& bench_file) {
  Watch watch;
  const double base = peak_mb();  // the program itself, which is more than a small board
  auto bytes = app::read_file(file);
  if (!bytes.ok()) return fail(bytes.error());
  const double mb = static_cast<double>(bytes->size()) / 1e6;
  say("read", watch.passed());
  Diagnostics log;
  auto design = importers::read_design(*bytes, file.string(), log);
  if (!design.ok()) return fail(design.error());
  const Watch::Passed parse = watch.passed();
  say("parse", parse);
  store::SourceFile source{file.filename().string(), design->format, design->version,
                           store::content_hash(*bytes), log.folded()};
  say("hash", watch.passed());
  const bool xml = bytes->starts_with("<");
  bytes = std::string();  // as an import does: the file is no longer needed
  std::vector<join::Source> sources(1);
  sources[0] = {source.name, design->format, std::move(design->board)};
  const join::Joined joined = join::join(std::move(sources));
  say("join", watch.passed());
  {
    auto bench = store::Bench::open(bench_file);
    if (!bench.ok()) return fail(bench.error());
    say("open", watch.passed());
    const auto id = bench->keep_board("large", joined.board, {{source}, {}, "2026-01-01T00:00:00Z"});
    if (!id.ok()) return fail(id.error());
    say("keep", watch.passed());
  }
  say("close", watch.passed());
  fmt::print(
      "  parse alone: {:.1f} MB at {:.0f} MB/s; peak beyond the program itself {:.1f} times the file\n", mb,
      mb / parse.busy, (peak_mb() - base) * 1.048576 / mb);
  if (!xml) return 0;
  bytes = app::read_file(file);
  if (!bytes.ok()) return fail(bytes.error());
  static_cast<void>(watch.passed());
  pugi::xml_document document;
  document.load_buffer(bytes->data(), bytes->size());
  const double own = watch.passed().busy;
  fmt::print("  pugixml alone: {:.3f} s, so the parse is {:.2f} times that\n", own, parse.busy / own);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    fmt::print(stderr, "import_split FILE BENCH\n");
    return 2;
  }
  return run(argv[1], argv[2]);
}
