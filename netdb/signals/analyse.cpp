#include <algorithm>

#include <fmt/format.h>

#include "netdb/signals/builder.hpp"
#include "netdb/signals/signals.hpp"
#include "netdb/signals/text.hpp"

namespace landfall::signals {

void Builder::say(Index n, SignalClass c, std::string says, std::string source) {
  NetSignal& signal = out.nets[n];
  if (signal.why.empty()) signal.signal_class = c;
  signal.why.push_back({std::move(says), std::move(source)});
}

std::string Builder::unique(std::string name, bool lane) const {
  const auto taken = [&](const std::string& candidate) {
    if (lane) {
      return std::any_of(out.lanes.begin(), out.lanes.end(),
                         [&](const Lane& l) { return l.name == candidate; });
    }
    return std::any_of(out.channels.begin(), out.channels.end(),
                       [&](const Channel& c) { return c.name == candidate; });
  };
  if (!taken(name)) return name;
  for (int n = 2;; ++n) {
    std::string numbered = fmt::format("{} ({})", name, n);
    if (!taken(numbered)) return numbered;
  }
}

Index Builder::add_bus(std::string_view name, Index channel) {
  for (std::size_t i = 0; i < out.buses.size(); ++i) {
    if (out.buses[i].name == name && out.buses[i].channel == channel) return static_cast<Index>(i);
  }
  out.buses.push_back({std::string(name), channel});
  return static_cast<Index>(out.buses.size() - 1);
}

Index Builder::add_lane(std::string name, Index channel) {
  out.lanes.push_back({unique(std::move(name), true), channel});
  return static_cast<Index>(out.lanes.size() - 1);
}

Index Builder::add_channel(Channel channel) {
  channel.name = unique(std::move(channel.name), false);
  out.channels.push_back(std::move(channel));
  return static_cast<Index>(out.channels.size() - 1);
}

void apply_rules(Builder& b, const std::vector<NameRule>& rules) {
  const auto named = [](auto& list, const std::string& name) -> Index {
    for (std::size_t i = 0; i < list.size(); ++i) {
      if (list[i].name == name) return static_cast<Index>(i);
    }
    return kNone;
  };
  for (const NameRule& rule : rules) {
    const std::string pattern = upper(rule.pattern);
    Index channel = named(b.out.channels, rule.channel);
    if (channel == kNone && !rule.channel.empty()) {
      channel = b.add_channel({rule.channel, "as the user's rule says", InterfaceKind::kBus, false, {}});
    }
    Index lane = named(b.out.lanes, rule.lane);
    if (lane == kNone && !rule.lane.empty()) lane = b.add_lane(rule.lane, channel);
    Index bus = named(b.out.buses, rule.bus);
    if (bus == kNone && !rule.bus.empty()) bus = b.add_bus(rule.bus, channel);
    for (Index n = 0; n < b.board().nets.size(); ++n) {
      const std::string& name = b.board().nets[n].name;
      if (!matches(pattern, upper(plain_name(name))) && !matches(pattern, leaf_upper(name))) continue;
      NetSignal& signal = b.net(n);
      if (rule.signal_class) signal.signal_class = *rule.signal_class;
      if (bus != kNone) signal.bus = bus;
      if (lane != kNone) signal.lane = lane;
      if (channel != kNone) signal.channel = channel;
      signal.why.insert(signal.why.begin(),
                        {std::string(word(signal.signal_class)) + " by a rule of the user's",
                         fmt::format("rule {}: {}", rule.id, rule.pattern)});
    }
  }
}

Signals analyse(const BoardIndex& index, const std::vector<NameRule>& rules) {
  Builder b(index);
  find_supplies(b);
  find_memories(b);
  find_named_memories(b);
  find_pairs(b);
  find_interfaces(b);
  find_parallel_buses(b);
  find_rest(b);
  find_steady(b);
  apply_rules(b, rules);
  find_idle(b);
  return std::move(b.out);
}

std::string groups_text(const Signals& signals, Index net) {
  if (net == kNone) return {};
  const NetSignal& signal = signals.nets[net];
  if (signal.lane != kNone) return signals.lanes[signal.lane].name;
  if (signal.bus != kNone) return signals.buses[signal.bus].name;
  if (signal.channel != kNone) return signals.channels[signal.channel].name;
  return {};
}

}  // namespace landfall::signals
