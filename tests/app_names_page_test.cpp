// The names' page of the bench: which names of two lists are one signal.
#include <algorithm>
#include <fstream>

#include "tests/support/session.hpp"
#include "viewer/app/import.hpp"
#include "viewer/app/lists.hpp"

using namespace landfall;

namespace {

// The sample processor's ball list and a standard slot on one board, as cli_lists_test has them.
struct NamesFixture {
  NamesFixture() {
    auto started = app::start_session(folder.file("b.sqlite"));
    REQUIRE(started.ok());
    session = std::move(started).value();
    app::ImportRequest request;
    request.files = {std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4/skua4-u1-balls.csv"};
    request.name = "lists";
    REQUIRE(app::import_files(*session.bench, request).ok());
    const auto info = app::find_board(*session.bench, "lists");
    REQUIRE(info.ok());
    board = info->id;
    REQUIRE(app::add_slot(*session.bench, *info, "J1", "ddr3-sodimm").ok());
    app::apply(session, app::OpenPart{board, "U1"});
    app::apply(session, app::ShowNames{board});
    REQUIRE(session.bench_view == app::BenchPage::kNames);
    REQUIRE(session.joining);
  }
  std::size_t pins_of(const char* net) {
    return session.board->index().pins_of_net(*app::find_net(*session.board, net)).size();
  }
  testing::ScratchFolder folder;
  app::Session session;
  std::int64_t board = 0;
};

}  // namespace

TEST_CASE_FIXTURE(NamesFixture,
                  "a proposed group is accepted whole or pair by pair, and the open board has it at once") {
  const auto& desk = *session.joining;
  CHECK(desk.aliases.empty());
  REQUIRE(!desk.groups.empty());
  CHECK(pins_of("CH0_D5") == 1);
  const auto data = std::find_if(desk.groups.begin(), desk.groups.end(), [](const join::NameGroup& g) {
    return g.pattern.starts_with("CH0_D") && g.pairs.size() >= 8 &&
           std::any_of(g.pairs.begin(), g.pairs.end(),
                       [](const join::NamePair& p) { return p.name == "CH0_D5" && p.to_name == "DQ5"; });
  });
  REQUIRE(data != desk.groups.end());
  const auto group = static_cast<std::size_t>(data - desk.groups.begin());
  const auto pair =
      static_cast<std::size_t>(std::find_if(data->pairs.begin(), data->pairs.end(),
                                            [](const join::NamePair& p) { return p.name == "CH0_D5"; }) -
                               data->pairs.begin());
  const std::size_t pairs = data->pairs.size();
  app::apply(session, app::AcceptNames{group, pair});
  CHECK(session.message == "U1:CH0_D5 is J1:DQ5. Undo with Ctrl+Z.");
  REQUIRE(session.joining->aliases.size() == 1);
  CHECK(pins_of("CH0_D5") == 2);
  CHECK(session.bench_page);
  CHECK(session.bench_view == app::BenchPage::kNames);
  app::apply(session, app::Undo{});
  CHECK(session.joining->aliases.empty());
  CHECK(pins_of("CH0_D5") == 1);
  app::apply(session, app::Redo{});
  CHECK(pins_of("CH0_D5") == 2);
  app::apply(session, app::Undo{});
  app::apply(session, app::AcceptNames{group, std::nullopt});
  CHECK(session.joining->aliases.size() == pairs);
  // One is taken away, then all, and both come back.
  app::apply(session, app::RemoveNames{session.joining->aliases.front().id});
  CHECK(session.joining->aliases.size() == pairs - 1);
  app::apply(session, app::RemoveNames{});
  CHECK(session.joining->aliases.empty());
  CHECK(session.bench->aliases(board)->empty());
  app::apply(session, app::Undo{});
  app::apply(session, app::Undo{});
  CHECK(session.joining->aliases.size() == pairs);
}

TEST_CASE_FIXTURE(NamesFixture, "names are typed in, and what joins nothing or is there already says so") {
  app::apply(session, app::AddName{"CH0_D5", "J1:DQ5"});
  REQUIRE(session.joining->aliases.size() == 1);
  CHECK(pins_of("CH0_D5") == 2);
  app::apply(session, app::AddName{"CH0_D5", "J1:DQ5"});
  CHECK(session.message_is_error);
  app::apply(session, app::AddName{"NO_SUCH", "DQ6"});
  CHECK(session.message.find("It joins nothing") != std::string::npos);
  app::apply(session, app::AddName{"", "DQ6"});
  CHECK(session.message_is_error);
  app::apply(session, app::AcceptNames{9'999, std::nullopt});
  CHECK(session.message_is_error);
  app::apply(session, app::RemoveNames{9'999});
  CHECK(session.message_is_error);
  // A job that is open stays open.
  app::apply(session, app::ShowMap{});
  app::apply(session, app::NewJob{{"U1"}, "t", SafetyAnswer::kNo});
  REQUIRE(session.job);
  app::apply(session, app::ShowNames{board});
  app::apply(session, app::RemoveNames{session.joining->aliases.front().id});
  REQUIRE(session.job);
  CHECK(session.job->title == "t");
  CHECK(pins_of("CH0_D5") == 1);
  app::apply(session, app::Leave{});
  CHECK_FALSE(session.bench_view);
}

TEST_CASE_FIXTURE(NamesFixture, "a step of the names leaves the open job as it was but for the nets") {
  app::apply(session, app::ShowMap{});
  app::apply(session, app::NewJob{{"U1"}, "", SafetyAnswer::kNo});
  const auto ball = [&] { return *app::find_ball(*session.board, session.package.part, "D6"); };
  const std::string other = session.board->board().pins[ball() + 1].number;
  app::apply(session, app::MarkPin{ball(), MarkKind::kTorn});
  app::apply(session, app::TypeMarks{"spare " + other});
  app::apply(session, app::SelectPin{ball() + 1});
  app::apply(session, app::SelectPin{ball()});
  app::apply(session, app::ShowReadings{});
  REQUIRE(!session.readings->sheet.rows.empty());
  app::apply(session, app::TypeReadings{"0.45"});
  REQUIRE(session.bench->readings(1)->size() == 1);
  const Index selected = session.selected;
  const std::string name = session.board->index().pin_text(selected);
  app::apply(session, app::ShowNames{board});
  REQUIRE(!session.joining->groups.empty());
  app::apply(session, app::AcceptNames{0, std::nullopt});
  REQUIRE(!session.message_is_error);
  REQUIRE(session.job);
  REQUIRE(session.selected != kNone);
  CHECK(session.board->index().pin_text(session.selected) == name);
  REQUIRE(session.topic);
  CHECK(session.sheet);
  CHECK(!session.been.empty());
  CHECK(session.bench_view == app::BenchPage::kNames);
  app::apply(session, app::Undo{});
  CHECK(session.joining->aliases.empty());
  app::apply(session, app::ShowReadings{});
  app::apply(session, app::Undo{});
  CHECK(session.bench->readings(1)->empty());
  app::apply(session, app::ShowMap{});
  app::apply(session, app::Undo{});
  CHECK(session.job->facts.empty());
  app::apply(session, app::Undo{});
  CHECK(session.job->marks.empty());
}

TEST_CASE_FIXTURE(NamesFixture, "what another window removes leaves this one with words and no empty page") {
  auto other = store::Bench::open(session.bench_file);
  REQUIRE(other.ok());
  SUBCASE("a board without jobs, on the names' page") {
    REQUIRE(other->remove_board(board, false).ok());
    app::apply(session, app::Refresh{});
    CHECK(!session.bench_view);
    CHECK(!session.joining);
  }
  SUBCASE("a board with the open job, on the map") {
    app::apply(session, app::ShowMap{});
    app::apply(session, app::NewJob{{"U1"}, "", SafetyAnswer::kNo});
    REQUIRE(other->remove_board(board, true).ok());
    app::apply(session, app::Refresh{});
    CHECK(!session.job);
  }
  CHECK(!session.board);
  CHECK(session.bench_page);
  CHECK(session.boards.empty());
  CHECK(session.message_is_error);
  CHECK(session.message == "lists was removed in another window.");
}
