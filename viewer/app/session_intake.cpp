#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
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

std::string first_lower(std::string text) {
  if (!text.empty() && text[0] >= 'A' && text[0] <= 'Z') text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

// All of them in one go; what is asked of safety is kept with the job and comes alone.
Status put(Session& s, const std::vector<IntakeStep>& steps, bool after) {
  std::vector<IntakeAnswer> answers;
  for (const IntakeStep& step : steps) {
    const std::string& answer = after ? step.after : step.before;
    if (step.topic == kSafety) {
      if (const Status kept = s.bench->set_safety(s.job->id, safety_of(answer), now_utc()); !kept.ok())
        return kept;
    } else {
      answers.push_back({step.topic, answer, ""});
    }
  }
  return answers.empty() ? Status(std::monostate{}) : s.bench->set_intake(s.job->id, answers, now_utc());
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
  s.intake->power = power_cautions(*answers);
}

bool keep_answers(Session& s, const std::vector<std::pair<std::string, std::string>>& answers) {
  std::vector<IntakeStep> steps;
  for (const auto& [topic, answer] : answers) {
    IntakeStep step{topic, answer_now(s, topic), answer};
    if (step.before != step.after) steps.push_back(std::move(step));
  }
  if (!takes_work(s)) return false;
  if (const Status kept = put(s, steps, true); !kept.ok()) {
    fail(s, kept.error());
    return false;
  }
  if (steps.empty() || !s.intake) return true;
  s.intake->done.push_back(std::move(steps));
  s.intake->undone.clear();
  return true;
}

void step_intake(Session& s, bool redo) {
  if (!s.job || !s.intake || !takes_work(s)) return;
  auto& from = redo ? s.intake->undone : s.intake->done;
  auto& to = redo ? s.intake->done : s.intake->undone;
  if (from.empty())
    return fail(s, {ErrorCode::kNotFound, redo ? "There is no answer to do again."
                                               : "There is no answer of this sitting to undo."});
  const std::vector<IntakeStep> steps = from.back();
  if (const Status kept = put(s, steps, redo); !kept.ok()) return fail(s, kept.error());
  from.pop_back();
  to.push_back(steps);
  reload_job(s, "");
  say(s, (redo ? "done again: " : "undone: ") + said_of(s, steps.front().topic));
}

void act(Session& s, const ShowIntake&) {
  if (!needs_job(s, "Answers")) return;
  if (s.page == JobPage::kIntake && !s.bench_page) return s.page.reset();
  make_intake_anew(s);
  if (!s.intake) return;
  s.bench_page = false;
  leave_pages(s);
  s.page = JobPage::kIntake;
  const auto open = std::count_if(s.intake->rows.begin(), s.intake->rows.end(),
                                  [](const IntakeRow& row) { return row.topic->ask && row.answer.empty(); });
  const std::ptrdiff_t asked = open + (s.job->safety_critical == SafetyAnswer::kNotAsked ? 1 : 0);
  const std::string to_answer =
      asked == 0 ? ""
                 : count_of(static_cast<std::size_t>(asked), "question") + " of safety not answered yet. ";
  // An answer that stands against work is what the line is for, not that it was given.
  const auto against = std::find_if(s.intake->cautions.begin(), s.intake->cautions.end(),
                                    [](const std::string& one) { return !one.starts_with("Not answered"); });
  if (against != s.intake->cautions.end())
    return say(s, to_answer + "Do not begin yet: " + first_lower(*against));
  say(s, asked == 0 ? std::string("The questions of safety are answered; nothing stands against work.")
                    : to_answer);
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
