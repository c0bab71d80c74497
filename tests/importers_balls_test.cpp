// Ball lists: the sample, the makers' tables of ../shared/boards, and pasted text of many shapes.
#include <algorithm>
#include <iterator>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "importers/ball_list/ball_list.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

using Balls = std::map<std::string, std::string>;

Balls balls_of(const Board& board) {
  Balls balls;
  for (const Pin& pin : board.pins) balls[pin.number] = pin.function;
  return balls;
}

struct Answer {
  bool read = false;
  std::string error, version, notes;
  Balls balls;
  Diagnostics log;
  Board board;
};

Answer read(const std::string& text, const importers::ReadOptions& options = {}) {
  Answer answer;
  const auto design = importers::read_ball_list(text, answer.log, options);
  answer.read = design.has_value();
  for (const Diagnostic& d : answer.log.entries()) {
    if (d.severity == Severity::kError) answer.error = d.code + ": " + d.message;
  }
  if (!design) return answer;
  answer.version = design->version;
  answer.balls = balls_of(design->board);
  answer.board = design->board;
  for (const std::string& note : design->notes) answer.notes += note + "\n";
  return answer;
}

// In whichever form, it is these four.
const Balls kFour{{"A1", "VDD"}, {"A2", "DQ0"}, {"B1", "VSS"}, {"B2", "DQS_P"}};

std::string shared_text(const std::string& name) {
  return testing::read_file(testing::shared_file("boards/" + name));
}

}  // namespace

TEST_CASE("the sample grid comes out as its answer says, the missing ball included") {
  if (!testing::have_shared()) return;
  const auto design = testing::open_design(testing::shared_file("samples/tern9-grid.tsv"));
  const auto answer =
      nlohmann::json::parse(testing::read_file(testing::shared_file("samples/tern9-grid.tsv.json")));
  CHECK(design.format == answer["format"].get<std::string>());
  CHECK(design.version == answer["version"].get<std::string>());
  Balls expected;
  for (const auto& ball : answer["balls"])
    expected[ball["ball"].get<std::string>()] = ball["name"].get<std::string>();
  CHECK(balls_of(design.board) == expected);
  std::string notes;
  for (const std::string& note : design.notes) notes += note + "\n";
  CHECK(notes.find("from the " + answer["view"].get<std::string>()) != std::string::npos);
  for (const auto& site : answer["missing"])
    CHECK(notes.find("1 site without a ball: " + site.get<std::string>()) != std::string::npos);
}

TEST_CASE("the makers' tables give as many balls as boards/INDEX.md counts, one package each") {
  if (!testing::have_shared()) return;
  for (const auto& [file, package, balls] :
       {std::tuple<const char*, const char*, std::size_t>{"balls/ECP5U45-Pinout.csv", "CABGA554", 554},
        {"balls/ECP5U45-Pinout.csv", "CABGA381", 381},
        {"balls/ECP5U45-Pinout.csv", "csfbga285", 285},
        {"balls/ECP5U85-Pinout.csv", "CABGA756", 756},
        {"balls/ECP5U85-Pinout.csv", "554", 554},
        {"balls/ECP5U85-Pinout.csv", "CABGA381", 381},
        {"balls/ECP5U85-Pinout.csv", "CSFBGA285", 285},
        {"balls/AS4C256M16D3.csv", "", 96},
        {"balls/IS43LQ32256A-062BLI.csv", "", 200},
        {"balls/MCIMX6QP5EYM.csv", "", 624},
        {"balls/XC7A35T-CSG324.csv", "", 324},
        {"balls/xc7a35tcsg324_package_pins.csv", "", 212},
        {"balls/xc7k325tffg900_package_pins.csv", "", 582}}) {
    const std::string name(file);
    INFO(name);
    importers::ReadOptions options;
    options.package = package;
    const Answer answer = read(shared_text(file), options);
    REQUIRE(answer.read);
    CHECK(answer.balls.size() == balls);
    CHECK(answer.log.count("not-understood") == 0);
    CHECK(answer.log.count("pin-twice") == 0);
  }
}

TEST_CASE(
    "names come from the right column: the two tables of the XC7A35T agree on 212 of 212 (boards/INDEX.md)") {
  if (!testing::have_shared()) return;
  const Balls all = read(shared_text("balls/XC7A35T-CSG324.csv")).balls;
  const Balls some = read(shared_text("balls/xc7a35tcsg324_package_pins.csv")).balls;
  for (const auto& [ball, name] : some) {
    REQUIRE(all.contains(ball));
    CHECK(all.at(ball) == name);
  }
}

TEST_CASE(
    "ground balls of the maker's table lie on the board's ground: ECP5U85 and homebrew-ecp5-cm, all 113") {
  if (!testing::have_shared()) return;
  importers::ReadOptions options;
  options.package = "CABGA381";
  const Balls balls = read(shared_text("balls/ECP5U85-Pinout.csv"), options).balls;
  const auto design =
      testing::open_design(testing::shared_file("boards/kicad_pcb/homebrew-ecp5-cm.kicad_pcb"));
  std::size_t grounds = 0;
  std::size_t pins = 0;
  for (const Pin& pin : design.board.pins) {
    if (design.board.parts[pin.part].reference != "U9") continue;
    ++pins;
    REQUIRE(balls.contains(pin.number));
    if (balls.at(pin.number) != "GND") continue;
    ++grounds;
    REQUIRE(pin.net != kNone);
    CHECK(design.board.nets[pin.net].name == "GND");
  }
  CHECK(pins == 381);
  CHECK(grounds == 113);
}

TEST_CASE("several packages and no choice: the packages are listed and nothing is read") {
  if (!testing::have_shared()) return;
  const std::string text = shared_text("balls/ECP5U45-Pinout.csv");
  const Answer none = read(text);
  CHECK_FALSE(none.read);
  CHECK(none.error.starts_with("choice: "));
  for (const char* package : {"CABGA554 (554 balls)", "CABGA381 (381 balls)", "CSFBGA285 (285 balls)"})
    CHECK(none.error.find(package) != std::string::npos);
  importers::ReadOptions options;
  options.package = "BGA";
  CHECK(read(text, options).error.starts_with("choice: "));
  Diagnostics log;
  const auto design = importers::read_design(text, "x.csv", log);
  REQUIRE_FALSE(design.ok());
  CHECK(design.error().code == ErrorCode::kChoice);
}

TEST_CASE("one list in many shapes is the same four balls") {
  for (const char* text :
       {"Ball,Name\nA1,VDD\nA2,DQ0\nB1,VSS\nB2,DQS_P\n",
        "Name;Ball\nVDD;A1\nDQ0;A2\nVSS;B1\nDQS_P;B2\n",
        "A1\tVDD\r\nA2\tDQ0\r\nB1\tVSS\r\nB2\tDQS_P",
        "VDD\tA1\nDQ0\tA2\nVSS\tB1\nDQS_P\tB2\n",
        "Ball,Name,Ball,Name\nA1,VDD,B1,VSS\nA2,DQ0,B2,DQS_P\n",
        "Name,Ball,Name,Ball\nVDD,A1,VSS,B1\nDQ0,A2,DQS_P,B2\n",
        "A1 VDD A2 DQ0\nB1 VSS B2 DQS_P\n",
        "A1 VDD\nA2 DQ0\nB1 VSS\nB2 DQS_P\n",
        "VDD A1\nDQ0 A2\nVSS B1\nDQS_P B2\n",
        "A1\nVDD\nA2\nDQ0\nB1\nVSS\nB2\nDQS_P\n",
        "VDD | A1\nDQ0 | A2\nVSS | B1\nDQS_P | B2\n",
        "Ball,Name\nA1,VDD\nA2,DQ0\nBall,Name\nB1,VSS\nB2,DQS_P\n",
        "a01,VDD\na02,DQ0\nb01,VSS\nb02,DQS_P\n",
        "\357\273\277Ball,Signal Name,Type\n\"A1\",\"VDD\",Power\nA2,DQ0,I/O\nB1,VSS,Ground\nB2,DQS_P,I/O\n",
        "TOP VIEW\n,1,2\nA,VDD,DQ0\nB,VSS,DQS_P\n",
        "    1    2\nA   VDD  DQ0\nB   VSS  DQS_P\n",
        "1 2\nA VDD DQ0\nB VSS DQS_P\n",
        ",2,1\nA,DQ0,VDD\nB,DQS_P,VSS\n",
        ",A,B\n1,VDD,VSS\n2,DQ0,DQS_P\n",
        ",1\nA,VDD\nB,VSS\n,2\nA,DQ0\nB,DQS_P\n"}) {
    INFO(std::string(text));
    const Answer answer = read(text);
    if (std::string(text).starts_with(",1\nA")) {
      CHECK_FALSE(answer.read);  // a single number over a column is no line of numbers
      continue;
    }
    REQUIRE(answer.read);
    CHECK(answer.balls == kFour);
    CHECK(answer.log.entries().empty());
  }
}

TEST_CASE("UTF-16 out of a spreadsheet, no-break spaces and long dashes read as plain text") {
  std::string wide = "\xFF\xFE";
  for (const char c : std::string("A1\tVDD\nA2\tDQ0\nB1\tVSS\nB2\tDQS_P\n")) {
    wide += c;
    wide += '\0';
  }
  CHECK(read(wide).balls == kFour);
  CHECK(read("GND|A1\xE2\x80\x93"
             "A3\xC2\xA0\nVDD|B1, B2\nDQ0|B3\n")
            .balls ==
        Balls{{"A1", "GND"}, {"A2", "GND"}, {"A3", "GND"}, {"B1", "VDD"}, {"B2", "VDD"}, {"B3", "DQ0"}});
}

TEST_CASE("one name and many balls: lists and ranges within one row or column, never across") {
  const Balls expected{{"A1", "GND"}, {"A4", "GND"}, {"B7", "GND"}, {"B8", "GND"},
                       {"B9", "GND"}, {"C1", "VDD"}, {"D1", "VDD"}};
  CHECK(read("Name|Balls\nGND|A1, A4, B7-B9\nVDD|C1-D1\n").balls == expected);
  CHECK(read("GND,A1,A4,B7-B9\nVDD,C1,D1\n").balls == expected);
  CHECK(read("GND: A1 A4 B7 B8 B9\nVDD: C1 D1\n").balls == expected);
  const Answer across =
      read("Name|Balls\nGND|A1, A2\nVDD|C1-D2\nX|B1\nY|B2\nZ|B3\nU|B4\nV|B5\nW|B6\nT|B7\nS|B8\n");
  CHECK(across.balls.size() == 10);
  CHECK(across.log.count("not-understood") == 1);
}

TEST_CASE("ranges with dots or a colon or the word to are as many balls in tables and in lines of words") {
  const Balls expected{{"A1", "GND"}, {"A2", "GND"}, {"A3", "GND"}, {"B1", "VDD"},
                       {"B2", "VDD"}, {"B3", "VDD"}, {"C1", "DQ0"}, {"C2", "DQ1"}};
  for (const std::string sign : {"-", "..", "...", ":", "~", " to ", " - ", " .. ", " through "}) {
    CAPTURE(sign);
    const std::string one = "A1" + sign + "A3";
    const std::string two = "B1" + sign + "B3";
    CHECK(read("Name,Balls\nGND," + one + "\nVDD," + two + "\nDQ0,C1\nDQ1,C2\n").balls == expected);
    CHECK(read("Balls\tName\n" + one + "\tGND\n" + two + "\tVDD\nC1\tDQ0\nC2\tDQ1\n").balls == expected);
    CHECK(read("Name Balls\nGND " + one + "\nVDD " + two + "\nDQ0 C1\nDQ1 C2\n").balls == expected);
  }
  // Every line with a range, and ranges before their names.
  const Balls ranges(expected.begin(), std::next(expected.begin(), 6));
  CHECK(read("GND A1 to A3\nVDD B1 to B3\n").balls == ranges);
  CHECK(read("A1 to A3 GND\nB1 to B3 VDD\n").balls == ranges);
  // A dash behind a ball is its name, or that there is none.
  CHECK(read("A1 - A2 DQ0\nB1 DQ1 B2 -\nC1 DQ2 C2 DQ3\n").balls ==
        Balls{{"A1", "-"}, {"A2", "DQ0"}, {"B1", "DQ1"}, {"B2", "-"}, {"C1", "DQ2"}, {"C2", "DQ3"}});
}

TEST_CASE("a list that numbers its columns by its own words can be read with --columns") {
  const std::string text = "net_at_tester,x,y\nDQ7,A1,r1\nDQ6,A2,r2\nDQ5,A3,r3\n";
  importers::ReadOptions options;
  options.columns = "2,1";
  CHECK(read(text, options).balls == Balls{{"A1", "DQ7"}, {"A2", "DQ6"}, {"A3", "DQ5"}});
  options.columns = "x,y";
  CHECK(read(text, options).balls == Balls{{"A1", "r1"}, {"A2", "r2"}, {"A3", "r3"}});
  options.columns = "7,1";
  CHECK(read(text, options).error.starts_with("choice: "));
}

TEST_CASE("columns that were named and hold no ball are refused and not read as something else") {
  for (const std::string columns : {"2,1", "name,ball", "Name,Ball"}) {
    CAPTURE(columns);
    importers::ReadOptions options;
    options.columns = columns;
    Diagnostics log;
    CHECK_FALSE(importers::read_ball_list("Ball,Name\nA1,VDD\nA2,GND\nB1,DQ0\n", log, options));
    REQUIRE(log.entries().size() >= 1);
    CHECK(log.entries().back().severity == Severity::kError);
    CHECK(log.entries().back().message ==
          "no ball stands where the named columns (" + columns + ") have the balls");
  }
}

TEST_CASE("a grid without numbers counts from the side that --view says, and says when it assumed one") {
  const std::string text = "A\tVDD\tDQ0\tNC\nB\tVSS\tDQS_P\tNC\nC\tVSS\tVSS\tVDD\n";
  const Answer top = read(text);
  CHECK(top.balls.at("A1") == "VDD");
  CHECK(top.notes.find("taken as seen from the top") != std::string::npos);
  importers::ReadOptions options;
  options.view = "bottom";
  CHECK(read(text, options).balls.at("A3") == "VDD");
  CHECK(read("BOTTOM VIEW\n" + text).balls.at("A3") == "VDD");
}

TEST_CASE("grid blocks side by side in the pages of a data sheet are joined by row letters") {
  const Answer answer = read("\t1\t2\nA\tVDD\tDQ0\nB\tVSS\tDQ1\n\t3\t4\nA\tDQ2\tVSS\nB\t\tVDD\n");
  CHECK(answer.balls.size() == 7);
  CHECK(answer.balls.at("A4") == "VSS");
  CHECK_FALSE(answer.balls.contains("B3"));
  CHECK(answer.notes.find("B3") != std::string::npos);
}

TEST_CASE("what is not understood is listed with its line, a broken name is joined and said") {
  const Answer answer = read("A1 VDD\nA2 DDR_\nDQ0\nsee the notes on page 4 of this sheet\nB1 VSS\nA1 VSS\n");
  CHECK(answer.balls == Balls{{"A1", "VDD"}, {"A2", "DDR_DQ0"}, {"B1", "VSS"}});
  std::vector<std::pair<std::string, std::size_t>> said;
  for (const Diagnostic& d : answer.log.entries()) said.emplace_back(d.code, d.line);
  CHECK(said == std::vector<std::pair<std::string, std::size_t>>{
                    {"joined", 3}, {"not-understood", 4}, {"pin-twice", 6}});
}

TEST_CASE("a page's title between the rows of a table is listed and no part of the name before it") {
  const Answer answer = read(
      "Ball\tName\tType\nA1\tVDD\tpwr\nA2\tDDR_\tio\n\tDQ0\t\n\tPin descriptions, page 2\t\nB1\tVSS\tpwr\n"
      "B2\tCLK\tin\n");
  CHECK(answer.balls == Balls{{"A1", "VDD"}, {"A2", "DDR_DQ0"}, {"B1", "VSS"}, {"B2", "CLK"}});
  std::vector<std::pair<std::string, std::size_t>> said;
  for (const Diagnostic& d : answer.log.entries()) said.emplace_back(d.code, d.line);
  // A name that was broken goes on without a blank; words of a sentence do not.
  CHECK(said == std::vector<std::pair<std::string, std::size_t>>{{"joined", 4}, {"not-understood", 5}});
}

TEST_CASE("names that say not connected are no net, supplies of one name are one net") {
  const Answer answer = read("ball,name\nA1,VDD\nA2,VDD\nB1,NC\nB2,DNU\nC1,RFU3\nC2,DQ0\n");
  CHECK(answer.board.nets.size() == 2);
  CHECK(std::count_if(answer.board.pins.begin(), answer.board.pins.end(),
                      [](const Pin& p) { return p.net == kNone; }) == 3);
}

TEST_CASE("plain numbers count as pins only where no column has letters and digits") {
  CHECK(read("pin,name,class\n1,VSS,ground\n2,DQ4,dq\n3,DQ0,dq\n").balls ==
        Balls{{"1", "VSS"}, {"2", "DQ4"}, {"3", "DQ0"}});
  CHECK(read("PAD,name,BG256\n1,VSS,A1\n2,DQ4,A2\n3,DQ0,-\n").balls == Balls{{"A1", "VSS"}, {"A2", "DQ4"}});
}

TEST_CASE("text without balls is refused in one line") {
  for (const char* text : {"hello world\nthis is a letter\n", "a,b,c\nx,y,z\n", "1,2\n3,4\n",
                           "int main() {\n}\n", ",,,\n,,,\n"}) {
    const Answer answer = read(text);
    INFO(std::string(text));
    CHECK_FALSE(answer.read);
    CHECK(answer.error.starts_with("format: "));
  }
}

TEST_CASE("a use for each column is said in words, and the look says what each was taken for") {
  // The headings mislead: what is called Name holds the balls.
  const std::string text = "Name\tBall\tDirection\nVDD_3V\tA1\tpwr\nDQ0\tA2\tio\nVSS\tB1\tpwr\n";
  Diagnostics log;
  const auto look = importers::look_at_ball_list(text, log);
  REQUIRE(look.design);
  REQUIRE(look.columns.size() == 3);
  CHECK(look.columns[0].use == importers::ColumnUse::kName);
  CHECK(look.columns[1].use == importers::ColumnUse::kBall);
  CHECK(look.columns[1].balls == 3);
  CHECK(look.columns[2].use == importers::ColumnUse::kType);
  CHECK(look.columns[0].first == std::vector<std::string>{"VDD_3V", "DQ0", "VSS"});
  importers::ReadOptions options;
  options.columns = "name,ball,-";
  CHECK(read(text, options).balls == balls_of(look.design->board));
  options.columns = "-,ball,Name";
  CHECK(read(text, options).balls == Balls{{"A1", "pwr"}, {"A2", "io"}, {"B1", "pwr"}});
  // Headings of just these words stand before uses of that name; one more column makes it plain.
  const std::string turned = "name,ball\nA1,A9\nA2,B9\nB1,C9\n";
  options.columns = "ball,name";
  CHECK(read(turned, options).balls == Balls{{"A9", "A1"}, {"B9", "A2"}, {"C9", "B1"}});
  options.columns = "ball,name,-";
  CHECK(read(turned, options).balls == Balls{{"A1", "A9"}, {"A2", "B9"}, {"B1", "C9"}});
  for (const char* bad : {"ball,-,-", "-,-,-", "ball,name,name", "ball,name,-,type", "ball,name,what"}) {
    options.columns = bad;
    const Answer refused = read(text, options);
    CHECK_FALSE(refused.read);
    CHECK(refused.error.starts_with("choice"));
  }
}

TEST_CASE("where a choice of package is left, the look shows the columns nonetheless") {
  const std::string text = "Signal,BGA 9,BGA 4\nVDD,A1,B1\nDQ0,A2,A1\nVSS,A3,A2\nCLK,B1,B2\n";
  Diagnostics log;
  const auto look = importers::look_at_ball_list(text, log);
  CHECK_FALSE(look.design);
  REQUIRE(look.columns.size() == 3);
  CHECK(look.columns[1].balls == 4);
  CHECK(look.columns[2].heading == "BGA 4");
  CHECK(look.columns[0].use == importers::ColumnUse::kName);  // the same for all packages
  CHECK(look.columns[1].use == importers::ColumnUse::kSkipped);
  importers::ReadOptions options;
  options.columns = "name,-,ball";
  CHECK(read(text, options).balls == Balls{{"B1", "VDD"}, {"A1", "DQ0"}, {"A2", "VSS"}, {"B2", "CLK"}});
}

TEST_CASE("named columns are read as a table even where the text looks like a grid") {
  const std::string grid = "\t1\t2\t3\nA\tVDD\tA7\tDQ0\nB\tVSS\tB7\tDQ1\nC\tCLK\tC7\tDQ2\n";
  CHECK(read(grid).version == "grid");
  Diagnostics log;
  CHECK(importers::look_at_ball_list(grid, log).columns.empty());
  importers::ReadOptions options;
  options.columns = "-,name,ball,-";
  CHECK(read(grid, options).balls == Balls{{"A7", "VDD"}, {"B7", "VSS"}, {"C7", "CLK"}});
}
