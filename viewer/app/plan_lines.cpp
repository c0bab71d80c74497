#include "viewer/app/plan_lines.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"

namespace landfall::app {
namespace {

LineState state_of(const Outcome* outcome) {
  if (outcome == nullptr) return LineState::kToDo;
  return outcome->worked ? LineState::kDone : LineState::kFailed;
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& one : words) text += (text.empty() ? "" : ", ") + one;
  return text;
}

void add_sentence(std::string& text, const std::string& sentence) {
  if (sentence.empty()) return;
  text += (text.empty() ? "" : " ") + sentence;
  if (text.back() != '.') text += '.';
}

class Lines {
 public:
  Lines(const PlanAnswer& answer, const std::vector<Outcome>& outcomes)
      : answer_(answer), outcomes_(standing(outcomes)), board_(answer.job.board->board()) {}

  std::vector<PlanLine> run() {
    std::vector<bool> stays(answer_.plan.wires.size(), false);
    for (const auto& escape : answer_.plan.escapes) {
      for (const std::size_t wire : escape.stay) stays[wire] = true;
    }
    for (const auto& mend : answer_.job.assessment.mends) {
      for (const auto& pin : mend.cannot) add_cannot(pin);
    }
    for (std::size_t w = 0; w < stays.size(); ++w) {
      if (stays[w]) add_wire(answer_.plan.wires[w], true);
    }
    for (const auto& rebuild : answer_.plan.rebuilds) add_rebuild(rebuild);
    for (std::size_t w = 0; w < stays.size(); ++w) {
      if (!stays[w]) add_wire(answer_.plan.wires[w], false);
    }
    return std::move(lines_);
  }

 private:
  PlanLine& add(Index pin) {
    PlanLine& line = lines_.emplace_back();
    line.pin = pin;
    if (pin != kNone) {
      const std::vector<std::string>& lifted = answer_.job.job.lifted;
      const Pin& p = board_.pins[pin];
      const bool plain = lifted.size() == 1 && board_.parts[p.part].reference == lifted.front();
      line.ball = plain ? p.number : answer_.job.board->index().pin_text(pin);
      line.net = board_.pins[pin].net;
    }
    return line;
  }

  void add_cannot(const rework::Unreached& pin) {
    PlanLine& line = add(pin.pin);
    line.state = LineState::kCannot;
    line.why = pin.why;
  }

  void add_rebuild(const rework::PlannedRebuild& rebuild) {
    PlanLine& line = add(rebuild.rebuild.pin);
    line.number = rebuild.number;
    line.rebuild = true;
    line.state = state_of(outcome_at(outcomes_, rebuild.at, {}, true));
    line.to = "here";
    line.kind = fmt::format("IPC-7721 {}", rebuild.procedure.number);
    line.why = rebuild.procedure.name;
    add_sentence(line.details,
                 fmt::format("{}: {}, {}", line.kind, rebuild.procedure.name, rebuild.procedure.skill));
    add_sentence(line.details, rebuild.rebuild.why);
    add_sentence(line.details, rebuild.after.empty() ? "" : "After: " + rebuild.after);
    if (!rebuild.beware.empty()) add_sentence(line.details, "Test against: " + joined(rebuild.beware));
  }

  void add_wire(const rework::PlannedWire& wire, bool stays) {
    PlanLine& line = add(wire.jumper.from.pin);
    line.number = wire.number;
    line.net = wire.jumper.net;
    if (line.ball.empty()) line.ball = wire.from;
    const Outcome* outcome = outcome_at(outcomes_, wire.from, wire.jumper.to.at, false);
    line.state = stays && outcome == nullptr ? LineState::kStays : state_of(outcome);
    const rework::Landing& to = wire.jumper.to;
    const BoardIndex& index = answer_.job.board->index();
    const bool known = to.kind != rework::LandingKind::kUnknown;  // an unknown end has no place either
    line.to = to.pin != kNone ? index.pin_text(to.pin) : (known ? index.place_text(to.at) : "not known");
    line.kind = known ? std::string(word(to.kind)) : std::string();
    if (wire.length > 0) line.length = wire.length;
    const auto& judged = wire.judgement;
    if (judged.share) {
      line.delay_ps = judged.delay_ps;
      line.share = judged.share;
    } else if (is_supply(answer_.job.board->signals().nets[wire.jumper.net].signal_class)) {
      line.ohm = judged.ohm;
    }
    line.word = wire.word;
    line.why = stays ? "no way out between the balls with this wire" : judged.why;
    if (stays) add_sentence(line.details, judged.why);
    if (wire.pair) add_sentence(line.details, wire.pair->why);
    if (wire.under_part) add_sentence(line.details, "Stays under the chip");
    if (wire.other_side) add_sentence(line.details, "To the other side");
    if (!wire.clear_way && wire.length > 0 && !stays)
      add_sentence(line.details, "No clear way was found: it is drawn straight");
    if (!wire.procedure.number.empty())
      add_sentence(line.details, fmt::format("IPC-7721 {}: {}", wire.procedure.number, wire.procedure.name));
    add_sentence(line.details, wire.after.empty() ? "" : "After: " + wire.after);
    if (!wire.beware.empty()) add_sentence(line.details, "Test against: " + joined(wire.beware));
  }

  const PlanAnswer& answer_;
  std::vector<Outcome> outcomes_;  // those that stand
  const Board& board_;
  std::vector<PlanLine> lines_;
};

}  // namespace

std::string_view word(LineState state) {
  switch (state) {
    case LineState::kToDo:
      return "to do";
    case LineState::kDone:
      return "done";
    case LineState::kFailed:
      return "failed";
    case LineState::kStays:
      return "no way out";
    case LineState::kCannot:
      return "cannot";
  }
  return "";
}

std::vector<PlanLine> plan_lines(const PlanAnswer& answer, const std::vector<Outcome>& outcomes) {
  return Lines(answer, outcomes).run();
}

PlanCounts count_lines(const std::vector<PlanLine>& lines) {
  PlanCounts counts;
  for (const PlanLine& line : lines) {
    if (line.state == LineState::kCannot) continue;
    if (line.rebuild) {
      ++counts.rebuilds;
      if (line.state == LineState::kDone) ++counts.rebuilt;
      continue;
    }
    ++counts.wires;
    if (line.state == LineState::kDone) ++counts.done;
    if (line.state == LineState::kFailed) ++counts.failed;
    if (line.state == LineState::kToDo) ++counts.to_do;
    if (line.state == LineState::kStays) ++counts.stay;
  }
  return counts;
}

}  // namespace landfall::app
