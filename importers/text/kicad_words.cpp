#include "importers/text/kicad_words.hpp"

#include <array>
#include <utility>

namespace landfall::importers {
namespace {

constexpr std::array<std::pair<std::string_view, PinType>, 20> kTypes{{
    {"input", PinType::kInput},
    {"output", PinType::kOutput},
    {"bidirectional", PinType::kBidirectional},
    {"BiDi", PinType::kBidirectional},
    {"tri_state", PinType::kTristate},
    {"3state", PinType::kTristate},
    {"passive", PinType::kPassive},
    {"free", PinType::kUnknown},
    {"unspecified", PinType::kUnknown},
    {"power_in", PinType::kPowerIn},
    {"power_out", PinType::kPowerOut},
    {"pwrIn", PinType::kPowerIn},
    {"pwrOut", PinType::kPowerOut},
    {"open_collector", PinType::kOpenDrain},
    {"open_emitter", PinType::kOpenDrain},
    {"openCol", PinType::kOpenDrain},
    {"openEm", PinType::kOpenDrain},
    {"no_connect", PinType::kNotConnected},
    {"NotConnected", PinType::kNotConnected},
    {"UnSpc", PinType::kUnknown},
}};

}  // namespace

PinType pin_type_named(std::string_view word) {
  if (word.ends_with("+no_connect")) return PinType::kNotConnected;
  for (const auto& [name, type] : kTypes) {
    if (name == word) return type;
  }
  return PinType::kUnknown;
}

bool is_automatic_net_name(std::string_view leaf) {
  if (leaf.starts_with("Net-(") || leaf.starts_with("unconnected-(")) return true;
  if (!leaf.starts_with("N-") || leaf.size() < 3) return false;
  return leaf.substr(2).find_first_not_of("0123456789") == std::string_view::npos;
}

}  // namespace landfall::importers
