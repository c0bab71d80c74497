#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "netdb/signals/builder.hpp"
#include "netdb/signals/links.hpp"
#include "netdb/signals/memory_maps.hpp"
#include "netdb/signals/memory_role.hpp"
#include "netdb/signals/text.hpp"

// Memories and their channels: by the memories' own pins and by copper, never by equal numbers at both ends
// (TRADE.md T18). Memories that share address and command nets are one channel.

namespace landfall::signals {
namespace {

struct MemoryPin {
  Index pin = kNone;
  MemoryRole role;
  std::string source;
  std::string function;
  bool by_map = false;  // the function is a standard map's, not the file's
};

struct Memory {
  Index part = kNone;
  char half = 0;
  std::string kind;
  std::vector<MemoryPin> pins;
};

bool carries_signal(SignalClass c) {
  return !is_supply(c) && c != SignalClass::kUnconnected;
}

std::string kind_by_functions(const std::vector<MemoryPin>& pins, const Board& board) {
  bool group = false;
  bool inversion = false;
  bool strobe = false;
  bool reset = false;
  for (const MemoryPin& pin : pins) {
    const std::string f = upper(plain_name(board.pins[pin.pin].function));
    group = group || f.starts_with("BG");
    inversion = inversion || f.starts_with("DMI") || f.starts_with("CA");
    strobe = strobe || pin.role.signal_class == SignalClass::kStrobe;
    reset = reset || f.find("RESET") != std::string::npos;
  }
  if (inversion && std::any_of(pins.begin(), pins.end(), [](const auto& p) { return p.role.half != 0; }))
    return "LPDDR4";
  if (group) return "DDR4";
  if (!strobe) return "SDRAM";
  return reset ? "DDR3" : "DDR";
}

std::optional<Memory> read_memory(const Builder& b, Index part) {
  const auto pins = b.index.pins_of_part(part);
  if (pins.size() < 40) return std::nullopt;
  Memory memory;
  memory.part = part;
  std::size_t named = 0;
  std::map<SignalClass, std::size_t> count;
  for (const Index pin : pins) {
    const std::string& function = b.board().pins[pin].function;
    if (function.empty() || function == b.board().pins[pin].number) continue;
    ++named;
    const auto role = memory_role(function);
    if (!role) continue;
    ++count[role->signal_class];
    memory.pins.push_back(
        {pin, *role, fmt::format("{} is {}", b.index.pin_text(pin), function), function, false});
  }
  const bool by_functions = named * 2 > pins.size() && memory.pins.size() * 10 >= named * 6 &&
                            count[SignalClass::kData] >= 8 && count[SignalClass::kAddress] >= 6 &&
                            count[SignalClass::kClock] >= 1;
  if (by_functions) {
    memory.kind = kind_by_functions(memory.pins, b.board());
    return memory;
  }
  const MemoryMap* map = recognised_map(b.index, part);
  if (map == nullptr) return std::nullopt;
  memory.pins.clear();
  memory.kind = map->memory;
  for (const Index pin : pins) {
    const auto found = map->function_by_ball.find(b.board().pins[pin].number);
    if (found == map->function_by_ball.end()) continue;
    if (const auto role = memory_role(found->second)) {
      memory.pins.push_back({pin, *role,
                             fmt::format("{} is {} by the standard {} map ({})", b.index.pin_text(pin),
                                         found->second, map->title, map->source),
                             found->second, true});
    }
  }
  return memory;
}

// At least half of its data lines lead somewhere.
bool is_wired(const Builder& b, const Memory& memory) {
  std::size_t data = 0;
  std::size_t live = 0;
  for (const MemoryPin& pin : memory.pins) {
    if (pin.role.signal_class != SignalClass::kData) continue;
    ++data;
    const Index net = b.board().pins[pin.pin].net;
    if (!b.supply(net) && b.index.pins_of_net(net).size() > 1) ++live;
  }
  return data > 0 && live * 2 >= data;
}

std::vector<Memory> halves_of(const Memory& memory) {
  std::set<char> halves;
  for (const MemoryPin& pin : memory.pins) {
    if (pin.role.signal_class == SignalClass::kData) halves.insert(pin.role.half);
  }
  if (halves.size() < 2) return {memory};
  std::vector<Memory> result;
  for (const char half : halves) {
    Memory own{memory.part, half, memory.kind, {}};
    for (const MemoryPin& pin : memory.pins) {
      if (pin.role.half == half || pin.role.half == 0) own.pins.push_back(pin);
    }
    result.push_back(std::move(own));
  }
  return result;
}

// The nets by which memories of a channel are told to belong together, those beyond series resistors
// included.
std::set<Index> shared_nets(const Builder& b, const Memory& memory) {
  std::set<Index> nets;
  for (const MemoryPin& pin : memory.pins) {
    if (pin.role.signal_class != SignalClass::kAddress && pin.role.signal_class != SignalClass::kCommand)
      continue;
    const Index net = b.board().pins[pin.pin].net;
    if (b.supply(net)) continue;
    nets.insert(net);
    for (const Beyond& beyond : reach(b.index, b.out, net)) {
      if (beyond.step.kind == SeriesKind::kResistor) nets.insert(beyond.net);
    }
  }
  return nets;
}

bool belong_together(const std::set<Index>& a, const std::set<Index>& b) {
  const auto common =
      static_cast<std::size_t>(std::count_if(a.begin(), a.end(), [&](Index n) { return b.contains(n); }));
  return common > 0 && common * 2 >= std::min(a.size(), b.size());
}

std::string channel_name(const Builder& b, const std::vector<Memory>& memories) {
  std::vector<std::string> names;
  for (const Memory& memory : memories) {
    for (const MemoryPin& pin : memory.pins) {
      const Index net = b.board().pins[pin.pin].net;
      if (pin.role.signal_class != SignalClass::kData || net == kNone || b.board().nets[net].automatic)
        continue;
      names.push_back(leaf_upper(b.board().nets[net].name));
    }
  }
  std::string name = common_prefix(names);
  const auto trim = [&] {
    while (!name.empty() && std::string_view("_-./ [<(").find(name.back()) != std::string_view::npos)
      name.pop_back();
  };
  trim();
  for (const std::string_view data : {"DATA", "DQ", "D"}) {
    if (!name.ends_with(data)) continue;
    name.resize(name.size() - data.size());
    break;
  }
  if (const auto inner = name.find("_DATA_"); inner != std::string::npos) name.erase(inner, 5);
  trim();
  return name.size() < 2 ? "memory" : name;
}

std::string bus_word(SignalClass c) {
  switch (c) {
    case SignalClass::kData:
    case SignalClass::kMask:
    case SignalClass::kStrobe:
      return "data";
    case SignalClass::kAddress:
    case SignalClass::kCommand:
      return "address and command";
    default:
      return "clock and control";
  }
}

class ChannelBuilder {
 public:
  ChannelBuilder(Builder& b, std::vector<Memory> memories) : b_(b), memories_(std::move(memories)) {}

  void build() {
    std::set<Index> data;
    Channel channel{channel_name(b_, memories_), "", InterfaceKind::kMemory, false, {}};
    for (const Memory& memory : memories_) {
      channel.parts.push_back(memory.part);
      for (const MemoryPin& pin : memory.pins) {
        if (pin.role.signal_class == SignalClass::kData && !b_.supply(net_of(pin))) data.insert(net_of(pin));
      }
    }
    channel.what = fmt::format("{} memory, {} data lines", memories_.front().kind, data.size());
    // Eight check bits beside 32 or 64 data lines.
    channel.carries_ecc = data.size() == 72 || data.size() == 40;
    channel_ = b_.add_channel(std::move(channel));
    find_lanes();
    for (const Memory& memory : memories_) {
      for (const MemoryPin& pin : memory.pins) assign(memory, pin);
    }
  }

  // What lies beyond series parts, once every memory has spoken for its own nets: a clock's other leg, met
  // through the resistors between the two, is its own memory pin's first.
  void build_beyond() {
    for (const Memory& memory : memories_) {
      for (const MemoryPin& pin : memory.pins) assign_beyond(memory, pin);
    }
  }

 private:
  [[nodiscard]] Index net_of(const MemoryPin& pin) const { return b_.board().pins[pin.pin].net; }

  struct LaneDraft {
    std::set<Index> nets;  // data lines only
    std::set<std::pair<std::size_t, int>> sources;
    int number = -1;
  };

  void find_lanes() {
    std::vector<LaneDraft> drafts;
    for (std::size_t m = 0; m < memories_.size(); ++m) {
      std::map<int, std::set<Index>> by_byte;
      for (const MemoryPin& pin : memories_[m].pins) {
        if (pin.role.signal_class == SignalClass::kData && !b_.supply(net_of(pin)))
          by_byte[pin.role.byte].insert(net_of(pin));
      }
      for (auto& [byte, nets] : by_byte) {
        // A second rank sits on the same nets: it is the same lane.
        const auto same = std::find_if(drafts.begin(), drafts.end(), [set = &nets](const LaneDraft& draft) {
          return std::any_of(set->begin(), set->end(), [&](Index n) { return draft.nets.contains(n); });
        });
        LaneDraft& draft = same == drafts.end() ? drafts.emplace_back() : *same;
        draft.nets.insert(nets.begin(), nets.end());
        draft.sources.insert({m, byte});
      }
    }
    number(drafts);
    std::stable_sort(drafts.begin(), drafts.end(),
                     [](const auto& a, const auto& c) { return a.number < c.number; });
    for (const LaneDraft& draft : drafts) {
      const Index lane =
          b_.add_lane(fmt::format("{} lane {}", b_.out.channels[channel_].name, draft.number), channel_);
      for (const auto& source : draft.sources) lane_of_[source] = lane;
    }
  }

  // By the board's own numbers where each lane's nets agree on one (D8..D15: lane 1), else as they come.
  void number(std::vector<LaneDraft>& drafts) {
    std::set<int> taken;
    bool good = true;
    for (LaneDraft& draft : drafts) {
      for (const Index n : draft.nets) {
        const int index = index_of(leaf_upper(b_.board().nets[n].name)).index;
        const int byte = index < 0 ? -1 : index / 8;
        if (draft.number == -1) draft.number = byte;
        good = good && byte >= 0 && byte == draft.number;
      }
      good = good && taken.insert(draft.number).second;
    }
    if (good) return;
    for (std::size_t i = 0; i < drafts.size(); ++i) drafts[i].number = static_cast<int>(i);
  }

  // None for a pin of no byte group.
  [[nodiscard]] Index lane_of(const Memory& memory, const MemoryPin& pin) const {
    if (pin.role.byte < 0) return kNone;
    const auto m = static_cast<std::size_t>(&memory - memories_.data());
    const auto lane = lane_of_.find({m, pin.role.byte});
    return lane == lane_of_.end() ? kNone : lane->second;
  }

  void assign(const Memory& memory, const MemoryPin& pin) {
    const Index net = net_of(pin);
    if (net != kNone && !b_.supply(net) && !is_supply(pin.role.signal_class))
      b_.memory_pins.push_back({pin.pin, channel_, memory.kind, pin.function, pin.by_map, pin.role});
    if (net == kNone || b_.supply(net) || !carries_signal(pin.role.signal_class)) return;
    set(net, pin.role.signal_class, lane_of(memory, pin), pin.source);
    if (b_.net(net).steady == Steady::kNo) b_.net(net).steady = pin.role.steady;
  }

  void assign_beyond(const Memory& memory, const MemoryPin& pin) {
    const Index net = net_of(pin);
    if (net == kNone || b_.supply(net) || !carries_signal(pin.role.signal_class)) return;
    const Index lane = lane_of(memory, pin);
    for (const Beyond& beyond : reach(b_.index, b_.out, net)) {
      if (beyond.step.kind == SeriesKind::kBead) continue;
      const std::string through = b_.board().parts[b_.board().pins[beyond.step.near_pin].part].reference;
      if (take_pair_middle(b_, beyond.net)) {
        if (b_.net(beyond.net).channel == kNone) b_.net(beyond.net).channel = channel_;
      } else if (b_.open(beyond.net)) {
        set(beyond.net, pin.role.signal_class, lane,
            fmt::format("beyond the series part {}: {}", through, pin.source));
      }
    }
  }

  void set(Index net, SignalClass c, Index lane, const std::string& source) {
    NetSignal& signal = b_.net(net);
    const std::string& channel = b_.out.channels[channel_].name;
    std::string says = std::string(word(c)) + " of " + (lane == kNone ? channel : b_.out.lanes[lane].name);
    if (signal.channel != kNone && signal.channel != channel_) {
      if (std::find(signal.shared_with.begin(), signal.shared_with.end(), channel_) ==
          signal.shared_with.end()) {
        signal.shared_with.push_back(channel_);
      }
      b_.say(net, c, std::move(says), source);
      return;
    }
    b_.say(net, c, std::move(says), source);
    signal.channel = channel_;
    if (signal.lane == kNone) signal.lane = lane;
    if (signal.bus == kNone) signal.bus = b_.add_bus(channel + " " + bus_word(signal.signal_class), channel_);
  }

  Builder& b_;
  std::vector<Memory> memories_;
  Index channel_ = kNone;
  std::map<std::pair<std::size_t, int>, Index> lane_of_;
};

}  // namespace

void find_memories(Builder& b) {
  std::vector<Memory> memories;
  for (Index part = 0; part < b.board().parts.size(); ++part) {
    const auto memory = read_memory(b, part);
    if (!memory) continue;
    for (Memory& half : halves_of(*memory)) {
      if (is_wired(b, half)) memories.push_back(std::move(half));
    }
  }
  std::vector<std::set<Index>> nets;
  nets.reserve(memories.size());
  for (const Memory& memory : memories) nets.push_back(shared_nets(b, memory));
  std::vector<std::vector<Memory>> channels;
  std::vector<bool> taken(memories.size(), false);
  for (std::size_t i = 0; i < memories.size(); ++i) {
    if (taken[i]) continue;
    std::vector<Memory> channel{memories[i]};
    std::set<Index> common = nets[i];
    for (std::size_t j = i + 1; j < memories.size(); ++j) {
      if (taken[j] || !belong_together(common, nets[j])) continue;
      taken[j] = true;
      common.insert(nets[j].begin(), nets[j].end());
      channel.push_back(memories[j]);
    }
    channels.push_back(std::move(channel));
  }
  std::vector<ChannelBuilder> builders;
  builders.reserve(channels.size());
  for (auto& channel : channels) builders.emplace_back(b, std::move(channel));
  for (ChannelBuilder& builder : builders) builder.build();
  for (ChannelBuilder& builder : builders) builder.build_beyond();
}

}  // namespace landfall::signals
