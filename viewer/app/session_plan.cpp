#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/app/session_inside.hpp"

// The plan's page: what it shows, and ticking off its lines.

namespace landfall::app {

namespace {

constexpr const char* kWire = "wire.bare";

bool has_trial(const Session& s) {
  return !s.trial_figures.empty() || !s.trial_without.empty();
}

void forget_trial(Session& s) {
  s.trial_figures.clear();
  s.trial_without.clear();
  s.tried.reset();
}

void list_figures(Session& s) {
  s.figures.clear();
  if (!s.plan || !s.plan->verdict) return;
  const auto& read = s.plan->verdict->read;
  const auto& read_now = s.tried && s.tried->verdict ? s.tried->verdict->read : read;
  const auto add = [&](std::string_view name, bool matters) {
    TrialFigure figure;
    figure.info = find_setting(name);
    if (figure.info == nullptr) return;
    const auto now = setting(*s.bench, *figure.info);
    if (!now.ok()) return fail(s, now.error());
    figure.now = *now;
    if (const auto tried = s.trial_figures.find(std::string(name)); tried != s.trial_figures.end())
      figure.tried = tried->second;
    const auto in = [&](const std::vector<std::string>& list) {
      return std::find(list.begin(), list.end(), name) != list.end();
    };
    figure.matters = matters || figure.tried || in(read) || in(read_now);
    s.figures.push_back(figure);
  };
  for (const auto& figure : rework::verdict::figures()) add(figure.setting, false);
  add("board.is-shops", true);
  add(kWire, true);
}

void list_lines(Session& s) {
  // The chosen piece stays chosen where another wire moves the lines.
  const PlanLine before = s.line < s.lines.size() ? s.lines[s.line] : PlanLine{};
  s.lines = plan_lines(*shown_plan(s), s.outcomes);
  auto same = std::find_if(s.lines.begin(), s.lines.end(), [&](const PlanLine& line) {
    return before.number > 0 && line.number == before.number;
  });
  if (same == s.lines.end()) {  // what has failed may have no number any more
    same = std::find_if(s.lines.begin(), s.lines.end(),
                        [&](const PlanLine& line) { return before.pin != kNone && line.pin == before.pin; });
  }
  if (same != s.lines.end()) s.line = static_cast<std::size_t>(same - s.lines.begin());
  s.line = std::min(s.line, s.lines.empty() ? 0 : s.lines.size() - 1);
}

// Works the trial out upon the plan as it stands. Wires that the plan has no more are forgotten.
Status work_out_trial(Session& s) {
  s.tried.reset();
  if (!s.plan || !s.plan->verdict) {
    s.lines.clear();
    return std::monostate{};
  }
  std::erase_if(s.trial_without, [&](int number) {
    const auto& wires = s.plan->plan.wires;
    return std::none_of(wires.begin(), wires.end(), [&](const auto& w) { return w.number == number; });
  });
  if (has_trial(s)) {
    auto tried = try_out(*s.bench, *s.plan, s.trial_figures, s.trial_without);
    if (!tried.ok()) return tried.error();
    s.tried = std::make_shared<const PlanAnswer>(std::move(tried).value());
  }
  list_figures(s);
  list_lines(s);
  return std::monostate{};
}

// A new trial in place of the one before, which stays when the new one is refused: false, and said.
bool set_trial(Session& s, Overlay figures, std::vector<int> without) {
  std::swap(s.trial_figures, figures);
  std::swap(s.trial_without, without);
  const Status status = work_out_trial(s);
  if (status.ok()) return true;
  s.trial_figures = std::move(figures);
  s.trial_without = std::move(without);
  const Status before = work_out_trial(s);
  fail(s, before.ok() ? status.error() : before.error());
  return false;
}

const char* const kNoPlan = "No plan shows: open a job and its plan first.";

}  // namespace

std::optional<double> tried_wire(const Session& session) {
  const auto tried = session.trial_figures.find(kWire);
  if (tried == session.trial_figures.end()) return std::nullopt;
  return tried->second;
}

const PlanAnswer* shown_plan(const Session& session) {
  return tried_wire(session) && session.tried ? session.tried.get() : session.plan.get();
}

void make_plan_anew(Session& s) {
  s.plan.reset();
  s.tried.reset();
  s.outcomes.clear();
  s.figures.clear();
  // The lines as they were say which piece is chosen.
  const std::vector<PlanLine> before = std::move(s.lines);
  s.lines.clear();
  // A trial belongs to its job, and so does the choice.
  const bool other_job = !s.job || s.job->id != s.trial_job;
  if (other_job) forget_trial(s);
  s.trial_job = s.job ? s.job->id : 0;
  if ((!s.plan_page && !s.verdict_page) || !s.job) return;
  auto plan = plan_job(*s.bench, JobAnswer{*s.job, s.board, s.assessment}, {});
  if (!plan.ok()) return fail(s, plan.error());
  auto outcomes = s.bench->outcomes(s.job->id);
  if (!outcomes.ok()) return fail(s, outcomes.error());
  s.plan = std::make_shared<const PlanAnswer>(std::move(plan).value());
  s.outcomes = std::move(outcomes).value();
  if (!other_job) s.lines = before;
  if (const Status trial = work_out_trial(s); !trial.ok()) {
    forget_trial(s);
    list_figures(s);
    list_lines(s);
    fail(s, trial.error());
  }
}

void act(Session& s, const TryFigure& a) {
  if (!s.plan || !s.plan->verdict) return fail(s, {ErrorCode::kUsage, kNoPlan});
  const bool known = std::any_of(s.figures.begin(), s.figures.end(),
                                 [&](const TrialFigure& f) { return f.info->name == a.setting; });
  if (!known) return fail(s, {ErrorCode::kUsage, a.setting + " is no figure of the verdict."});
  Overlay figures = s.trial_figures;
  if (a.value.empty()) {
    figures.erase(a.setting);
    if (set_trial(s, std::move(figures), s.trial_without)) say(s, a.setting + " as the shop has it.");
    return;
  }
  const auto value = parse_decimal(a.value);
  if (!value)
    return fail(s, {ErrorCode::kUsage, fmt::format("{}: a number is needed, such as 250.", a.value)});
  const auto now = setting(*s.bench, *find_setting(a.setting));
  if (!now.ok()) return fail(s, now.error());
  figures[a.setting] = *value;
  if (*value == *now) figures.erase(a.setting);
  if (set_trial(s, std::move(figures), s.trial_without))
    say(s, fmt::format("Tried: {} {:g} in place of {:g}. Kept nowhere.", a.setting, *value, *now));
}

void act(Session& s, const LeaveOutWire& a) {
  if (!s.plan || !s.plan->verdict) return fail(s, {ErrorCode::kUsage, kNoPlan});
  const auto& wires = s.plan->plan.wires;
  if (std::none_of(wires.begin(), wires.end(), [&](const auto& w) { return w.number == a.number; }))
    return fail(s, {ErrorCode::kNotFound, fmt::format("The plan has no wire {}.", a.number)});
  std::vector<int> without = s.trial_without;
  std::erase(without, a.number);
  if (a.out) without.push_back(a.number);
  std::sort(without.begin(), without.end());
  if (set_trial(s, s.trial_figures, std::move(without)))
    say(s, a.out ? fmt::format("Tried: without wire {}. Kept nowhere.", a.number)
                 : fmt::format("Wire {} is in the repair again.", a.number));
}

void act(Session& s, const DropTrial&) {
  if (!has_trial(s)) return fail(s, {ErrorCode::kUsage, "Nothing is being tried."});
  if (set_trial(s, {}, {})) say(s, "The trial is dropped: all as it stands.");
}

void act(Session& s, const TryWire&) {
  if (!s.plan || !s.plan->verdict) return fail(s, {ErrorCode::kUsage, kNoPlan});
  const auto shops = setting(*s.bench, *find_setting(kWire));
  if (!shops.ok()) return fail(s, shops.error());
  const auto nm = [](double mm) { return std::llround(mm * static_cast<double>(kNmPerMm)); };
  const Nm own = nm(*shops);
  const Nm now = nm(tried_wire(s).value_or(*shops));
  std::vector<Nm> sizes{own};  // which the table may lack
  for (const auto& size : rework::physics::enamelled_wires()) {
    if (size.bare != own) sizes.push_back(size.bare);
  }
  std::sort(sizes.begin(), sizes.end());
  auto next = std::upper_bound(sizes.begin(), sizes.end(), now);
  if (next == sizes.end()) next = sizes.begin();
  const bool is_own = *next == own;
  Overlay figures = s.trial_figures;
  if (is_own) {
    figures.erase(kWire);
  } else {
    figures[kWire] = static_cast<double>(*next) / static_cast<double>(kNmPerMm);
  }
  if (!set_trial(s, std::move(figures), s.trial_without)) return;
  const rework::Plan& plan = shown_plan(s)->plan;
  const std::string fits = plan.escapes.empty() ? "" : plan.fits ? ": all can leave" : ": not all can leave";
  say(s, is_own ? fmt::format("Wire {}, as the shop has it{}.", plan.wire, fits)
                : fmt::format("Tried: wire {}{}. Kept nowhere.", plan.wire, fits));
}

void act(Session& s, const KeepFigure& a) {
  const auto tried = s.trial_figures.find(a.setting);
  if (tried == s.trial_figures.end()) return fail(s, {ErrorCode::kUsage, a.setting + " is not being tried."});
  const double value = tried->second;
  if (const Status kept = s.bench->set_setting(a.setting, value); !kept.ok()) return fail(s, kept.error());
  s.trial_figures.erase(tried);
  s.summaries.clear();
  s.message_is_error = false;
  make_plan_anew(s);
  if (s.message_is_error) return;
  say(s, fmt::format("Kept in the settings: {} {:g}, for every job.", a.setting, value));
}

namespace {

// One page or the other in place of what shows now, or the map again.
void show_page(Session& s, bool Session::*page) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. A plan needs one."});
  const bool shows = s.*page && !s.bench_page;
  s.bench_page = false;
  leave_pages(s);
  s.*page = !shows;
  make_plan_anew(s);
}

}  // namespace

void act(Session& s, const ShowPlan&) {
  show_page(s, &Session::plan_page);
  // The ball that is looked at, where it is a line of the plan.
  const auto own = std::find_if(s.lines.begin(), s.lines.end(), [&](const PlanLine& line) {
    return s.selected != kNone && line.pin == s.selected;
  });
  if (s.plan_page && own != s.lines.end()) s.line = static_cast<std::size_t>(own - s.lines.begin());
}

void act(Session& s, const ShowVerdict&) {
  show_page(s, &Session::verdict_page);
}

void act(Session& s, const ChooseLine& a) {
  if (a.line >= s.lines.size()) return;
  s.line = a.line;
  const Index pin = s.lines[a.line].pin;
  if (pin != kNone) act(s, SelectPin{pin});
}

// Where the failed wire's number leads now; the same key once more is about that new way.
static std::string new_way_text(const Session& s, const std::string& site) {
  if (!s.plan) return ".";
  for (const auto& wire : s.plan->plan.wires) {
    if (wire.from == site)
      return fmt::format(": wire {} goes to {} now. X again fails that one as well.", wire.number, wire.to);
  }
  return ": the plan goes around it.";
}

void act(Session& s, const NoteOutcome& a) {
  if (!s.plan || !s.job || !takes_work(s)) return;
  const LineState wanted = a.worked ? LineState::kDone : LineState::kFailed;
  // The same word a second time takes it back: a slip leaves no case.
  const bool back = std::any_of(s.lines.begin(), s.lines.end(), [&](const PlanLine& line) {
    return line.number == a.number && line.state == wanted;
  });
  auto outcome =
      back ? withdrawal_of(*shown_plan(s), s.outcomes, a.number) : outcome_of(*shown_plan(s), a.number);
  if (!outcome.ok()) return fail(s, outcome.error());
  if (!back) outcome->worked = a.worked;
  outcome->at = now_utc();
  if (const auto numbered = give_out_numbers(*s.bench, *s.plan); !numbered.ok())
    return fail(s, numbered.error());
  const auto kept = s.bench->add_outcome(*outcome);
  if (!kept.ok()) return fail(s, kept.error());
  if (back) return reload_job(s, fmt::format("{}: {} is taken back.", outcome->site, word(wanted)));
  const bool rebuild = is_rebuild(*outcome);
  reload_job(
      s,
      fmt::format("{} {}{}", outcome->site, a.worked ? "done" : "failed",
                  rebuild && !a.worked ? ": noted. Mark the site as it is now, and the plan follows." : "."));
  // The plan is another one only now.
  if (!a.worked && !rebuild && !s.message_is_error)
    say(s, fmt::format("{} failed{}", outcome->site, new_way_text(s, outcome->site)));
  const PlanLine* now = s.line < s.lines.size() ? &s.lines[s.line] : nullptr;
  if (!a.worked && !rebuild && !s.message_is_error && now != nullptr && now->state == LineState::kCannot)
    say(s, fmt::format("{} failed: the plan has no other way for it. Ctrl+Z takes the word back.",
                       outcome->site));
}

// Takes back the word noted last on a piece of the plan: also of a wire whose failure moved the plan.
void undo_outcome(Session& s) {
  if (!takes_work(s)) return;
  const std::vector<Outcome> stand = standing(s.outcomes);
  const auto last = std::find_if(stand.rbegin(), stand.rend(),
                                 [](const Outcome& outcome) { return !outcome.site.empty(); });
  if (last == stand.rend())
    return fail(s, {ErrorCode::kNotFound, "No tick to take back. Marks are undone on the map."});
  Outcome row = *last;
  row.withdrawn = true;
  row.note.clear();
  row.at = now_utc();
  if (const auto kept = s.bench->add_outcome(row); !kept.ok()) return fail(s, kept.error());
  reload_job(s, fmt::format("{}: {} is taken back.", row.site, row.worked ? "done" : "failed"));
}

void undo_job_outcome(Session& s) {
  if (!s.end || !takes_work(s)) return;
  Outcome row = *s.end;
  row.withdrawn = true;
  row.note.clear();
  row.at = now_utc();
  const std::string was(word_of(*s.end));
  if (const auto kept = s.bench->add_outcome(row); !kept.ok()) return fail(s, kept.error());
  reload_job(s, fmt::format("That the job {} is taken back.", was));
}

void act(Session& s, const NoteJobOutcome& a) {
  if (!s.plan || !s.job) return fail(s, {ErrorCode::kUsage, kNoPlan});
  if (!takes_work(s)) return;
  if (const auto kept = note_job_outcome(*s.bench, *s.plan, a.worked, a.note, now_utc()); !kept.ok())
    return fail(s, kept.error());
  reload_job(s, fmt::format("The job {}. Ctrl+J closes it; the shelf's page says how past verdicts fared.",
                            a.worked ? "worked" : "failed"));
}

}  // namespace landfall::app
