#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/ui/panel.hpp"

// The plan and the verdict: lines in the order of work, each with what came of it; then the options in
// figures.

namespace landfall::ui {
namespace {

constexpr float kButton = 82;

const Outcome* outcome_at(const app::Session& session, const std::string& site, Point place) {
  const Outcome* last = nullptr;  // the latest holds
  for (const Outcome& outcome : session.outcomes) {
    if (outcome.site == site && outcome.place == place) last = &outcome;
  }
  return last;
}

// A line of the plan, wire or rebuild.
struct Line {
  int number = 0;
  std::string head, word, below;
  const Outcome* outcome = nullptr;
  Index pin = kNone;
  bool is_wire = false;
};

bool is_left_out(const app::Session& session, int number) {
  const auto& without = session.trial_without;
  return std::find(without.begin(), without.end(), number) != without.end();
}

// Below the line: to its place on the map, and out of the repair for a trial.
void draw_line_buttons(Frame& f, const Line& line, float left) {
  ImGui::SetCursorPosX(left);
  if (line.pin != kNone) {
    if (button(f, "show", "Show on the map", "", {150, 28})) f.action = app::GoToPin{line.pin};
    ImGui::SameLine(0, 8);
  }
  if (!line.is_wire) return ImGui::NewLine();
  const bool out = is_left_out(f.session, line.number);
  if (button(f, "without", out ? "Take it in again" : "What if without", "", {150, 28}, out))
    f.action = app::LeaveOutWire{line.number, !out};
}

// Number, from and to with the rest below; at the right what came of it, or the two buttons.
void draw_line(Frame& f, const Line& line) {
  const float width = ImGui::GetContentRegionAvail().x;
  const float text_width = width - 2 * kButton - 24;
  const bool out = line.is_wire && is_left_out(f.session, line.number);
  ImGui::PushID(line.number);
  const ImVec2 start = ImGui::GetCursorPos();
  text(f.fonts.bold, out ? f.theme.ink2 : f.theme.ink, std::to_string(line.number));
  ImGui::SetCursorPos({start.x + 30, start.y});
  cut_text(f.fonts.mono_bold, out ? f.theme.ink2 : f.theme.ink, line.head, text_width - 130);
  ImGui::SetCursorPos({start.x + text_width - 96, start.y});
  text(f.fonts.bold, f.theme.ink, out ? "left out" : line.word);
  ImGui::SetCursorPos({start.x + width - 2 * kButton - 8, start.y});
  if (line.outcome != nullptr) {
    text(f.fonts.bold, f.theme.ink, line.outcome->worked ? "done" : "failed");
  } else if (!out) {
    if (button(f, "done", "Done", "", {kButton, 30})) f.action = app::NoteOutcome{line.number, true};
    ImGui::SameLine(0, 8);
    if (button(f, "failed", "Failed", "", {kButton, 30})) f.action = app::NoteOutcome{line.number, false};
  }
  ImGui::SetCursorPos({start.x + 30, start.y + 24});
  ImGui::PushTextWrapPos(start.x + text_width);
  text(f.fonts.note, f.theme.ink2, line.below);
  ImGui::PopTextWrapPos();
  draw_line_buttons(f, line, start.x + 30);
  ImGui::Dummy({1, 4});
  rule(f);
  ImGui::PopID();
}

void draw_wires_and_rebuilds(Frame& f, const app::PlanAnswer& answer) {
  const Board& board = f.session.board->board();
  for (const auto& rebuild : answer.plan.rebuilds) {
    draw_line(
        f, {rebuild.number, fmt::format("{}  rebuild on {}", rebuild.at, leaf_name(rebuild.net)), "rebuild",
            fmt::format("IPC-7721 {} {}, {}. After: {}.", rebuild.procedure.number, rebuild.procedure.name,
                        rebuild.procedure.skill, rebuild.after),
            outcome_at(f.session, rebuild.at, {}), rebuild.rebuild.pin, false});
  }
  for (const auto& wire : answer.plan.wires) {
    const bool pin = wire.jumper.to.pin != kNone;
    const std::string far = pin ? wire.to : std::string(word(wire.jumper.to.kind));
    std::string below = fmt::format("{}{} mm on {}. {}", pin ? "" : "To the " + wire.to + ". ",
                                    wire.length > 0 ? mm_text(wire.length, 1) : "?",
                                    leaf_name(board.nets[wire.jumper.net].name), wire.judgement.why);
    if (wire.pair && !wire.pair->why.empty()) below += ". " + wire.pair->why;
    if (wire.under_part) below += ". Stays under the chip";
    if (wire.other_side) below += ". To the other side";
    if (!wire.clear_way) below += ". No clear way was found";
    std::string beware;
    for (const std::string& one : wire.beware) beware += (beware.empty() ? "" : ", ") + one;
    if (!beware.empty()) below += ". Test against: " + beware;
    draw_line(
        f, {wire.number, fmt::format("{}  to  {}", wire.from, far), std::string(word(wire.word)), below + ".",
            outcome_at(f.session, wire.from, wire.jumper.to.at), wire.jumper.from.pin, true});
  }
}

std::string margin_text(const rework::verdict::Option& option) {
  return option.offered ? fmt::format("{:.2f}", option.margin) : "not offered";
}

std::string chance_text(const rework::verdict::Option& option) {
  if (!option.offered || !option.chance) return "";
  return fmt::format("chance {:.0f}\u00A0% ({:.0f} to {:.0f}\u00A0%)", 100 * option.chance->mean,
                     100 * option.chance->low, 100 * option.chance->high);
}

// The options: as it stands, and beside it what is tried.
void draw_options(Frame& f, const rework::verdict::Verdict& stands, const rework::verdict::Verdict* tried) {
  constexpr float kName = 170, kMargin = 108;
  if (tried != nullptr) {
    const ImVec2 at = ImGui::GetCursorPos();
    ImGui::SetCursorPos({at.x + kName, at.y});
    text(f.fonts.note, f.theme.ink2, "as it stands");
    ImGui::SetCursorPos({at.x + kName + kMargin, at.y});
    text(f.fonts.note, f.theme.ink2, "tried");
  }
  for (const auto& option : stands.options) {
    const rework::verdict::Option& shown = tried != nullptr ? tried->option(option.kind) : option;
    const bool best = option.kind == (tried != nullptr ? tried->best : stands.best);
    ImFont* font = best ? f.fonts.bold : f.fonts.body;
    const ImVec2 at = ImGui::GetCursorPos();
    text(font, f.theme.ink, std::string(word(option.kind)));
    ImGui::SetCursorPos({at.x + kName, at.y});
    if (!option.offered && !shown.offered) {
      wrapped(f.fonts.note, f.theme.ink2, shown.why_not);
      continue;
    }
    text(option.kind == stands.best ? f.fonts.bold : f.fonts.body, f.theme.ink, margin_text(option));
    float x = at.x + kName + kMargin;
    if (tried != nullptr) {
      ImGui::SetCursorPos({x, at.y});
      text(font, f.theme.ink, "\u2192 " + margin_text(shown));
      x += kMargin + 16;
    }
    ImGui::SetCursorPos({x, at.y});
    wrapped(f.fonts.body, f.theme.ink2, chance_text(shown));
  }
}

// One figure: its name, what it is now, a field for what is tried, and a button that keeps it.
void draw_figure(Frame& f, const app::TrialFigure& figure) {
  constexpr float kNow = 110, kField = 90, kKeep = 96, kRow = 36;
  const std::string name(figure.info->name);
  const float width = ImGui::GetContentRegionAvail().x;
  const float rest = kNow + kField + kKeep + 24;
  const bool narrow = width < rest + 180;  // then the name has a line of its own
  const float label = narrow ? width : width - rest;
  ImGui::PushID(name.c_str());
  const ImVec2 at = ImGui::GetCursorPos();
  cut_text(figure.tried ? f.fonts.mono_bold : f.fonts.mono, f.theme.ink, name, label);
  if (label > 330) {
    ImGui::SetCursorPos({at.x + 190, at.y});
    cut_text(f.fonts.note, f.theme.ink2, std::string(figure.info->meaning), label - 190);
  }
  const ImVec2 fields{narrow ? at.x : at.x + label + 8, narrow ? at.y + 28 : at.y};
  ImGui::SetCursorPos(fields);
  cut_text(f.fonts.body, f.theme.ink2, fmt::format("{:g} {}", figure.now, figure.info->unit), kNow - 8);
  ImGui::SetCursorPos({fields.x + kNow, fields.y - 6});
  std::string typed = figure.tried ? fmt::format("{:g}", *figure.tried) : "";
  if (f.state.trial_field == name) typed = f.state.trial_typed;
  const bool entered = field(f, "##tried", "try", typed, kField);
  if (ImGui::IsItemActive()) {
    f.state.trial_field = name;
    f.state.trial_typed = typed;
  } else if (f.state.trial_field == name) {
    f.state.trial_field.clear();
  }
  if (entered || ImGui::IsItemDeactivatedAfterEdit()) f.action = app::TryFigure{name, typed};
  if (figure.tried) {
    ImGui::SetCursorPos({fields.x + kNow + kField + 8, fields.y - 5});
    if (button(f, "keep", "Keep it", "", {kKeep - 8, 28})) f.action = app::KeepFigure{name};
  }
  ImGui::SetCursorPos({at.x, fields.y + kRow});
  ImGui::PopID();
}

void draw_figures(Frame& f) {
  caption(f, "WHAT IF", "tried for this look only");
  wrapped(f.fonts.note, f.theme.ink2,
          "Type another figure and press Enter; leave out a wire above. Keep it: the figure goes into the "
          "settings, for every job.");
  ImGui::Dummy({1, 6});
  for (const app::TrialFigure& figure : f.session.figures) {
    if (figure.matters || f.state.all_figures) draw_figure(f, figure);
  }
  if (button(f, "all", f.state.all_figures ? "Only what matters here" : "All figures", "", {200, 30}))
    f.state.all_figures = !f.state.all_figures;
}

void draw_verdict(Frame& f, const rework::verdict::Verdict& stands, const rework::verdict::Verdict* tried) {
  const rework::verdict::Verdict& verdict = tried != nullptr ? *tried : stands;
  caption(f, "VERDICT", tried != nullptr ? "a trial, kept nowhere" : "");
  if (tried != nullptr) wrapped(f.fonts.note, f.theme.ink2, "As it stands: " + stands.says + ".");
  wrapped(f.fonts.bold, f.theme.ink, tried != nullptr ? "Tried: " + tried->says + "." : stands.says);
  draw_options(f, stands, tried);
  wrapped(f.fonts.note, f.theme.ink2, verdict.break_even_says);
  for (const auto& flip : verdict.soonest)
    wrapped(
        f.fonts.note, f.theme.ink2,
        fmt::format("{} from {:g} to {:.4g}: then {}", flip.setting, flip.from, flip.to, word(flip.then)));
  for (const std::string& remark : verdict.remarks) wrapped(f.fonts.note, f.theme.ink2, remark);
  wrapped(f.fonts.note, f.theme.ink2,
          "This advises; you decide. The figures are the shop's own: landfall settings.");
  draw_figures(f);
}

// What came of the job as a whole: the last word that was noted, and the buttons for the next.
void draw_job_outcome(Frame& f) {
  caption(f, "WHAT CAME OF IT");
  for (auto one = f.session.outcomes.rbegin(); one != f.session.outcomes.rend(); ++one) {
    if (!app::is_of_whole_job(*one)) continue;
    wrapped(f.fonts.bold, f.theme.ink,
            fmt::format("The job {}, noted {}{}{}.", one->worked ? "worked" : "failed", one->at.substr(0, 10),
                        one->note.empty() ? "" : ": ", one->note));
    break;
  }
  const float width = ImGui::GetContentRegionAvail().x;
  field(f, "##outcome", "a line on it: memory test ran through the night", f.state.outcome_note,
        std::min(420.0F, width - 8));
  ImGui::Dummy({0, 2});
  for (const bool worked : {true, false}) {
    if (button(f, worked ? "worked" : "not", worked ? "The job worked" : "The job failed", "", {150, 32})) {
      f.action = app::NoteJobOutcome{worked, f.state.outcome_note};
      f.state.outcome_note.clear();
    }
    ImGui::SameLine(0, 8);
  }
  ImGui::NewLine();
}

constexpr double kFoot = 112;

// What is being tried and what it does, in view wherever the page is scrolled to.
void draw_trial_foot(Frame& f, scene::Rect area) {
  const Pane pane("trial", area, f.theme.pick, true);
  const auto& stands = *f.session.plan->verdict;
  const auto& tried = *f.session.tried->verdict;
  std::string what;
  const auto add = [&](const std::string& one) { what += (what.empty() ? "" : ", ") + one; };
  for (const app::TrialFigure& figure : f.session.figures) {
    if (figure.tried) add(fmt::format("{} {:g} \u2192 {:g}", figure.info->name, figure.now, *figure.tried));
  }
  for (const int number : f.session.trial_without) add(fmt::format("without wire {}", number));
  std::string moves;
  for (const auto& option : stands.options) {
    const auto& now = tried.option(option.kind);
    const std::string before = margin_text(option), after = margin_text(now);
    if (before == after) continue;
    moves += fmt::format("{}{} {} \u2192 {}", moves.empty() ? "" : ", ", word(option.kind), before, after);
  }
  ImGui::SetCursorPos({16, 8});
  ImGui::BeginGroup();
  const float width = ImGui::GetContentRegionAvail().x - 16;
  cut_text(f.fonts.bold, f.theme.ink, "TRIAL, kept nowhere: " + what, width - 236);
  ImGui::SetCursorPos({16 + width - 220, 6});
  if (button(f, "drop", "Drop the trial", key_of(f, app::Command::kDropTrial), {220, 30}))
    f.action = app::DropTrial{};
  ImGui::SetCursorPos({16, 38});
  ImGui::PushTextWrapPos(16 + width);
  const std::string answer = stands.best == tried.best
                                 ? fmt::format("Still {}", word(stands.best))
                                 : fmt::format("{} \u2192 {}", word(stands.best), word(tried.best));
  text(f.fonts.bold, f.theme.ink, fmt::format("{}.  {}.", answer, moves.empty() ? "No margin moves" : moves));
  for (const std::string& says : f.session.tried->stays_lost.says)
    text(f.fonts.note, f.theme.ink2, says + ".");
  ImGui::PopTextWrapPos();
  ImGui::EndGroup();
}

}  // namespace

void draw_plan(Frame& f, scene::Rect area) {
  const auto& tried = f.session.tried;
  const bool trial = f.session.plan && f.session.plan->verdict && tried && tried->verdict;
  if (trial) {
    area.height -= kFoot;
    draw_trial_foot(f, {area.x, area.y + area.height, area.width, kFoot});
  }
  const Pane pane("plan", area, f.theme.sheet, true);
  ImGui::SetCursorPos({16, 12});
  ImGui::BeginGroup();
  if (!f.session.plan) {
    text(f.fonts.bold, f.theme.ink, "No plan: open a job first.");
    ImGui::EndGroup();
    return;
  }
  const app::PlanAnswer& answer = *f.session.plan;
  if (!answer.verdict) {
    wrapped(f.fonts.bold, f.theme.ink, std::string(rework::verdict::kSafetyReferral));
    ImGui::EndGroup();
    return;
  }
  const auto& plan = answer.plan;
  caption(f, "PLAN",
          fmt::format("{}{} wire{}, {} rebuild{}, wire {}", plan.bound ? "at most " : "", plan.wires.size(),
                      plan.wires.size() == 1 ? "" : "s", plan.rebuilds.size(),
                      plan.rebuilds.size() == 1 ? "" : "s", plan.wire),
          false);
  if (plan.wires.empty() && plan.rebuilds.empty())
    wrapped(f.fonts.body, f.theme.ink2, "Nothing needs mending by the marks so far.");
  draw_wires_and_rebuilds(f, answer);
  for (const auto& failed : answer.failed) wrapped(f.fonts.note, f.theme.ink, app::failed_text(failed) + ".");
  for (const auto& escape : plan.escapes)
    wrapped(f.fonts.note, f.theme.ink2, "Between the balls: " + escape.says + ".");
  for (const auto& mend : answer.job.assessment.mends) {
    for (const auto& pin : mend.cannot)
      wrapped(f.fonts.note, f.theme.ink,
              fmt::format("Cannot: {}: {}.", f.session.board->index().pin_text(pin.pin), pin.why));
  }
  for (const std::string& why : plan.because_bound)
    wrapped(f.fonts.note, f.theme.ink2, "At most: " + why + ".");
  if (!plan.wires.empty()) wrapped(f.fonts.note, f.theme.ink2, std::string(rework::kNearEndWarning));
  draw_verdict(f, *answer.verdict, trial ? &*tried->verdict : nullptr);
  draw_job_outcome(f);
  ImGui::EndGroup();
}

}  // namespace landfall::ui
