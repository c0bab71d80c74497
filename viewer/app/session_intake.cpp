#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/session_inside.hpp"

// The intake's page: questions and answers, each with what it leads to.

namespace landfall::app {
namespace {

constexpr const char* kSafety = "safety-critical";

SafetyAnswer safety_of(const std::string& answer) {
  if (answer == "yes") return SafetyAnswer::kYes;
  return answer == "no" ? SafetyAnswer::kNo : SafetyAnswer::kNotAsked;
}

std::string answer_now(const Session& s, const std::string& topic) {
  if (topic == kSafety) {
    if (s.job->safety_critical == SafetyAnswer::kNotAsked) return "";
    return s.job->safety_critical == SafetyAnswer::kYes ? "yes" : "no";
  }
  if (!s.intake) return "";
  for (const IntakeRow& row : s.intake->rows) {
    if (row.topic->word == topic) return row.answer;
  }
  return "";
}

Status put(Session& s, const std::string& topic, const std::string& answer) {
  if (topic == kSafety) return s.bench->set_safety(s.job->id, safety_of(answer), now_utc());
  return s.bench->set_intake(s.job->id, {{topic, answer, ""}}, now_utc());
}

// What follows from the answer, or the answer itself.
std::string said_of(const Session& s, const std::string& topic) {
  if (topic == kSafety)
    return s.job->safety_critical == SafetyAnswer::kYes
               ? "Safety-critical: this board goes to the maker's authorised repair."
               : fmt::format("Safety-critical: {}.", word(s.job->safety_critical));
  for (const IntakeRow& row : s.intake->rows) {
    if (row.topic->word != topic) continue;
    if (row.answer.empty()) return fmt::format("{}: not answered.", topic);
    return row.caution.empty() ? fmt::format("{}: {}.", topic, row.answer) : row.caution;
  }
  return topic;
}

}  // namespace

void make_intake_anew(Session& s) {
  if (!s.job) return s.intake.reset();
  const auto answers = s.bench->intake(s.job->id);
  if (!answers.ok()) return fail(s, answers.error());
  if (!s.intake) s.intake.emplace();
  s.intake->rows.clear();
  for (const IntakeTopic& topic : intake_topics()) {
    IntakeRow row{&topic, {}, {}, {}};
    for (const IntakeAnswer& answer : *answers) {
      if (answer.topic != topic.word) continue;
      row.answer = answer.answer;
      row.at = answer.at;
    }
    if (!topic.dangerous.empty() && row.answer == topic.dangerous) row.caution = topic.caution;
    s.intake->rows.push_back(std::move(row));
  }
  s.intake->cautions = intake_cautions(*answers, s.job->safety_critical);
}

bool keep_answers(Session& s, const std::vector<std::pair<std::string, std::string>>& answers) {
  std::vector<IntakeStep> steps;
  for (const auto& [topic, answer] : answers) {
    IntakeStep step{topic, answer_now(s, topic), answer};
    if (step.before == step.after) continue;
    if (const Status kept = put(s, topic, answer); !kept.ok()) {
      fail(s, kept.error());
      return false;
    }
    steps.push_back(std::move(step));
  }
  if (steps.empty() || !s.intake) return true;
  s.intake->done.push_back(std::move(steps));
  s.intake->undone.clear();
  return true;
}

void step_intake(Session& s, bool redo) {
  if (!s.job || !s.intake) return;
  auto& from = redo ? s.intake->undone : s.intake->done;
  auto& to = redo ? s.intake->done : s.intake->undone;
  if (from.empty())
    return fail(s, {ErrorCode::kNotFound, redo ? "There is no answer to do again."
                                               : "There is no answer of this sitting to undo."});
  const std::vector<IntakeStep> steps = from.back();
  for (const IntakeStep& step : steps) {
    if (const Status kept = put(s, step.topic, redo ? step.after : step.before); !kept.ok())
      return fail(s, kept.error());
  }
  from.pop_back();
  to.push_back(steps);
  reload_job(s, "");
  say(s, (redo ? "done again: " : "undone: ") + said_of(s, steps.front().topic));
}

void act(Session& s, const ShowIntake&) {
  if (!needs_job(s, "Answers")) return;
  if (s.page == JobPage::kIntake && !s.bench_page) return s.page.reset();
  make_intake_anew(s);
  s.bench_page = false;
  leave_pages(s);
  s.page = JobPage::kIntake;
  const auto open = std::count_if(s.intake->rows.begin(), s.intake->rows.end(),
                                  [](const IntakeRow& row) { return row.topic->ask && row.answer.empty(); });
  const std::ptrdiff_t asked = open + (s.job->safety_critical == SafetyAnswer::kNotAsked ? 1 : 0);
  say(s, asked == 0 ? std::string("All questions of safety are answered.")
                    : fmt::format("{} question{} of safety not answered yet.", asked, asked == 1 ? "" : "s"));
}

void act(Session& s, const AnswerIntake& a) {
  if (!needs_job(s, "Answers")) return;
  if (a.topic == kSafety) {
    if (!a.answer.empty() && a.answer != "yes" && a.answer != "no")
      return fail(s, {ErrorCode::kUsage, "safety-critical is one of: yes no"});
    if (!keep_answers(s, {{a.topic, a.answer}})) return;
  } else {
    const auto answer = read_intake(a.topic + "=" + a.answer);
    if (!answer.ok()) return fail(s, answer.error());
    if (const Status good = check_intake(*s.board, *answer); !good.ok()) return fail(s, good.error());
    if (!keep_answers(s, {{answer->topic, answer->answer}})) return;
  }
  reload_job(s, "");
  say(s, said_of(s, a.topic));
}

}  // namespace landfall::app
