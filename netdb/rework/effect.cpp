#include "netdb/rework/effect.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>

namespace landfall::rework {
namespace {

// An open joint: it must be mended, or cannot be, or is left so.
bool is_lost(const SiteAnswer& site) {
  return site.need == Need::kRebuild || site.need == Need::kWire || site.need == Need::kCannot || site.spared;
}

// From good to bad.
int badness(State state) {
  switch (state) {
    case State::kUp:
      return 0;
    case State::kDegraded:
      return 1;
    case State::kUnknown:
      return 2;
    case State::kDown:
      return 3;
  }
  return 0;
}

void hit(GroupAnswer& group, State state, const std::string& because, Index pin) {
  group.lost.push_back(pin);
  const State next = badness(state) > badness(group.state) ? state : group.state;
  if (next != group.state || group.because.empty()) group.because = because;
  group.state = next;
}

class Effect {
 public:
  Effect(const BoardIndex& index, const Signals& signals, Assessment& answer)
      : index_(index), board_(index.board()), signals_(signals), answer_(answer) {}

  void run(const std::vector<Index>& lifted) {
    for (const SiteAnswer& site : answer_.sites) {
      if (is_lost(site)) lost_.insert(site.pin);
    }
    lost_.insert(answer_.cut_off.begin(), answer_.cut_off.end());
    for (const SiteAnswer& site : answer_.sites) add_site(site);
    std::set<Index> spared;
    std::set<Index> open;
    for (const NetMend& mend : answer_.mends) {
      spared.insert(mend.spared.begin(), mend.spared.end());
      open.insert(mend.open.begin(), mend.open.end());
    }
    for (const Index pin : answer_.cut_off) {
      if (spared.contains(pin)) continue;
      add_site({pin, MarkKind::kSound, Need::kWire,
                open.contains(pin) ? "measured open" : "cut off by the marks"});
    }
    settle_ecc();
    for (auto& [net, group] : nets_) answer_.nets.push_back(group);
    for (auto& [bus, group] : buses_) answer_.buses.push_back(group);
    list_lanes();
    list_channels(lifted);
  }

 private:
  static GroupAnswer& entry(std::map<Index, GroupAnswer>& groups, Index group) {
    GroupAnswer& answer = groups[group];
    answer.group = group;
    return answer;
  }

  void add_site(const SiteAnswer& site) {
    const Index net = board_.pins[site.pin].net;
    if (net == kNone) return;
    GroupAnswer& group = entry(nets_, net);
    const NetSignal& signal = signals_.nets[net];
    const std::string line = fmt::format("{} on {}", index_.pin_text(site.pin), board_.nets[net].name);
    if (!is_lost(site)) {
      if (group.because.empty()) group.because = "untouched: " + site.reason;
      return;
    }
    if (is_supply(signal.signal_class)) {
      // The other balls still feed it; whether enough is left nobody can say from here.
      hit(group, group_down(site.pin) ? State::kDown : State::kDegraded, line + ": " + site.reason, site.pin);
      return;
    }
    hit(group, State::kDown, line, site.pin);
    if (signal.bus != kNone) hit(entry(buses_, signal.bus), State::kDown, line, site.pin);
    const std::string what = fmt::format("{} {}", word(signal.signal_class), line);
    if (signal.lane != kNone) hit(entry(lanes_, signal.lane), State::kDown, what, site.pin);
    if (signal.channel != kNone) hit_channel(signal.channel, signal, what, site.pin);
    for (const Index also : signal.shared_with) hit_channel(also, signal, what, site.pin);
  }

  // Every ball of the net on this pin's part is lost. A part between the supply and ground (a capacitor)
  // feeds nothing: without it the supply is weaker, not down.
  bool group_down(Index pin) const {
    const Index net = board_.pins[pin].net;
    const Index part = board_.pins[pin].part;
    const auto own = index_.pins_of_part(part);
    const bool to_ground = own.size() == 2 && std::any_of(own.begin(), own.end(), [&](Index p) {
                             const Index at = board_.pins[p].net;
                             return at != kNone && signals_.nets[at].signal_class == SignalClass::kGround;
                           });
    if (to_ground) return false;
    return std::all_of(own.begin(), own.end(),
                       [&](Index p) { return board_.pins[p].net != net || lost_.contains(p); });
  }

  void hit_channel(Index channel, const NetSignal& signal, const std::string& what, Index pin) {
    const bool judged =
        signal.signal_class != SignalClass::kUnknown && signal.signal_class != SignalClass::kAnalogue;
    const bool lane_line = signal.lane != kNone;
    hit(entry(channels_, channel), judged || lane_line ? State::kDown : State::kUnknown, what, pin);
    if (signal.signal_class == SignalClass::kData) {
      ++data_lost_[channel];
    } else {
      other_lost_.insert(channel);
    }
  }

  // Error correction carries one bad bit a word, and then has nothing left (TRADE.md T14).
  void settle_ecc() {
    for (auto& [channel, group] : channels_) {
      if (!signals_.channels[channel].carries_ecc || data_lost_[channel] != 1 ||
          other_lost_.contains(channel))
        continue;
      group.state = State::kDegraded;
      group.because += "; error correction may carry this one bit, and has then nothing left";
    }
  }

  void list_lanes() {
    for (std::size_t lane = 0; lane < signals_.lanes.size(); ++lane) {
      const auto found = lanes_.find(static_cast<Index>(lane));
      if (found != lanes_.end()) {
        answer_.lanes.push_back(found->second);
      } else if (channels_.contains(signals_.lanes[lane].channel)) {
        answer_.lanes.push_back({static_cast<Index>(lane), State::kUp, "untouched", {}});
      }
    }
  }

  void list_channels(const std::vector<Index>& lifted) {
    std::set<Index> near;
    for (const Index part : lifted) {
      for (const Index pin : index_.pins_of_part(part)) {
        const Index net = board_.pins[pin].net;
        if (net == kNone) continue;
        if (signals_.nets[net].channel != kNone) near.insert(signals_.nets[net].channel);
        near.insert(signals_.nets[net].shared_with.begin(), signals_.nets[net].shared_with.end());
      }
    }
    for (const auto& [channel, group] : channels_) {
      near.erase(channel);
      answer_.channels.push_back(group);
    }
    for (const Index channel : near) answer_.channels.push_back({channel, State::kUp, "untouched", {}});
    const auto rank = [&](const GroupAnswer& group) {
      const Channel& channel = signals_.channels[group.group];
      return std::tuple(-badness(group.state), channel.kind == InterfaceKind::kMemory ? 0 : 1,
                        std::string_view(channel.name));
    };
    std::stable_sort(answer_.channels.begin(), answer_.channels.end(),
                     [&](const GroupAnswer& a, const GroupAnswer& b) { return rank(a) < rank(b); });
  }

  const BoardIndex& index_;
  const Board& board_;
  const Signals& signals_;
  Assessment& answer_;
  std::map<Index, GroupAnswer> nets_, buses_, lanes_, channels_;
  std::set<Index> lost_;  // pins, marked or cut off
  std::map<Index, std::size_t> data_lost_;
  std::set<Index> other_lost_;
};

}  // namespace

void add_effect(const BoardIndex& index, const Signals& signals, const std::vector<Index>& lifted,
                Assessment& answer) {
  Effect(index, signals, answer).run(lifted);
}

}  // namespace landfall::rework
