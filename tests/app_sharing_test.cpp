// Two benches and one job: what each did is in both, whatever the order, and conflicts stop everything.
#include <algorithm>
#include <map>
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

void take_off(store::Bench& bench, std::int64_t job, int ball) {
  REQUIRE(bench
              .record(job, "off", {{"U1", "B" + std::to_string(ball), std::nullopt, std::nullopt}},
                      "2026-01-02T00:00:00Z")
              .ok());
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

namespace {

// Two benches that both hold one job with B1 to B4 torn, marked on the first.
struct TwoBenches {
  TwoBenches() {
    for (int ball = 1; ball <= 4; ++ball) mark(ours, job, ball, MarkKind::kTorn);
    there = pass(ours, job, theirs, std::nullopt)[0].job;
  }
  std::vector<app::TakenIn> pass(store::Bench& from, std::int64_t id, store::Bench& to,
                                 std::optional<app::Prefer> prefer) {
    const auto name = folder.file("f" + std::to_string(files++));
    REQUIRE(from.hand_over(id, name, {}).ok());
    const auto taken = app::take_in(to, name, prefer);
    REQUIRE(taken.ok());
    // Once more changes nothing.
    const auto before = to.jobs();
    const auto again = app::take_in(to, name, prefer);
    REQUIRE(again.ok());
    const bool stopped = !prefer && !taken->front().conflicts.empty();
    if (!stopped) CHECK(again->front().marks + again->front().off == 0);
    CHECK(to.jobs()->front().marks == before->front().marks);
    return *taken;
  }
  static bool has(store::Bench& bench, std::int64_t job, int ball) {
    const auto marks = bench.job(job)->marks;
    return std::any_of(marks.begin(), marks.end(),
                       [&](const Mark& m) { return m.ball == "B" + std::to_string(ball); });
  }
  const testing::ScratchFolder folder;
  store::Bench ours = open(folder.file("ours.sqlite"));
  store::Bench theirs = open(folder.file("theirs.sqlite"));
  std::int64_t job = begin(ours), there = 0;
  int files = 0;
};

}  // namespace

TEST_CASE_FIXTURE(
    TwoBenches,
    "a mark taken off on the other bench, and not touched here since, is taken off here, both ways") {
  take_off(theirs, there, 1);
  REQUIRE(theirs.undo(there, "2026-01-02T00:00:01Z").ok());
  take_off(theirs, there, 2);
  const auto back = pass(theirs, there, ours, std::nullopt);
  CHECK(back[0].conflicts.empty());
  CHECK(back[0].off == 1);
  CHECK(has(ours, job, 1));  // taken off and undone there: it stands
  CHECK_FALSE(has(ours, job, 2));
  // The other way round, and a mark that the other bench never saw stays.
  take_off(ours, job, 3);
  mark(theirs, there, 9, MarkKind::kLoose);
  const auto over = pass(ours, job, theirs, std::nullopt);
  CHECK(over[0].off == 1);
  CHECK_FALSE(has(theirs, there, 3));
  CHECK(has(theirs, there, 9));
  // One gesture on the bench that takes in: one undo.
  REQUIRE(theirs.undo(there, "2026-01-03T00:00:00Z").ok());
  CHECK(has(theirs, there, 3));
}

TEST_CASE_FIXTURE(
    TwoBenches, "a file from before does not bring back what was taken off since, nor take off what is new") {
  const auto old = folder.file("old");
  REQUIRE(theirs.hand_over(there, old, {}).ok());
  take_off(ours, job, 1);
  mark(ours, job, 2, MarkKind::kMissing);
  mark(ours, job, 9, MarkKind::kLoose);
  const auto taken = app::take_in(ours, old, std::nullopt);
  REQUIRE(taken.ok());
  CHECK((*taken)[0].conflicts.empty());
  CHECK((*taken)[0].marks + (*taken)[0].off == 0);
  CHECK_FALSE(has(ours, job, 1));
  CHECK(has(ours, job, 9));
  CHECK(ours.job(job)->marks[0].kind == MarkKind::kMissing);
}

TEST_CASE_FIXTURE(TwoBenches, "taken off on one bench and changed on the other is a conflict, both ways") {
  take_off(theirs, there, 1);
  mark(ours, job, 1, MarkKind::kBarrel);
  take_off(ours, job, 2);
  mark(theirs, there, 2, MarkKind::kBarrel);
  take_off(theirs, there, 3);
  const auto stopped = pass(theirs, there, ours, std::nullopt);
  REQUIRE(stopped[0].conflicts.size() == 2);
  CHECK(stopped[0].conflicts[0] == "U1.B1: here barrel, there taken off");
  CHECK(stopped[0].conflicts[1] == "U1.B2: here taken off, there barrel");
  CHECK(has(ours, job, 3));  // nothing at all was taken
  const auto other = pass(ours, job, theirs, std::nullopt);
  CHECK(other[0].conflicts.size() == 2);
  pass(theirs, there, ours, app::Prefer::kTheirs);
  CHECK_FALSE(has(ours, job, 1));
  CHECK(has(ours, job, 2));
  CHECK_FALSE(has(ours, job, 3));
  // What was decided is no conflict there any more.
  const auto settled = pass(ours, job, theirs, std::nullopt);
  CHECK(settled[0].conflicts.empty());
  CHECK(theirs.job(there)->marks == ours.job(job)->marks);
}

TEST_CASE_FIXTURE(TwoBenches,
                  "both marked a site alike: no conflict, and what follows on either side is later") {
  mark(ours, job, 7, MarkKind::kLoose);
  mark(theirs, there, 7, MarkKind::kLoose);
  CHECK(pass(theirs, there, ours, std::nullopt)[0].conflicts.empty());
  take_off(theirs, there, 7);
  const auto taken = pass(theirs, there, ours, std::nullopt);
  CHECK(taken[0].conflicts.empty());
  CHECK(taken[0].off == 1);
  CHECK_FALSE(has(ours, job, 7));
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
    "90 random exchanges with marks set, changed and taken off: never a conflict, and both hold the same") {
  for (unsigned seed = 1; seed <= 25; ++seed) {
    TwoBenches two;
    std::mt19937 random(seed);
    // Each changes balls of its own, so that nothing can conflict; what stands is what its owner said last.
    std::map<int, std::optional<MarkKind>> said;
    for (int ball = 1; ball <= 4; ++ball) said[ball] = MarkKind::kTorn;
    for (int step = 0; step < 30; ++step) {
      const bool own = random() % 2 == 0;
      store::Bench& bench = own ? two.ours : two.theirs;
      const std::int64_t id = own ? two.job : two.there;
      const int ball = static_cast<int>(random() % 6) * 2 + (own ? 0 : 1);
      switch (random() % 4) {
        case 0:
          mark(bench, id, ball, MarkKind::kLoose);
          said[ball] = MarkKind::kLoose;
          break;
        case 1:
          mark(bench, id, ball, MarkKind::kBarrel);
          said[ball] = MarkKind::kBarrel;
          break;
        case 2:
          take_off(bench, id, ball);
          said[ball].reset();
          break;
        default: {
          const auto taken = own ? two.pass(two.ours, two.job, two.theirs, std::nullopt)
                                 : two.pass(two.theirs, two.there, two.ours, std::nullopt);
          CHECK(taken[0].conflicts.empty());
        }
      }
    }
    two.pass(two.ours, two.job, two.theirs, std::nullopt);
    two.pass(two.theirs, two.there, two.ours, std::nullopt);
    CHECK(two.ours.job(two.job)->marks == two.theirs.job(two.there)->marks);
    const auto standing =
        std::count_if(said.begin(), said.end(), [](const auto& one) { return one.second.has_value(); });
    CHECK(std::ssize(two.ours.job(two.job)->marks) == standing);
    const auto marks = two.ours.job(two.job)->marks;
    for (const Mark& one : marks) CHECK(said[std::stoi(one.ball.substr(1))] == one.kind);
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
