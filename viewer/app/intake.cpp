#include "viewer/app/intake.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/site_syntax.hpp"

namespace landfall::app {

const std::vector<IntakeTopic>& intake_topics() {
  static const std::vector<IntakeTopic> topics{
      {"ticket", "Ticket number (no name is needed)", "", "", "", false},
      {"device", "What is it?", "", "", "", false},
      {"symptoms", "What does it do, and what not?", "", "", "", false},
      {"dark", "Nets that stay dark or read wrong", "", "", "", false},
      {"good", "Nets seen to work (else all others of their channels)", "", "", "", false},
      {"pressed", "Does it change when the chip is pressed?", "yes no untried", "", "", false},
      {"history", "What happened to it: drop, liquid, heat, earlier work?", "", "", "", false},
      {"liquid", "Was there liquid?", "yes no unknown", "yes",
       "Liquid was in it: clean and dry the board before any supply and before heat; corrosion goes on under "
       "parts.",
       false},
      {"tried", "What was tried already?", "", "", "", false},
      {"battery", "Is the battery out?", "yes no none", "no",
       "The battery is in: take it out before any reading and before any heat. A swollen cell is not for "
       "this bench: local "
       "rules on lithium cells stand above this page.",
       true},
      {"capacitors", "Are the capacitors discharged, by a meter?", "yes no", "no",
       "Capacitors are not shown to be discharged: do that, and measure it, before any reading.", true},
      {"mains", "Is a part of it on mains or high-energy battery voltage?", "yes no", "yes",
       "Mains or high-energy battery voltage: only for those licensed for it; local codes stand above this "
       "page.",
       true},
  };
  return topics;
}

const IntakeTopic* intake_topic(std::string_view word) {
  const auto& topics = intake_topics();
  const auto found =
      std::find_if(topics.begin(), topics.end(), [&](const IntakeTopic& t) { return t.word == word; });
  return found == topics.end() ? nullptr : &*found;
}

std::vector<std::string> intake_cautions(const std::vector<IntakeAnswer>& answers, SafetyAnswer safety) {
  std::vector<std::string> cautions;
  std::vector<std::string> unasked;
  if (safety == SafetyAnswer::kYes)
    cautions.emplace_back("Safety-critical: to its maker's authorised repair. Maps and answers only.");
  if (safety == SafetyAnswer::kNotAsked) unasked.emplace_back("is it safety-critical?");
  for (const IntakeTopic& topic : intake_topics()) {
    const auto given = std::find_if(answers.begin(), answers.end(),
                                    [&](const IntakeAnswer& a) { return a.topic == topic.word; });
    if (given == answers.end()) {
      if (topic.ask) unasked.emplace_back(topic.question);
    } else if (!topic.dangerous.empty() && given->answer == topic.dangerous) {
      cautions.emplace_back(topic.caution);
    }
  }
  for (const std::string& question : unasked) cautions.push_back("Not answered yet: " + question);
  return cautions;
}

std::vector<std::string> power_cautions(const std::vector<IntakeAnswer>& answers) {
  // A shop that keeps no intake has the caution that stands beside every reading.
  if (answers.empty()) return {};
  std::vector<std::string> cautions;
  std::string open;
  for (const IntakeTopic& topic : intake_topics()) {
    const auto given = std::find_if(answers.begin(), answers.end(),
                                    [&](const IntakeAnswer& a) { return a.topic == topic.word; });
    if (given == answers.end() || given->answer.empty()) {
      if (topic.ask) open += fmt::format("{}{}", open.empty() ? "" : " ", topic.question);
    } else if (!topic.dangerous.empty() && given->answer == topic.dangerous) {
      // Its first sentence: the intake has the rest.
      cautions.emplace_back(topic.caution.substr(0, topic.caution.find(". ")));
      if (cautions.back().back() != '.') cautions.back() += '.';
    }
  }
  if (!open.empty()) cautions.push_back("The intake has not answered: " + open);
  return cautions;
}

Status check_intake(const OpenBoard& board, const IntakeAnswer& answer) {
  if (answer.topic != "dark" && answer.topic != "good") return done();
  for (const std::string& name : words_of(answer.answer)) {
    if (const auto net = find_net(board, name); !net.ok()) return net.error();
  }
  return done();
}

std::vector<std::string> words_of(std::string_view text) {
  return words_in(text, " ,\t");
}

Result<IntakeAnswer> read_intake(const std::string& text) {
  const auto equals = text.find('=');
  const IntakeTopic* topic = equals == std::string::npos ? nullptr : intake_topic(text.substr(0, equals));
  if (topic == nullptr) {
    std::string words;
    for (const IntakeTopic& one : intake_topics())
      words += fmt::format("{}{}", words.empty() ? "" : ", ", one.word);
    return Error{ErrorCode::kUsage, fmt::format("{}: write TOPIC=ANSWER; topics: {}", text, words)};
  }
  IntakeAnswer answer{std::string(topic->word), text.substr(equals + 1), ""};
  if (!topic->choices.empty() && !answer.answer.empty()) {
    answer.answer = lower(answer.answer);
    const std::string padded = fmt::format(" {} ", topic->choices);
    if (answer.answer.find(' ') != std::string::npos ||
        padded.find(" " + answer.answer + " ") == std::string::npos)
      return Error{ErrorCode::kUsage, fmt::format("{} is one of: {}", topic->word, topic->choices)};
  }
  return answer;
}

}  // namespace landfall::app
