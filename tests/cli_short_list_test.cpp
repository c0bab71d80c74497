// A short list of names, given to a part that is known already, as its user gives it.
#include <fstream>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "tests/support/program.hpp"

using namespace landfall;

namespace {

const char* const kFour = "ball\tname\nA2\tDQ1\nA4\tDQ2\nB1\tVSS\nB2\tVDD\n";

// 12 x 12 less a hole of 4 x 4 and a corner: 127 sites, two of them named by hand.
void make_bare(const testing::ProgramBench& bench) {
  REQUIRE(bench("board new b --package 12x12 --pitch 0.8").code == 0);
  REQUIRE(bench.json("board rub b U1 E5..H8 A1")["changed"] == 17);
  REQUIRE(bench.json("board name b U1 A2=DQ0 A3=VSS")["changed"] == 2);
}

// 24 rows of 26 balls, each with a name of its own.
std::string table_of_624() {
  static constexpr const char* kRows[] = {"A", "B", "C", "D", "E", "F", "G", "H", "J",  "K",  "L",  "M",
                                          "N", "P", "R", "T", "U", "V", "W", "Y", "AA", "AB", "AC", "AD"};
  std::string text = "ball\tname\n";
  for (const char* row : kRows) {
    for (int column = 1; column <= 26; ++column) text += fmt::format("{0}{1}\tNET_{0}{1}\n", row, column);
  }
  return text;
}

// The name of a pin as `pins` has it; "none" where it is not there.
std::string name_of(const testing::ProgramBench& bench, const std::string& board, const std::string& ball) {
  const auto pins = bench.json("pins " + board);
  for (const auto& pin : pins["pins"]) {
    if (pin["pin"] == ball) return pin["function"].is_string() ? pin["function"] : nlohmann::json("");
  }
  return "none";
}

}  // namespace

TEST_CASE("a short list names sites of a bare package and every other site stays with its pitch") {
  const testing::ProgramBench bench;
  make_bare(bench);
  const std::string four = bench.write("four.tsv", kFour);
  for (const char* part : {"", " --part U1"}) {
    CAPTURE(part);
    const auto ran = bench("import --into b " + four + part);
    REQUIRE_MESSAGE(ran.code == 0, ran.out);
    if (*part == 0) {
      CHECK(ran.out.find("4 of 127 balls named; 123 kept") != std::string::npos);
      CHECK(ran.out.find("U1.A2 was called DQ0 and is now called DQ1") != std::string::npos);
    }
    const auto parts = bench.json("parts b")["parts"];
    REQUIRE(parts.size() == 1);
    CHECK(parts[0]["balls"] == 127);
    CHECK(parts[0]["pitch_mm"][0] == 0.8);
    CHECK(name_of(bench, "b", "A2") == "DQ1");
    CHECK(name_of(bench, "b", "A3") == "VSS");
    CHECK(name_of(bench, "b", "A1") == "none");
  }
  // A second list, and one that names every ball: the sites are the package's all the same.
  const auto second =
      bench("import --into b --part U1 " + bench.write("more.tsv", "ball\tname\nC1\tCLK\nC2\tCKE\n"));
  CHECK(second.out.find("2 of 127 balls named; 125 kept") != std::string::npos);
  CHECK(bench.json("parts b")["parts"][0]["balls"] == 127);
  CHECK(bench.json("net b VSS")["pins"].size() == 2);
}

TEST_CASE("four corrected rows after a table of 624 balls correct four names and orphan no mark") {
  const testing::ProgramBench bench;
  REQUIRE(bench("import --name q " + bench.write("table.tsv", table_of_624())).code == 0);
  REQUIRE(bench("job new q U1 --safety-critical no").code == 0);
  REQUIRE(bench("mark 1 A10..A18=torn").code == 0);
  const auto ran = bench("import --into q --part U1 " + bench.write("four.tsv", kFour));
  REQUIRE_MESSAGE(ran.code == 0, ran.out);
  CHECK(ran.out.find("1 part, 624 pins") != std::string::npos);
  CHECK(ran.out.find("4 of 624 balls named; 620 kept") != std::string::npos);
  CHECK(ran.out.find("no longer on the board") == std::string::npos);
  CHECK(name_of(bench, "q", "B2") == "VDD");
  CHECK(name_of(bench, "q", "B3") == "NET_B3");
  CHECK(bench.json("assess 1")["sites"].size() == 9);
  CHECK(bench.json("assess 1")["jumpers"]["count"] == 9);
}

TEST_CASE("a list that leaves out much of what is known or a marked ball is refused until it is said which") {
  const testing::ProgramBench bench;
  const std::string table = table_of_624();
  REQUIRE(bench("import --name q " + bench.write("table.tsv", table)).code == 0);
  REQUIRE(bench("job new q U1 --safety-critical no").code == 0);
  REQUIRE(bench("mark 1 AD26=torn").code == 0);
  // All but the last row: 598 of 624 are there again, but a mark stands on AD26.
  const std::string less = bench.write("less.tsv", table.substr(0, table.find("AD1\t")));
  const auto marked = bench("import --into q --part U1 " + less);
  CHECK(marked.code == 3);
  CHECK(std::count(marked.out.begin(), marked.out.end(), '\n') == 1);
  for (const char* word : {"26 of U1's 624 balls", "AD26", "job 1", "--replace", "--add"})
    CHECK_MESSAGE(marked.out.find(word) != std::string::npos, marked.out);
  // Two thirds of the rows.
  const std::string third = bench.write("third.tsv", table.substr(0, table.find("T1\t")));
  const auto many = bench("import --into q --part U1 " + third);
  CHECK(many.code == 3);
  CHECK(many.out.find("234 of U1's 624 balls") != std::string::npos);
  CHECK(bench.json("parts q")["parts"][0]["pins"] == 624);
  REQUIRE(bench("import --add --into q --part U1 " + third).code == 0);
  CHECK(bench.json("parts q")["parts"][0]["pins"] == 624);
  const auto replaced = bench("import --replace --into q --part U1 " + less);
  REQUIRE_MESSAGE(replaced.code == 0, replaced.out);
  CHECK(bench.json("parts q")["parts"][0]["pins"] == 598);
  CHECK(replaced.out.find("U1.AD26 is no longer on the board") != std::string::npos);
  CHECK(bench("import --add --replace --into q " + less).code == 2);
}

TEST_CASE("names that a list gives a bare package and names given by hand need the same wires") {
  const testing::ProgramBench bench;
  const auto needs = [&](const std::string& board, int job) {
    REQUIRE(bench("job new " + board + " U1 --safety-critical no").code == 0);
    REQUIRE(bench(fmt::format("mark {} A1=torn A2=torn", job)).code == 0);
    std::string all;
    const auto answer = bench.json(fmt::format("assess {}", job));
    for (const auto& site : answer["sites"])
      all += site["ball"].get<std::string>() + " " + site["need"].get<std::string>() + ", ";
    return all;
  };
  for (const char* name : {"m1", "m2"})
    REQUIRE(bench(std::string("board new ") + name + " --package 10x10 --pitch 0.8").code == 0);
  REQUIRE(bench("board name m1 U1 A1=VSS A2=DQ0").code == 0);
  REQUIRE(bench("import --into m2 --part U1 " +
                bench.write("n2.tsv", "ball\tname\nA1\tVSS\nA2\tDQ0\nB3\tDQS1\nB4\tVSS\n"))
              .code == 0);
  REQUIRE(bench("board name m1 U1 B3=DQS1 B4=VSS").code == 0);
  const std::string by_hand = needs("m1", 1);
  CHECK(by_hand.find("A2 wire") != std::string::npos);
  CHECK(needs("m2", 2) == by_hand);
  CHECK(bench.json("net m2 VSS")["pins"].size() == 2);
  // By hand it goes on.
  CHECK(bench.json("board name m2 U1 B3=DQS0 B5=VSS")["changed"] == 2);
  CHECK(bench.json("net m2 VSS")["pins"].size() == 3);
  CHECK(bench.json("board rub m2 U1 K10")["changed"] == 1);
  CHECK(bench.json("parts m2")["parts"][0]["balls"] == 99);
}

TEST_CASE("what is off the package is refused and a range of balls is named at once") {
  const testing::ProgramBench bench;
  make_bare(bench);
  for (const char* sites : {"E30", "Z3", "A2..A30", "AT1", "E2 E30"}) {
    CAPTURE(sites);
    const auto ran = bench(std::string("board rub b U1 ") + sites);
    CHECK(ran.code != 0);
    CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 1);
  }
  CHECK(bench("board rub b U1 E30").code == 1);
  CHECK(bench("board rub b U1 E30").out.find("U1 has no site E30") != std::string::npos);
  CHECK(bench.json("parts b")["parts"][0]["balls"] == 127);
  // Within the package, but rubbed out already: nothing is wrong.
  CHECK(bench.json("board rub b U1 E5 E4")["changed"] == 1);
  CHECK(bench.json("board name b U1 A5..A8=GND D4..E5=VDD")["changed"] == 6);
  CHECK(bench.json("net b GND")["pins"].size() == 4);
  CHECK(bench.json("net b VDD")["pins"].size() == 2);
  CHECK(bench.json("board name b U1 A5..A8=")["changed"] == 4);
  const auto hole = bench("board name b U1 E5..F6=GND");
  CHECK(hole.code == 1);
  CHECK(hole.out.find("U1 has no ball within E5..F6") != std::string::npos);
  CHECK(bench("board name b U1 A5..A30=GND").code == 1);
  CHECK(bench("board name b U1 A5..=GND").code != 0);
  CHECK(bench("board name b U1 E30=GND").code == 1);
}

TEST_CASE("a look at a list for a board says what would change and keeps nothing") {
  const testing::ProgramBench bench;
  make_bare(bench);
  const std::string four = bench.write("four.tsv", kFour);
  const auto look = bench("import --look --into b --part U1 " + four);
  REQUIRE_MESSAGE(look.code == 0, look.out);
  CHECK(look.out.find("nothing is kept") != std::string::npos);
  CHECK(look.out.find("4 of 127 balls named; 123 kept") != std::string::npos);
  CHECK(look.out.find("U1.A2 was called DQ0 and is now called DQ1") != std::string::npos);
  CHECK(name_of(bench, "b", "A2") == "DQ0");
  CHECK(bench.json("diagnostics b")["files"].empty());
  CHECK(bench.json("import --look --into b " + four)["kept"] == false);
  CHECK(bench.json("import --into b " + four)["kept"] == true);
}
