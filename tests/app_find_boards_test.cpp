#include <algorithm>
#include <chrono>
#include <thread>

#include <doctest/doctest.h>

#include "support/session.hpp"

// Find over all boards of the bench, from the window's session.

using namespace landfall;
using testing::SessionFixture;

namespace {

// The sample board is open; another board of one part and three nets lies on the bench.
struct TwoBoards : SessionFixture {
  TwoBoards() {
    Board other;
    for (const char* net : {"RAM1_D9", "ONLY_HERE", "P1V1"})
      other.nets.push_back({net, false, {"ALSO_HERE"}});
    Part part;
    part.reference = "U77";
    part.value = "probe 12";
    other.parts.push_back(part);
    const char* const functions[] = {"DATA9", "WAKE", ""};
    for (Index i = 0; i < 3; ++i)
      other.pins.push_back({0, "A" + std::to_string(i + 1), functions[i], PinType::kUnknown, i});
    const auto kept = session.bench->keep_board("other", other, {{}, {}, "2026-01-01T00:00:00Z"});
    REQUIRE(kept.ok());
    id = *kept;
  }
  void wait() {
    for (int i = 0; i < 2'000 && session.reading_names; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
      app::apply(session, app::PollWork{});
    }
    REQUIRE(session.reading_names == nullptr);
  }
  std::int64_t id = 0;
};

}  // namespace

TEST_CASE("the names of a board without its copper are those of the board") {
  SessionFixture f;
  const auto all = f.session.bench->board(1);
  const auto names = f.session.bench->board_words(1);
  REQUIRE(all.ok());
  REQUIRE(names.ok());
  CHECK(names->parts == all->parts);
  CHECK(names->pins == all->pins);
  CHECK(names->nets == all->nets);
  CHECK(!all->tracks.empty());
  CHECK(names->tracks.empty());
  CHECK(f.session.bench->board_words(99).error().code == ErrorCode::kNotFound);
}

TEST_CASE("find goes over the open board alone, and over all when it is asked for") {
  TwoBoards f;
  app::apply(f.session, app::FindText{"only here"});
  CHECK(f.session.hits.empty());
  CHECK(f.session.far_hits.empty());
  CHECK(f.session.names.empty());  // nothing is read that nobody asked for
  app::apply(f.session, app::FindWide{true});
  f.wait();
  REQUIRE(f.session.far_hits.size() == 1);
  CHECK(f.session.far_hits[0].hit.name == "ONLY_HERE");
  CHECK(f.session.far_hits[0].board_name == "other");
  CHECK(f.session.far_hits[0].part == "U77");
  CHECK(f.session.far_total == 1);
  app::apply(f.session, app::FindText{"RAM1_D9"});
  REQUIRE(!f.session.hits.empty());
  CHECK(f.session.hits[0].name == "RAM1_D9");
  REQUIRE(!f.session.far_hits.empty());
  CHECK(f.session.far_hits[0].hit.name == "RAM1_D9");
  CHECK(f.session.hits.size() + f.session.far_hits.size() <= 12);
  app::apply(f.session, app::FindWide{false});
  CHECK(f.session.far_hits.empty());
}

TEST_CASE("a hit on another board opens it with its part, selects the ball, and says where the job is") {
  TwoBoards f;
  app::apply(f.session, app::NewJob{{"U1"}, "t", SafetyAnswer::kNo});
  REQUIRE(f.session.job);
  app::apply(f.session, app::FindWide{true});
  app::apply(f.session, app::FindText{"wake"});
  f.wait();
  REQUIRE(f.session.hits.size() + f.session.far_hits.size() > f.session.hits.size());
  app::apply(f.session, app::GoToHit{f.session.hits.size()});
  REQUIRE(f.session.board);
  CHECK(f.session.board->info().id == f.id);
  CHECK(!f.session.job);
  REQUIRE(f.session.selected != kNone);
  CHECK(f.session.board->index().pin_text(f.session.selected) == "U77.A2");
  CHECK(f.session.message.find("Job 1 was put away") != std::string::npos);
  CHECK(f.session.find_text.empty());
  // Back the same way: a net of the sample board, from the other one.
  app::apply(f.session, app::FindText{"RAM1_D9"});
  f.wait();
  std::size_t at = f.session.hits.size();
  while (at < f.session.hits.size() + f.session.far_hits.size() &&
         f.session.far_hits[at - f.session.hits.size()].hit.kind != app::HitKind::kNet)
    ++at;
  REQUIRE(at < f.session.hits.size() + f.session.far_hits.size());
  app::apply(f.session, app::GoToHit{at});
  CHECK(f.session.board->info().id == 1);
  REQUIRE(f.session.topic);
  const Index net = f.session.topic->kind == app::TopicKind::kNet
                        ? f.session.topic->item
                        : f.session.board->board().pins[f.session.topic->item].net;
  CHECK(f.session.board->board().nets[net].name == "RAM1_D9");
}

TEST_CASE("without an open board find is over all, and a board that was revised is read anew") {
  TwoBoards f;
  auto fresh = app::start_session(f.folder.file("b.sqlite"));
  REQUIRE(fresh.ok());
  f.session = std::move(fresh).value();
  app::apply(f.session, app::FindText{"also"});
  f.wait();
  CHECK(f.session.far_total == 3);
  CHECK(f.session.names.size() == 2);
  app::apply(f.session, app::FindText{});
  CHECK(f.session.far_hits.empty());
  Board revised = *f.session.bench->board_words(f.id);
  revised.nets[1].name = "RENAMED";
  REQUIRE(f.session.bench->replace_board(f.id, revised, {{}, {}, "2026-01-02T00:00:00Z"}).ok());
  app::apply(f.session, app::FindText{"renamed"});
  f.wait();
  REQUIRE(f.session.far_hits.size() == 1);
  CHECK(f.session.far_hits[0].hit.name == "RENAMED");
  // A board that went away meanwhile says so when one goes there, and nothing else changes.
  REQUIRE(f.session.bench->remove_board(f.id, true).ok());
  app::apply(f.session, app::GoToHit{0});
  CHECK(f.session.message_is_error);
  CHECK(!f.session.board);
}

TEST_CASE(
    "find over other boards joins lists by name as the open board does, and anew when a name is accepted") {
  TwoBoards f;
  Board board;
  const auto list = [&](const char* reference, const char* stem) {
    Part part;
    part.reference = reference;
    board.parts.push_back(part);
    for (int i = 0; i < 5; ++i) {
      const std::string name = stem + std::to_string(i);
      board.pins.push_back({static_cast<Index>(board.parts.size() - 1), std::to_string(i + 1), name,
                            PinType::kUnknown, static_cast<Index>(board.nets.size())});
      board.nets.push_back({name, false, {}});
    }
  };
  list("U8", "RAM_DATA");
  list("J8", "DQ");
  const auto id = f.session.bench->keep_board("lists", board, {{}, {}, "2026-01-01T00:00:00Z"});
  REQUIRE(id.ok());
  const auto nets_called = [&](const char* text) {
    app::apply(f.session, app::FindText{text});
    f.wait();
    std::vector<std::string> names;
    for (const app::FarHit& far : f.session.far_hits) {
      if (far.board == *id && far.hit.kind == app::HitKind::kNet) names.push_back(far.hit.name);
    }
    return names;
  };
  app::apply(f.session, app::FindWide{true});
  CHECK(nets_called("DQ3") == std::vector<std::string>{"DQ3"});
  REQUIRE(f.session.bench->add_aliases(*id, {{0, "U8", "RAM_DATA3", "J8", "DQ3", "typed in"}}).ok());
  const auto open = app::open_board(*f.session.bench, *id);
  REQUIRE(open.ok());
  REQUIRE((*open)->name_joins().size() == 1);
  const std::string joined = (*open)->name_joins().front().net;
  const auto found = nets_called("DATA3");
  REQUIRE(found.size() == 1);
  const auto names = f.session.names.find(*id);
  REQUIRE(names != f.session.names.end());
  const auto& nets = names->second->board().nets;
  CHECK(nets.size() == (*open)->board().nets.size());
  CHECK(std::any_of(nets.begin(), nets.end(), [&](const Net& net) { return net.name == joined; }));
}
