// The window's session without a window: actions in, state out, everything kept.
#include <doctest/doctest.h>

#include "tests/support/session.hpp"
#include "viewer/app/import.hpp"
#include "viewer/app/session.hpp"
#include "viewer/app/site_syntax.hpp"

using namespace landfall;

using Fixture = testing::SessionFixture;

TEST_CASE("marks need a job, with one a mark is kept, counted, undone and done again") {
  Fixture f;
  app::apply(f.session, app::MarkPin{f.pin("AB3"), MarkKind::kTorn});
  CHECK(f.session.message_is_error);
  app::apply(f.session, app::NewJob{});
  REQUIRE(f.session.job);
  app::apply(f.session, app::MarkPin{f.pin("AB3"), MarkKind::kTorn});
  CHECK_FALSE(f.session.message_is_error);
  CHECK(f.session.assessment.sites.size() == 1);
  CHECK(f.session.assessment.wires == 1);
  CHECK(f.session.assessment.not_inspected == 419);
  app::apply(f.session, app::Undo{});
  CHECK(f.session.assessment.sites.empty());
  app::apply(f.session, app::Redo{});
  CHECK(f.session.assessment.sites.size() == 1);
  // Kept: another session on the same file has it.
  auto other = app::start_session(f.folder.file("b.sqlite"));
  REQUIRE(other.ok());
  CHECK(other->jobs.front().marks.size() == 1);
}

TEST_CASE("find as you type leads to a net's ball, and leaving goes one step back at a time") {
  Fixture f;
  app::apply(f.session, app::FindText{"ram1 d9"});
  REQUIRE(f.session.hits.size() == 1);
  app::apply(f.session, app::GoToHit{0});
  REQUIRE(f.session.sheet);
  CHECK(f.session.sheet->under.front().text == "RAM1_D9");
  app::apply(f.session, app::FindText{"no such thing"});
  CHECK(f.session.hits.empty());
  app::apply(f.session, app::Leave{});
  CHECK(f.session.find_text.empty());
  app::apply(f.session, app::Leave{});
  CHECK(f.session.selected == kNone);
  app::apply(f.session, app::Leave{});
  CHECK(f.session.bench_page);
  app::apply(f.session, app::ShowMap{});
  CHECK_FALSE(f.session.bench_page);
}

TEST_CASE("a second window's mark is seen after a refresh") {
  Fixture f;
  app::apply(f.session, app::NewJob{});
  auto other = app::start_session(f.folder.file("b.sqlite"));
  REQUIRE(other.ok());
  app::apply(*other, app::OpenJob{1});
  app::apply(*other, app::MarkPin{f.pin("B3"), MarkKind::kMissing});
  app::apply(f.session, app::Refresh{});
  CHECK(f.session.assessment.sites.size() == 1);
  CHECK(f.session.message == "Marked in another window: one mark in this job now.");
  // Its own marks are no news.
  app::apply(f.session, app::MarkPin{f.pin("B4"), MarkKind::kTorn});
  app::apply(f.session, app::Refresh{});
  CHECK(f.session.message == "U1.B4 torn. Undo with Ctrl+Z.");
}

TEST_CASE("find is tolerant of case and separators, ranks whole names first, and says how many there are") {
  Fixture f;
  const app::FindIndex index(f.session.board->index());
  std::size_t total = 0;
  const auto hits = index.find("u1", 5, &total);
  REQUIRE(hits.size() == 5);
  CHECK(hits.front().kind == app::HitKind::kPart);
  CHECK(hits.front().name == "U1");
  CHECK(total > 400);
  CHECK(index.find("RAM0-dqs0/p", 5).front().name == "RAM0_DQS0_P");
  CHECK(index.find("", 5).empty());
}

TEST_CASE("site lists are taken whole or not at all") {
  Fixture f;
  app::apply(f.session, app::NewJob{});
  const auto& board = *f.session.board;
  const Job& job = *f.session.job;
  CHECK(app::parse_marks(board, job, {"A1..B3=torn"}, false)->changes.size() == 6);
  CHECK(app::parse_marks(board, job, {"U1.A1", "b02..B4", "Sound"}, false)->changes.size() == 4);
  CHECK_FALSE(app::parse_marks(board, job, {"A1=torn", "A99=torn"}, false).ok());
  CHECK_FALSE(app::parse_marks(board, job, {"A1"}, false).ok());
  CHECK_FALSE(app::parse_marks(board, job, {"A1=gone"}, false).ok());
  CHECK(app::parse_marks(board, job, {"A1..B3=torn"}, false)->words == "6 sites torn");
  CHECK(app::parse_marks(board, job, {"A1=torn", "A2=loose"}, false)->words == "2 sites marked");
  // The empty ring is left out of a rectangle.
  CHECK(app::parse_marks(board, job, {"F6..J9=torn"}, false)->changes.size() == 8);
}

TEST_CASE("a range may end where the package has no ball, a single site and an unknown row may not") {
  Fixture f;
  app::apply(f.session, app::NewJob{});
  const auto& board = *f.session.board;
  const Job& job = *f.session.job;
  const Index u1 = board.index().part("U1");
  // A site of the empty ring.
  std::string gap;
  for (const char row : std::string("FGHJ")) {
    for (int column = 6; column <= 9 && gap.empty(); ++column) {
      const std::string name = row + std::to_string(column);
      if (board.index().pin(u1, name) == kNone) gap = name;
    }
  }
  REQUIRE_FALSE(gap.empty());
  const auto to_gap = app::sites_named(board, job, "A1.." + gap);
  REQUIRE(to_gap.ok());
  CHECK(to_gap->size() > 20);
  const auto from_gap = app::sites_named(board, job, "u1." + app::lower(gap) + "..a01");
  REQUIRE(from_gap.ok());
  CHECK(*to_gap == *from_gap);
  CHECK_FALSE(app::sites_named(board, job, gap).ok());
  CHECK_FALSE(app::sites_named(board, job, "A1..A99").ok());
  CHECK_FALSE(app::sites_named(board, job, "A1..I4").ok());          // there is no row I
  CHECK_FALSE(app::sites_named(board, job, gap + ".." + gap).ok());  // nothing in it
}
