// Two benches and one job: what each did is in both, whatever the order, and conflicts stop everything.
#include <algorithm>
#include <map>
#include <random>
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>

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
  store::Bench third = open(folder.file("third.sqlite"));
  const std::int64_t at_third = (*app::take_in(third, folder.file("a"), std::nullopt))[0].job;
  mark(third, at_third, 1, MarkKind::kTorn);
  REQUIRE(app::take_in(third, folder.file("b"), app::Prefer::kTheirs).ok());
  CHECK(third.job(at_third)->marks[0].kind == MarkKind::kMissing);
  REQUIRE(app::take_in(ours, folder.file("b"), app::Prefer::kOurs).ok());
  CHECK(ours.job(job)->marks.size() == 2);
  CHECK(ours.job(job)->marks[0].kind == MarkKind::kTorn);
  // What was decided is remembered here, and there once this bench's file has come.
  const auto again = app::take_in(ours, folder.file("b"), std::nullopt);
  REQUIRE(again.ok());
  CHECK((*again)[0].conflicts.empty());
  CHECK(ours.job(job)->marks[0].kind == MarkKind::kTorn);
  REQUIRE(ours.hand_over(job, folder.file("decided"), {}).ok());
  const auto back = app::take_in(theirs, folder.file("decided"), std::nullopt);
  REQUIRE(back.ok());
  CHECK((*back)[0].conflicts.empty());
  CHECK(theirs.job(there)->marks[0].kind == MarkKind::kTorn);
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

TEST_CASE_FIXTURE(
    TwoBenches,
    "a fact or a reading taken back on one bench is taken back on the other, and does not come again") {
  Fact fact;
  fact.kind = FactKind::kOpen;
  fact.a = "U1.B1";
  REQUIRE(ours.add_fact(job, fact, "2026-01-04T00:00:00Z").ok());
  fact.a = "U1.B2";
  REQUIRE(ours.add_fact(job, fact, "2026-01-04T00:00:01Z").ok());
  MeterReading reading;
  reading.net = "N";
  reading.point = "U1.B1";
  reading.value = 0.45;
  REQUIRE(ours.add_readings(job, {reading}, "2026-01-04T00:00:02Z").ok());
  reading.point = "U1.B2";
  REQUIRE(ours.add_readings(job, {reading}, "2026-01-04T00:00:03Z").ok());
  const auto over = pass(ours, job, theirs, std::nullopt);
  CHECK(over[0].facts == 2);
  CHECK(over[0].readings == 2);
  // One of each is taken back there, the other here; neither file brings any of them back.
  REQUIRE(theirs.withdraw_fact(there, theirs.job(there)->facts[0].id, "2026-01-05T00:00:00Z").ok());
  REQUIRE(theirs.withdraw_reading(there, theirs.readings(there)->front().id, "2026-01-05T00:00:00Z").ok());
  REQUIRE(ours.withdraw_fact(job, ours.job(job)->facts[1].id, "2026-01-05T00:00:00Z").ok());
  REQUIRE(ours.withdraw_reading(job, ours.readings(job)->back().id, "2026-01-05T00:00:00Z").ok());
  const auto back = pass(theirs, there, ours, std::nullopt);
  CHECK(back[0].off == 2);
  CHECK(back[0].facts + back[0].readings == 0);
  CHECK(ours.job(job)->facts.empty());
  CHECK(ours.readings(job)->empty());
  CHECK(pass(ours, job, theirs, std::nullopt)[0].off == 2);
  CHECK(theirs.job(there)->facts.empty());
  CHECK(theirs.readings(there)->empty());
  // Told again, it is new, and comes over.
  REQUIRE(theirs.add_fact(there, fact, "2026-01-06T00:00:00Z").ok());
  CHECK(pass(theirs, there, ours, std::nullopt)[0].facts == 1);
  CHECK(ours.job(job)->facts.size() == 1);
}

TEST_CASE(
    "25 random exchanges with marks set, changed and taken off: never a conflict, and both hold the same") {
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

TEST_CASE_FIXTURE(
    TwoBenches, "an intake answer taken back on one bench is taken back on the other, whatever the clocks") {
  REQUIRE(ours.set_intake(job, {{"ticket", "4711"}, {"fault", "dead"}}, "2026-01-04T12:00:00Z").ok());
  pass(ours, job, theirs, std::nullopt);
  // The other bench's clock is an hour late.
  REQUIRE(theirs.set_intake(there, {{"ticket", ""}}, "2026-01-04T11:00:00Z").ok());
  REQUIRE(theirs.intake(there)->size() == 1);
  CHECK(pass(ours, job, theirs, std::nullopt)[0].answers == 0);
  CHECK(theirs.intake(there)->size() == 1);
  CHECK(pass(theirs, there, ours, std::nullopt)[0].off == 1);
  REQUIRE(ours.intake(job)->size() == 1);
  CHECK(ours.intake(job)->front().topic == "fault");
  // Answered anew it comes back, everywhere.
  REQUIRE(ours.set_intake(job, {{"ticket", "4712"}}, "2026-01-04T11:30:00Z").ok());
  CHECK(pass(ours, job, theirs, std::nullopt)[0].answers == 1);
  CHECK(theirs.intake(there)->size() == 2);
}

TEST_CASE_FIXTURE(TwoBenches, "of a fact that both benches made, one's taking back is both's") {
  Fact fact;
  fact.kind = FactKind::kOpen;
  fact.a = "U1.B1";
  REQUIRE(ours.add_fact(job, fact, "2026-01-04T00:00:00Z").ok());
  REQUIRE(theirs.add_fact(there, fact, "2026-01-04T00:00:05Z").ok());
  pass(ours, job, theirs, std::nullopt);
  pass(theirs, there, ours, std::nullopt);
  REQUIRE(theirs.withdraw_fact(there, theirs.job(there)->facts[0].id, "2026-01-05T00:00:00Z").ok());
  pass(ours, job, theirs, std::nullopt);
  CHECK(theirs.job(there)->facts.empty());
  pass(theirs, there, ours, std::nullopt);
  CHECK(ours.job(job)->facts.empty());
  // Measured again later, it stands again.
  REQUIRE(ours.add_fact(job, fact, "2026-01-06T00:00:00Z").ok());
  pass(ours, job, theirs, std::nullopt);
  CHECK(theirs.job(there)->facts.size() == 1);
}

namespace {

// One bench of the random exchanges, and what a user may do at it.
struct Hand {
  store::Bench bench;
  std::int64_t job = 0;
};

std::string second(int n) {
  return fmt::format("2026-02-01T{:02}:{:02}:{:02}Z", n / 3600, n / 60 % 60, n % 60);
}

void act(Hand& hand, std::mt19937& random, int now) {
  const auto pick = [&](unsigned of) { return static_cast<int>(random() % of); };
  const std::string at = second(now);
  const std::string site = "U1.B" + std::to_string(pick(3));
  switch (pick(9)) {
    case 0:
      return mark(hand.bench, hand.job, pick(4), static_cast<MarkKind>(pick(4)));
    case 1:
      return take_off(hand.bench, hand.job, pick(4));
    case 2:
      REQUIRE(hand.bench.undo(hand.job, at).ok());
      return;
    case 3:
      REQUIRE(hand.bench.redo(hand.job, at).ok());
      return;
    case 4: {
      Fact fact;
      fact.kind = FactKind::kOpen;
      fact.a = site;
      const auto facts = hand.bench.job(hand.job)->facts;
      const bool there = std::any_of(facts.begin(), facts.end(), [&](const Fact& f) { return f.a == site; });
      if (!there) REQUIRE(hand.bench.add_fact(hand.job, fact, at).ok());
      return;
    }
    case 5: {
      const auto facts = hand.bench.job(hand.job)->facts;
      if (!facts.empty())
        REQUIRE(hand.bench.withdraw_fact(hand.job, facts[random() % facts.size()].id, at).ok());
      return;
    }
    case 6: {
      MeterReading reading;
      reading.net = "N";
      reading.point = site;
      reading.value = 0.1 * pick(9);
      REQUIRE(hand.bench.add_readings(hand.job, {reading}, at).ok());
      return;
    }
    case 7: {
      const auto readings = *hand.bench.readings(hand.job);
      if (!readings.empty())
        REQUIRE(hand.bench.withdraw_reading(hand.job, readings[random() % readings.size()].id, at).ok());
      return;
    }
    default: {
      const char* topics[] = {"ticket", "fault"};
      REQUIRE(hand.bench
                  .set_intake(hand.job, {{topics[pick(2)], pick(3) == 0 ? "" : std::to_string(pick(5))}}, at)
                  .ok());
    }
  }
}

// All that a job holds, without numbers of its own bench.
std::multiset<std::string> held(Hand& hand) {
  std::multiset<std::string> all;
  const auto job = hand.bench.job(hand.job);
  for (const Mark& m : job->marks) all.insert(fmt::format("mark {} {} {}", m.ball, word(m.kind), m.note));
  for (const Fact& f : job->facts) all.insert("fact " + f.a);
  for (const MeterReading& r : *hand.bench.readings(hand.job))
    all.insert(fmt::format("reading {} {} {}", r.point, r.value.value_or(-1), r.at));
  for (const IntakeAnswer& a : *hand.bench.intake(hand.job)) all.insert("answer " + a.topic + " " + a.answer);
  return all;
}

}  // namespace

TEST_CASE(
    "80 random histories of two benches end equal once files went both ways and nothing is asked twice") {
  for (unsigned seed = 1; seed <= 80; ++seed) {
    CAPTURE(seed);
    const testing::ScratchFolder folder;
    std::mt19937 random(seed);
    Hand ours{open(folder.file("ours.sqlite"))};
    ours.job = begin(ours.bench);
    REQUIRE(ours.bench.hand_over(ours.job, folder.file("start"), {}).ok());
    Hand theirs{open(folder.file("theirs.sqlite"))};
    theirs.job = (*app::take_in(theirs.bench, folder.file("start"), std::nullopt))[0].job;
    int file = 0;
    int now = 0;
    const auto pass = [&](Hand& from, Hand& to, bool may_ask) {
      const auto name = folder.file("f" + std::to_string(file++));
      REQUIRE(from.bench.hand_over(from.job, name, {}).ok());
      const auto taken = app::take_in(to.bench, name, std::nullopt);
      REQUIRE(taken.ok());
      CHECK((may_ask || (*taken)[0].conflicts.empty()));
      if ((*taken)[0].conflicts.empty()) return;
      const auto side = random() % 2 == 0 ? app::Prefer::kOurs : app::Prefer::kTheirs;
      REQUIRE(app::take_in(to.bench, name, side).ok());
      const auto again = app::take_in(to.bench, name, std::nullopt);
      REQUIRE(again.ok());
      CHECK((*again)[0].conflicts.empty());
    };
    for (int step = 0; step < 30; ++step) {
      act(random() % 2 == 0 ? ours : theirs, random, ++now);
      if (random() % 6 != 0) continue;
      if (random() % 2 == 0) {
        pass(ours, theirs, true);
      } else {
        pass(theirs, ours, true);
      }
    }
    pass(ours, theirs, true);
    pass(theirs, ours, false);  // all that there was to ask was asked
    CHECK(held(ours) == held(theirs));
    const auto settled = held(ours);
    pass(ours, theirs, false);
    CHECK(held(theirs) == settled);
  }
}
