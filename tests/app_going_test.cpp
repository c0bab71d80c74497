// Going about in the window: names that can be followed, the way back, what is singled out, text to copy.
#include <algorithm>

#include <doctest/doctest.h>

#include "tests/support/session.hpp"

using namespace landfall;
using app::Topic;
using app::TopicKind;
using testing::SessionFixture;

TEST_CASE(
    "a ball found on another part brings that part on the map, and the way back brings the first again") {
  SessionFixture f;
  const Index u1 = f.session.package.part;
  app::apply(f.session, app::SelectPin{f.pin("AB3")});
  app::apply(f.session, app::FindText{"U2.A2"});
  REQUIRE_FALSE(f.session.hits.empty());
  app::apply(f.session, app::GoToHit{0});
  const Index far = *app::find_pin(*f.session.board, "U2.A2");
  CHECK(f.session.selected == far);
  CHECK(f.session.package.part == f.session.board->board().pins[far].part);
  app::apply(f.session, app::GoBack{});
  CHECK(f.session.package.part == u1);
  CHECK(f.session.selected == f.pin("AB3"));
  app::apply(f.session, app::GoForward{});
  CHECK(f.session.selected == far);
}

TEST_CASE("every link in every sheet leads to a sheet of its own") {
  SessionFixture f;
  f.job();
  // From one data ball on, as far as three steps lead: each topic once.
  std::vector<Topic> open{{TopicKind::kBall, f.net_ball("RAM1_D9")}};
  std::vector<Topic> seen;
  std::size_t kinds = 0;
  for (int depth = 0; depth < 3; ++depth) {
    std::vector<Topic> next;
    for (const Topic topic : open) {
      if (std::find(seen.begin(), seen.end(), topic) != seen.end() || seen.size() > 400) continue;
      seen.push_back(topic);
      kinds |= std::size_t{1} << static_cast<unsigned>(topic.kind);
      app::apply(f.session, app::Follow{topic});
      REQUIRE(f.session.sheet);
      CHECK(f.session.sheet->topic == topic);
      CHECK_FALSE(f.session.sheet->title.empty());
      for (const app::SheetLine& line : f.session.sheet->lines) {
        for (const app::SheetPiece& piece : line.pieces) {
          CHECK_FALSE(piece.text.empty());
          if (!piece.link) continue;
          CHECK(app::exists(*f.session.board, *piece.link));
          next.push_back(*piece.link);
        }
      }
      for (const app::SheetPiece& piece : f.session.sheet->under) {
        if (piece.link) next.push_back(*piece.link);
      }
    }
    open = next;
  }
  // Ball, net, part, class, bus, lane, channel were all among them.
  CHECK(kinds == 0x7F);
}

TEST_CASE("back and forward go the way that was gone") {
  SessionFixture f;
  const Index ball = f.net_ball("RAM1_D9");
  app::apply(f.session, app::SelectPin{ball});
  const Index net = f.session.board->board().pins[ball].net;
  app::apply(f.session, app::Follow{{TopicKind::kNet, net}});
  CHECK(f.session.selected == kNone);
  const Index lane = f.session.board->signals().nets[net].lane;
  REQUIRE(lane != kNone);
  app::apply(f.session, app::Follow{{TopicKind::kLane, lane}});
  app::apply(f.session, app::GoBack{});
  CHECK(f.session.topic == Topic{TopicKind::kNet, net});
  app::apply(f.session, app::GoBack{});
  CHECK(f.session.selected == ball);
  app::apply(f.session, app::GoForward{});
  app::apply(f.session, app::GoForward{});
  CHECK(f.session.topic == Topic{TopicKind::kLane, lane});
  app::apply(f.session, app::GoForward{});
  CHECK(f.session.topic == Topic{TopicKind::kLane, lane});
  // A new way forgets the old one ahead.
  app::apply(f.session, app::GoBack{});
  app::apply(f.session, app::SelectPin{f.pin("A3")});
  CHECK(f.session.next.empty());
}

TEST_CASE(
    "a name followed to another part leaves the map where it is, and its ball cannot be marked by a key") {
  SessionFixture f;
  f.job();
  const Index part = f.session.board->index().part("U2");
  const Index pin = f.session.board->index().pins_of_part(part).front();
  app::apply(f.session, app::Follow{{TopicKind::kBall, pin}});
  CHECK(f.session.board->board().parts[f.session.package.part].reference == "U1");
  CHECK(app::acted_on(f.session).empty());
  REQUIRE(f.session.sheet);
  CHECK(f.session.sheet->topic.item == pin);
  // Chosen by find, its own part comes on the map.
  app::apply(f.session, app::ShowPart{part});
  CHECK(f.session.board->board().parts[f.session.package.part].reference == "U2");
}

TEST_CASE("what is singled out is counted, and the same again ends it") {
  SessionFixture f;
  const Topic clocks{TopicKind::kClass, static_cast<Index>(SignalClass::kClock)};
  app::apply(f.session, app::SingleOut{clocks});
  REQUIRE(f.session.single_out);
  const auto sites = app::sites_of(*f.session.board, f.session.package, clocks);
  const auto count = std::count(sites.begin(), sites.end(), true);
  CHECK(count > 0);
  CHECK(f.session.message.find(std::to_string(count) + " of 420 balls") != std::string::npos);
  app::apply(f.session, app::SingleOut{clocks});
  CHECK_FALSE(f.session.single_out);
  app::apply(f.session, app::SingleOut{Topic{TopicKind::kLane, 9999}});
  CHECK_FALSE(f.session.single_out);
}

TEST_CASE("a lane's balls lie in its channel's, and classes share the balls out among them") {
  SessionFixture f;
  const app::OpenBoard& board = *f.session.board;
  std::size_t all = 0;
  for (std::size_t c = 0; c < kSignalClasses; ++c) {
    const auto sites = app::sites_of(board, f.session.package, {TopicKind::kClass, static_cast<Index>(c)});
    all += static_cast<std::size_t>(std::count(sites.begin(), sites.end(), true));
  }
  CHECK(all == f.session.package.sites.size());
  REQUIRE_FALSE(board.signals().lanes.empty());
  for (Index lane = 0; lane < board.signals().lanes.size(); ++lane) {
    if (board.signals().lanes[lane].channel == kNone) continue;  // a pair that no channel claims
    const auto inner = app::sites_of(board, f.session.package, {TopicKind::kLane, lane});
    const auto outer =
        app::sites_of(board, f.session.package, {TopicKind::kChannel, board.signals().lanes[lane].channel});
    for (std::size_t i = 0; i < inner.size(); ++i) CHECK((!inner[i] || outer[i]));
  }
}

TEST_CASE("the sheet is copied as text with its net, class, mark and need") {
  SessionFixture f;
  f.job();
  const Index ball = f.net_ball("RAM1_D9");
  app::apply(f.session, app::CopySheet{});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::SelectPin{ball});
  app::apply(f.session, app::MarkPin{ball, MarkKind::kTorn});
  app::apply(f.session, app::CopySheet{});
  for (const char* word : {"RAM1_D9", "data", "torn", "wire", "U1", "TEST AGAINST"})
    CHECK_MESSAGE(f.session.to_copy.find(word) != std::string::npos, word);
}

TEST_CASE("lengths are said in millimetres or mils, exactly: one mil is 25,400 nm") {
  CHECK(app::length_text(25'400, true) == "1.0\u00A0mil");
  CHECK(app::length_text(800'000, true) == "31.5\u00A0mil");
  CHECK(app::length_text(800'000, false) == "0.80\u00A0mm");
  CHECK(app::length_text(-25'400, true) == "-1.0\u00A0mil");
  SessionFixture f;
  app::apply(f.session, app::SelectPin{f.net_ball("RAM1_D9")});
  CHECK(app::sheet_text(*f.session.sheet).find("mm") != std::string::npos);
  app::apply(f.session, app::NextUnits{});
  CHECK(app::sheet_text(*f.session.sheet).find("mil") != std::string::npos);
}
