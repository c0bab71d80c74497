// Boards made of lists and of nothing, as their user makes them.
#include <algorithm>
#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/support/program.hpp"

using namespace landfall;

namespace {

const std::string kBalls = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4-u1-balls.csv";
const std::string kNetlist = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4.net";
const std::string kBoard = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4.kicad_pcb";

}  // namespace

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
  CHECK(bench.json("alias lists accept 'U1:CH0_*=J1:*'")["added"] == 48);
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

TEST_CASE("beside a second list a lost ball still counts, named or not, since no file says what joins what") {
  const testing::ProgramBench bench;
  const auto list = [&](const char* file, const char* text) {
    std::ofstream(bench.folder.file(file)) << text;
    return bench.folder.file(file).string();
  };
  const std::string u1 =
      list("u1.csv", "Ball,Name\nA1,CLK_A\nA2,GND\nB1,USB_DP\nB2,\nB3,\nC1,D0\nC2,D1\nC3,D2\n");
  const std::string j1 = list("j1.csv", "Pin,Name\n1,D0\n2,D1\n3,D2\n4,GND\n5,SIG\n6,\n");
  REQUIRE(bench("import " + u1 + " --name two --part U1").code == 0);
  REQUIRE(bench("job new two U1 --safety-critical no").code == 0);
  REQUIRE(bench("mark 1 B1=torn B2=torn B3=torn").code == 0);
  CHECK(bench.json("assess 1")["jumpers"]["count"] == 3);
  REQUIRE(bench("import " + j1 + " --into two --part J1").code == 0);
  const auto answer = bench.json("assess 1");
  CHECK(answer["jumpers"]["count"] == 3);
  CHECK(answer["jumpers"]["bound"] == true);
  // The ball without a name is no hindrance to joining the others by theirs.
  CHECK(bench.json("net two D0")["pins"].size() == 2);
}

TEST_CASE("ball list, netlist and board of one design give one board in any order") {
  const testing::ProgramBench bench;
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

TEST_CASE("the very same file again changes nothing and says so, another file of that name is announced") {
  const testing::ProgramBench bench;
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
  const testing::ProgramBench bench;
  const std::string file = bench.write("x.csv", "ball,name\nA1,DQ0\nA2,DQ1\nhello there\nB1,DQ2\n");
  const auto looked = bench.json("import --look " + file)["looked"][0];
  CHECK(looked["pins"] == 3);
  CHECK(looked["first"][1]["function"] == "DQ1");
  CHECK(std::any_of(looked["warnings"].begin(), looked["warnings"].end(), [](const auto& w) {
    return w["line"] == 4 && w["message"].template get<std::string>().find("hello") != std::string::npos;
  }));
  CHECK(bench.json("board list")["boards"].empty());
}

TEST_CASE(
    "marks on rubbed sites are kept and listed, a whole table names a bare package, a file's sites stay") {
  const testing::ProgramBench bench;
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

TEST_CASE("a look says what each column is for, and takes a correction that the import then takes too") {
  const testing::ProgramBench bench;
  const std::string file = bench.folder.file("table.csv").string();
  std::ofstream(file) << "Name,Ball,Also\nVDD,A1,E1\nDQ0,A2,E2\nGND,B1,E3\nDQ1,B2,E4\n";
  const auto looked = bench.json("import --look --columns name,-,ball " + file)["looked"][0];
  REQUIRE(looked["columns"].size() == 3);
  CHECK(looked["columns"][0]["use"] == "name");
  CHECK(looked["columns"][1]["use"] == "-");
  CHECK(looked["columns"][1]["balls"] == 4);
  CHECK(looked["columns"][2]["heading"] == "Also");
  CHECK(looked["first"][0]["pin"] == "E1");
  CHECK(bench("import --look --columns name,-,ball " + file).out.find("--columns name,-,ball\n") !=
        std::string::npos);
  CHECK(bench("import --look --columns ball,-,ball " + file).code == 3);
  CHECK(bench.json("board list")["boards"].empty());
  REQUIRE(bench("import --columns name,-,ball " + file).code == 0);
  CHECK(bench("pins table U1").out.find("E2") != std::string::npos);
}

TEST_CASE("a bench file is rescued into a new one, which opens, never over one that is there") {
  const testing::ProgramBench bench;
  REQUIRE(bench("import " + kBalls + " --name lists").code == 0);
  const std::string old = bench.folder.file("bench.sqlite").string();
  const std::string out = bench.folder.file("saved.sqlite").string();
  const auto answer = bench.json("bench rescue " + old + " " + out);
  CHECK(answer["whole"] == true);
  CHECK(std::any_of(answer["tables"].begin(), answer["tables"].end(),
                    [](const auto& t) { return t["table"] == "pin" && t["kept"] > 100; }));
  CHECK(bench("bench rescue " + old + " " + out).code == 2);
  CHECK(testing::shell(LANDFALL_PROGRAM " --bench " + out + " board list").out.find("lists") !=
        std::string::npos);
  CHECK(bench("bench rescue " + kBoard + " " + out + "2").code == 4);
}

TEST_CASE(
    "odd imports say what they are: one part, a folder by its dot, a dangling link, a repeated heading") {
  const testing::ProgramBench bench;
  const std::string table =
      "Table 7. Balls (continued)\nBall   Signal   Type\nA1     VSS      GND\nA2     DQ0      I/O\nB1     "
      "DQ1     "
      " I/O\nTable 7. Balls (continued)\nBall   Signal   Type\nB2     DQ2      I/O\nB3     VDD      PWR\n";
  const auto list = bench("import " + bench.write("pdf.txt", table));
  CHECK_MESSAGE(list.out.find("pdf: 1 part, 5 pins") != std::string::npos, list.out);
  CHECK(list.out.find("the heading is repeated once") != std::string::npos);
  std::filesystem::create_directories(bench.folder.file("in here"));
  std::ofstream(bench.folder.file("in here/one.csv")) << "ball,name\nA1,X\nA2,Y\nB1,Z\n";
  const auto dot = testing::shell("cd '" + bench.folder.file("in here").string() +
                                  "' && " LANDFALL_PROGRAM " --bench ../other.sqlite import .");
  CHECK_MESSAGE(dot.out.find("in here: 1 part, 3 pins") != std::string::npos, dot.out);
  std::filesystem::create_symlink("/there/is/none", bench.folder.file("link.net"));
  CHECK(bench("import " + bench.folder.file("link.net").string()).out.find("this link leads to nothing") !=
        std::string::npos);
}

TEST_CASE("odd names of files are one line in every answer and one that looks like an option is said to be") {
  const testing::ProgramBench bench;
  const std::string folder = bench.folder.file("n").string();
  std::filesystem::create_directories(folder);
  const std::string odd = folder + "/a\nb\x1B[2J.net";
  std::filesystem::copy_file(kNetlist, odd);
  std::filesystem::copy_file(kNetlist, folder + "/-x.net");
  const auto ran = bench("import '" + odd + "'");
  REQUIRE(ran.code == 0);
  CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 2);
  CHECK(ran.out.find('\x1B') == std::string::npos);
  CHECK(bench.json("board list")["boards"][0]["name"] == "a\\x0Ab\\x1B[2J");
  const auto missing = bench("import '" + folder + "/c\nd.net'");
  CHECK(missing.code == 3);
  CHECK(std::count(missing.out.begin(), missing.out.end(), '\n') == 1);
  CHECK(bench("import ''").out == "landfall: an empty name is no file\n");
  REQUIRE(bench("import '" + odd + "' --name 'c\nd'").code == 0);
  CHECK(bench.json("board list")["boards"][0]["name"] == "a\\x0Ab\\x1B[2J");
  const auto option =
      testing::shell("cd '" + folder + "' && " LANDFALL_PROGRAM " --bench ../o.sqlite import -x.net");
  CHECK(option.code == 2);
  CHECK(option.out == "landfall: -x.net is read as options; ./-x.net names the file\n");
  CHECK(testing::shell("cd '" + folder + "' && " LANDFALL_PROGRAM " --bench ../o.sqlite import ./-x.net")
            .code == 0);
}

TEST_CASE("an import that is interrupted says so and leaves the bench as it was") {
  const testing::ProgramBench bench;
  std::string big = "(export (version \"E\") (components) (nets\n";
  for (int i = 0; i < 200'000; ++i)
    big += "(net (code \"" + std::to_string(i) + "\") (name \"N" + std::to_string(i) +
           "\") (node (ref \"U1\") (pin \"" + std::to_string(i) + "\")))\n";
  bench.write("big.net", big + "))\n");
  const std::string folder = bench.folder.file("").string();
  int stopped = 0;
  for (const char* wait : {"0.1", "0.2", "0.4", "0.8", "1.6", "3.2"}) {
    CAPTURE(wait);
    // Whenever it comes: all of it or none, in one line.
    const auto ran = testing::shell("cd '" + folder + "' && timeout --preserve-status -s INT " + wait +
                                    " " LANDFALL_PROGRAM " --bench i.sqlite import big.net");
    const auto boards =
        testing::shell("cd '" + folder + "' && " LANDFALL_PROGRAM " --bench i.sqlite --json board list");
    const bool kept = boards.out.find("\"big\"") != std::string::npos;
    if (ran.code == 0) CHECK(kept);
    if (ran.code == 2) {
      ++stopped;
      CHECK_FALSE(kept);
      CHECK(ran.out == "landfall: stopped: the bench is as it was\n");
    }
    if (kept || stopped > 1) break;
  }
  CHECK(stopped > 0);  // else a killed program would pass
}
