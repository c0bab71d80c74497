#include <algorithm>
#include <array>
#include <map>

#include <fmt/format.h>

#include "netdb/model/unnamed.hpp"
#include "netdb/signals/builder.hpp"
#include "netdb/signals/links.hpp"
#include "netdb/signals/text.hpp"

// What is left: parallel buses of any name, then single nets by their words, then what a series part leads
// to.

namespace landfall::signals {
namespace {

struct WordClass {
  std::string_view word;
  SignalClass signal_class;
};

constexpr std::array<WordClass, 44> kWords{{
    {"CLK", SignalClass::kClock},         {"CK", SignalClass::kClock},
    {"SCK", SignalClass::kClock},         {"XTAL", SignalClass::kClock},
    {"XIN", SignalClass::kClock},         {"XOUT", SignalClass::kClock},
    {"OSC", SignalClass::kClock},         {"CLOCK", SignalClass::kClock},
    {"MCLK", SignalClass::kClock},        {"BCLK", SignalClass::kClock},
    {"VREF", SignalClass::kAnalogue},     {"ADC", SignalClass::kAnalogue},
    {"KEYADC", SignalClass::kAnalogue},   {"MIC", SignalClass::kAnalogue},
    {"MICIN", SignalClass::kAnalogue},    {"LINEIN", SignalClass::kAnalogue},
    {"LINEINL", SignalClass::kAnalogue},  {"LINEINR", SignalClass::kAnalogue},
    {"LINEOUTL", SignalClass::kAnalogue}, {"LINEOUTR", SignalClass::kAnalogue},
    {"HPOUTL", SignalClass::kAnalogue},   {"HPOUTR", SignalClass::kAnalogue},
    {"SPKR", SignalClass::kAnalogue},     {"ANT", SignalClass::kAnalogue},
    {"RF", SignalClass::kAnalogue},       {"SENSE", SignalClass::kAnalogue},
    {"FB", SignalClass::kAnalogue},       {"RESET", SignalClass::kControl},
    {"RST", SignalClass::kControl},       {"NRST", SignalClass::kControl},
    {"EN", SignalClass::kControl},        {"ENABLE", SignalClass::kControl},
    {"INT", SignalClass::kControl},       {"IRQ", SignalClass::kControl},
    {"NMI", SignalClass::kControl},       {"WAKE", SignalClass::kControl},
    {"DET", SignalClass::kControl},       {"HPD", SignalClass::kControl},
    {"PG", SignalClass::kControl},        {"PGOOD", SignalClass::kControl},
    {"PWRON", SignalClass::kControl},     {"CS", SignalClass::kControl},
    {"BOOT", SignalClass::kControl},      {"DONE", SignalClass::kControl},
}};

SignalClass class_by_words(std::string_view name) {
  for (const std::string& w : words(name)) {
    for (const WordClass& known : kWords) {
      if (w == known.word) return known.signal_class;
    }
  }
  return SignalClass::kUnknown;
}

SignalClass bus_class(std::string_view stem) {
  for (const std::string_view w : {"ADDR", "ADR", "MA", "_A"}) {
    if (stem.ends_with(w)) return SignalClass::kAddress;
  }
  if (stem == "A") return SignalClass::kAddress;
  for (const std::string_view w : {"D", "DATA", "DQ", "AD", "DAT"}) {
    if (stem.ends_with(w)) return SignalClass::kData;
  }
  if (stem.find("LCD") != std::string_view::npos || stem.find("RGB") != std::string_view::npos)
    return SignalClass::kData;
  return SignalClass::kUnknown;
}

}  // namespace

void find_parallel_buses(Builder& b) {
  std::map<std::string, std::map<int, Index>> groups;
  for (Index n = 0; n < b.board().nets.size(); ++n) {
    if (!b.open(n) || b.board().nets[n].automatic || b.general(n)) continue;
    const Indexed indexed = index_of(leaf_upper(b.board().nets[n].name));
    if (indexed.index >= 0) groups[indexed.stem].emplace(indexed.index, n);
  }
  for (const auto& [stem, members] : groups) {
    std::size_t run = 0;
    std::size_t longest = 0;
    int last = -2;
    for (const auto& [number, net] : members) {
      run = number == last + 1 ? run + 1 : 1;
      longest = std::max(longest, run);
      last = number;
    }
    if (longest < 4) continue;
    std::string name = stem;
    while (!name.empty() && (name.back() == '_' || name.back() == '-')) name.pop_back();
    const Index bus = b.add_bus(name, kNone);
    const SignalClass c = bus_class(name);
    for (const auto& [number, net] : members) {
      b.net(net).bus = bus;
      // What a port of any name carries is not known; its words may still say.
      if (c != SignalClass::kUnknown) {
        b.say(net, c, fmt::format("{} {} of the bus {}", word(c), number, name),
              "numbered names with one stem");
      }
    }
  }
}

void find_rest(Builder& b) {
  const Board& board = b.board();
  for (Index n = 0; n < board.nets.size(); ++n) {
    if (!b.open(n)) continue;
    const Net& net = board.nets[n];
    const auto pins = b.index.pins_of_net(n);
    if (names_no_connection(net.name) ||
        (net.automatic && pins.size() < 2 && !stands_for_unnamed(net.name))) {
      b.say(n, SignalClass::kUnconnected, "unconnected",
            pins.size() < 2 ? "it is alone on its net" : "the net's name " + net.name);
      continue;
    }
    if (!net.automatic && !b.general(n)) {
      const SignalClass c = class_by_words(leaf_upper(net.name));
      if (c != SignalClass::kUnknown) {
        b.say(n, c, std::string(word(c)), "the net's name " + net.name);
        continue;
      }
    }
    for (const Index pin : pins) {
      const Pin& p = board.pins[pin];
      const std::string function = upper(plain_name(p.function));
      const SignalClass c = class_by_words(function);
      if (c == SignalClass::kUnknown || is_general_pin(function, upper(p.number)) ||
          (c == SignalClass::kAnalogue && may_be_another(function)))
        continue;
      b.say(n, c, std::string(word(c)), fmt::format("{} is {}", b.index.pin_text(pin), p.function));
      break;
    }
  }
  spread_beyond(b);
}

void spread_beyond(Builder& b) {
  const Board& board = b.board();
  for (Index n = 0; n < board.nets.size(); ++n) {
    if (!b.open(n)) continue;
    take_pair_middle(b, n);
    for (const Beyond& beyond : reach(b.index, b.out, n)) {
      const NetSignal far = b.net(beyond.net);
      if (far.channel == kNone || far.why.empty()) continue;
      if (b.net(n).steady == Steady::kTermination) {
        b.net(n).channel = far.channel;
        break;
      }
      const std::string& through = board.parts[board.pins[beyond.step.near_pin].part].reference;
      b.say(n, far.signal_class, far.why.front().says,
            fmt::format("beyond the series part {}: {}", through, board.nets[beyond.net].name));
      b.net(n).channel = far.channel;
      b.net(n).lane = far.lane;
      b.net(n).bus = far.bus;
      break;
    }
  }
}

}  // namespace landfall::signals
