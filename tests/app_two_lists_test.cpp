// Two ball lists in one import: of one chip they are joined; of two chips the user is asked.
#include <algorithm>
#include <fstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "netdb/model/board_index.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/import.hpp"

using namespace landfall;

namespace {

// A list of the balls from `first` to `last` in rows A to D, each called `prefix` and its own number.
std::string list(const std::string& prefix, int first, int last) {
  std::string text = "ball,name\n";
  for (const char row : {'A', 'B', 'C', 'D'}) {
    for (int column = first; column <= last; ++column) {
      const std::string ball = row + std::to_string(column);
      text += ball + "," + prefix + ball + "\n";
    }
  }
  return text;
}

struct Fixture {
  testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));

  Result<app::ImportReport> import(const std::vector<std::pair<std::string, std::string>>& files,
                                   const std::string& part = "", std::optional<std::int64_t> into = {}) {
    app::ImportRequest request;
    for (const auto& [name, text] : files) {
      std::ofstream(folder.file(name), std::ios::binary) << text;
      request.files.push_back(folder.file(name));
    }
    request.part = part;
    request.into = into;
    return app::import_files(bench, request);
  }
  std::size_t boards() { return bench.boards()->size(); }
};

void check_choice(const Result<app::ImportReport>& report) {
  REQUIRE_FALSE(report.ok());
  CHECK(report.error().code == ErrorCode::kChoice);
  CHECK(report.error().message.find("--part") != std::string::npos);
  CHECK(report.error().message.find("cpu.csv") != std::string::npos);
  CHECK(report.error().message.find("ram.csv") != std::string::npos);
}

}  // namespace

TEST_CASE("two lists that call the same balls otherwise are two chips and the user is asked") {
  Fixture f;
  check_choice(f.import({{"cpu.csv", list("RAM_", 1, 9)}, {"ram.csv", list("DQ", 1, 4)}}));
  CHECK(f.boards() == 0);
  // A grid and plain numbers: a chip and a slot.
  check_choice(f.import({{"cpu.csv", list("RAM_", 1, 9)},
                         {"ram.csv", "pin,name\n1,DQ0\n2,DQ1\n3,DQ2\n4,DQ3\n5,DQ4\n6,DQ5\n"}}));
  CHECK(f.boards() == 0);
  // What the message offers: each by itself, or both as one.
  const auto first = f.import({{"cpu.csv", list("RAM_", 1, 9)}}, "U1");
  REQUIRE(first.ok());
  const auto second = f.import({{"ram.csv", list("DQ", 1, 4)}}, "U2", first->board.id);
  REQUIRE(second.ok());
  CHECK(second->board.parts == 2);
  const auto forced = f.import({{"cpu.csv", list("RAM_", 1, 9)}, {"ram.csv", list("DQ", 1, 4)}}, "U7");
  REQUIRE_MESSAGE(forced.ok(), (forced.ok() ? std::string() : forced.error().message));
  CHECK(forced->board.parts == 1);
  CHECK(forced->board.pins == 36);
  CHECK(forced->disagreements.size() == 16);
  CHECK(BoardIndex(*f.bench.board(forced->board.id)).part("U7") == 0);
}

TEST_CASE("one chip's list in two files is joined, whether the halves share no ball or agree on those") {
  Fixture f;
  const auto halves = f.import({{"one.csv", list("NET_", 1, 5)}, {"two.csv", list("NET_", 6, 9)}});
  REQUIRE(halves.ok());
  CHECK(halves->board.parts == 1);
  CHECK(halves->board.pins == 36);
  const auto overlapping = f.import({{"three.csv", list("MORE_", 1, 5)}, {"four.csv", list("MORE_", 4, 9)}});
  REQUIRE(overlapping.ok());
  CHECK(overlapping->board.parts == 1);
  CHECK(overlapping->disagreements.empty() == false);  // the pins that the one alone has are said
}

TEST_CASE("a small share of other names is a disagreement of one chip's lists and no second chip") {
  Fixture f;
  std::string other = list("NET_", 1, 9);
  other.replace(other.find("NET_A3"), 6, "RESET_");
  const auto report = f.import({{"one.csv", list("NET_", 1, 9)}, {"two.csv", other}});
  REQUIRE(report.ok());
  CHECK(report->board.parts == 1);
  CHECK(std::count_if(report->disagreements.begin(), report->disagreements.end(),
                      [](const auto& d) { return d.kind == "function"; }) == 1);
}

TEST_CASE("a footprint is of another chip than a list with many balls that it has no land for") {
  Fixture f;
  std::string lands = "(footprint \"BGA\" (layer \"F.Cu\")\n";
  for (int column = 1; column <= 9; ++column) {
    lands += "(pad \"A" + std::to_string(column) + "\" smd circle (at " + std::to_string(column) +
             " 0) (size 0.4 0.4) (layers \"F.Cu\"))\n";
  }
  lands += ")\n";
  check_choice(f.import({{"cpu.csv", list("NET_", 1, 9)}, {"ram.csv", lands}}));
  // Some balls without a name are usual.
  const auto report = f.import({{"some.csv", "ball,name\nA1,X\nA2,Y\nA3,Z\n"}, {"ram.csv", lands}});
  REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
  CHECK(report->board.parts == 1);
  CHECK(report->board.pins == 9);
}

TEST_CASE("the lists of a board of two parts come anew in one import and each stays its part's") {
  Fixture f;
  const auto first = f.import({{"cpu.csv", list("RAM_", 1, 9)}}, "U1");
  REQUIRE(first.ok());
  REQUIRE(f.import({{"ram.csv", list("DQ", 1, 4)}}, "U2", first->board.id).ok());
  std::string cpu = list("RAM_", 1, 9);
  cpu.replace(cpu.find("RAM_A3"), 6, "RESET_");
  const auto report = f.import({{"cpu2.csv", cpu}, {"ram2.csv", list("DX_", 1, 4)}}, "", first->board.id);
  REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
  CHECK(report->board.parts == 2);
  const auto board = f.bench.board(first->board.id);
  REQUIRE(board.ok());
  const BoardIndex index(*board);
  REQUIRE(index.part("U2") != kNone);
  CHECK(board->pins[index.pin(index.part("U1"), "A3")].function == "RESET_");
  CHECK(board->pins[index.pin(index.part("U2"), "B2")].function == "DX_B2");
}
