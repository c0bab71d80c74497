#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/facts.hpp"
#include "viewer/scene/verdict_scene.hpp"
#include "viewer/ui/panel.hpp"

// The verdict: a sentence, the options on one axis, how many wires would still pay, one option term by term,
// what would change the answer, and what is tried.

namespace landfall::ui {
namespace {

using rework::verdict::Option;
using rework::verdict::Verdict;

constexpr double kTrialFoot = 112;
constexpr float kSide = 16;

// With a capital letter.
std::string begun(std::string sentence) {
  if (!sentence.empty() && sentence[0] >= 'a' && sentence[0] <= 'z')
    sentence[0] = static_cast<char>(sentence[0] - 'a' + 'A');
  return sentence;
}

void draw_chart(Frame& f, float width, float height,
                void (*paint)(scene::Canvas&, const scene::Theme&, const Verdict&, scene::Rect),
                const Verdict& verdict) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  scene::Canvas canvas(f.theme.stroke);
  paint(canvas, f.theme, verdict, {at.x, at.y, width, height});
  draw(f, canvas);
  ImGui::Dummy({width, height});
}

// A name at the left, a figure at the right of the column.
void draw_pair(Frame& f, float width, const std::string& name, const std::string& middle,
               const std::string& figure, bool strong) {
  const ImVec2 at = ImGui::GetCursorPos();
  ImFont* font = strong ? f.fonts.bold : f.fonts.body;
  const float figure_width = width_of(font, figure);
  const float middle_width = middle.empty() ? 0 : width_of(f.fonts.note, middle) + 12;
  const float room = width - figure_width - 16;
  const bool beside = middle_width > 0 && width_of(font, name) + middle_width + 12 <= room;
  cut_text(font, f.theme.ink, name, beside ? room - middle_width : room);
  if (beside) {
    ImGui::SetCursorPos({at.x + room - middle_width + 8, at.y + 2});
    text(f.fonts.note, f.theme.ink2, middle);
  }
  ImGui::SetCursorPos({at.x + width - figure_width, at.y});
  text(font, f.theme.ink, figure);
  ImGui::SetCursorPosX(at.x);
}

void draw_terms(Frame& f, const Verdict& verdict, float width) {
  // Of the repair while it is offered, else of what is advised.
  const Option& repair = verdict.option(rework::verdict::OptionKind::kRepair);
  const Option& shown = repair.offered ? repair : verdict.option(verdict.best);
  text(f.fonts.bold, f.theme.ink2, fmt::format("{}, TERM BY TERM", repair.offered ? "REPAIR" : "THE BEST"));
  ImGui::Dummy({1, 2});
  for (const auto& term : shown.terms)
    draw_pair(f, width, term.name, term.how, scene::money_text(term.money), false);
  rule(f);
  draw_pair(f, width, "expected margin", "", scene::money_text(shown.margin), true);
  if (repair.offered && !verdict.chances.empty()) {
    std::string chances = "Chance: ";
    for (std::size_t i = 0; i < verdict.chances.size(); ++i) {
      const auto& c = verdict.chances[i];
      chances += fmt::format("{}{}{} {:.2f}", i == 0 ? "" : ", ",
                             c.n > 1 ? fmt::format("{} \u00D7 ", c.n) : std::string(),
                             rework::verdict::word(c.kind), c.power);
    }
    text(f.fonts.note, f.theme.ink2, chances + ".");
    int own = 0;
    for (const auto& c : verdict.chances) own += static_cast<int>(c.own.worked + c.own.failed);
    text(f.fonts.italic, f.theme.ink2,
         own == 0 ? std::string("No own cases behind the chances yet: common practice.")
                  : fmt::format("{} own cases stand behind the chances.", own));
  }
}

void draw_changes(Frame& f, const Verdict& verdict, float width) {
  ImGui::Dummy({1, 8});
  text(f.fonts.bold, f.theme.ink2, "WHAT WOULD CHANGE IT");
  ImGui::Dummy({1, 2});
  for (const auto& flip : verdict.soonest)
    draw_pair(f, width, fmt::format("{} {:g}", flip.setting, flip.from), "",
              fmt::format("\u2192 {:.4g}: {}", flip.to, word(flip.then)), false);
  if (verdict.soonest.empty())
    text(f.fonts.body, f.theme.ink2, "No single figure of the shop's, from a tenth to ten times.");
  text(f.fonts.note, f.theme.ink2, verdict.break_even_says);
}

void draw_said_about_safety(Frame& f) {
  const Job& job = *f.session.job;
  if (job.safety_critical == SafetyAnswer::kNo) {
    text(f.fonts.note, f.theme.ink2,
         "You said: this board is not safety-critical. If it is: the maker's authorised repair, and no plan "
         "or verdict here.");
  } else {
    text(f.fonts.bold, f.theme.warn,
         "Whether this board is safety-critical was not asked yet: answer at the left of the map.");
  }
}

void draw_left(Frame& f, const Verdict& verdict, float width) {
  text(f.fonts.bold, f.theme.ink2, "HOW MANY WIRES WOULD STILL PAY");
  ImGui::Dummy({1, 4});
  if (verdict.wires.margins.empty()) {
    text(f.fonts.body, f.theme.ink2, "Nothing to draw: the repair is not offered.");
  } else {
    draw_chart(f, width, 230, scene::draw_wire_counts, verdict);
  }
  if (verdict.wires.most)
    text(f.fonts.bold, f.theme.ink,
         fmt::format("{} {} the repair pays best", verdict.wires.beyond_search ? "at least up to" : "up to",
                     count_of(static_cast<std::size_t>(*verdict.wires.most), "wire")));
  for (const std::string& remark : verdict.remarks) text(f.fonts.note, f.theme.ink2, remark);
  ImGui::Dummy({1, 4});
  draw_said_about_safety(f);
  text(f.fonts.note, f.theme.ink2, "This advises; you decide. The figures are the shop's own.");
}

void draw_columns(Frame& f, const Verdict& verdict, float width) {
  const bool beside = width >= 700;
  const float left = beside ? width * 0.54F : width;
  const float right = beside ? width - left - 32 : width;
  const ImVec2 at = ImGui::GetCursorPos();
  ImGui::BeginGroup();
  ImGui::PushTextWrapPos(at.x + left);
  draw_left(f, verdict, left);
  ImGui::PopTextWrapPos();
  ImGui::EndGroup();
  const float low = ImGui::GetCursorPosY();
  if (beside) ImGui::SetCursorPos({at.x + left + 32, at.y});
  ImGui::BeginGroup();
  ImGui::PushTextWrapPos(beside ? at.x + width : at.x + right);
  draw_terms(f, verdict, right);
  draw_changes(f, verdict, right);
  ImGui::PopTextWrapPos();
  ImGui::EndGroup();
  ImGui::SetCursorPos({at.x, std::max(low, ImGui::GetCursorPosY()) + 12});
}

// What came of the job as a whole: the last word that was noted, and the buttons for the next.
void draw_job_outcome(Frame& f) {
  caption(f, "WHAT CAME OF IT");
  for (const Outcome& one : app::standing(f.session.outcomes)) {
    if (!app::is_of_whole_job(one)) continue;
    wrapped(f.fonts.bold, f.theme.ink,
            fmt::format("The job {}, noted {}{}{}.", one.worked ? "worked" : "failed", one.at.substr(0, 10),
                        one.note.empty() ? "" : ": ", one.note));
  }
  const float width = ImGui::GetContentRegionAvail().x;
  if (f.session.job->closed) return draw_closed(f, width);
  if (f.session.end) {
    const std::string key = key_of(f, app::Command::kUndo);
    if (button(f, "back", "Take it back", key, {190, 32})) f.action = app::Undo{};
    ImGui::SameLine(0, 8);
    if (button(f, "close", "Close the job", key_of(f, app::Command::kCloseJob), {190, 32}, true))
      f.action = app::CloseJob{f.session.job->id, true};
    text(f.fonts.note, f.theme.ink2, "Or, where the work went on, what came of the next go:");
  }
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

}  // namespace

void draw_verdict(Frame& f, scene::Rect area) {
  const auto& plan = f.session.plan;
  const auto& tried = f.session.tried;
  const bool trial = plan && plan->verdict && tried && tried->verdict;
  if (trial) {
    area.height -= kTrialFoot;
    draw_trial_foot(f, {area.x, area.y + area.height, area.width, kTrialFoot});
  }
  const Pane pane("verdict", area, f.theme.sheet, true);
  ImGui::SetCursorPos({kSide, 12});
  ImGui::BeginGroup();
  if (!plan) {
    text(f.fonts.bold, f.theme.ink, "No verdict: open a job first.");
  } else if (!plan->verdict) {
    wrapped(f.fonts.bold, f.theme.ink, std::string(rework::verdict::kSafetyReferral));
  } else {
    const Verdict& stands = *plan->verdict;
    const Verdict& verdict = trial ? *tried->verdict : stands;
    const float width = static_cast<float>(area.width) - 2 * kSide - 14;
    ImGui::PushTextWrapPos(kSide + width);
    text(f.fonts.title, f.theme.ink, trial ? "Tried: " + verdict.says : begun(verdict.says));
    text(f.fonts.note, f.theme.ink2,
         trial ? "a trial, kept nowhere; hollow dots: as it stands" : "advice from your figures; you decide");
    ImGui::PopTextWrapPos();
    ImGui::Dummy({1, 4});
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float rows = 5 * 54 + 26;
    scene::Canvas canvas(f.theme.stroke);
    scene::draw_options(canvas, f.theme, verdict, trial ? &stands : nullptr, {at.x, at.y, width, rows});
    draw(f, canvas);
    ImGui::Dummy({width, rows + 10});
    draw_columns(f, verdict, width);
    draw_job_outcome(f);
    draw_figures(f);
  }
  ImGui::EndGroup();
}

}  // namespace landfall::ui
