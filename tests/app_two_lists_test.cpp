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

namespace {

// A boundary-scan description of rows A to D: signals are called after their balls, as makers of FPGAs do.
std::string boundary_scan(int columns, const std::string& supply) {
  std::string ports;
  std::string map;
  for (const char row : {'A', 'B', 'C', 'D'}) {
    for (int column = 1; column <= columns; ++column) {
      const std::string ball = row + std::to_string(column);
      const std::string name = column == 1 ? supply + row : "IO_" + ball;
      ports += (ports.empty() ? "" : ";\n") + name + (column == 1 ? " : linkage bit" : " : inout bit");
      map += (map.empty() ? "" : ",") + name + ":" + ball;
    }
  }
  return "entity GATES is\ngeneric (PHYSICAL_PIN_MAP : string := \"BGA\");\nport (" + ports +
         ");\nuse STD_1149_1_2001.all;\nattribute PIN_MAP of GATES : entity is PHYSICAL_PIN_MAP;\n"
         "constant BGA : PIN_MAP_STRING := \"" +
         map + "\";\nend GATES;\n";
}

// The maker's ball list of the same: the first column is supplies, the others signals of a bank.
std::string maker_list(int columns) {
  std::string text = "ball,name\n";
  for (const char row : {'A', 'B', 'C', 'D'}) {
    for (int column = 1; column <= columns; ++column) {
      const std::string ball = row + std::to_string(column);
      const std::string number = std::to_string((row - 'A') * columns + column);
      text += ball + "," + (column == 1 ? std::string("VDD") + row : "IO_L" + number + "P_T0_14") + "\n";
    }
  }
  return text;
}

}  // namespace

TEST_CASE("a boundary-scan description and the maker's list with the same balls are one chip") {
  Fixture f;
  const auto report = f.import({{"gates.bsd", boundary_scan(9, "VDD")}, {"gates.csv", maker_list(9)}});
  REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
  CHECK(report->board.parts == 1);
  CHECK(report->board.pins == 36);
  CHECK(report->disagreements.empty());
  CHECK(
      std::count(report->notes.begin(), report->notes.end(),
                 "gates.bsd and gates.csv are taken as one chip's: 36 of 36 balls are in both, and 32 names "
                 "that only repeat their ball say nothing against it") == 1);
  // The name that tells more is the pin's, whichever file came first.
  const auto board = f.bench.board(report->board.id);
  REQUIRE(board.ok());
  const BoardIndex index(*board);
  CHECK(board->pins[index.pin(0, "B3")].function == "IO_L12P_T0_14");
  CHECK(board->pins[index.pin(0, "B1")].function == "VDDB");
}

TEST_CASE(
    "a boundary-scan description of other balls or other supplies than the list's is the user's choice") {
  Fixture f;
  // Moved by two columns the list has seven of the description's nine in each row: 28 of 36.
  std::string moved = "ball,name\n";
  for (const char row : {'A', 'B', 'C', 'D'}) {
    for (int column = 3; column <= 11; ++column)
      moved += row + std::to_string(column) + ",IO_L" + std::to_string(column) + row + "\n";
  }
  const auto apart = f.import({{"gates.bsd", boundary_scan(9, "VDD")}, {"moved.csv", moved}});
  REQUIRE_FALSE(apart.ok());
  CHECK(apart.error().code == ErrorCode::kChoice);
  CHECK(apart.error().message.find("share 28 of 36 balls") != std::string::npos);
  // The same balls, but ground where the other has a supply: all four names that say something differ.
  const auto other = f.import({{"gates.bsd", boundary_scan(9, "GND")}, {"list.csv", maker_list(9)}});
  REQUIRE_FALSE(other.ok());
  CHECK(other.error().code == ErrorCode::kChoice);
  CHECK(other.error().message.find("share 36 of 36 balls") != std::string::npos);
  CHECK(other.error().message.find("call 4 of the 4") != std::string::npos);
}

TEST_CASE("a list that is on the bench already is said so whatever other boards hold it") {
  Fixture f;
  const auto first = f.import({{"one.csv", list("NET_", 1, 5)}});
  REQUIRE(first.ok());
  REQUIRE(f.import({{"two.csv", list("NET_", 6, 9)}}).ok());
  app::ImportRequest request;
  request.files = {f.folder.file("one.csv"), f.folder.file("two.csv")};
  request.name = "both";
  REQUIRE(app::import_files(f.bench, request).ok());
  REQUIRE(f.boards() == 3);
  // With a name of its own it is the board of this file alone, which is not the last that holds the file.
  request.files = {f.folder.file("one.csv")};
  request.name = "mine";
  const auto again = app::import_files(f.bench, request);
  REQUIRE(again.ok());
  CHECK(again->unchanged);
  CHECK(again->board.id == first->board.id);
  CHECK(f.boards() == 3);
  // As another part's it is another board, and the bench says where it has the file.
  const auto part = f.import({{"one.csv", list("NET_", 1, 5)}}, "U9");
  REQUIRE(part.ok());
  CHECK_FALSE(part->unchanged);
  CHECK(std::any_of(part->notes.begin(), part->notes.end(), [](const std::string& note) {
    return note.find("the bench has this very file already, on") != std::string::npos;
  }));
  CHECK(std::none_of(part->notes.begin(), part->notes.end(), [](const std::string& note) {
    return note.find("from other files") != std::string::npos;
  }));
}
