#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/signals/builder.hpp"
#include "netdb/signals/links.hpp"
#include "netdb/signals/memory_role.hpp"
#include "netdb/signals/text.hpp"

// Power and ground first: everything else stops at them.

namespace landfall::signals {
namespace {

bool digit(char c) {
  return c >= '0' && c <= '9';
}

bool ground_name(std::string_view name) {
  for (const std::string_view w :
       {"GND", "VSS", "AGND", "DGND", "PGND", "SGND", "EARTH", "0V", "GROUND", "CHASSIS"}) {
    if (name == w) return true;
  }
  return name.starts_with("GND") || name.starts_with("VSS") || name.ends_with("_GND") ||
         name.ends_with("AGND") || name.ends_with("/GND");
}

// "3V3", "1.1V_CPUX", "P1V35", "5V0": a voltage stands in it.
bool has_voltage(std::string_view name) {
  for (std::size_t i = 0; i + 1 < name.size(); ++i) {
    if (!digit(name[i]) || name[i + 1] != 'V') continue;
    const bool starts =
        i == 0 || !((name[i - 1] >= 'A' && name[i - 1] <= 'Z') && name[i - 1] != 'P' && name[i - 1] != 'D');
    const std::size_t after = i + 2;
    const bool ends = after == name.size() || digit(name[after]) || name[after] == '_' ||
                      name[after] == 'A' || name[after] == 'D' || name[after] == '-';
    if (starts && ends) return true;
  }
  return false;
}

bool power_name(std::string_view name) {
  if (name.starts_with('+') && name.size() > 1) return true;
  for (const std::string_view w :
       {"VCC", "VDD", "VBAT", "VTT", "VPP", "AVDD", "DVDD", "AVCC", "VSYS", "VAA", "PVDD"}) {
    if (name.starts_with(w)) return true;
  }
  for (const std::string_view w :
       {"VBUS", "VIN", "VOUT", "IPS", "VAC", "VEE", "VPLL", "V_BAT", "VDC", "VCORE"}) {
    if (name == w || name.starts_with(std::string(w) + "_")) return true;
  }
  return has_voltage(name) || name.starts_with("PWR_") || name == "USB5V";
}

// How many capacitors join the net to ground, and how many pins of the net say they are supply pins.
struct Look {
  std::size_t capacitors = 0;
  std::size_t power_pins = 0, power_functions = 0, ground_functions = 0;
  std::size_t sources = 0;
  std::size_t active = 0;
  Index example = kNone;
};

Look look_at(const Builder& b, Index net, Index ground) {
  Look look;
  for (const Index pin : b.index.pins_of_net(net)) {
    const Pin& p = b.board().pins[pin];
    const Step step = across(b.index, pin);
    if (step.far_pin != kNone) {
      if (step.kind == SeriesKind::kCapacitor && b.board().pins[step.far_pin].net == ground)
        ++look.capacitors;
      continue;
    }
    ++look.active;
    if (p.type == PinType::kPowerIn) ++look.power_pins;
    if (p.type == PinType::kPowerOut) ++look.sources;
    const auto role = memory_role(p.function);
    const std::string function = upper(plain_name(p.function));
    if (is_general_pin(function, upper(p.number)))
      continue;  // "IO114VDB3" is bank B of the edge V, no supply
    if ((role && role->signal_class == SignalClass::kGround) || ground_name(function)) {
      ++look.ground_functions;
      look.example = pin;
    } else if ((role && role->signal_class == SignalClass::kPower) || power_name(function)) {
      ++look.power_functions;
      look.example = pin;
    }
  }
  return look;
}

Index largest_ground(const Builder& b) {
  Index best = kNone;
  std::size_t most = 0;
  for (Index n = 0; n < b.board().nets.size(); ++n) {
    const std::size_t pins = b.index.pins_of_net(n).size();
    if (pins <= most || !ground_name(leaf_upper(b.board().nets[n].name))) continue;
    most = pins;
    best = n;
  }
  return best;
}

}  // namespace

void find_supplies(Builder& b) {
  const Index earth = largest_ground(b);
  for (Index n = 0; n < b.board().nets.size(); ++n) {
    const Net& net = b.board().nets[n];
    const std::string name = leaf_upper(net.name);
    const bool reference = name.find("VREF") != std::string::npos || name.find("SENSE") != std::string::npos;
    const bool gate =
        name.ends_with("_EN") || name.ends_with("_PG") || name.ends_with("-DRV") || name.ends_with("DET");
    const bool named = !net.automatic && !b.general(n);
    if (named && ground_name(name)) {
      b.say(n, SignalClass::kGround, "ground", fmt::format("the net's name {}", net.name));
      continue;
    }
    if (named && power_name(name) && !reference && !gate) {
      b.say(n, SignalClass::kPower, "power", fmt::format("the net's name {}", net.name));
      continue;
    }
    if (reference) continue;
    const Look look = look_at(b, n, earth);
    const auto example = [&] {
      return look.example == kNone ? std::string()
                                   : fmt::format("{} is {}", b.index.pin_text(look.example),
                                                 b.board().pins[look.example].function);
    };
    if (look.ground_functions > 1 && look.ground_functions * 2 > look.active) {
      b.say(n, SignalClass::kGround, "ground", example());
    } else if (look.power_functions > 0 && look.power_functions * 2 > look.active) {
      b.say(n, SignalClass::kPower, "power", example());
    } else if (look.sources > 0 && look.power_pins > 0) {
      b.say(n, SignalClass::kPower, "power", "a supply's output and supply inputs are on it");
    } else if (look.capacitors >= 3) {
      b.say(n, SignalClass::kPower, "power", fmt::format("{} capacitors join it to ground", look.capacitors));
    }
  }
}

}  // namespace landfall::signals
