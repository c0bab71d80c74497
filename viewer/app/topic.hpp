// What a sheet can be about, and what can be singled out on the map: a ball, a net, a part, a class, or one
// of the groups that nets form.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/package.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

enum class TopicKind { kBall, kNet, kPart, kClass, kBus, kLane, kChannel };
std::string_view word(TopicKind kind);

struct Topic {
  TopicKind kind = TopicKind::kBall;
  Index item = kNone;  // pin; net; part; place in SignalClass; bus, lane, channel of the board's Signals
  friend bool operator==(const Topic&, const Topic&) = default;
};

// False for an item that the board has not: topics outlive a revised board.
bool exists(const OpenBoard& board, Topic topic);

// "U1.Y3", "RAM1_D9", "RAM1 lane 1", "clock". The topic must exist.
std::string topic_name(const OpenBoard& board, Topic topic);

// By net of the board: whether it belongs to the topic. A ball's topic is its net; a part's are the nets of
// its pins, supplies left out. O(nets + pins of the part).
std::vector<bool> nets_of(const OpenBoard& board, Topic topic);

// By site of the package, in its order: whether the site belongs to the topic. O(sites + nets).
std::vector<bool> sites_of(const OpenBoard& board, const Package& package, Topic topic);

// A net's class; a site without a net is unconnected.
SignalClass class_of_net(const OpenBoard& board, Index net);

}  // namespace landfall::app
