// An import tells how far it is within a long file and while rows are written, and can be stopped there.
#include <fstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/support/session.hpp"

using namespace landfall;

namespace {

// Lists longer than the steps in which a reader tells how far it is.
constexpr int kMany = 30'000;

std::string kicad_board() {
  std::string text =
      "(kicad_pcb (version 20171130) (layers (0 F.Cu signal) (31 B.Cu signal)) (net 0 \"\") (net 1 A)\n";
  for (int i = 0; i < kMany; ++i)
    text +=
        fmt::format("(segment (start {} 1) (end {} 2) (width 0.2) (layer F.Cu) (net 1))\n", i % 200, i % 200);
  return text +
         "(module R (layer F.Cu) (at 1 1) (fp_text reference R1 (at 0 0) (layer F.SilkS))"
         " (pad 1 smd rect (at 0 0) (size 1 1) (layers F.Cu) (net 1 A))))\n";
}

std::string kicad_netlist() {
  std::string text = "(export (version D) (components (comp (ref U1) (value X)))\n(nets\n";
  for (int i = 0; i < kMany; ++i)
    text += fmt::format("(net (code {0}) (name N{0}) (node (ref U1) (pin {0})))\n", i + 1);
  return text + "))\n";
}

std::string xml_netlist() {
  std::string text =
      "<?xml version=\"1.0\"?><export version=\"D\"><components><comp ref=\"U1\"/></components><nets>\n";
  for (int i = 0; i < kMany; ++i)
    text += fmt::format("<net code=\"{0}\" name=\"N{0}\"><node ref=\"U1\" pin=\"{0}\"/></net>\n", i + 1);
  return text + "</nets></export>\n";
}

std::string test_netlist() {
  std::string text = "P  JOB   MADE\nP  UNITS CUST 0\n";
  for (int i = 0; i < kMany; ++i)
    text += fmt::format("327{:<14}   {:<6}-{:<4}       A01X+{:06}Y+{:06}X0100Y0100R000 S1\n",
                        fmt::format("N{}", i), fmt::format("P{}", i / 100), i % 100, i % 9000, i / 9);
  return text + "999\n";
}

struct Progress {
  explicit Progress(const std::string& text) {
    std::ofstream(folder.file("a.txt"), std::ios::binary) << text;
    auto opened = store::Bench::open(folder.file("b.sqlite"));
    REQUIRE(opened.ok());
    bench.emplace(std::move(opened).value());
  }
  // Stops at the step of that number; -1: never.
  Result<app::ImportReport> import(int stop_at = -1) {
    steps.clear();
    app::ImportRequest request;
    request.files = {folder.file("a.txt")};
    request.on_step = [&](const app::ImportStep& step) {
      steps.push_back(step);
      return static_cast<int>(steps.size()) - 1 != stop_at;
    };
    return app::import_files(*bench, request);
  }
  testing::ScratchFolder folder;
  std::optional<store::Bench> bench;
  std::vector<app::ImportStep> steps;
};

}  // namespace

TEST_CASE("a long file of each kind tells how far it is read, and can be stopped within") {
  for (const auto& text : {kicad_board(), kicad_netlist(), xml_netlist(), test_netlist()}) {
    CAPTURE(text.substr(0, 40));
    Progress p(text);
    int within = -1;
    {
      const auto report = p.import();
      REQUIRE_MESSAGE(report.ok(), report.error().message);
      std::uint64_t before = 0;
      for (std::size_t i = 0; i < p.steps.size(); ++i) {
        const app::ImportStep& step = p.steps[i];
        if (step.stage != app::ImportStage::kReading) break;
        CHECK(step.bytes_done >= before);
        CHECK(step.bytes_total == text.size());
        before = step.bytes_done;
        if (step.bytes_done > text.size() / 4 && step.bytes_done < text.size()) within = static_cast<int>(i);
      }
      REQUIRE(p.bench->remove_board(report->board.id, false).ok());
    }
    REQUIRE(within > 0);
    const auto stopped = p.import(within);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().message == "stopped: the bench is as it was");
    CHECK(static_cast<int>(p.steps.size()) == within + 1);  // nothing more was read
    CHECK(p.bench->boards()->empty());
    CHECK(p.import().ok());  // and again, to its end
  }
}

TEST_CASE("rows are counted while they are written, and stopping there leaves the bench as it was") {
  Progress p(kicad_board());
  REQUIRE(p.import().ok());
  std::vector<int> keeping;
  std::uint64_t before = 0;
  for (std::size_t i = 0; i < p.steps.size(); ++i) {
    if (p.steps[i].rows_total == 0) continue;
    CHECK(p.steps[i].rows_done >= before);
    CHECK(p.steps[i].rows_done <= p.steps[i].rows_total);
    CHECK(p.steps[i].rows_total > kMany);
    before = p.steps[i].rows_done;
    keeping.push_back(static_cast<int>(i));
  }
  REQUIRE(keeping.size() > 2);
  CHECK(before > kMany / 2);
  REQUIRE(p.bench->remove_board(1, false).ok());
  for (const int at : {keeping.front(), keeping[keeping.size() / 2], keeping.back()}) {
    CAPTURE(at);
    const auto stopped = p.import(at);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().message == "stopped: the bench is as it was");
    CHECK(p.bench->boards()->empty());
  }
  const auto whole = p.import();
  REQUIRE(whole.ok());
  CHECK(p.bench->board(whole->board.id)->tracks.size() == kMany);
  // A revision that is stopped leaves the board as it was before.
  std::string revised = kicad_board();
  revised.replace(revised.find("(net 1 A)"), 9, "(net 1 B)");
  std::ofstream(p.folder.file("a.txt"), std::ios::binary) << revised;
  app::ImportRequest request;
  request.files = {p.folder.file("a.txt")};
  request.into = whole->board.id;
  request.on_step = [](const app::ImportStep& step) { return step.rows_done == 0; };
  CHECK_FALSE(app::import_files(*p.bench, request).ok());
  const auto board = p.bench->board(whole->board.id);
  REQUIRE(board.ok());
  CHECK(board->nets.front().name == "A");
  CHECK(board->tracks.size() == kMany);
}
