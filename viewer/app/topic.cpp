#include "viewer/app/topic.hpp"

#include <algorithm>

namespace landfall::app {

std::string_view word(TopicKind kind) {
  switch (kind) {
    case TopicKind::kBall:
      return "ball";
    case TopicKind::kNet:
      return "net";
    case TopicKind::kPart:
      return "part";
    case TopicKind::kClass:
      return "class";
    case TopicKind::kBus:
      return "bus";
    case TopicKind::kLane:
      return "lane";
    case TopicKind::kChannel:
      return "channel";
  }
  return "";
}

bool exists(const OpenBoard& board, Topic topic) {
  const Signals& signals = board.signals();
  switch (topic.kind) {
    case TopicKind::kBall:
      return topic.item < board.board().pins.size();
    case TopicKind::kNet:
      return topic.item < board.board().nets.size();
    case TopicKind::kPart:
      return topic.item < board.board().parts.size();
    case TopicKind::kClass:
      return topic.item < kSignalClasses;
    case TopicKind::kBus:
      return topic.item < signals.buses.size();
    case TopicKind::kLane:
      return topic.item < signals.lanes.size();
    case TopicKind::kChannel:
      return topic.item < signals.channels.size();
  }
  return false;
}

std::string topic_name(const OpenBoard& board, Topic topic) {
  const Signals& signals = board.signals();
  switch (topic.kind) {
    case TopicKind::kBall:
      return board.index().pin_text(topic.item);
    case TopicKind::kNet:
      return board.board().nets[topic.item].name;
    case TopicKind::kPart:
      return board.board().parts[topic.item].reference;
    case TopicKind::kClass:
      return std::string(landfall::word(static_cast<SignalClass>(topic.item)));
    case TopicKind::kBus:
      return signals.buses[topic.item].name;
    case TopicKind::kLane:
      return signals.lanes[topic.item].name;
    case TopicKind::kChannel:
      return signals.channels[topic.item].name;
  }
  return {};
}

SignalClass class_of_net(const OpenBoard& board, Index net) {
  return net == kNone ? SignalClass::kUnconnected : board.signals().nets[net].signal_class;
}

std::vector<bool> nets_of(const OpenBoard& board, Topic topic) {
  std::vector<bool> nets(board.board().nets.size(), false);
  if (!exists(board, topic)) return nets;
  const std::vector<NetSignal>& signals = board.signals().nets;
  const auto take = [&](auto belongs) {
    for (std::size_t net = 0; net < nets.size(); ++net) nets[net] = belongs(signals[net]);
  };
  switch (topic.kind) {
    case TopicKind::kBall:
      if (const Index net = board.board().pins[topic.item].net; net != kNone) nets[net] = true;
      break;
    case TopicKind::kNet:
      nets[topic.item] = true;
      break;
    case TopicKind::kPart:
      for (const Index pin : board.index().pins_of_part(topic.item)) {
        const Index net = board.board().pins[pin].net;
        if (net != kNone && !is_supply(signals[net].signal_class)) nets[net] = true;
      }
      break;
    case TopicKind::kClass:
      take([&](const NetSignal& s) { return s.signal_class == static_cast<SignalClass>(topic.item); });
      break;
    case TopicKind::kBus:
      take([&](const NetSignal& s) { return s.bus == topic.item; });
      break;
    case TopicKind::kLane:
      take([&](const NetSignal& s) { return s.lane == topic.item; });
      break;
    case TopicKind::kChannel:
      take([&](const NetSignal& s) {
        return s.channel == topic.item ||
               std::find(s.shared_with.begin(), s.shared_with.end(), topic.item) != s.shared_with.end();
      });
      break;
  }
  return nets;
}

std::vector<bool> sites_of(const OpenBoard& board, const Package& package, Topic topic) {
  const std::vector<bool> nets = nets_of(board, topic);
  const bool unconnected = topic == Topic{TopicKind::kClass, static_cast<Index>(SignalClass::kUnconnected)};
  std::vector<bool> sites(package.sites.size(), false);
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const Index net = board.board().pins[package.sites[i].pin].net;
    sites[i] = net == kNone ? unconnected : nets[net];
  }
  if (topic.kind != TopicKind::kPart || topic.item != package.part) return sites;
  sites.assign(sites.size(), true);
  return sites;
}

}  // namespace landfall::app
