// The plan as lines for a list: what cannot be done first, then rebuilds, then wires, in the order of work.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "viewer/app/desk.hpp"

namespace landfall::app {

enum class LineState {
  kToDo,
  kDone,
  kFailed,  // and the plan has nothing else there
  kStays,   // a wire that finds no way out from under the chip
  kCannot,  // nothing mends the site
};
std::string_view word(LineState state);

struct PlanLine {
  int number = 0;  // of the plan; 0: it has none, since nothing can be done
  bool rebuild = false;
  LineState state = LineState::kToDo;
  Index pin = kNone;                      // the site
  Index net = kNone;                      // of a rebuild and a site without remedy: the pin's
  std::string ball, to, kind;             // "AB3"; "R12.1" or "39.60, 26.40"; "exposed via", or the procedure
  std::optional<Nm> length;               // to be cut; nothing when it is not known
  std::optional<double> delay_ps, share;  // of a judged signal
  std::optional<double> ohm;              // of a supply
  rework::physics::Word word = rework::physics::Word::kNotJudged;
  std::string why;      // one sentence
  std::string details;  // the rest, sentences: how it runs, what to test against, readings
};

// `outcomes`: of the job, oldest first.
std::vector<PlanLine> plan_lines(const PlanAnswer& answer, const std::vector<Outcome>& outcomes);

// How many of each; wires and rebuilds apart.
struct PlanCounts {
  std::size_t rebuilds = 0, rebuilt = 0;
  std::size_t wires = 0, done = 0, failed = 0, to_do = 0, stay = 0;
};
PlanCounts count_lines(const std::vector<PlanLine>& lines);

}  // namespace landfall::app
