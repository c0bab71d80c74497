#include "netdb/model/signal.hpp"

#include <algorithm>

namespace landfall {
namespace {

constexpr std::array<std::string_view, kSignalClasses> kWords{
    "power",   "ground",  "clock",        "strobe",   "data",        "mask",    "address",
    "command", "control", "differential", "analogue", "unconnected", "unknown",
};

}  // namespace

std::string_view word(SignalClass c) {
  return kWords[static_cast<std::size_t>(c)];
}

std::optional<SignalClass> signal_class(std::string_view text) {
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (kWords[i] == text) return static_cast<SignalClass>(i);
  }
  return std::nullopt;
}

const IdlePin* idle_pin(const Signals& signals, Index pin) {
  const auto found = std::lower_bound(signals.idle.begin(), signals.idle.end(), pin,
                                      [](const IdlePin& idle, Index p) { return idle.pin < p; });
  return found != signals.idle.end() && found->pin == pin ? &*found : nullptr;
}

}  // namespace landfall
