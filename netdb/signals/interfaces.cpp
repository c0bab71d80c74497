#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>
#include <span>

#include <fmt/format.h>

#include "netdb/signals/builder.hpp"
#include "netdb/signals/text.hpp"

// Interfaces known by a set of words with one stem: RGMII, eMMC and SD, SPI, I2C, LPC and eSPI, JTAG, UART.
// First by the nets' names, then, for nets still open, by the pins' own words.

namespace landfall::signals {
namespace {

struct Member {
  std::string_view word;
  SignalClass signal_class;
  bool required = false;
};

struct Signature {
  std::string_view what;
  std::span<const Member> members;
};

constexpr auto kData = SignalClass::kData;
constexpr auto kClock = SignalClass::kClock;
constexpr auto kControl = SignalClass::kControl;
constexpr auto kCommand = SignalClass::kCommand;

constexpr std::array<Member, 22> kRgmii{
    {{"TXD0", kData, true}, {"TXD1", kData},    {"TXD2", kData},     {"TXD3", kData},
     {"RXD0", kData, true}, {"RXD1", kData},    {"RXD2", kData},     {"RXD3", kData},
     {"TXC", kClock},       {"TXCLK", kClock},  {"TX_CLK", kClock},  {"GTXCLK", kClock},
     {"RXC", kClock},       {"RXCLK", kClock},  {"RX_CLK", kClock},  {"TXCTL", kControl},
     {"TX_CTL", kControl},  {"TXEN", kControl}, {"RXCTL", kControl}, {"RX_CTL", kControl},
     {"RXDV", kControl},    {"CRSDV", kControl}}};
constexpr std::array<Member, 16> kCard{{{"CMD", kCommand, true},
                                        {"CLK", kClock, true},
                                        {"D0", kData, true},
                                        {"D1", kData},
                                        {"D2", kData},
                                        {"D3", kData},
                                        {"D4", kData},
                                        {"D5", kData},
                                        {"D6", kData},
                                        {"D7", kData},
                                        {"DS", SignalClass::kStrobe},
                                        {"RST", kControl},
                                        {"DET", kControl},
                                        {"CD", kControl},
                                        {"WP", kControl},
                                        {"CDET", kControl}}};
constexpr std::array<Member, 11> kCardDat{{{"CMD", kCommand, true},
                                           {"CLK", kClock, true},
                                           {"DAT0", kData, true},
                                           {"DAT1", kData},
                                           {"DAT2", kData},
                                           {"DAT3", kData},
                                           {"DAT4", kData},
                                           {"DAT5", kData},
                                           {"DAT6", kData},
                                           {"DAT7", kData},
                                           {"CD", kControl}}};
constexpr std::array<Member, 11> kSpi{{{"MISO", kData, true},
                                       {"MOSI", kData, true},
                                       {"SCK", kClock},
                                       {"SCLK", kClock},
                                       {"CLK", kClock},
                                       {"CS", kControl},
                                       {"CS0", kControl},
                                       {"SS", kControl},
                                       {"NSS", kControl},
                                       {"WP", kControl},
                                       {"HOLD", kControl}}};
constexpr std::array<Member, 8> kQspi{{{"IO0", kData, true},
                                       {"IO1", kData, true},
                                       {"IO2", kData},
                                       {"IO3", kData},
                                       {"CLK", kClock},
                                       {"SCK", kClock},
                                       {"CS", kControl},
                                       {"SS", kControl}}};
constexpr std::array<Member, 3> kI2c{{{"SDA", kData, true}, {"SCL", kClock, true}, {"ALERT", kControl}}};
constexpr std::array<Member, 2> kI2cSck{{{"SDA", kData, true}, {"SCK", kClock, true}}};
constexpr std::array<Member, 6> kJtag{{{"TCK", kClock, true},
                                       {"TMS", kControl, true},
                                       {"TDI", kData, true},
                                       {"TDO", kData},
                                       {"TRST", kControl},
                                       {"NTRST", kControl}}};
constexpr std::array<Member, 4> kUart{
    {{"TX", kData, true}, {"RX", kData, true}, {"CTS", kControl}, {"RTS", kControl}}};
constexpr std::array<Member, 4> kUartD{
    {{"TXD", kData, true}, {"RXD", kData, true}, {"CTS", kControl}, {"RTS", kControl}}};
constexpr std::array<Member, 8> kLpc{{{"LAD0", kData, true},
                                      {"LAD1", kData},
                                      {"LAD2", kData},
                                      {"LAD3", kData},
                                      {"LFRAME", kControl, true},
                                      {"LCLK", kClock},
                                      {"SERIRQ", kControl},
                                      {"LRESET", kControl}}};
constexpr std::array<Member, 9> kEspi{{{"ESPI_IO0", kData, true},
                                       {"ESPI_IO1", kData},
                                       {"ESPI_IO2", kData},
                                       {"ESPI_IO3", kData},
                                       {"ESPI_CLK", kClock, true},
                                       {"ESPI_CS", kControl},
                                       {"ESPI_CS0", kControl},
                                       {"ESPI_ALERT", kControl},
                                       {"ESPI_RESET", kControl}}};
constexpr std::array<Member, 2> kManagement{{{"MDC", kClock, true}, {"MDIO", kData, true}}};

constexpr std::array<Signature, 13> kSignatures{{{"eSPI", kEspi},
                                                 {"LPC", kLpc},
                                                 {"Ethernet, parallel", kRgmii},
                                                 {"eMMC or SD", kCard},
                                                 {"eMMC or SD", kCardDat},
                                                 {"JTAG", kJtag},
                                                 {"SPI", kSpi},
                                                 {"SPI of four data lines", kQspi},
                                                 {"I2C", kI2c},
                                                 {"I2C", kI2cSck},
                                                 {"Ethernet management", kManagement},
                                                 {"UART", kUartD},
                                                 {"UART", kUart}}};

struct Candidate {
  Index net = kNone;
  const Member* member = nullptr;
  std::string source;
};

// The stem before the member's word when the name ends in it at a word's border.
std::optional<std::string> stem_before(std::string_view name, std::string_view word) {
  while (name.ends_with('#')) name.remove_suffix(1);
  if (name.ends_with("_N") || name.ends_with("-N")) name.remove_suffix(2);
  if (!name.ends_with(word)) return std::nullopt;
  std::string_view stem = name.substr(0, name.size() - word.size());
  if (stem.empty()) return std::string();
  const char border = stem.back();
  const bool sign = border == '_' || border == '-' || border == '.' || border == '/' || border == ' ';
  const bool number = border >= '0' && border <= '9';
  if (!sign && !number) return std::nullopt;
  if (sign) stem.remove_suffix(1);
  return std::string(stem);
}

using Groups = std::map<std::string, std::vector<Candidate>>;

void take(Builder& b, const Signature& signature, const std::string& stem,
          const std::vector<Candidate>& candidates) {
  std::size_t required = 0;
  std::set<const Member*> present;
  std::set<Index> nets;
  for (const Candidate& candidate : candidates) {
    present.insert(candidate.member);
    nets.insert(candidate.net);
  }
  for (const Member& member : signature.members) {
    if (!member.required) continue;
    ++required;
    if (!present.contains(&member)) return;
  }
  if (nets.size() < std::max<std::size_t>(required, 2)) return;
  const std::string name = stem.empty() ? std::string(signature.what) : stem;
  const Index channel = b.add_channel({name, std::string(signature.what), InterfaceKind::kBus, false, {}});
  const Index bus = b.add_bus(b.out.channels[channel].name, channel);
  for (const Candidate& candidate : candidates) {
    if (!b.open(candidate.net)) continue;
    b.say(candidate.net, candidate.member->signal_class,
          fmt::format("{} of {} ({})", word(candidate.member->signal_class), b.out.channels[channel].name,
                      signature.what),
          candidate.source);
    b.net(candidate.net).channel = channel;
    b.net(candidate.net).bus = bus;
  }
}

void by_net_names(Builder& b, const Signature& signature) {
  Groups groups;
  for (Index n = 0; n < b.board().nets.size(); ++n) {
    if (!b.open(n) || b.board().nets[n].automatic) continue;
    const std::string name = leaf_upper(b.board().nets[n].name);
    for (const Member& member : signature.members) {
      const auto stem = stem_before(name, member.word);
      if (stem) groups[*stem].push_back({n, &member, "the net's name " + b.board().nets[n].name});
    }
  }
  for (const auto& [stem, candidates] : groups) take(b, signature, stem, candidates);
}

void by_pin_words(Builder& b, const Signature& signature) {
  Groups groups;
  for (Index pin = 0; pin < b.board().pins.size(); ++pin) {
    const Pin& p = b.board().pins[pin];
    if (p.net == kNone || p.function.empty() || !b.open(p.net) || b.index.pins_of_net(p.net).size() < 2)
      continue;
    const std::string function = upper(plain_name(p.function));
    for (const Member& member : signature.members) {
      const auto stem = stem_before(function, member.word);
      if (!stem) continue;
      const std::string key = b.board().parts[p.part].reference + (stem->empty() ? "" : " " + *stem);
      groups[key].push_back({p.net, &member, fmt::format("{} is {}", b.index.pin_text(pin), p.function)});
    }
  }
  for (const auto& [stem, candidates] : groups) {
    take(b, signature, fmt::format("{} {}", stem, signature.what), candidates);
  }
}

}  // namespace

void find_interfaces(Builder& b) {
  for (const Signature& signature : kSignatures) by_net_names(b, signature);
  spread_beyond(b);
  for (const Signature& signature : kSignatures) by_pin_words(b, signature);
}

}  // namespace landfall::signals
