// What is asked when a board comes in, and what each answer leads to.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/job.hpp"
#include "netdb/model/reading.hpp"
#include "netdb/model/result.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

struct IntakeTopic {
  std::string_view word;       // "battery"
  std::string_view question;   // "Is the battery out?"
  std::string_view choices;    // "yes no none", or empty: free text
  std::string_view dangerous;  // the answer that leads to the caution
  std::string_view caution;    // what is said then, and while it is unanswered where `ask` is set
  bool ask = false;
};

// In the order of the form. No name, address or telephone number is asked for; a ticket number is enough.
const std::vector<IntakeTopic>& intake_topics();
const IntakeTopic* intake_topic(std::string_view word);

// What the answers so far lead to, the gravest first; questions of safety that nobody answered are said as
// well.
std::vector<std::string> intake_cautions(const std::vector<IntakeAnswer>& answers, SafetyAnswer safety);

// What must be done before a meter or a wire touches the board, in one line each: what was answered so, and
// in one line what nobody answered yet. Empty where nothing stands against it, or nothing was answered at
// all.
std::vector<std::string> power_cautions(const std::vector<IntakeAnswer>& answers);

// The question of safety that the job itself keeps, and what follows from its answers.
inline constexpr std::string_view kSafetyQuestion =
    "Medical, vehicles, aviation, rail, alarms, protective equipment?";

// "dark" and "good" name nets of the board: kNotFound for one that it has not. Other answers pass.
Status check_intake(const OpenBoard& board, const IntakeAnswer& answer);

// The words of a line, apart by blanks and commas.
std::vector<std::string> words_of(std::string_view text);

// "TOPIC=ANSWER"; kUsage for an unknown topic or an answer that is none of its choices.
Result<IntakeAnswer> read_intake(const std::string& text);

}  // namespace landfall::app
