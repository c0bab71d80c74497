#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/rework/physics/interfaces.hpp"
#include "netdb/signals/text.hpp"

// Which interface a net belongs to, by the words that netdb/signals writes and by names.

namespace landfall::rework::physics {
namespace {

using signals::upper;

bool has(std::string_view text, std::string_view word) {
  return text.find(word) != std::string_view::npos;
}

bool has_any(std::string_view text, std::initializer_list<std::string_view> words) {
  return std::any_of(words.begin(), words.end(), [&](std::string_view word) { return has(text, word); });
}

bool digit(char c) {
  return c >= '0' && c <= '9';
}

// "DDR3" in "DDR3_DQ5", "LPDDR4" before "DDR4"; nothing for a DDR0 that only numbers a controller.
std::string_view memory_word(std::string_view text) {
  struct Word {
    std::string_view word, id;
  };
  constexpr std::array<Word, 9> kWords{{{"LPDDR5", "lpddr5"},
                                        {"LPDDR4", "lpddr4"},
                                        {"LPDDR3", "lpddr3"},
                                        {"LPDDR2", "lpddr2"},
                                        {"DDR5", "ddr5"},
                                        {"DDR4", "ddr4"},
                                        {"DDR3", "ddr3"},
                                        {"DDR2", "ddr2"},
                                        {"SDRAM", "sdram"}}};
  for (const Word& w : kWords) {
    if (has(text, w.word)) return w.id;
  }
  return {};
}

struct Rule {
  std::string_view what;  // the channel's `what` begins so, in capitals
  std::string_view id;
};
constexpr std::array<Rule, 17> kRules{{{"PCIE", "pcie"},
                                       {"SATA", "sata"},
                                       {"HDMI", "hdmi"},
                                       {"DISPLAYPORT", "dp"},
                                       {"LVDS", "lvds"},
                                       {"MIPI", "mipi"},
                                       {"SGMII", "sgmii"},
                                       {"ETHERNET, PARALLEL", "rgmii"},
                                       {"ETHERNET MANAGEMENT", "slow"},
                                       {"ETHERNET", "ethernet"},
                                       {"SPI OF FOUR", "qspi"},
                                       {"SPI", "slow"},
                                       {"I2C", "slow"},
                                       {"UART", "slow"},
                                       {"JTAG", "slow"},
                                       {"LPC", "slow"},
                                       {"ESPI", "slow"}}};

std::string_view id_of(const Channel& channel, std::string_view names) {
  const std::string what = upper(channel.what);
  if (channel.kind == InterfaceKind::kMemory) {
    if (const auto by_what = memory_word(what); !by_what.empty()) return by_what;
    if (what.starts_with("DDR MEMORY")) return "ddr";
    return memory_word(names);
  }
  if (what.starts_with("USB"))
    return has_any(names, {"USB3", "SSTX", "SSRX", "SS_TX", "SS_RX", "USB_SS", "USBSS"}) ? "usb3" : "usb2";
  if (what.starts_with("EMMC OR SD")) return has(names, "MMC") || !has(names, "SD") ? "emmc" : "sd";
  if (what.starts_with("SGMII") && has(names, "QSGMII")) return "qsgmii";
  if (what.starts_with("PCIE") && has_any(names, {"CLK", "REFCK"})) return "refclk";
  if (what.starts_with("ETHERNET, PARALLEL") && has(names, "RMII")) return "rmii";
  for (const Rule& rule : kRules) {
    if (what.starts_with(rule.what)) return rule.id;
  }
  return {};
}

bool addresses(SignalClass c) {
  return c == SignalClass::kAddress || c == SignalClass::kCommand || c == SignalClass::kControl;
}

}  // namespace

InterfaceChoice default_interface(const Signals& signals, Index net, std::string_view net_name) {
  if (net >= signals.nets.size()) return {"", 0, LineUse::kUnknown, "the net is not known"};
  const NetSignal& signal = signals.nets[net];
  const SignalClass c = signal.signal_class;
  if (is_supply(c)) return {"", 0, LineUse::kSupply, "a supply"};
  if (signal.steady == Steady::kReference) return {"", 0, LineUse::kReference, "a reference or bias line"};
  if (signal.steady == Steady::kCalibration)
    return {"", 0, LineUse::kSteady, "a calibration resistor's line"};
  if (signal.steady == Steady::kTermination)
    return {"", 0, LineUse::kSteady, "the middle of a pair's termination"};
  if (c == SignalClass::kAnalogue) return {"", 0, LineUse::kUnknown, "an analogue line has no unit interval"};
  const std::string name = upper(net_name);
  if (c == SignalClass::kControl && has_any(name, {"RESET", "RST", "ALERT"}))
    return {"slow", 0, LineUse::kSlow, "a reset or alert line is slow"};
  if (signal.channel == kNone || signal.channel >= signals.channels.size()) {
    if (c == SignalClass::kControl)
      return {"slow", 0, LineUse::kSlow, "a control line that belongs to no clocked interface"};
    return {"", 0, LineUse::kUnknown, "which interface the line belongs to is not known"};
  }
  const Channel& channel = signals.channels[signal.channel];
  std::string names = upper(channel.name);
  names += ' ';
  names += name;
  const InterfaceInfo* info = find_interface(id_of(channel, names));
  if (info == nullptr)
    return {"", 0, LineUse::kUnknown,
            fmt::format("how fast {} ({}) runs is not known", channel.name, channel.what)};
  if (info->slow()) return {"slow", 0, LineUse::kSlow, fmt::format("{} is {}", channel.name, channel.what)};
  const bool address = channel.kind == InterfaceKind::kMemory && addresses(c);
  return {std::string(info->id), info->usual_mbps, address ? LineUse::kAddress : LineUse::kData,
          fmt::format("{} is {}; {} is the usual grade", channel.name, channel.what,
                      grade_name(*info, info->usual_mbps))};
}

std::optional<double> rail_volt(std::string_view net_name) {
  constexpr double kMost = 60;
  const std::string name = upper(net_name);
  for (std::size_t at = 0; at < name.size(); ++at) {
    if (!digit(name[at])) continue;
    std::size_t end = at;
    double volts = 0;
    const auto take = [&](double scale) {
      for (; end < name.size() && digit(name[end]); ++end) {
        if (scale >= 1)
          volts = volts * 10 + (name[end] - '0');
        else
          volts += (name[end] - '0') * scale;
        if (scale < 1) scale /= 10;
      }
    };
    take(1);
    bool stated = false;
    if (end < name.size() && name[end] == '.') {
      ++end;
      take(0.1);
      stated = end < name.size() && name[end] == 'V';
    } else if (end < name.size() && name[end] == 'V') {
      ++end;
      // A letter right behind the V is a word's (the 2VREF of DDR2VREF), not a unit.
      stated = end == name.size() || !(name[end] >= 'A' && name[end] <= 'Z');
      take(0.1);
    }
    if (stated && volts > 0 && volts <= kMost) return volts;
    at = end > at ? end - 1 : at;
  }
  return std::nullopt;
}

}  // namespace landfall::rework::physics
