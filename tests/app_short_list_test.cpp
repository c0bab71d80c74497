// Lists that name some of a part's balls: what they add, what stays, what is asked.
#include <algorithm>
#include <chrono>
#include <string>
#include <thread>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/model/board_index.hpp"
#include "netdb/packages/packages.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/session.hpp"
#include "viewer/app/lists.hpp"

using namespace landfall;

namespace {

struct Fixture {
  testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));
  std::int64_t id = 0;

  void bare(int rows, int columns) {
    const auto kept = bench.keep_board("b", *packages::bare_board(rows, columns, 800'000), {{}, {}, ""});
    REQUIRE(kept.ok());
    id = *kept;
  }
  Result<app::ImportReport> import(const std::string& name, const std::string& text,
                                   const std::string& part = "", app::ListWish wish = app::ListWish::kAsk) {
    app::ImportRequest request;
    request.texts = {{name, text}};
    request.part = part;
    request.wish = wish;
    if (id != 0) request.into = id;
    return app::import_files(bench, request);
  }
  app::ImportReport taken(const std::string& name, const std::string& text, const std::string& part = "",
                          app::ListWish wish = app::ListWish::kAsk) {
    auto report = import(name, text, part, wish);
    REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
    id = report->board.id;
    return std::move(report).value();
  }
  Board board() { return *bench.board(id); }
  // The pin's function and net.
  std::string pin(const std::string& part, const std::string& number) {
    const Board board = this->board();
    const BoardIndex index(board);
    const Index of = index.part(part);
    const Index at = of == kNone ? kNone : index.pin(of, number);
    if (at == kNone) return "none";
    const Pin& found = board.pins[at];
    return found.function + " " + (found.net == kNone ? std::string("-") : board.nets[found.net].name);
  }
  std::vector<std::string> files() {
    std::vector<std::string> names;
    for (const auto& file : *bench.sources(id)) names.push_back(file.name);
    return names;
  }
};

// Rows A to D, `columns` each, every ball called `prefix` and its own number.
std::string list(const std::string& prefix, int columns) {
  std::string text = "ball,name\n";
  for (const char row : {'A', 'B', 'C', 'D'}) {
    for (int column = 1; column <= columns; ++column)
      text += fmt::format("{0}{1},{2}{0}{1}\n", row, column, prefix);
  }
  return text;
}

using Names = std::vector<std::string>;

}  // namespace

TEST_CASE("a list of every ball of a bare package and its revision leave the sites their places") {
  Fixture f;
  f.bare(4, 5);
  const Board before = f.board();
  CHECK(f.taken("one.csv", list("N_", 5)).named == "20 of 20 balls named; 0 kept");
  CHECK(f.taken("two.csv", list("M_", 5)).named == "20 of 20 balls named; 0 kept");
  CHECK(f.files() == Names{"two.csv"});
  const Board after = f.board();
  REQUIRE(after.lands.size() == before.lands.size());
  for (std::size_t i = 0; i < after.lands.size(); ++i) {
    CHECK(after.lands[i].at == before.lands[i].at);
    CHECK(after.lands[i].net == after.pins[after.lands[i].pin].net);
  }
  CHECK(after.nets.size() == 20);  // none is left of the first list's
  CHECK(f.pin("U1", "B2") == "M_B2 M_B2");
  // One row of it again, in other words.
  CHECK(f.taken("three.csv", "ball,name\na01,RESET\nA02,CKE\n").named == "2 of 20 balls named; 18 kept");
  CHECK(f.pin("U1", "A1") == "RESET RESET");
  CHECK(f.files() == Names{"two.csv", "three.csv"});
  // The same file edited takes its own place.
  f.taken("three.csv", "ball,name\nA1,CLK\nA2,NC\n");
  CHECK(f.pin("U1", "A1") == "CLK CLK");
  CHECK(f.pin("U1", "A2") == "NC -");
  CHECK(f.files() == Names{"two.csv", "three.csv"});
}

TEST_CASE("a ball that a bare package has not comes with a land in its grid and is said") {
  Fixture f;
  f.bare(4, 4);
  REQUIRE(app::rub_out(f.bench, *f.bench.board_info(f.id), "U1", {"B2"}).ok());
  const auto report = f.taken("one.csv", "ball,name\nB2,VSS\nB3,VSS\nE1,DQ0\n", "U1");
  CHECK(report.named == "3 of 17 balls named; 14 kept; 2 that U1 had not: B2, E1");
  const Board board = f.board();
  const Package package = packages::package_of(BoardIndex(board), 0);
  CHECK(package.kind == PackageKind::kAreaArray);
  CHECK(package.pitch_x == 800'000);
  CHECK(package.disagreements.empty());
  CHECK(package.sites.size() == 17);
}

TEST_CASE("a short list for one of several parts known by lists leaves the rest of that part") {
  Fixture f;
  f.taken("cpu.csv", list("RAM_", 9), "U1");
  f.taken("slot.csv", list("DQ_", 9), "J1");
  CHECK(f.taken("four.csv", "ball,name\nA1,RESET\nA2,CLK\n", "J1").named == "2 of 36 balls named; 34 kept");
  CHECK(f.pin("J1", "A1") == "RESET RESET");
  CHECK(f.pin("J1", "A3") == "DQ_A3 DQ_A3");
  CHECK(f.pin("U1", "A1") == "RAM_A1 RAM_A1");
  CHECK(f.files() == Names{"cpu.csv", "slot.csv", "four.csv"});
  // A name that the other part has is a net of this one alone.
  f.taken("more.csv", "ball,name\nB1,RAM_A1\nB2,RAM_A2\n", "J1");
  CHECK(f.pin("J1", "B1") == "RAM_A1 J1/RAM_A1");
}

TEST_CASE("halves of a list are added and a list of other balls asks of which part it is") {
  Fixture f;
  f.taken("one.csv", "ball,name\nA1,N1\nA2,N2\nA3,N3\nA4,N4\n");
  const auto other = f.import("two.csv", "ball,name\nB1,M1\nB2,M2\nB3,M3\n");
  REQUIRE_FALSE(other.ok());
  CHECK(other.error().code == ErrorCode::kChoice);
  CHECK(other.error().message.find("--part U1") != std::string::npos);
  CHECK(f.board().pins.size() == 4);
  CHECK(f.taken("two.csv", "ball,name\nB1,M1\nB2,M2\nB3,M3\n", "U1").named ==
        "3 of 7 balls named; 4 kept; 3 that U1 had not: B1, B2, B3");
  CHECK(f.pin("U1", "B3") == "M3 M3");
}

TEST_CASE("a revision of nearly all balls takes the place of a list and a smaller one is the user's choice") {
  Fixture f;
  f.taken("one.csv", list("N_", 10));
  // Two of 40 fewer.
  std::string newer = list("N_", 10);
  newer.resize(newer.find("D9,"));
  const auto revised = f.taken("two.csv", newer);
  CHECK(revised.named.empty());
  CHECK(f.board().pins.size() == 38);
  CHECK(f.files() == Names{"two.csv"});
  CHECK(f.pin("U1", "D9") == "none");
  const auto smaller = f.import("three.csv", list("M_", 7));
  REQUIRE_FALSE(smaller.ok());
  CHECK(smaller.error().code == ErrorCode::kChoice);
  CHECK(smaller.error().message ==
        "three.csv leaves out 10 of U1's 38 balls (A8, A9, A10, B8, B9 and 5 more): --add adds its names and "
        "keeps them, --replace takes it for all of U1");
  CHECK(f.pin("U1", "A1") == "N_A1 N_A1");
  CHECK(f.taken("three.csv", list("M_", 7), "", app::ListWish::kCareful).named ==
        "28 of 38 balls named; 10 kept");
  CHECK(f.taken("four.csv", list("K_", 7), "", app::ListWish::kReplace).named.empty());
  CHECK(f.board().pins.size() == 28);
  CHECK(f.files() == Names{"four.csv"});
}

TEST_CASE("a name that only repeats its ball and a ball without a name take nothing away") {
  Fixture f;
  f.bare(4, 4);
  f.taken("one.csv", "ball,name\nA1,VSS\nA2,DQ0\n");
  f.taken("two.csv", "ball,name\nA1,IO_A1\nA2,\nA3,IO_A3\n");
  CHECK(f.pin("U1", "A1") == "VSS VSS");
  CHECK(f.pin("U1", "A2") == "DQ0 DQ0");
  CHECK(f.pin("U1", "A3") == "IO_A3 IO_A3");
}

TEST_CASE("a ball that gets another name loses the type that was said of the old one") {
  Fixture f;
  f.taken("one.csv",
          "ball,name,type\nA1,DQ0,bidirectional\nA2,NC,NC\nA3,DQ1,bidirectional\nA4,VSS,power\n"
          "A5,VSS,power\n");
  f.taken("two.csv", "ball,name\nA1,VDD\nA2,VDD\n");
  const Board board = f.board();
  const BoardIndex index(board);
  const auto type = [&](const char* ball) { return board.pins[index.pin(0, ball)].type; };
  CHECK(type("A1") == PinType::kUnknown);
  CHECK(type("A2") == PinType::kUnknown);
  CHECK(type("A3") == PinType::kBidirectional);
  CHECK(f.pin("U1", "A1") == "VDD VDD");
  CHECK(f.pin("U1", "A2") == "VDD VDD");
}

TEST_CASE("names without a net from an earlier import get it when they are given once more") {
  Fixture f;
  f.bare(3, 3);
  Board board = f.board();
  board.pins[4].function = "DQS0";
  REQUIRE(f.bench.replace_board(f.id, board, {{}, {}, ""}).ok());
  const auto edit = app::name_balls(f.bench, *f.bench.board_info(f.id), "U1", {{"B2", "DQS0"}});
  REQUIRE(edit.ok());
  CHECK(edit->changed == 1);
  CHECK(f.pin("U1", "B2") == "DQS0 DQS0");
}

TEST_CASE("pasted onto a bare package in the window the names are added and shaping goes on") {
  testing::ScratchFolder folder;
  auto started = app::start_session(folder.file("b.sqlite"));
  REQUIRE(started.ok());
  app::Session s = std::move(started).value();
  s.wake = [] {};
  app::apply(s, app::BareBoard{"bare", "6", "6", "0.8"});
  REQUIRE(s.board);
  const std::int64_t id = s.board->info().id;
  for (const char* text :
       {"ball\tname\nA1\tVSS\nA2\tDQ0\nB1\tVSS\nB2\tCLK\n", "ball\tname\nA2\tDQ1\nB2\tCLK\n"}) {
    app::apply(s, app::PasteTable{text});
    app::apply(s, app::AcceptTable{"", "", id});
    for (int i = 0; i < 6000 && s.import; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
      app::apply(s, app::PollWork{});
    }
    CHECK_MESSAGE(!s.message_is_error, s.message);
    CHECK_MESSAGE(s.message.find("of 36 balls named") != std::string::npos, s.message);
    CHECK(s.package.sites.size() == 36);
    CHECK(s.package.kind == PackageKind::kAreaArray);
  }
  app::apply(s, app::ShapePackage{});
  REQUIRE(s.shaping);
  app::apply(s, app::TypeShape{"A3..A6=GND B3=VSS"});
  CHECK_MESSAGE(s.message.find("5 balls named") != std::string::npos, s.message);
  const auto count = [&](const std::string& net) {
    const Board board = *s.bench->board(id);
    return std::count_if(board.pins.begin(), board.pins.end(),
                         [&](const Pin& pin) { return pin.net != kNone && board.nets[pin.net].name == net; });
  };
  CHECK(count("GND") == 4);
  CHECK(count("VSS") == 3);
  app::apply(s, app::Undo{});
  CHECK(count("GND") == 0);
  CHECK(count("VSS") == 2);
  CHECK(count("DQ1") == 1);
  app::apply(s, app::RubOut{{"F6"}});
  CHECK(s.package.sites.size() == 35);
}
