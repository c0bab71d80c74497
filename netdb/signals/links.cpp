#include "netdb/signals/links.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string>

#include "netdb/signals/text.hpp"

namespace landfall::signals {
namespace {

constexpr std::size_t kRailParts = 8;

// By the reference's letters; a resistor array has more than two pins.
std::optional<SeriesKind> series_kind(const Part& part, std::size_t pins) {
  std::string letters = upper(part.reference);
  letters.resize(std::min(letters.size(), letters.find_first_of("0123456789_")));
  const auto is = [&](std::initializer_list<std::string_view> list) {
    return std::find(list.begin(), list.end(), letters) != list.end();
  };
  if (pins == 2) {
    if (is({"R", "RES", "JR"})) return SeriesKind::kResistor;
    if (is({"C", "CAP"})) return SeriesKind::kCapacitor;
    if (is({"FB", "L", "B", "BEAD", "FERRITE"})) return SeriesKind::kBead;
    return std::nullopt;
  }
  const bool even = pins >= 4 && pins <= 16 && pins % 2 == 0;
  if (even && is({"R", "RN", "RA", "RM", "RP", "RR", "RES"})) return SeriesKind::kResistor;
  return std::nullopt;
}

// "R1.1" and "R1.2": KiCad's names for the ends of one element of an array.
std::string other_end(const std::string& function) {
  if (function.size() < 3 || function[function.size() - 2] != '.') return {};
  std::string other = function;
  if (other.back() == '1') {
    other.back() = '2';
  } else if (other.back() == '2') {
    other.back() = '1';
  } else {
    return {};
  }
  return other;
}

}  // namespace

std::string_view word(SeriesKind kind) {
  switch (kind) {
    case SeriesKind::kResistor:
      return "resistor";
    case SeriesKind::kCapacitor:
      return "capacitor";
    case SeriesKind::kBead:
      return "bead or coil";
  }
  return "";
}

Step across(const BoardIndex& index, Index pin) {
  const Board& board = index.board();
  const Pin& near = board.pins[pin];
  const Part& part = board.parts[near.part];
  const auto pins = index.pins_of_part(near.part);
  if (!part.fitted || pins.size() < 2 || pins.size() > 16) return {};
  const auto kind = series_kind(part, pins.size());
  if (!kind) return {};
  if (pins.size() == 2) return {pin, pins[0] == pin ? pins[1] : pins[0], *kind};
  const std::string wanted = other_end(near.function);
  // Without such names: pin 1 lies opposite the last (common practice, no source).
  const auto number = parse_integer(near.number);
  const std::int64_t opposite = number ? static_cast<std::int64_t>(pins.size()) + 1 - *number : 0;
  for (const Index far : pins) {
    const Pin& p = board.pins[far];
    if (far == pin) continue;
    if (wanted.empty() ? p.number == std::to_string(opposite) : p.function == wanted)
      return {pin, far, *kind};
  }
  return {};
}

std::vector<Beyond> reach(const BoardIndex& index, const Signals& signals, Index net) {
  const Board& board = index.board();
  const auto stops = [&](Index n) {
    if (is_supply(signals.nets[n].signal_class)) return true;
    std::size_t series = 0;
    for (const Index pin : index.pins_of_net(n)) series += across(index, pin).far_pin != kNone ? 1U : 0U;
    return series > kRailParts;
  };
  std::vector<Beyond> found;
  if (net == kNone || stops(net)) return found;
  std::vector<Index> seen{net};
  for (std::size_t i = 0; i < seen.size() && seen.size() < 64; ++i) {
    for (const Index pin : index.pins_of_net(seen[i])) {
      const Step step = across(index, pin);
      if (step.far_pin == kNone) continue;
      const Index far = board.pins[step.far_pin].net;
      if (far == kNone || std::find(seen.begin(), seen.end(), far) != seen.end() || stops(far)) continue;
      seen.push_back(far);
      found.push_back({far, step});
    }
  }
  return found;
}

}  // namespace landfall::signals
