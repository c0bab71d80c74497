// Ball tables as they come out of a PDF: page breaks, names first, empty cells, lists and ranges, maps in
// halves.
#include <algorithm>
#include <sstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "importers/ball_list/ball_list.hpp"
#include "netdb/model/ball_name.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

using Balls = std::map<std::string, std::string>;

struct Answer {
  bool read = false;
  std::string error, notes, warnings;
  Balls balls;
  std::vector<importers::ListColumn> columns;
  Diagnostics log;
};

Answer read(const std::string& text, const std::string& columns = {}) {
  Answer answer;
  importers::ReadOptions options;
  options.columns = columns;
  auto look = importers::look_at_ball_list(text, answer.log, options);
  answer.read = look.design.has_value();
  answer.columns = std::move(look.columns);
  for (const Diagnostic& d : answer.log.entries())
    (d.severity == Severity::kError ? answer.error : answer.warnings) += d.message + "\n";
  if (!look.design) return answer;
  for (const Pin& pin : look.design->board.pins) answer.balls[pin.number] = pin.function;
  for (const std::string& note : look.design->notes) answer.notes += note + "\n";
  return answer;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

struct Ball {
  std::string ball, name, group, kind, direction;
};

// 624 balls in 25 rows and columns with no ball at A1; every sixth is a ground, others have names of their
// own.
std::vector<Ball> package() {
  std::vector<Ball> balls;
  for (int row = 1; row <= 25; ++row) {
    for (int column = 1; column <= 25; ++column) {
      if (row == 1 && column == 1) continue;
      const int n = row * 25 + column;
      Ball own{ball_text({row, column}), fmt::format("RAM{}_A{}", n % 2, n), "", "GPIO",
               n % 3 == 0 ? "Input" : "Output"};
      own.group = n % 4 == 0 ? "VIO_CARD" : "VIO_RAM";
      if (n % 6 == 0) own = {own.ball, "GND", "", "", ""};
      balls.push_back(std::move(own));
    }
  }
  return balls;
}

Balls oracle(const std::vector<Ball>& balls) {
  Balls all;
  for (const Ball& own : balls) all[own.ball] = own.name;
  return all;
}

// Words of a row apart by one blank, empty ones left out.
std::string words(const std::vector<std::string>& cells) {
  std::string line;
  for (const std::string& cell : cells) {
    if (!cell.empty()) line += (line.empty() ? "" : " ") + cell;
  }
  return line + "\n";
}

// Of a table of ../shared: ball, name and type.
std::vector<Ball> shared_balls(const std::string& file) {
  std::vector<Ball> balls;
  std::istringstream in(testing::read_file(testing::shared_file("boards/balls/" + file)));
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    std::istringstream cells(line);
    Ball own;
    std::getline(cells, own.ball, ',');
    std::getline(cells, own.name, ',');
    std::getline(cells, own.group, ',');
    std::getline(cells, own.kind, ',');
    balls.push_back(own);
  }
  return balls;
}

}  // namespace

TEST_CASE("a form feed is a line's end wherever it stands and the lines keep their numbers") {
  const Balls expected{{"A1", "VDD"}, {"A2", "DQ0"}, {"B1", "VSS"}, {"B2", "DQS_P"}};
  for (const char* text : {"A1 VDD\nA2 DQ0\n\fB1 VSS\nB2 DQS_P\n", "A1 VDD\nA2 DQ0\fB1 VSS\nB2 DQS_P\n\f",
                           "A1 VDD\nA2 DQ0\f\nB1 VSS\nB2 DQS_P\n", "\fA1,VDD\nA2,DQ0\n\fB1,VSS\nB2,DQS_P\n",
                           "Ball,Name\r\nA1,VDD\r\nA2,DQ0\r\n\fBall,Name\r\nB1,VSS\r\nB2,DQS_P\r\n"}) {
    INFO(std::string(text));
    CHECK(importers::format_of(text) == "ball-list");
    const Answer answer = read(text);
    CHECK(answer.balls == expected);
    CHECK(answer.warnings.empty());
  }
  const Answer odd = read("A1 VDD\nA2 DQ0\n\fwhat is this line\nB1 VSS\n");
  REQUIRE(odd.log.entries().size() == 1);
  CHECK(odd.log.entries().front().line == 3);
}

TEST_CASE("rows of words with the name first keep their names whatever groups and types stand behind") {
  const auto balls = package();
  const Balls expected = oracle(balls);
  std::string one_group;
  std::string some_empty;
  std::string five;
  Balls of_five;
  for (const Ball& b : balls) {
    one_group += words({b.name, b.ball, "VIO_RAM", "GPIO", "Input"});
    some_empty += words({b.name, b.ball, b.group, b.kind, b.direction});
    if (b.group.empty()) continue;
    five += words({b.name, b.ball, b.group, b.kind, b.direction});
    of_five[b.ball] = b.name;
  }
  CHECK(expected.size() == 624);
  for (const std::string columns : {"", "2,1"}) {
    CAPTURE(columns);
    CHECK(read(one_group, columns).balls == expected);
    CHECK(read(some_empty, columns).balls == expected);
    CHECK(read(five, columns).balls == of_five);
    CHECK_FALSE(holds(read(some_empty, columns).warnings, "balls are called"));
  }
  CHECK(read(some_empty, "1,2").error.find('\n') < 120);  // no ball stands in the first words
}

TEST_CASE("the ball first or last and the name at either end are found by their look") {
  const auto balls = package();
  const Balls expected = oracle(balls);
  std::string ball_first;
  std::string group_between;
  std::string name_last;
  std::string ball_last;
  for (const Ball& b : balls) {
    ball_first += words({b.ball, b.name, b.group, b.kind, b.direction});
    group_between += words({b.name, b.group, b.ball, b.direction});
    name_last += words({b.ball, b.group, b.kind, b.name});
    ball_last += words({b.name, b.group, b.kind, b.direction, b.ball});
  }
  CHECK(read(ball_first).balls == expected);
  CHECK(read(group_between).balls == expected);
  CHECK(read(name_last).balls == expected);
  CHECK(read(ball_last).balls == expected);
}

TEST_CASE("rows of words with lists of balls or descriptions with commas between them lose no ball") {
  const auto balls = package();
  std::string lists = "VSS_A";
  std::string apart = "VSS_A";
  std::string described;
  Balls expected;
  for (std::size_t i = 0; i < balls.size(); ++i) {
    const Ball& b = balls[i];
    described += words({b.name, b.ball, b.group.empty() ? "" : fmt::format("Input, pull-up of {} k", i)});
    if (i < 100) {
      lists += (i == 0 ? " " : ", ") + b.ball;
      apart += " " + b.ball;
      expected[b.ball] = "VSS_A";
      continue;
    }
    const std::string row = words({b.name, b.ball, b.group});
    lists += "\n" + row.substr(0, row.size() - 1);
    apart += "\n" + row.substr(0, row.size() - 1);
    expected[b.ball] = b.name;
  }
  CHECK(read(lists + "\n").balls == expected);
  CHECK(read(apart + "\n").balls == expected);
  CHECK(read(described).balls == oracle(balls));
}

TEST_CASE("the makers' tables read the same when they are written as rows of words in four orders") {
  if (!testing::have_shared()) return;
  for (const char* file :
       {"AS4C256M16D3.csv", "IS43LQ32256A-062BLI.csv", "MCIMX6QP5EYM.csv", "XC7A35T-CSG324.csv"}) {
    const auto balls = shared_balls(file);
    const Balls expected = oracle(balls);
    for (int order = 0; order < 4; ++order) {
      std::string text;
      for (const Ball& b : balls) {
        const bool blank = b.name == "GND" || b.name == "VSS";
        const std::string group = blank ? "" : "BANK_" + b.group;
        const std::vector<std::vector<std::string>> orders{{b.name, b.ball, group, b.kind},
                                                           {b.ball, b.name, group, b.kind},
                                                           {b.name, group, b.ball},
                                                           {b.name, b.ball, group}};
        text += words(orders[static_cast<std::size_t>(order)]);
      }
      CAPTURE(file);
      CAPTURE(order);
      const Answer answer = read(text);
      CHECK(answer.balls == expected);
      CHECK(answer.log.count("not-understood") == 0);
    }
  }
}

TEST_CASE("pages of a table with titles and headings are read and each title is said once") {
  const auto balls = package();
  std::string text;
  for (std::size_t i = 0; i < balls.size(); ++i) {
    if (i % 48 == 0)
      text += fmt::format(
          "{}Package information and contact assignments\nTable 9. Contacts, continued\n"
          "Ball name Ball Power group Ball type Direction\n",
          i == 0 ? "" : "\f");
    const Ball& b = balls[i];
    text += words({b.name, b.ball, b.group, b.kind, b.direction});
    if (i % 48 == 47) text += fmt::format("Data Sheet, Rev. 3, page {}\n", i / 48 + 1);
  }
  const Answer answer = read(text);
  CHECK(answer.balls == oracle(balls));
  CHECK(answer.log.count("not-understood") <= 4);
  CHECK(holds(answer.warnings, "Package information and contact assignments, 13 times"));
  CHECK(holds(answer.warnings, "page 1, 13 times"));
  const Answer named = read(text, "2,1");
  CHECK(named.balls == oracle(balls));
  for (const auto& column : named.columns) {
    for (const std::string& cell : column.first) CHECK_FALSE((cell == "information" || cell == "and"));
  }
}

TEST_CASE("most balls under one name are doubted aloud") {
  std::string text = "ball,name,group\n";
  for (int i = 1; i <= 20; ++i) text += fmt::format("A{},DQ{},VIO\n", i, i);
  CHECK(read(text).warnings.empty());
  const Answer wrong = read(text, "1,3");
  CHECK(wrong.log.count("one-name") == 1);
  CHECK(holds(wrong.warnings, "20 of 20 balls are called VIO"));
}

TEST_CASE("lists and ranges of balls behind their names in plain lines are all read") {
  CHECK(read("VDD A1, A4, B2-B4\nVSS A2, A3\n").balls == Balls{{"A1", "VDD"},
                                                               {"A4", "VDD"},
                                                               {"B2", "VDD"},
                                                               {"B3", "VDD"},
                                                               {"B4", "VDD"},
                                                               {"A2", "VSS"},
                                                               {"A3", "VSS"}});
  CHECK(read("VDD A1, A4, B2-B4\nVSS A2, A3\nDQ0 F5..F6\nDQ1 C1 to C3\n").balls.size() == 12);
  CHECK(read("A1, A4, B2-B4 VDD\nA2, A3 VSS\nC1 DQ0\n").balls.size() == 8);
  const Balls four{{"A1", "GND"}, {"A2", "GND"}, {"F5", "DQ"}, {"F6", "DQ"},
                   {"C1", "CK"},  {"C2", "CK"},  {"C3", "CK"}, {"D1", "RST"}};
  CHECK(read("GND A1, A2\nDQ F5..F6\nCK C1 to C3\nRST D1\n").balls == four);
}

TEST_CASE("a range of names on as many balls is dealt out in turn and said") {
  const Balls expected{{"F1", "DQ0"}, {"F2", "DQ1"}, {"F3", "DQ2"},
                       {"F4", "DQ3"}, {"A1", "GND"}, {"A2", "GND"}};
  for (const char* text : {"DQ0-DQ3 F1-F4\nGND A1 A2\n", "DQ0..DQ3,F1-F4\nGND,A1-A2\n",
                           "F1-F4,DQ0 to DQ3\nA1,GND\nA2,GND\n", "F1..F4 DQ0-DQ3\nA1 GND\nA2 GND\n"}) {
    INFO(std::string(text));
    const Answer answer = read(text);
    CHECK(answer.balls == expected);
    CHECK(holds(answer.warnings, "F1 is DQ0, and so on to F4, which is DQ3"));
  }
  CHECK(read("D7_A-D4_A,F1-F4\nGND,A1-A2\n").balls.at("F4") == "D4_A");
  const Answer uneven = read("DQ0-DQ3,F1-F3\nGND,A1-A2\n");
  CHECK(uneven.balls.at("F2") == "DQ0-DQ3");
  CHECK(holds(uneven.warnings, "4 names for 3 balls"));
}

TEST_CASE("UTF-16 without a mark at its beginning reads as with one") {
  const std::string plain = "A1\tVDD\r\nA2\tDQ0\r\nB1\tVSS\r\nB2\tDQS_P\r\n";
  std::string little;
  std::string big;
  for (const char c : plain) {
    little += c;
    little += '\0';
    big += '\0';
    big += c;
  }
  for (const std::string& text : {little, big, little.substr(0, little.size() - 1)}) {
    Diagnostics log;
    const auto design = importers::read_design(text, "x.txt", log);
    REQUIRE(design.ok());
    CHECK(design->board.pins.size() == 4);
    CHECK(design->board.pins[3].function == "DQS_P");
  }
  Diagnostics log;
  CHECK_FALSE(importers::read_design(std::string(64, '\0'), "x.txt", log).ok());
}

TEST_CASE("one row below a heading is a table and a ball with two names is said among the notes") {
  CHECK(read("ball,name\nA1,VDD\n").balls == Balls{{"A1", "VDD"}});
  const Answer twice = read("ball,name\nA1,VDD\nA2,DQ0\nA1,VSS\nB1,CK\n");
  CHECK(twice.balls.at("A1") == "VDD");
  CHECK(holds(twice.notes, "A1 stands twice, as VDD and as VSS: the first stands"));
}

TEST_CASE("a map in halves with row letters at both ends and a title each is read without a doubt") {
  const Balls expected{{"A1", "VDD"}, {"A2", "DQ0"}, {"A3", "DQ1"}, {"A4", "GND"},
                       {"B1", "VSS"}, {"B2", "DQ2"}, {"B3", "DQ3"}, {"B4", "CK"}};
  for (const char* text : {"Ball map, left half\n\t1\t2\t\nA\tVDD\tDQ0\tA\nB\tVSS\tDQ2\tB\n\t1\t2\t\n"
                           "Ball map, right half\n\t3\t4\t\nA\tDQ1\tGND\tA\nB\tDQ3\tCK\tB\n\t3\t4\t\n",
                           "Ball map, left half\n  1 2\nA VDD DQ0 A\nB VSS DQ2 B\nBall map, right half\n  3 "
                           "4\nA DQ1 GND A\nB DQ3 CK "
                           "B\n",
                           "\"Ball map, left half\"\n,1,2,\nA,VDD,DQ0,A\nB,VSS,DQ2,B\n\"Ball map, right "
                           "half\"\n,3,4,\nA,DQ1,GND,A\n"
                           "B,DQ3,CK,B\n"}) {
    INFO(std::string(text));
    const Answer answer = read(text);
    CHECK(answer.balls == expected);
    CHECK(answer.warnings == "");
    CHECK(holds(answer.notes, "right half"));
    CHECK(holds(answer.notes, "2 blocks"));
  }
}

TEST_CASE("a list that cannot be read is refused briefly and with its line where that is known") {
  const Answer none = read("a,b,c\nx,y,z\n");
  CHECK(none.error.starts_with("no ball table: no column of it holds balls"));
  CHECK(none.error.size() < 120);
  const Answer headed = read("Ball,Name\n17.5,VDD\n18.5,VSS\n");
  CHECK(headed.error.size() < 140);
  CHECK(headed.log.entries().front().line == 2);
  Diagnostics log;
  const auto other = importers::read_design("hello", "x.txt", log);
  REQUIRE_FALSE(other.ok());
  CHECK(other.error().message.size() < 200);
  const std::string wide = "ball,name\nA1,X\nA2,Y\n";
  CHECK(read(wide, "7,1").error.starts_with("--columns 7,1: no such columns"));
}
