#include <array>
#include <map>

#include <fmt/format.h>

#include "netdb/signals/builder.hpp"
#include "netdb/signals/links.hpp"
#include "netdb/signals/text.hpp"

// Differential pairs and the links that they make: USB, PCIe, SATA, HDMI, DisplayPort, LVDS, MIPI, Ethernet.

namespace landfall::signals {
namespace {

struct Link {
  std::string_view word;  // in capitals, anywhere in the name
  std::string_view what;
  bool numbers_are_lanes = false;  // HTX0, HTX1, MDI2: the number tells pairs of one link apart
};

// Longer words first: "EDP" before "DP".
constexpr std::array<Link, 24> kLinks{{{"HDMI", "HDMI"},
                                       {"TMDS", "HDMI"},
                                       {"PCIE", "PCIe"},
                                       {"PCI_E", "PCIe"},
                                       {"PEX", "PCIe"},
                                       {"SATA", "SATA"},
                                       {"LVDS", "LVDS"},
                                       {"SGMII", "SGMII"},
                                       {"QSGMII", "SGMII"},
                                       {"USB3", "USB"},
                                       {"USB", "USB"},
                                       {"HSIC", "USB"},
                                       {"EDP", "DisplayPort"},
                                       {"MIPI", "MIPI"},
                                       {"DSI", "MIPI DSI"},
                                       {"CSI", "MIPI CSI"},
                                       {"MDI", "Ethernet", true},
                                       {"TRD", "Ethernet", true},
                                       {"ETH", "Ethernet"},
                                       {"SERDES", "serial link"},
                                       {"OTG", "USB"},
                                       {"DISPLAYPORT", "DisplayPort"},
                                       {"HTX", "HDMI", true},
                                       {"FPD", "serial link"}}};

bool digit(char c) {
  return c >= '0' && c <= '9';
}

// The name up to and with the link's word and the number right behind it, and a direction with its number
// where more follows ("HDMI_RX1" of HDMI_RX1_D0). Connectors of one kind stay apart so.
std::string link_key(const std::string& stem, const Link& link) {
  std::size_t end = stem.find(link.word) + link.word.size();
  if (link.numbers_are_lanes) return stem.substr(0, end);
  while (end < stem.size() && digit(stem[end])) ++end;
  std::size_t next = end;
  while (next < stem.size() && (stem[next] == '_' || stem[next] == '-')) ++next;
  for (const std::string_view way : {"RX", "TX", "IN", "OUT"}) {
    if (stem.compare(next, way.size(), way) != 0) continue;
    std::size_t after = next + way.size();
    const std::size_t digits = after;
    while (after < stem.size() && digit(stem[after])) ++after;
    // RX0, RX1 with nothing behind are lanes of one link, not links.
    if (after > digits && after + 1 < stem.size()) return stem.substr(0, after);
  }
  return stem.substr(0, end);
}

struct Pair {
  Index positive = kNone, negative = kNone;
};

const Link* link_of(const std::string& stem) {
  for (const Link& link : kLinks) {
    if (stem.find(link.word) != std::string::npos) return &link;
  }
  return nullptr;
}

}  // namespace

void find_pairs(Builder& b) {
  std::map<std::string, Pair> pairs;
  for (Index n = 0; n < b.board().nets.size(); ++n) {
    if (!b.open(n) || b.board().nets[n].automatic || b.by_ball(n)) continue;
    const Polar polar = polarity_of(leaf_upper(b.board().nets[n].name));
    if (polar.polarity == 'P') pairs[polar.stem].positive = n;
    if (polar.polarity == 'N') pairs[polar.stem].negative = n;
  }
  std::map<std::string, Index> channels;
  for (const auto& [stem, pair] : pairs) {
    if (pair.positive == kNone || pair.negative == kNone) continue;
    const Link* link = link_of(stem);
    Index channel = kNone;
    if (link != nullptr) {
      const std::string key = link_key(stem, *link);
      const auto [entry, fresh] = channels.try_emplace(key, kNone);
      if (fresh)
        entry->second = b.add_channel({key, std::string(link->what), InterfaceKind::kLink, false, {}});
      channel = entry->second;
    }
    const Index lane = b.add_lane("pair " + stem, channel);
    const Index bus = channel == kNone ? kNone : b.add_bus(b.out.channels[channel].name + " pairs", channel);
    for (const Index n : {pair.positive, pair.negative}) {
      const Index other = n == pair.positive ? pair.negative : pair.positive;
      b.say(n, SignalClass::kDifferential, "one leg of the pair " + stem,
            fmt::format("the nets' names {} and {}", b.board().nets[n].name, b.board().nets[other].name));
      b.net(n).lane = lane;
      b.net(n).channel = channel;
      b.net(n).bus = bus;
    }
  }
}

}  // namespace landfall::signals
