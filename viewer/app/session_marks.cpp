#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "viewer/app/facts.hpp"
#include "viewer/app/job_end.hpp"
#include "viewer/app/session_inside.hpp"
#include "viewer/app/site_syntax.hpp"

// Marking, and the list of marks.

namespace landfall::app {
namespace {

bool lifted(const Session& s, const std::string& part) {
  return std::find(s.job->lifted.begin(), s.job->lifted.end(), part) != s.job->lifted.end();
}

std::vector<Fact> named_facts(const Job& job) {
  std::vector<Fact> names = job.facts;
  std::erase_if(names, [](const Fact& fact) { return fact.kind != FactKind::kNamed; });
  return names;
}

void record(Session& s, const std::string& words, const std::vector<store::MarkChange>& changes) {
  if (!takes_work(s)) return;
  const auto kept = s.bench->record(s.job->id, words, changes, now_utc());
  if (!kept.ok()) return fail(s, kept.error());
  const std::vector<Mark> before = s.job->marks;
  reload_job(s, words + ". Undo with Ctrl+Z.");
  if (s.job->marks != before) add_work_step(s, {});  // what changes nothing is no gesture of the bench's
  remind_of_end(s, words);
}

enum class Stepped { kDone, kNothingLeft, kRefused };

// The bench's own gestures, which it knows from earlier sittings as well. What went wrong is said.
Stepped step_marks(Session& s, bool redo) {
  const auto words = redo ? s.bench->redo(s.job->id, now_utc()) : s.bench->undo(s.job->id, now_utc());
  if (!words.ok()) {
    fail(s, words.error());
    return Stepped::kRefused;
  }
  if (!*words) {
    fail(s, {ErrorCode::kNotFound, redo ? "There is nothing to do again." : "There is nothing to undo."});
    return Stepped::kNothingLeft;
  }
  reload_job(s, (redo ? "done again: " : "undone: ") + **words);
  return Stepped::kDone;
}

// Marks and facts in the order in which they were told in this sitting; before that the marks alone.
void step(Session& s, bool redo) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job, so there is nothing to undo."});
  if (!takes_work(s)) return;
  auto& from = redo ? s.unworked : s.worked;
  auto& to = redo ? s.worked : s.unworked;
  if (from.empty()) {
    // A fact told after the last mark ended that mark's way forward.
    if (redo && !s.worked.empty() && s.worked.back().is_fact())
      return fail(s, {ErrorCode::kNotFound, "There is nothing to do again."});
    if (step_marks(s, redo) == Stepped::kDone) to.emplace_back();
    return;
  }
  const WorkStep step = from.back();
  if (!step.is_fact()) {
    const Stepped stepped = step_marks(s, redo);
    if (stepped == Stepped::kRefused) return;
    // Another window took that gesture back: what was told before it is next.
    if (stepped == Stepped::kNothingLeft) return from.pop_back();
  } else {
    const Status kept = step_facts(s, step, redo);
    if (!kept.ok()) {
      // What another window changed is its word now: no way back is left to this step.
      if (kept.error().code == ErrorCode::kNotFound) from.pop_back();
      return;
    }
  }
  from.pop_back();
  to.push_back(step);
}

int need_rank(rework::Need need) {
  switch (need) {
    case rework::Need::kCannot:
      return 0;
    case rework::Need::kWire:
      return 1;
    case rework::Need::kRebuild:
      return 2;
    case rework::Need::kOptional:
      return 3;
    case rework::Need::kNone:
      return 4;
  }
  return 5;
}

bool row_less(const MarkRow& a, const MarkRow& b) {
  if (a.part != b.part) return natural_less(a.part, b.part);
  return natural_less(a.ball, b.ball);
}

std::vector<MarkRow> rows_of(const Session& s) {
  std::vector<MarkRow> rows;
  const Board& board = s.board->board();
  std::map<std::pair<std::string, std::string>, std::string> notes;
  for (const Mark& mark : s.job->marks) notes[{mark.part, mark.ball}] = mark.note;
  const auto add = [&](Index pin, std::optional<MarkKind> kind, rework::Need need) {
    const Pin& p = board.pins[pin];
    MarkRow row{pin, board.parts[p.part].reference, p.number, {}, {}, kind, need};
    if (p.net != kNone) row.net = board.nets[p.net].name;
    const auto note = notes.find({row.part, row.ball});
    if (note != notes.end()) row.note = note->second;
    rows.push_back(std::move(row));
  };
  for (const auto& mend : s.assessment.mends) {
    for (const Index pin : mend.cut_off) {
      add(pin, std::nullopt, rework::Need::kWire);
      rows.back().open = std::find(mend.open.begin(), mend.open.end(), pin) != mend.open.end();
    }
  }
  for (const auto& site : s.assessment.sites) add(site.pin, site.mark, site.need);
  for (const Mark& mark : s.assessment.strays)
    rows.push_back({kNone, mark.part, mark.ball, "", mark.note, mark.kind, rework::Need::kNone});
  return rows;
}

// Whether a row stands before another.
struct Order {
  MarkOrder order;
  std::map<std::pair<std::string, std::string>, std::int64_t> times;  // of the newest gesture, by site

  [[nodiscard]] std::int64_t time_of(const MarkRow& row) const {
    const auto found = times.find({row.part, row.ball});
    return found == times.end() ? 0 : found->second;
  }
  bool operator()(const MarkRow& a, const MarkRow& b) const {
    switch (order) {
      case MarkOrder::kNeed:
        if (need_rank(a.need) != need_rank(b.need)) return need_rank(a.need) < need_rank(b.need);
        if (a.kind.has_value() != b.kind.has_value()) return !a.kind.has_value();
        break;
      case MarkOrder::kBall:
        break;
      case MarkOrder::kKind:
        if (a.kind != b.kind) return a.kind > b.kind;
        break;
      case MarkOrder::kNet:
        if (a.net != b.net) return natural_less(a.net, b.net);
        break;
      case MarkOrder::kTime:
        if (time_of(a) != time_of(b)) return time_of(a) > time_of(b);
        break;
    }
    return row_less(a, b);
  }
};

}  // namespace

void remind_of_end(Session& s, const std::string& words) {
  if (!s.end || s.message_is_error) return;
  std::string end = end_text(*s.end);
  end.front() = 'T';
  say(s, fmt::format("{}. {}.", words, end));
}

void add_work_step(Session& s, WorkStep step) {
  s.worked.push_back(std::move(step));
  s.unworked.clear();
}

std::string_view word(MarkOrder order) {
  switch (order) {
    case MarkOrder::kNeed:
      return "by need, then row";
    case MarkOrder::kBall:
      return "by row";
    case MarkOrder::kKind:
      return "by kind of damage";
    case MarkOrder::kNet:
      return "by net";
    case MarkOrder::kTime:
      return "newest first";
  }
  return "";
}

std::vector<Index> acted_on(const Session& session) {
  if (!session.chosen.empty()) return session.chosen;
  if (session.selected == kNone) return {};
  return {session.selected};
}

void order_marks(Session& s) {
  s.marks.clear();
  if (!s.job || !s.board) return;
  Order order{s.order, {}};
  if (s.order == MarkOrder::kTime) {
    const auto touched = s.bench->last_gestures(s.job->id);
    if (!touched.ok()) return fail(s, touched.error());
    for (const store::SiteGesture& t : *touched) order.times[{t.part, t.ball}] = t.gesture;
  }
  s.marks = rows_of(s);
  std::stable_sort(s.marks.begin(), s.marks.end(), order);
}

bool takes_work(Session& s) {
  if (!s.job) return true;  // what is missing is said where it is needed
  const Status open = open_for_work(*s.job, "Ctrl+J");
  if (!open.ok()) fail(s, open.error());
  return open.ok();
}

void reload_job(Session& s, const std::string& what) {
  const auto job = s.bench->job(s.job->id);
  if (!job.ok()) return fail(s, job.error());
  const auto rule = supply_rule(*s.bench);
  if (!rule.ok()) return fail(s, rule.error());
  // What the technician named stands over what the files say; the board is read anew only when that changed.
  const std::vector<Fact> names = named_facts(*job);
  const bool named = !names.empty();
  if (named != s.board_is_told || names != named_facts(*s.job)) {
    const auto board = open_board(*s.bench, job->board);
    if (!board.ok()) return fail(s, board.error());
    s.board = board_as_told(*s.bench, *board, *job);
    s.board_is_told = named;
  }
  const auto rules = mend_rules(*s.bench, *s.board, *job);
  if (!rules.ok()) return fail(s, rules.error());
  s.job = *job;
  lay_facts_over_marks(*s.job);
  s.assessment =
      rework::assess(s.board->index(), s.board->signals(), s.board->copper(), *s.job, *rule, *rules);
  s.kept = s.job->kept;
  s.message_is_error = false;
  auto end = end_of(*s.bench, s.job->id);
  if (!end.ok()) return fail(s, end.error());
  s.end = std::move(end).value();
  make_plan_anew(s);
  make_readings_anew(s);
  make_intake_anew(s);
  make_suspects_anew(s);
  order_marks(s);
  make_sheet_anew(s);
  if (!what.empty() && !s.message_is_error) say(s, what);  // else what went wrong stands
}

// What the mark notes where it is one that the photo in view proposes.
static std::optional<std::string> note_of_photo(const Session& s, Index pin) {
  const bool seen = (s.photo_page || s.photo_under) && s.photos && s.photos->proposals;
  if (!seen) return std::nullopt;
  return note_of_proposal(*s.board, *s.job, s.photos->shown()->photo.number, *s.photos->proposals, pin);
}

void act(Session& s, const MarkMany& a) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. Marks need one."});
  if (a.pins.empty())
    return fail(s, {ErrorCode::kUsage, "No ball is selected. Click one, then press 0 to 6."});
  std::vector<store::MarkChange> changes;
  const Board& board = s.board->board();
  for (const Index pin : a.pins) {
    if (pin >= board.pins.size()) continue;
    const std::string& part = board.parts[board.pins[pin].part].reference;
    if (!lifted(s, part))
      return fail(s, {ErrorCode::kUsage, part + " is not among the parts that this job lifted."});
    changes.push_back({part, board.pins[pin].number, a.kind,
                       a.kind ? note_of_photo(s, pin) : std::optional<std::string>()});
  }
  const std::string_view kind = a.kind ? landfall::word(*a.kind) : "off";
  const std::string words = changes.size() == 1
                                ? fmt::format("{}.{} {}", changes[0].part, changes[0].ball, kind)
                                : fmt::format("{} sites {}", changes.size(), kind);
  record(s, words, changes);
}

void act(Session& s, const MarkPin& a) {
  act(s, MarkMany{a.pin == kNone ? std::vector<Index>() : std::vector<Index>{a.pin}, a.kind});
}

void act(Session& s, const TypeMarks& a) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. Marks need one."});
  std::vector<std::string> words = words_in(a.text);
  if (words.empty())
    return fail(s, {ErrorCode::kUsage, "Type sites and a kind, such as AB14 AB16..AB20 torn."});
  if (is_fact_word(lower(words.front()))) return act(s, TellFact{a.text});
  const bool off = lower(words.back()) == "off";
  if (off) words.pop_back();
  const auto typed = parse_marks(*s.board, *s.job, words, off);
  if (!typed.ok()) return fail(s, typed.error());
  if (typed->changes.empty()) return fail(s, {ErrorCode::kUsage, "No site was named."});
  record(s, typed->words, typed->changes);
  if (s.message_is_error || off) return;
  // What was typed is seen: a selection among it stays, else the first of it is selected, and comes into
  // view.
  std::vector<Index> pins;
  for (const store::MarkChange& change : typed->changes) {
    if (const auto pin = find_pin(*s.board, change.part + "." + change.ball); pin.ok()) pins.push_back(*pin);
  }
  const bool seen = std::find(pins.begin(), pins.end(), s.selected) != pins.end();
  if (seen || pins.empty()) return;
  const std::string said = s.message;
  act(s, SelectPin{pins.front()});
  s.message = said;
}

void act(Session& s, const NoteMark& a) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. Notes need a mark, and marks need a job."});
  if (a.pin >= s.board->board().pins.size())
    return fail(s, {ErrorCode::kUsage, "No ball is selected. Click a marked one."});
  const Pin& pin = s.board->board().pins[a.pin];
  const std::string& part = s.board->board().parts[pin.part].reference;
  const auto mark = std::find_if(s.job->marks.begin(), s.job->marks.end(),
                                 [&](const Mark& m) { return m.part == part && m.ball == pin.number; });
  if (mark == s.job->marks.end())
    return fail(s, {ErrorCode::kUsage, fmt::format("{}.{} has no mark to note on.", part, pin.number)});
  record(s, fmt::format("{}.{} note", part, pin.number), {{part, pin.number, mark->kind, a.text}});
}

// Undo and Redo go by what the page shows: readings and answers on their pages, ticks on the plan's, the
// shape while it is made, else marks and facts.
static void go_by_page(Session& s, bool redo) {
  if (s.bench_page && s.bench_view == BenchPage::kNames) return step_names(s, redo);
  const bool page = s.page && !s.bench_page;
  if (page && *s.page == JobPage::kReadings) return step_readings(s, redo);
  if (page) return step_intake(s, redo);
  if (s.plan_page && !s.bench_page && !redo) return undo_outcome(s);
  if (s.verdict_page && !s.bench_page && !redo && s.end) return undo_job_outcome(s);
  // What a key would take back there is not seen.
  if ((s.plan_page || s.verdict_page) && !s.bench_page)
    return fail(
        s, {ErrorCode::kUsage, redo ? "Marks are done again on the map." : "Marks are undone on the map."});
  if (!s.shaping) return step(s, redo);
  if (!step_shape(s, redo))
    fail(s, {ErrorCode::kNotFound, redo ? "There is no change of the shape to do again."
                                        : "There is no change of the shape to undo."});
}

void act(Session& s, const Undo&) {
  go_by_page(s, false);
}
void act(Session& s, const Redo&) {
  go_by_page(s, true);
}

void act(Session& s, const OrderMarks& a) {
  s.order = a.order;
  order_marks(s);
  say(s, fmt::format("Marks {}.", word(s.order)));
}

}  // namespace landfall::app
