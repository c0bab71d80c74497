#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/model/test_point.hpp"
#include "netdb/signals/builder.hpp"
#include "netdb/signals/links.hpp"
#include "netdb/signals/text.hpp"

// Lines that stand still: references, biases, calibrations, the middle of a pair's termination.

namespace landfall::signals {
namespace {

bool is_pair_class(SignalClass c) {
  return c == SignalClass::kClock || c == SignalClass::kStrobe || c == SignalClass::kDifferential;
}

bool are_legs(const Builder& b, Index one, Index other) {
  if (one == other || b.supply(one) || b.supply(other)) return false;
  const NetSignal& a = b.out.nets[one];
  const NetSignal& z = b.out.nets[other];
  if (!b.open(one) && is_pair_class(a.signal_class) && a.signal_class == z.signal_class &&
      a.channel == z.channel && a.lane == z.lane && a.channel != kNone)
    return true;
  const Polar p = polarity_of(leaf_upper(b.board().nets[one].name));
  const Polar q = polarity_of(leaf_upper(b.board().nets[other].name));
  return p.polarity != 0 && q.polarity != 0 && p.polarity != q.polarity && p.stem == q.stem;
}

// The resistors that lead from a net on which nothing but passives and test points is; empty otherwise.
std::vector<Step> resistors_of(const Builder& b, Index net) {
  std::vector<Step> found;
  for (const Index pin : b.index.pins_of_net(net)) {
    const Index part = b.board().pins[pin].part;
    if (is_test_point(b.index, part)) continue;
    const Step step = across(b.index, pin);
    if (step.far_pin == kNone) {
      if (b.board().parts[part].fitted) return {};
      continue;
    }
    if (step.kind == SeriesKind::kBead) return {};
    if (step.kind == SeriesKind::kResistor) found.push_back(step);
  }
  return found;
}

// "VREFCA", "DDR2VREF", "REXT": but no "VREF_EN", which switches one.
Steady steady_by_words(std::string_view name) {
  Steady found = Steady::kNo;
  for (std::string w : words(name)) {
    while (!w.empty() && w.back() >= '0' && w.back() <= '9') w.pop_back();
    constexpr std::array<std::string_view, 6> kSwitches{"EN", "ENABLE", "OK", "PG", "SEL", "PGOOD"};
    if (std::find(kSwitches.begin(), kSwitches.end(), w) != kSwitches.end()) return Steady::kNo;
    constexpr std::array<std::string_view, 7> kBiases{"AREF", "REXT",  "RBIAS", "RSET",
                                                      "IREF", "IBIAS", "RREF"};
    const bool reference = w.starts_with("VREF") || w.ends_with("VREF") ||
                           std::find(kBiases.begin(), kBiases.end(), w) != kBiases.end();
    if (reference) found = Steady::kReference;
    if (w == "ZQ") found = Steady::kCalibration;
  }
  return found;
}

void take(Builder& b, Index n, Steady steady, std::string source) {
  NetSignal& signal = b.net(n);
  const bool silent = signal.signal_class == SignalClass::kUnknown;
  if (!silent && signal.signal_class != SignalClass::kAnalogue) return;
  signal.steady = steady;
  const std::string_view what =
      steady == Steady::kCalibration ? "a calibration resistor's line" : "a reference or bias line";
  const bool fresh = signal.why.empty();
  b.say(n, SignalClass::kAnalogue, fmt::format("{}: it stands still", what), std::move(source));
  if (silent && !fresh) signal.signal_class = SignalClass::kAnalogue;
}

}  // namespace

bool take_pair_middle(Builder& b, Index net) {
  if (net == kNone || b.supply(net) || !b.open(net)) return false;
  const std::vector<Step> steps = resistors_of(b, net);
  if (steps.size() != 2 ||
      !are_legs(b, b.board().pins[steps[0].far_pin].net, b.board().pins[steps[1].far_pin].net))
    return false;
  const auto end = [&](const Step& step) {
    const Pin& far = b.board().pins[step.far_pin];
    return fmt::format("{} to {}", b.board().parts[far.part].reference, b.board().nets[far.net].name);
  };
  b.say(net, SignalClass::kAnalogue, "the middle of a pair's termination: it stands still",
        fmt::format("{} and {}, and nothing but passives", end(steps[0]), end(steps[1])));
  b.net(net).steady = Steady::kTermination;
  return true;
}

void find_steady(Builder& b) {
  for (Index n = 0; n < b.board().nets.size(); ++n) {
    if (b.net(n).steady != Steady::kNo || b.supply(n)) continue;
    const Net& net = b.board().nets[n];
    if (!net.automatic && !b.general(n)) {
      if (const Steady steady = steady_by_words(leaf_upper(net.name)); steady != Steady::kNo) {
        take(b, n, steady, "the net's name " + net.name);
        continue;
      }
    }
    for (const Index pin : b.index.pins_of_net(n)) {
      const Pin& p = b.board().pins[pin];
      const std::string function = upper(plain_name(p.function));
      if (may_be_another(function) || is_general_pin(function, upper(p.number))) continue;
      const Steady steady = steady_by_words(function);
      if (steady == Steady::kNo) continue;
      take(b, n, steady, fmt::format("{} is {}", b.index.pin_text(pin), p.function));
      break;
    }
  }
}

}  // namespace landfall::signals
