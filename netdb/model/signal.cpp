#include "netdb/model/signal.hpp"

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

}  // namespace landfall
