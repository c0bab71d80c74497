#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "netdb/signals/builder.hpp"
#include "netdb/signals/memory_role.hpp"
#include "netdb/signals/text.hpp"

// A memory interface whose memories the files do not show (a slot without pin names, a ball list alone): by
// the nets' names, which share a stem before the memory's own words ("DDR0_" DQ5, DQS0_P, A3, CK).

namespace landfall::signals {
namespace {

struct Member {
  Index net = kNone;
  MemoryRole role;
};

bool plain_word(const MemoryRole& role) {
  return role.signal_class == SignalClass::kData || role.signal_class == SignalClass::kStrobe ||
         role.signal_class == SignalClass::kMask || role.signal_class == SignalClass::kAddress ||
         role.signal_class == SignalClass::kCommand || role.signal_class == SignalClass::kClock ||
         role.signal_class == SignalClass::kControl;
}

// The longest ending of the name that is a memory's word, and the stem before it.
bool take_role(const std::string& name, std::string& stem, MemoryRole& role) {
  for (std::size_t at = 0; at + 1 < name.size(); ++at) {
    const bool boundary = at == 0 || name[at - 1] == '_' || name[at - 1] == '-' || name[at - 1] == '.';
    const std::string_view ending = std::string_view(name).substr(at);
    // Inside a word only the unmistakable words count: "SDQ5", "SDQS0".
    if (!boundary && !ending.starts_with("DQ")) continue;
    const auto found = memory_role(ending);
    if (!found || !plain_word(*found)) continue;
    stem = name.substr(0, at);
    while (!stem.empty() && (stem.back() == '_' || stem.back() == '-' || stem.back() == '.')) stem.pop_back();
    if (found->half != 0) stem += std::string("_") + found->half;
    role = *found;
    return true;
  }
  return false;
}

bool is_interface(const std::vector<Member>& members) {
  std::set<int> data;
  std::set<int> address;
  bool strobe = false;
  for (const Member& member : members) {
    if (member.role.signal_class == SignalClass::kData) data.insert(member.role.index);
    if (member.role.signal_class == SignalClass::kAddress) address.insert(member.role.index);
    strobe = strobe || member.role.signal_class == SignalClass::kStrobe;
  }
  return data.size() >= 8 && address.size() >= 5 && strobe;
}

}  // namespace

void find_named_memories(Builder& b) {
  std::map<std::string, std::vector<Member>> by_stem;
  for (Index n = 0; n < b.board().nets.size(); ++n) {
    if (!b.open(n) || b.board().nets[n].automatic) continue;
    std::string stem;
    Member member{n, {}};
    if (take_role(leaf_upper(b.board().nets[n].name), stem, member.role)) by_stem[stem].push_back(member);
  }
  for (const auto& [stem, members] : by_stem) {
    if (!is_interface(members)) continue;
    const auto data = std::count_if(members.begin(), members.end(), [](const Member& m) {
      return m.role.signal_class == SignalClass::kData;
    });
    const Index channel = b.add_channel({stem.empty() ? "memory" : stem,
                                         fmt::format("memory by its nets' names, {} data lines", data),
                                         InterfaceKind::kMemory,
                                         data == 72 || data == 40,
                                         {}});
    const std::string name = b.out.channels[channel].name;
    std::map<int, Index> lanes;
    for (const Member& member : members) {
      if (member.role.byte < 0) continue;
      const auto [entry, fresh] = lanes.try_emplace(member.role.byte, kNone);
      if (fresh) entry->second = b.add_lane(fmt::format("{} lane {}", name, member.role.byte), channel);
    }
    for (const Member& member : members) {
      NetSignal& signal = b.net(member.net);
      b.say(member.net, member.role.signal_class, std::string(word(member.role.signal_class)) + " of " + name,
            "the net's name " + b.board().nets[member.net].name);
      signal.channel = channel;
      if (member.role.byte >= 0) signal.lane = lanes.at(member.role.byte);
      signal.bus =
          b.add_bus(name + (member.role.byte >= 0 ? " data" : " address, command and control"), channel);
    }
  }
}

}  // namespace landfall::signals
