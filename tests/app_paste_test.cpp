// A pasted table: looked at, corrected, accepted or put away; and nothing on the bench before that.
#include <chrono>
#include <thread>

#include <doctest/doctest.h>

#include "tests/support/session.hpp"
#include "viewer/app/paste.hpp"

using namespace landfall;
using importers::ColumnUse;
using testing::SessionFixture;

namespace {

const char* const kTable =
    "Name\tBall\tAlso\n"
    "VDD_CORE\tA1\tE1\n"
    "RAM0_DATA0\tA2\tE2\n"
    "what is this line\n"
    "GND\tB1\tE3\n"
    "RAM0_DATA1\tB2\tE4\n";

struct Bench {
  Bench() {
    auto started = app::start_session(folder.file("b.sqlite"));
    REQUIRE(started.ok());
    session = std::move(started).value();
    session.wake = [] {};
  }
  ~Bench() { session.import.reset(); }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;
  Bench(Bench&&) = delete;
  Bench& operator=(Bench&&) = delete;
  void finish() {
    for (int i = 0; i < 6000 && session.import; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
      app::apply(session, app::PollWork{});
    }
    REQUIRE_FALSE(session.import);
  }
  testing::ScratchFolder folder;
  app::Session session;
};

std::vector<ColumnUse> uses(const app::Session& session) {
  std::vector<ColumnUse> all;
  for (const auto& column : session.pasted->look.columns) all.push_back(column.use);
  return all;
}

}  // namespace

TEST_CASE("a pasted table is looked at first: columns, count, first balls, and the line not understood") {
  Bench b;
  app::apply(b.session, app::PasteTable{kTable});
  REQUIRE(b.session.pasted);
  const app::TableLook& look = b.session.pasted->look;
  // Two columns of balls that share none: which is this chip's only the user knows, or both are.
  CHECK(look.columns.size() == 3);
  app::apply(b.session, app::UseColumn{2, ColumnUse::kSkipped});
  CHECK(uses(b.session) == std::vector{ColumnUse::kName, ColumnUse::kBall, ColumnUse::kSkipped});
  CHECK(b.session.pasted->look.problem.empty());
  CHECK(b.session.pasted->look.balls == 4);
  REQUIRE(b.session.pasted->look.first.size() == 4);
  CHECK(b.session.pasted->look.first[0].ball == "A1");
  CHECK(b.session.pasted->look.first[0].name == "VDD_CORE");
  const auto& doubts = b.session.pasted->look.doubts;
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].line == 4);
  CHECK(b.session.boards.empty());
  CHECK(b.session.bench->boards()->empty());
  // The other package instead: the columns change places.
  app::apply(b.session, app::UseColumn{2, ColumnUse::kBall});
  CHECK(uses(b.session) == std::vector{ColumnUse::kName, ColumnUse::kSkipped, ColumnUse::kBall});
  CHECK(b.session.pasted->look.first[0].ball == "E1");
  // Put away, it leaves nothing.
  app::apply(b.session, app::Leave{});
  CHECK_FALSE(b.session.pasted);
  CHECK(b.session.bench->boards()->empty());
}

TEST_CASE("accepted, the corrected table is on the bench, and the very same again changes nothing") {
  Bench b;
  for (int round = 0; round < 2; ++round) {
    app::apply(b.session, app::PasteTable{kTable});
    app::apply(b.session, app::UseColumn{2, ColumnUse::kBall});
    app::apply(b.session, app::UseColumn{1, ColumnUse::kSkipped});
    REQUIRE(b.session.pasted->look.problem.empty());
    app::apply(b.session, app::AcceptTable{"plotter chip", "", std::nullopt});
    b.finish();
    CHECK_FALSE(b.session.message_is_error);
    CHECK_FALSE(b.session.pasted);
    REQUIRE(b.session.boards.size() == 1);
  }
  CHECK(b.session.boards.front().name == "plotter chip");
  const auto board = b.session.bench->board(b.session.boards.front().id);
  REQUIRE(board->pins.size() == 4);
  CHECK(board->pins[0].number == "E1");
  CHECK(board->pins[0].function == "VDD_CORE");
}

TEST_CASE("while the columns make nothing, they stay as set, and accepting is refused in words") {
  Bench b;
  app::apply(b.session, app::PasteTable{kTable});
  app::apply(b.session, app::UseColumn{0, ColumnUse::kSkipped});
  CHECK_FALSE(b.session.pasted->look.problem.empty());
  CHECK(uses(b.session)[0] == ColumnUse::kSkipped);
  app::apply(b.session, app::AcceptTable{});
  CHECK(b.session.message_is_error);
  CHECK_FALSE(b.session.import);
  CHECK(b.session.bench->boards()->empty());
  app::apply(b.session, app::UseColumn{0, ColumnUse::kName});
  app::apply(b.session, app::UseColumn{2, ColumnUse::kSkipped});
  app::apply(b.session, app::UseColumn{1, ColumnUse::kBall});
  CHECK(b.session.pasted->look.problem.empty());
}

TEST_CASE("added to a board it goes to the part that is named, a refusal keeps the page") {
  SessionFixture f;
  f.session.wake = [] {};
  const std::int64_t board = f.session.boards.empty() ? 1 : f.session.boards.front().id;
  const auto finish = [&] {
    for (int i = 0; i < 6000 && f.session.import; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
      app::apply(f.session, app::PollWork{});
    }
  };
  app::apply(f.session, app::PasteTable{"Ball,Name\nA1,ONE\nA2,TWO\nA3,THREE\nB1,FOUR\n"});
  app::apply(f.session, app::AcceptTable{"", "", board});
  finish();
  if (f.session.message_is_error) {
    CHECK(f.session.pasted);  // to be said which part
    app::apply(f.session, app::AcceptTable{"", "U77", board});
    finish();
  }
  CHECK_FALSE(f.session.message_is_error);
  CHECK_FALSE(f.session.pasted);
}

TEST_CASE("what is no table is named, and a grid's side can be turned") {
  Bench b;
  app::apply(b.session, app::PasteTable{""});
  CHECK(b.session.message_is_error);
  CHECK_FALSE(b.session.pasted);
  for (const char* text : {"(export (version \"E\"))", "hello", "<?xml version=\"1.0\"?><export/>"}) {
    app::apply(b.session, app::PasteTable{text});
    REQUIRE(b.session.pasted);
    CHECK_FALSE(b.session.pasted->look.problem.empty());
  }
  app::apply(b.session, app::PasteTable{"A\tVDD\tDQ0\nB\tVSS\tDQ1\nC\tCLK\tDQ2\n"});
  REQUIRE(b.session.pasted->look.is_grid);
  CHECK(b.session.pasted->look.columns.empty());
  CHECK(b.session.pasted->look.first[0].ball == "A1");
  CHECK(b.session.pasted->look.first[0].name == "VDD");
  app::apply(b.session, app::SeeTableFrom{true});
  CHECK(b.session.pasted->look.first[0].ball == "A2");
}

TEST_CASE("the columns' uses as the command line takes them read the same as the window's") {
  app::TableLook look = app::look_at_table(kTable);
  look.columns = app::with_use(look.columns, 2, ColumnUse::kSkipped);
  importers::ReadOptions options;
  options.columns = app::columns_option(look.columns);
  CHECK(options.columns == "name,ball,-");
  CHECK(app::look_at_table(kTable, options).balls == 4);
  // Out of range changes nothing.
  CHECK(app::columns_option(app::with_use(look.columns, 99, ColumnUse::kBall)) == options.columns);
}
