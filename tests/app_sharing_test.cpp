// Two benches and one job: what each did is in both, whatever the order, and conflicts stop everything.
#include <random>

#include <doctest/doctest.h>

#include "tests/support/files.hpp"
#include "viewer/app/sharing.hpp"

using namespace landfall;

namespace {

store::Bench open(const std::filesystem::path& file) {
  auto bench = store::Bench::open(file);
  REQUIRE(bench.ok());
  return std::move(bench).value();
}

Board bare() {
  Board board;
  board.parts = {{"U1", "", "", "", false, {}, 0, Side::kTop, true}};
  for (int i = 0; i < 40; ++i)
    board.pins.push_back({0, "B" + std::to_string(i), "", PinType::kUnknown, kNone});
  return board;
}

std::int64_t begin(store::Bench& bench) {
  Job job;
  job.board = *bench.keep_board("shared", bare(), {{}, {}, "2026-01-01T00:00:00Z"});
  job.lifted = {"U1"};
  job.title = "one";
  return *bench.new_job(job, "2026-01-01T00:00:01Z");
}

void mark(store::Bench& bench, std::int64_t job, int ball, MarkKind kind) {
  REQUIRE(
      bench.record(job, "m", {{"U1", "B" + std::to_string(ball), kind, std::nullopt}}, "2026-01-02T00:00:00Z")
          .ok());
}

}  // namespace

TEST_CASE("a handed-over file holds one job and no settings, is taken in whole, and twice changes nothing") {
  const testing::ScratchFolder folder;
  store::Bench ours = open(folder.file("ours.sqlite"));
  const std::int64_t job = begin(ours);
  mark(ours, job, 1, MarkKind::kTorn);
  REQUIRE(ours.keep_board("private", bare(), {{}, {}, "2026-01-01T00:00:00Z"}).ok());
  REQUIRE(ours.set_setting("rate.hour", 77).ok());
  REQUIRE(ours.set_intake(job, {{"ticket", "4711", ""}}, "2026-01-02T00:00:00Z").ok());
  const auto file = folder.file("over.landfall");
  REQUIRE(ours.hand_over(job, file, {}).ok());
  CHECK_FALSE(ours.hand_over(job, file, {}).ok());  // it is there already
  const std::string bytes = testing::read_file(file);
  CHECK(bytes.find("private") == std::string::npos);
  CHECK(bytes.find("rate.hour") == std::string::npos);
  store::Bench theirs = open(folder.file("theirs.sqlite"));
  const auto taken = app::take_in(theirs, file, std::nullopt);
  REQUIRE(taken.ok());
  REQUIRE(taken->size() == 1);
  CHECK((*taken)[0].new_job);
  CHECK((*taken)[0].marks == 1);
  CHECK((*taken)[0].answers == 1);
  const auto again = app::take_in(theirs, file, std::nullopt);
  REQUIRE(again.ok());
  CHECK_FALSE((*again)[0].new_job);
  CHECK((*again)[0].marks + (*again)[0].answers == 0);
  CHECK(theirs.jobs()->size() == 1);
  CHECK(theirs.boards()->size() == 1);
  CHECK_FALSE(app::take_in(theirs, folder.file("none"), std::nullopt).ok());
}

TEST_CASE("a conflict is listed with both sides and nothing is taken until one side is preferred") {
  const testing::ScratchFolder folder;
  store::Bench ours = open(folder.file("ours.sqlite"));
  const std::int64_t job = begin(ours);
  REQUIRE(ours.hand_over(job, folder.file("a"), {}).ok());
  store::Bench theirs = open(folder.file("theirs.sqlite"));
  const auto first = app::take_in(theirs, folder.file("a"), std::nullopt);
  REQUIRE(first.ok());
  const std::int64_t there = (*first)[0].job;
  mark(ours, job, 1, MarkKind::kTorn);
  mark(theirs, there, 1, MarkKind::kMissing);
  mark(theirs, there, 2, MarkKind::kLoose);
  REQUIRE(theirs.hand_over(there, folder.file("b"), {}).ok());
  const auto stopped = app::take_in(ours, folder.file("b"), std::nullopt);
  REQUIRE(stopped.ok());
  REQUIRE((*stopped)[0].conflicts.size() == 1);
  CHECK((*stopped)[0].conflicts[0] == "U1.B1: here torn, there missing");
  CHECK(ours.job(job)->marks.size() == 1);
  REQUIRE(app::take_in(ours, folder.file("b"), app::Prefer::kOurs).ok());
  CHECK(ours.job(job)->marks.size() == 2);
  CHECK(ours.job(job)->marks[0].kind == MarkKind::kTorn);
  REQUIRE(app::take_in(ours, folder.file("b"), app::Prefer::kTheirs).ok());
  CHECK(ours.job(job)->marks[0].kind == MarkKind::kMissing);
}

TEST_CASE("60 random exchanges between two benches: no mark is lost, and both hold the same in the end") {
  for (unsigned seed = 1; seed <= 60; ++seed) {
    const testing::ScratchFolder folder;
    std::mt19937 random(seed);
    store::Bench ours = open(folder.file("ours.sqlite"));
    const std::int64_t job = begin(ours);
    REQUIRE(ours.hand_over(job, folder.file("start"), {}).ok());
    store::Bench theirs = open(folder.file("theirs.sqlite"));
    const std::int64_t there = (*app::take_in(theirs, folder.file("start"), std::nullopt))[0].job;
    int file = 0;
    const auto pass = [&](store::Bench& from, std::int64_t id, store::Bench& to) {
      const auto name = folder.file("f" + std::to_string(file++));
      REQUIRE(from.hand_over(id, name, {}).ok());
      const auto taken = app::take_in(to, name, std::nullopt);
      REQUIRE(taken.ok());
      CHECK((*taken)[0].conflicts.empty());
    };
    // Each works on balls of its own, so that nothing can conflict.
    std::size_t made = 0;
    for (int step = 0; step < 12; ++step) {
      const int ball = static_cast<int>(made);
      switch (random() % 4) {
        case 0:
          mark(ours, job, ball, MarkKind::kTorn);
          ++made;
          break;
        case 1:
          mark(theirs, there, ball, MarkKind::kMissing);
          ++made;
          break;
        case 2:
          pass(ours, job, theirs);
          break;
        default:
          pass(theirs, there, ours);
      }
    }
    pass(ours, job, theirs);
    pass(theirs, there, ours);
    CHECK(ours.job(job)->marks.size() == made);
    CHECK(ours.job(job)->marks == theirs.job(there)->marks);
  }
}

TEST_CASE(
    "photos go over with their matches unless they are left out, the newer matches stand, a rubbed one stays "
    "away") {
  const testing::ScratchFolder folder;
  store::Bench ours = open(folder.file("ours.sqlite"));
  const std::int64_t job = begin(ours);
  Photo photo;
  photo.width = 4;
  photo.height = 3;
  photo.note = "corner";
  REQUIRE(ours.add_photo(job, photo, "first picture", "2026-01-02T00:00:00Z").ok());
  REQUIRE(ours.add_photo(job, photo, "second picture", "2026-01-02T00:00:01Z").ok());
  const std::vector<PhotoMatch> early{{"U1.B1", 1, 2}};
  const std::vector<PhotoMatch> late{{"U1.B1", 1, 2}, {"U1.B2", 3, 1}};
  REQUIRE(ours.match_photo(job, 1, PhotoFit::kSimilarity, early, "2026-01-02T00:00:02Z").ok());
  REQUIRE(ours.hand_over(job, folder.file("bare"), {false, false}).ok());
  CHECK(testing::read_file(folder.file("bare")).find("picture") == std::string::npos);
  REQUIRE(ours.hand_over(job, folder.file("full"), {}).ok());
  store::Bench theirs = open(folder.file("theirs.sqlite"));
  const auto taken = app::take_in(theirs, folder.file("full"), std::nullopt);
  REQUIRE(taken.ok());
  CHECK((*taken)[0].photos == 2);
  const std::int64_t there = (*taken)[0].job;
  REQUIRE(theirs.photos(there)->size() == 2);
  CHECK(theirs.photos(there)->front().matches == early);
  CHECK(theirs.photos(there)->front().note == "corner");
  CHECK(*theirs.photo_bytes(there, 2) == "second picture");
  CHECK((*app::take_in(theirs, folder.file("full"), std::nullopt))[0].photos == 0);
  // There it is matched anew and the second is rubbed out; here a third is taken.
  REQUIRE(theirs.match_photo(there, 1, PhotoFit::kEither, late, "2026-01-03T00:00:00Z").ok());
  REQUIRE(theirs.rub_photo(there, 2, "2026-01-03T00:00:00Z").ok());
  REQUIRE(ours.add_photo(job, photo, "third picture", "2026-01-03T00:00:00Z").ok());
  REQUIRE(ours.hand_over(job, folder.file("again"), {}).ok());
  REQUIRE(theirs.hand_over(there, folder.file("back"), {}).ok());
  CHECK((*app::take_in(theirs, folder.file("again"), std::nullopt))[0].photos == 1);
  CHECK(theirs.photos(there)->size() == 2);
  CHECK(theirs.photos(there)->front().matches == late);
  CHECK((*app::take_in(ours, folder.file("back"), std::nullopt))[0].photos == 1);
  CHECK(ours.photos(job)->size() == 3);
  CHECK(ours.photos(job)->front().matches == late);
}
