// The plan as lines, the plan's and the verdict's pages, and the map's place kept meanwhile.
#include <algorithm>

#include <doctest/doctest.h>

#include "netdb/packages/packages.hpp"
#include "tests/support/session.hpp"
#include "viewer/app/facts.hpp"

using namespace landfall;
using app::LineState;

namespace {

struct Planned : testing::SessionFixture {
  Planned() {
    job();
    app::apply(session, app::TypeMarks{"AB3 AA3 Y2 torn"});
    app::apply(session, app::TypeMarks{"AB5 missing"});
    app::apply(session, app::MarkMany{{net_ball("RAM1_D8")}, MarkKind::kChip});
    app::apply(session, app::ShowPlan{});
    REQUIRE(session.plan);
    REQUIRE(session.lines.size() >= 4);
  }
  const app::PlanLine& line(int number) {
    const auto found = std::find_if(session.lines.begin(), session.lines.end(),
                                    [&](const app::PlanLine& one) { return one.number == number; });
    REQUIRE(found != session.lines.end());
    return *found;
  }
  std::size_t place(int number) { return static_cast<std::size_t>(&line(number) - session.lines.data()); }
};

}  // namespace

TEST_CASE("every wire, rebuild and site without remedy is one line, with the plan's own figures") {
  Planned f;
  const auto& plan = f.session.plan->plan;
  std::size_t cannot = 0;
  for (const auto& mend : f.session.assessment.mends) cannot += mend.cannot.size();
  CHECK(cannot > 0);
  CHECK(f.session.lines.size() == plan.wires.size() + plan.rebuilds.size() + cannot);
  CHECK(f.session.lines.front().state == LineState::kCannot);
  CHECK(f.session.lines.front().number == 0);
  CHECK(!f.session.lines.front().why.empty());
  for (const auto& wire : plan.wires) {
    const app::PlanLine& line = f.line(wire.number);
    CHECK_FALSE(line.rebuild);
    CHECK(line.pin == wire.jumper.from.pin);
    CHECK(line.net == wire.jumper.net);
    CHECK(line.length.value_or(0) == wire.length);
    CHECK(line.word == wire.word);
    CHECK(line.share == wire.judgement.share);
    CHECK(line.state == LineState::kToDo);
  }
  for (const auto& rebuild : plan.rebuilds) {
    CHECK(f.line(rebuild.number).rebuild);
    CHECK(f.line(rebuild.number).pin == rebuild.rebuild.pin);
  }
  // What cannot be done stands first, then the rebuilds.
  const auto rank = [](const app::PlanLine& line) { return line.number == 0 ? 0 : (line.rebuild ? 1 : 2); };
  CHECK(std::is_sorted(f.session.lines.begin(), f.session.lines.end(),
                       [&](const auto& a, const auto& b) { return rank(a) < rank(b); }));
}

TEST_CASE("a chosen line selects its ball, done and failed are counted, and a failed wire has a new way") {
  Planned f;
  const int first = f.session.plan->plan.wires.front().number;
  app::apply(f.session, app::ChooseLine{f.place(first)});
  CHECK(f.session.line == f.place(first));
  CHECK(f.session.selected == f.line(first).pin);
  app::apply(f.session, app::ChooseLine{99'999});
  CHECK(f.session.line == f.place(first));
  app::apply(f.session, app::NoteOutcome{first, true});
  CHECK(f.line(first).state == LineState::kDone);
  auto counts = app::count_lines(f.session.lines);
  CHECK(counts.done == 1);
  CHECK(counts.wires == f.session.plan->plan.wires.size());
  CHECK(counts.to_do == counts.wires - 1);
  const int second = f.session.plan->plan.wires[1].number;
  const std::string before = f.line(second).to;
  app::apply(f.session, app::NoteOutcome{second, false});
  REQUIRE(f.session.plan);
  CHECK(f.session.plan->failed.size() == 1);
  const bool elsewhere = std::any_of(f.session.lines.begin(), f.session.lines.end(), [&](const auto& line) {
    return line.number == second && line.to != before && line.state == LineState::kToDo;
  });
  const bool cannot = std::any_of(f.session.lines.begin(), f.session.lines.end(),
                                  [&](const auto& line) { return line.state == LineState::kCannot; });
  CHECK((elsewhere || cannot));
}

TEST_CASE("plan and verdict take each other's place, need a job, and go by Esc or again") {
  testing::SessionFixture none;
  app::apply(none.session, app::ShowVerdict{});
  CHECK(none.session.message_is_error);
  CHECK_FALSE(none.session.verdict_page);
  Planned f;
  app::apply(f.session, app::ShowVerdict{});
  CHECK(f.session.verdict_page);
  CHECK_FALSE(f.session.plan_page);
  REQUIRE(f.session.plan);
  CHECK(f.session.plan->verdict);
  app::apply(f.session, app::ShowVerdict{});
  CHECK_FALSE(f.session.verdict_page);
  app::apply(f.session, app::ShowVerdict{});
  app::apply(f.session, app::ShowBoard{});
  CHECK_FALSE(f.session.verdict_page);
  app::apply(f.session, app::ShowVerdict{});
  CHECK_FALSE(f.session.board_view);
  app::apply(f.session, app::ShowBench{});
  app::apply(f.session, app::ShowVerdict{});  // from the bench it comes, though it was there before
  CHECK(f.session.verdict_page);
  CHECK_FALSE(f.session.bench_page);
  f.session.topic.reset();
  app::apply(f.session, app::Leave{});
  CHECK_FALSE(f.session.verdict_page);
}

TEST_CASE("what is looked at on the plan's page leaves the map's own place alone, but for face and turn") {
  Planned f;
  app::apply(f.session, app::ShowPlan{});
  CHECK_FALSE(f.session.plan_page);
  app::apply(f.session, app::SetLook{{false, 0, false, 2, 1, -1}});
  const app::Look own = f.session.look;
  app::apply(f.session, app::ShowPlan{});
  app::apply(f.session, app::SetLook{{true, 90, false, 5, 7, 7}});
  CHECK(f.session.look.zoom == 5);
  app::apply(f.session, app::ShowMap{});
  CHECK(f.session.look.zoom == own.zoom);
  CHECK(f.session.look.x == own.x);
  CHECK(f.session.look.balls);
  CHECK(f.session.look.turn == 90);
  // Another board's look is not mixed up with it.
  app::apply(f.session, app::ShowPlan{});
  app::apply(f.session, app::SetLook{{false, 0, false, 6, 3, 3}});
  app::apply(f.session, app::ShowPart{f.session.board->index().part("U2")});
  app::apply(f.session, app::ShowMap{});
  CHECK(f.session.look.zoom == 1);
}

TEST_CASE("another board or job takes the plan, the verdict and their lines away with it") {
  for (const bool verdict : {false, true}) {
    Planned f;
    if (verdict) app::apply(f.session, app::ShowVerdict{});
    const auto other = packages::bare_board(3, 3, 800'000);
    REQUIRE(other.ok());
    const auto id = f.session.bench->keep_board("other", *other, {{}, {}, "2026-01-01T00:00:00Z"});
    REQUIRE(id.ok());
    app::apply(f.session, app::ShowBench{});
    app::apply(f.session, app::OpenPart{*id, ""});
    REQUIRE(f.session.board->info().name == "other");
    CHECK_FALSE(f.session.plan_page);
    CHECK_FALSE(f.session.verdict_page);
    CHECK_FALSE(f.session.plan);
    CHECK(f.session.lines.empty());
    app::apply(f.session, app::ChooseLine{0});
    CHECK(f.session.selected == kNone);
  }
}

namespace {

int cases_of(const app::PlanAnswer& answer) {
  std::int64_t sum = 0;
  for (const auto& chance : answer.verdict->chances) sum += chance.own.worked + chance.own.failed;
  return static_cast<int>(sum);
}

}  // namespace

TEST_CASE("a tick that was a slip is taken back by the same key, and leaves no case") {
  Planned f;
  REQUIRE(f.session.plan->plan.wires.size() >= 2);
  const int number = f.session.plan->plan.wires.front().number;
  const int other = f.session.plan->plan.wires.back().number;
  const int before = cases_of(*f.session.plan);
  app::apply(f.session, app::NoteOutcome{number, true});
  CHECK(f.line(number).state == LineState::kDone);
  CHECK(cases_of(*f.session.plan) == before + 1);
  app::apply(f.session, app::NoteOutcome{number, true});
  CHECK(f.line(number).state == LineState::kToDo);
  CHECK(cases_of(*f.session.plan) == before);
  CHECK(f.session.message.find("taken back") != std::string::npos);
  // A cross moves the plan: undo takes it back, and the wire is where it was.
  const Point landing = f.session.plan->plan.wires.back().jumper.to.at;
  app::apply(f.session, app::NoteOutcome{other, false});
  CHECK(f.session.plan->failed.size() == 1);
  app::apply(f.session, app::Undo{});
  CHECK(f.session.plan->failed.empty());
  CHECK(cases_of(*f.session.plan) == before);
  CHECK(f.session.plan->plan.wires.back().jumper.to.at == landing);
  CHECK(f.session.bench->outcomes(f.session.job->id)->size() == 4);  // all of it is kept
}

TEST_CASE("the verdict's time and chance are those of what is left to do") {
  Planned f;
  using rework::verdict::OptionKind;
  const auto start = f.session.plan->verdict->option(OptionKind::kRepair);
  const int number = f.session.plan->plan.wires.front().number;
  app::apply(f.session, app::NoteOutcome{number, true});
  const auto& now = *f.session.plan->verdict;
  CHECK(now.behind.done == 1);
  CHECK(now.option(OptionKind::kRepair).minutes < start.minutes);
  CHECK(now.option(OptionKind::kRepair).minutes + now.behind.minutes == doctest::Approx(start.minutes));
  CHECK(now.option(OptionKind::kRepair).chance->mean > start.chance->mean);
  // The shop's record is kept of what was said of the whole repair.
  REQUIRE(f.session.plan->before_work);
  CHECK(f.session.plan->before_work->option(OptionKind::kRepair).minutes == doctest::Approx(start.minutes));
  app::apply(f.session, app::NoteOutcome{number, true});
  CHECK_FALSE(f.session.plan->before_work);
  CHECK(f.session.plan->verdict->option(OptionKind::kRepair).chance->mean ==
        doctest::Approx(start.chance->mean));
}

TEST_CASE("of each wire and landing the last word is the case and a job gone through again is two") {
  const auto word = [](const char* kind, const char* site, Nm x, bool worked, bool back = false) {
    Outcome one;
    one.job = 1;
    one.kind = kind;
    one.site = site;
    one.place = {x, 0};
    one.worked = worked;
    one.withdrawn = back;
    return one;
  };
  const auto count = [](const std::vector<Outcome>& all) { return app::cases(all).size(); };
  // done by a slip, then failed: one case, failed.
  std::vector<Outcome> all{word("to a via", "U1.A1", 5, true), word("to a via", "U1.A1", 5, false)};
  REQUIRE(count(all) == 1);
  CHECK_FALSE(app::cases(all)[0].worked);
  // then led to another landing, where it holds: both.
  all.push_back(word("to a via", "U1.A1", 9, true));
  CHECK(count(all) == 2);
  // The cross taken back: the tick before it stands again.
  all.push_back(word("to a via", "U1.A1", 5, false, true));
  CHECK(count(all) == 2);
  CHECK(app::cases(all)[0].worked);
  CHECK(app::standing(all)[0].worked);
  // And the tick too: nothing.
  all.push_back(word("to a via", "U1.A1", 5, true, true));
  CHECK(count(all) == 1);
  // Taking back what is not there does nothing.
  all.push_back(word("to a via", "U1.A1", 5, true, true));
  CHECK(count(all) == 1);
  const std::vector<Outcome> job{word("the base process", "", 0, false),
                                 word("the base process", "", 0, true),
                                 word("the base process", "", 0, true)};
  CHECK(count(job) == 2);
  CHECK(app::standing(job).size() == 1);
  // Another job's wire of the same name is another wire.
  std::vector<Outcome> two{word("to a via", "U1.A1", 5, true), word("to a via", "U1.A1", 5, true)};
  two[1].job = 2;
  CHECK(count(two) == 2);
}

TEST_CASE("the piece that is chosen stays chosen when a word on it moves the lines") {
  Planned f;
  // Each wire in turn, failed until nothing else is left for it: then it stands first, without a number.
  bool moved = false;
  for (std::size_t tries = 0; tries < 40 && !moved; ++tries) {
    const auto wire = std::find_if(f.session.lines.begin(), f.session.lines.end(), [](const auto& line) {
      return line.number > 0 && !line.rebuild && line.state == LineState::kToDo;
    });
    if (wire == f.session.lines.end()) break;
    const std::size_t at = static_cast<std::size_t>(wire - f.session.lines.begin());
    const Index pin = wire->pin;
    app::apply(f.session, app::ChooseLine{at});
    app::apply(f.session, app::NoteOutcome{wire->number, false});
    REQUIRE(f.session.line < f.session.lines.size());
    CHECK(f.session.lines[f.session.line].pin == pin);
    moved = f.session.line != at;
  }
  CHECK(moved);
}

TEST_CASE("words are read by their time, so that two benches that have exchanged theirs agree") {
  const auto word = [](bool worked, const char* at, bool back = false) {
    Outcome one;
    one.job = 1;
    one.kind = "to a via";
    one.site = "U1.A1";
    one.place = {5, 0};
    one.worked = worked;
    one.withdrawn = back;
    one.at = at;
    return one;
  };
  // failed; there: worked, and taken back; here: worked.
  std::vector<Outcome> here{word(false, "2026-01-01T10:00:00Z"), word(true, "2026-01-01T12:00:00Z"),
                            word(true, "2026-01-01T11:00:00Z"), word(true, "2026-01-01T11:05:00Z", true)};
  std::vector<Outcome> there{here[0], here[2], here[3], here[1]};
  REQUIRE(app::standing(here).size() == 1);
  CHECK(app::standing(here)[0].worked);
  CHECK(app::standing(here) == app::standing(there));
  CHECK(app::cases(here) == app::cases(there));
  // The same slip taken back on both benches takes back no more than itself.
  const std::vector<Outcome> twice{word(false, "1"), word(true, "2"), word(true, "3", true),
                                   word(true, "4", true)};
  REQUIRE(app::standing(twice).size() == 1);
  CHECK_FALSE(app::standing(twice)[0].worked);
}

TEST_CASE("a rebuild and a wire at one site without places are told apart by their kind") {
  Outcome rebuilt;
  rebuilt.kind = std::string(word(rework::verdict::ChanceKind::kRebuild));
  rebuilt.site = "U1.A1";
  Outcome wired = rebuilt;
  wired.kind = std::string(word(rework::verdict::ChanceKind::kVia));
  const std::vector<Outcome> stand{rebuilt};
  CHECK(app::outcome_at(stand, "U1.A1", {}, true) == &stand[0]);
  CHECK(app::outcome_at(stand, "U1.A1", {}, false) == nullptr);
  CHECK(app::is_rebuild(rebuilt));
  CHECK_FALSE(app::is_rebuild(wired));
}

TEST_CASE("a find from the verdict shows what was found") {
  Planned f;
  const int number = f.session.plan->plan.wires.front().number;
  app::apply(f.session, app::NoteOutcome{number, true});
  app::apply(f.session, app::ShowVerdict{});
  app::apply(f.session, app::FindText{"RAM1_A11"});
  app::apply(f.session, app::GoToHit{0});
  CHECK_FALSE(f.session.verdict_page);
  CHECK(f.session.selected != kNone);
}

TEST_CASE("on the plan's page undo leaves the marks alone and says where they are undone") {
  Planned f;
  const std::size_t marks = f.session.job->marks.size();
  app::apply(f.session, app::Undo{});
  CHECK(f.session.message_is_error);
  CHECK(f.session.job->marks.size() == marks);
  app::apply(f.session, app::ShowMap{});
  app::apply(f.session, app::Undo{});
  CHECK(f.session.job->marks.size() < marks);
  app::apply(f.session, app::Redo{});
  CHECK(f.session.job->marks.size() == marks);
}
