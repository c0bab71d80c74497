// Boards made of lists and of nothing, from the command line.
#include <algorithm>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/support/program.hpp"

namespace {

using Bench = landfall::testing::ProgramBench;

const std::string kBalls = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4-u1-balls.csv";
const std::string kNetlist = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4.net";
const std::string kBoard = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4.kicad_pcb";

}  // namespace

TEST_CASE("a processor's list and a slot make a board with far ends, once the names are accepted") {
  const Bench bench;
  CHECK(bench.json("board slots")["slots"].size() == 15);
  REQUIRE(bench("import " + kBalls + " --name chart").code == 0);
  REQUIRE(bench("board add chart J1 --slot ddr3-sodimm").code == 0);
  CHECK(bench("board add chart J1 --slot ddr3-sodimm").code == 2);
  CHECK(bench("board add chart J2 --slot isa").code == 1);
  CHECK(bench.json("parts chart")["parts"].size() == 2);
  CHECK(bench.json("net chart CH0_D5")["pins"].size() == 1);  // nothing is joined in silence
  CHECK(bench("alias chart accept U1:CH0_X*=J1:Y*").code == 1);
  CHECK(bench("alias chart accept U1:CH0_D*=J1:DQ* U1:CH0_A*=J1:A*").code == 0);
  const auto net = bench.json("net chart CH0_D5");
  CHECK(net["pins"].size() == 2);
  CHECK(bench("why chart CH0_D5").out.find("joined by name: U1's CH0_D5 is J1's DQ5") != std::string::npos);
  const auto list = bench.json("alias chart list");
  CHECK(list["aliases"].size() == 16 + 14);
  CHECK(list["joined"] == 16 + 14);
  // Counts are bounds, and the wire goes to the slot.
  const std::string ball = [&] {
    const auto pins = bench.json("pins chart U1");
    for (const auto& pin : pins["pins"]) {
      if (pin["net"] == "CH0_D5") return pin["pin"].get<std::string>();
    }
    return std::string();
  }();
  REQUIRE(bench("job new chart U1 --safety-critical no").code == 0);
  REQUIRE(bench("mark 1 " + ball + "=torn").code == 0);
  const auto assessed = bench.json("assess 1");
  CHECK(assessed["jumpers"]["bound"] == true);
  CHECK(assessed["jumpers"]["count"] == 1);
  const auto plan = bench.json("plan 1");
  REQUIRE(plan["jumpers"].size() == 1);
  CHECK(plan["jumpers"][0].dump().find("J1") != std::string::npos);
  // Taken back, the far end is gone.
  CHECK(bench("alias chart remove --all").code == 0);
  CHECK(bench.json("net chart CH0_D5")["pins"].size() == 1);
  CHECK(bench("alias chart remove 4711").code == 1);
  CHECK(bench("alias chart add CH0_D5 J1:DQ7").code == 0);
  CHECK(bench.json("net chart CH0_D5")["pins"].size() == 2);
}

TEST_CASE("ball list, netlist and board of one design give one board in any order") {
  const Bench bench;
  const std::vector<std::vector<std::string>> orders{
      {kBalls, kNetlist, kBoard}, {kBoard, kBalls, kNetlist}, {kNetlist, kBoard, kBalls}};
  for (std::size_t i = 0; i < orders.size(); ++i) {
    const std::string name = "b" + std::to_string(i);
    REQUIRE(bench("import --name " + name + " " + orders[i][0]).code == 0);
    for (std::size_t n = 1; n < orders[i].size(); ++n) {
      const auto ran = bench("import --into " + name + " " + orders[i][n]);
      REQUIRE_MESSAGE(ran.code == 0, ran.out);
    }
    CHECK(bench.json("parts " + name)["parts"] == bench.json("parts b0")["parts"]);
    CHECK(bench.json("pins " + name)["pins"] == bench.json("pins b0")["pins"]);
  }
  const auto pins = bench.json("pins b0 U1")["pins"];
  CHECK(std::all_of(pins.begin(), pins.end(), [](const auto& pin) { return !pin["function"].is_null(); }));
}

TEST_CASE("the very same file again changes nothing and says so; another file of that name is announced") {
  const Bench bench;
  REQUIRE(bench("import " + kBoard + " " + kNetlist).code == 0);
  const auto again = bench.json("import " + kBoard);
  CHECK(again["unchanged"] == true);
  CHECK(again["board"] == "skua4");
  CHECK(bench("import " + kBoard).out.find("nothing was changed") != std::string::npos);
  CHECK(bench.json("board list")["boards"].size() == 1);
  const std::string other = bench.write("skua4.csv", "ball,name\nA1,X\nA2,Y\nB1,Z\n");
  const auto ran = bench("import " + other);
  CHECK(ran.code == 0);
  CHECK(ran.out.find("there is a board skua4 already") != std::string::npos);
}

TEST_CASE("a look keeps nothing and lists what was not understood") {
  const Bench bench;
  const std::string file = bench.write("x.csv", "ball,name\nA1,DQ0\nA2,DQ1\nhello there\nB1,DQ2\n");
  const auto looked = bench.json("import --look " + file)["looked"][0];
  CHECK(looked["pins"] == 3);
  CHECK(looked["first"][1]["function"] == "DQ1");
  CHECK(std::any_of(looked["warnings"].begin(), looked["warnings"].end(), [](const auto& w) {
    return w["line"] == 4 && w["message"].template get<std::string>().find("hello") != std::string::npos;
  }));
  CHECK(bench.json("board list")["boards"].empty());
}

TEST_CASE("a bare package: sites rubbed out, put back and named; marked and assessed like any other") {
  const Bench bench;
  REQUIRE(bench("board new bare --package 6x6 --pitch 0.8").code == 0);
  REQUIRE(bench("job new bare U1 --safety-critical no").code == 0);
  CHECK(bench("mark 1 C3=torn A1=torn").code == 0);
  const auto rubbed = bench.json("board rub bare U1 C3..D4");
  CHECK(rubbed["changed"] == 4);
  REQUIRE(rubbed["notes"].size() == 1);  // the mark on C3 is kept and listed
  CHECK(bench.json("parts bare")["parts"][0]["balls"] == 32);
  CHECK(bench("board rub bare U1 A1..F6").code == 2);
  CHECK(bench("board rub bare U1 what").code == 2);
  CHECK(bench.json("board restore bare U1 C3 D4 D4")["changed"] == 2);
  CHECK(bench.json("parts bare")["parts"][0]["balls"] == 34);
  CHECK(bench.json("parts bare")["parts"][0]["pitch_mm"] == nlohmann::json{0.8, 0.8});
  CHECK(bench.json("parts bare")["parts"][0]["disagreements"].empty());
  CHECK(bench.json("board name bare U1 A1=RESET A2=VSS B2=VSS a02=VSS")["changed"] == 3);
  CHECK(bench("board name bare U1 Z9=X").code == 1);
  CHECK(bench("board name bare U1 A1").code == 2);
  CHECK(bench.json("net bare VSS")["pins"].size() == 2);
  CHECK(bench.json("assess 1")["sites"].size() == 2);
  CHECK(bench("report 1 -o " + bench.folder.file("r.html").string()).code == 0);
  CHECK(bench.json("board name bare U1 B2=")["changed"] == 1);
  CHECK(bench.json("net bare VSS")["pins"].size() == 1);
  // The whole table pasted.
  const std::string table = bench.write("t.csv", "ball,name\nA1,RST\nA2,GND\nA3,SDA\nB1,SCL\n");
  CHECK(bench("import " + table + " --into bare --part U1").code == 0);
  // What a file describes is not rubbed out.
  REQUIRE(bench("import " + kBoard).code == 0);
  CHECK(bench("board rub skua4 U1 C3").code == 3);
}
