#include <fmt/format.h>

#include "viewer/ui/panel.hpp"

// 'What if': the verdict's figures with a field each, and the foot that says what is being tried.

namespace landfall::ui {
namespace {

std::string margin_of(const rework::verdict::Option& option) {
  return option.offered ? fmt::format("{:.2f}", option.margin) : "not offered";
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

}  // namespace

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
    const std::string before = margin_of(option), after = margin_of(now);
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

}  // namespace landfall::ui
