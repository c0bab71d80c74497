#include <algorithm>

#include <fmt/format.h>

#include "viewer/ui/panel.hpp"

// The plan and the verdict: lines in the order of work, each with what came of it; then the options in
// figures.

namespace landfall::ui {
namespace {

constexpr float kButton = 82;

const Outcome* outcome_at(const app::Session& session, const std::string& site, Point place) {
  for (const Outcome& outcome : session.outcomes) {
    if (outcome.site == site && outcome.place == place) return &outcome;
  }
  return nullptr;
}

// Number, from and to with the rest below; at the right what came of it, or the two buttons.
void draw_line(Frame& f, int number, const std::string& head, const std::string& word,
               const std::string& below, const Outcome* outcome, Index pin) {
  const float width = ImGui::GetContentRegionAvail().x;
  const float text_width = width - 2 * kButton - 24;
  ImGui::PushID(number);
  const ImVec2 start = ImGui::GetCursorPos();
  text(f.fonts.bold, f.theme.ink, std::to_string(number));
  ImGui::SetCursorPos({start.x + 30, start.y});
  cut_text(f.fonts.mono_bold, f.theme.ink, head, text_width - 130);
  ImGui::SetCursorPos({start.x + text_width - 96, start.y});
  text(f.fonts.bold, f.theme.ink, word);
  ImGui::SetCursorPos({start.x + width - 2 * kButton - 8, start.y});
  if (outcome != nullptr) {
    text(f.fonts.bold, f.theme.ink, outcome->worked ? "done" : "failed");
  } else {
    if (button(f, "done", "Done", "", {kButton, 30})) f.action = app::NoteOutcome{number, true};
    ImGui::SameLine(0, 8);
    if (button(f, "failed", "Failed", "", {kButton, 30})) f.action = app::NoteOutcome{number, false};
  }
  ImGui::SetCursorPos({start.x + 30, start.y + 24});
  ImGui::PushTextWrapPos(start.x + text_width);
  text(f.fonts.note, f.theme.ink2, below);
  ImGui::PopTextWrapPos();
  ImGui::SetCursorPosX(start.x + 30);
  if (pin != kNone && button(f, "show", "Show on the map", "", {150, 28})) {
    f.action = app::GoToPin{pin};
  }
  ImGui::Dummy({1, 4});
  rule(f);
  ImGui::PopID();
}

void draw_wires_and_rebuilds(Frame& f, const app::PlanAnswer& answer) {
  const Board& board = f.session.board->board();
  for (const auto& rebuild : answer.plan.rebuilds) {
    draw_line(f, rebuild.number, fmt::format("{}  rebuild on {}", rebuild.at, leaf_name(rebuild.net)),
              "rebuild",
              fmt::format("IPC-7721 {} {}, {}. After: {}.", rebuild.procedure.number, rebuild.procedure.name,
                          rebuild.procedure.skill, rebuild.after),
              outcome_at(f.session, rebuild.at, {}), rebuild.rebuild.pin);
  }
  for (const auto& wire : answer.plan.wires) {
    const bool pin = wire.jumper.to.pin != kNone;
    const std::string far = pin ? wire.to : std::string(word(wire.jumper.to.kind));
    std::string below =
        fmt::format("{}{} mm on {}. {}", pin ? "" : "To the " + wire.to + ". ", mm_text(wire.length, 1),
                    leaf_name(board.nets[wire.jumper.net].name), wire.judgement.why);
    if (wire.pair && !wire.pair->why.empty()) below += ". " + wire.pair->why;
    if (wire.under_part) below += ". Stays under the chip";
    if (wire.other_side) below += ". To the other side";
    if (!wire.clear_way) below += ". No clear way was found";
    std::string beware;
    for (const std::string& one : wire.beware) beware += (beware.empty() ? "" : ", ") + one;
    if (!beware.empty()) below += ". Test against: " + beware;
    draw_line(f, wire.number, fmt::format("{}  to  {}", wire.from, far), std::string(word(wire.word)),
              below + ".", outcome_at(f.session, wire.from, wire.jumper.to.at), wire.jumper.from.pin);
  }
}

void draw_verdict(Frame& f, const rework::verdict::Verdict& verdict) {
  caption(f, "VERDICT");
  wrapped(f.fonts.bold, f.theme.ink, verdict.says);
  for (const auto& option : verdict.options) {
    const ImVec2 at = ImGui::GetCursorPos();
    const bool best = option.kind == verdict.best;
    text(best ? f.fonts.bold : f.fonts.body, f.theme.ink, std::string(word(option.kind)));
    ImGui::SetCursorPos({at.x + 190, at.y});
    if (!option.offered) {
      wrapped(f.fonts.note, f.theme.ink2, option.why_not);
      continue;
    }
    std::string figures = fmt::format("{:.2f}", option.margin);
    if (option.chance)
      figures += fmt::format("   chance {:.0f} % ({:.0f} to {:.0f} %)", 100 * option.chance->mean,
                             100 * option.chance->low, 100 * option.chance->high);
    text(best ? f.fonts.bold : f.fonts.body, f.theme.ink, figures);
  }
  wrapped(f.fonts.note, f.theme.ink2, verdict.break_even_says);
  for (const auto& flip : verdict.soonest)
    wrapped(
        f.fonts.note, f.theme.ink2,
        fmt::format("{} from {:g} to {:.4g}: then {}", flip.setting, flip.from, flip.to, word(flip.then)));
  for (const std::string& remark : verdict.remarks) wrapped(f.fonts.note, f.theme.ink2, remark);
  wrapped(f.fonts.note, f.theme.ink2,
          "This advises; you decide. The figures are the shop's own: landfall settings.");
}

}  // namespace

void draw_plan(Frame& f, scene::Rect area) {
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
  draw_verdict(f, *answer.verdict);
  ImGui::EndGroup();
}

}  // namespace landfall::ui
