// Boards made of lists and of nothing, as their user makes them.
#include "tests/support/program.hpp"

using namespace landfall;

TEST_CASE("a processor's list and a standard slot become one board by names that were accepted") {
  const testing::ProgramBench bench;
  const std::string list = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4-u1-balls.csv";
  REQUIRE(bench("import " + list + " --name lists").code == 0);
  CHECK(bench.json("board slots")["slots"].size() == 15);
  CHECK(bench.json("board add lists J1 --slot ddr3-sodimm")["parts"] == 2);
  CHECK(bench("board add lists J1 --slot ddr3-sodimm").code == 2);  // the reference is taken
  CHECK(bench("board add lists J2 --slot nothing-such").code == 1);
  // Proposed, and nothing joined yet.
  CHECK(bench.json("net lists CH0_D5")["pins"].size() == 1);
  CHECK(bench.json("alias lists suggest")["suggestions"].size() > 10);
  CHECK(bench("alias lists accept 'U1:NONE=J1:NONE'").code == 1);
  CHECK(bench.json("alias lists accept 'U1:CH0_*=J1:*'")["added"] == 46);
  CHECK(bench("alias lists accept 'U1:CH0_*=J1:*'").code == 1);  // there is nothing more to take
  // DQ5 is pin 6 of the slot: JESD21-C 4.20.18, as netdb/slots has it.
  const auto net = bench.json("net lists CH0_D5");
  REQUIRE(net["pins"].size() == 2);
  CHECK(bench("net lists CH0_D5").out.find("J1.6 ") != std::string::npos);
  REQUIRE(bench("job new lists U1 --safety-critical no").code == 0);
  REQUIRE(bench("mark 1 E4=torn").code == 0);
  const auto answer = bench.json("assess 1");
  CHECK(answer["jumpers"]["count"] == 1);
  CHECK(answer["jumpers"]["bound"] == true);
  CHECK(bench("assess 1").out.find("joined by their names") != std::string::npos);
  CHECK(bench("plan 1").out.find("J1.6") != std::string::npos);
  // Taken back, they part again.
  CHECK(bench("alias lists remove --all").code == 0);
  CHECK(bench.json("net lists CH0_D5")["pins"].size() == 1);
}

TEST_CASE("a bare package: sites rubbed out and put back, balls named, marked and reported") {
  const testing::ProgramBench bench;
  REQUIRE(bench("board new bare --package 6x6 --pitch 0.8").code == 0);
  CHECK(bench.json("board rub bare U1 C3..D4 A1")["changed"] == 5);
  CHECK(bench.json("board restore bare U1 A1")["changed"] == 1);
  CHECK(bench.json("board name bare U1 A1=RESET B1=GND B2=GND")["changed"] == 3);
  CHECK(bench("board name bare U1 C3=X").code == 1);
  CHECK(bench("board rub bare U1 A1..F6").code == 2);
  CHECK(bench.json("net bare GND")["pins"].size() == 2);
  REQUIRE(bench("job new bare U1 --safety-critical no").code == 0);
  REQUIRE(bench("mark 1 A1=torn B1=missing").code == 0);
  const auto answer = bench.json("assess 1");
  CHECK(answer["sites"].size() == 2);
  CHECK(answer["not_inspected"] == 30);
  CHECK(bench("report 1 -o " + bench.folder.file("sheets.html").string()).code == 0);
}
