#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/intake.hpp"
#include "viewer/ui/panel.hpp"

// The intake's form: questions with their answers, each caution where the answer is.

namespace landfall::ui {
namespace {

constexpr const char* kSafety = "safety-critical";

// A question as the form shows it: a topic of the intake, or last the job's own question of safety.
struct Question {
  std::string topic, question, answer, at, caution;
  std::vector<std::string> choices;
};

std::size_t question_count(const app::Session& session) {
  return session.intake->rows.size() + 1;
}

Question question_at(const app::Session& session, std::size_t n) {
  if (n < session.intake->rows.size()) {
    const app::IntakeRow& row = session.intake->rows[n];
    return {
        std::string(row.topic->word),     std::string(row.topic->question), row.answer, row.at, row.caution,
        app::words_of(row.topic->choices)};
  }
  Question own{kSafety, std::string(app::kSafetyQuestion), "", "", "", {"yes", "no"}};
  if (session.job->safety_critical != SafetyAnswer::kNotAsked)
    own.answer = session.job->safety_critical == SafetyAnswer::kYes ? "yes" : "no";
  if (own.answer == "yes") own.caution = "To its maker's authorised repair: maps and answers only.";
  return own;
}

void draw_choices(Frame& f, const Question& one, bool current) {
  for (std::size_t i = 0; i < one.choices.size(); ++i) {
    const std::string& choice = one.choices[i];
    const bool given = one.answer == choice;
    if (button(f, choice.c_str(), choice, current ? std::to_string(i + 1) : "", {112, 32}, given))
      f.action = app::AnswerIntake{one.topic, given ? "" : choice};  // once more: not answered
    ImGui::SameLine(0, 6);
  }
  ImGui::NewLine();
}

void draw_question(Frame& f, std::size_t n, float width) {
  const Question one = question_at(f.session, n);
  const bool current = f.state.intake_row == n;
  const bool wide = width >= 600;
  const float label = wide ? 250 : width - 16;
  ImGui::PushID(one.topic.c_str());
  const ImVec2 start = ImGui::GetCursorPos();
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  ImGui::BeginGroup();
  ImGui::SetCursorPos({start.x + 12, start.y + 6});
  ImGui::PushTextWrapPos(start.x + 12 + label);
  text(f.fonts.body, f.theme.ink, one.question);
  ImGui::PopTextWrapPos();
  const float below = ImGui::GetCursorPosY();
  const float left = start.x + (wide ? 12 + label + 16 : 12);
  ImGui::SetCursorPos({left, wide ? start.y : below});
  if (one.choices.empty()) {
    const bool first = f.state.focus_field && current;
    if (const auto typed =
            kept_field(f, one.topic, "not answered", one.answer, start.x + width - left - 8, first))
      f.action = app::AnswerIntake{one.topic, *typed};
    if (ImGui::IsItemActive()) f.state.intake_row = n;
  } else {
    draw_choices(f, one, current);
  }
  if (!one.caution.empty()) {
    ImGui::SetCursorPosX(left);
    caution(f, one.caution);
  }
  ImGui::SetCursorPosY(std::max(ImGui::GetCursorPosY(), below) + 2);
  ImGui::EndGroup();
  if (current) {
    scene::Canvas canvas(f.theme.stroke);
    canvas.rect({corner.x, corner.y + 2, 5, ImGui::GetItemRectMax().y - corner.y - 4.0}, f.theme.ink);
    draw(f, canvas);
    if (f.state.intake_brought != n) ImGui::SetScrollHereY();
    f.state.intake_brought = n;
  }
  rule(f);
  ImGui::PopID();
}

}  // namespace

bool take_intake_key(Frame& f, int place) {
  constexpr int kOne = 30, kFour = 33;
  if (f.session.page != app::JobPage::kIntake || f.session.bench_page || !f.session.intake ||
      f.state.form != Form::kNone || ImGui::GetIO().WantTextInput || ImGui::GetIO().KeyCtrl || place < kOne ||
      place > kFour)
    return false;
  const Question one = question_at(f.session, std::min(f.state.intake_row, question_count(f.session) - 1));
  const auto n = static_cast<std::size_t>(place - kOne);
  if (one.choices.empty()) f.state.focus_field = true;
  if (n < one.choices.size() && ImGui::IsKeyPressed(place, false))
    f.action = app::AnswerIntake{one.topic, one.answer == one.choices[n] ? "" : one.choices[n]};
  return true;
}

std::optional<app::Action> intake_command(const app::Session& session, WindowState& state,
                                          app::Command command, bool& taken) {
  if (!session.intake) return std::nullopt;
  taken =
      command == app::Command::kUp || command == app::Command::kDown || command == app::Command::kOnAndAgain;
  std::size_t& at = state.intake_row;
  if (command == app::Command::kUp) at -= std::min<std::size_t>(at, 1);
  if (command == app::Command::kDown) at = std::min(at + 1, question_count(session) - 1);
  if (command == app::Command::kOnAndAgain) state.focus_field = true;
  return std::nullopt;
}

void draw_intake(Frame& f, scene::Rect area) {
  const Pane pane("intake", area, f.theme.sheet, true);
  if (!f.session.intake || !f.session.job) return;
  const float width = ImGui::GetContentRegionAvail().x;
  for (const std::string& says : f.session.intake->cautions) caution(f, says);
  if (f.session.intake->cautions.empty())
    text(f.fonts.body, f.theme.ok, "Nothing stands against work on this board, by the answers below.");
  wrapped(f.fonts.note, f.theme.ink2,
          "No name, address or telephone number is wanted: a ticket number is enough. Each answer is kept at "
          "once; Ctrl+Z takes it back.");
  rule(f);
  for (std::size_t n = 0; n < question_count(f.session); ++n) draw_question(f, n, width);
  // Enter on a question of choices has no field to go to.
  f.state.focus_field = false;
}

}  // namespace landfall::ui
