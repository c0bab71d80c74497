#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "netdb/model/test_point.hpp"
#include "netdb/signals/builder.hpp"
#include "netdb/signals/links.hpp"
#include "netdb/signals/memory_size.hpp"
#include "netdb/signals/text.hpp"

// Address balls that a memory does not use. Boards wire A13 to A15 for the largest memory that fits the ball
// map; a smaller one has nothing there. Only what is known counts: the size that the memory's value states,
// or the memory's own pin as the file names it. A standard map's "NC/A15" says nothing of the one that is
// fitted.

namespace landfall::signals {
namespace {

class Finder {
 public:
  explicit Finder(Builder& b) : b_(b) {}

  void run() {
    std::map<Index, Index> nets;  // with their channel
    for (const MemoryPinSeen& seen : b_.memory_pins) {
      const Index net = b_.board().pins[seen.pin].net;
      if (by_user(net)) continue;
      if (auto idle = judge(seen)) {
        idle_.emplace(seen.pin, std::move(*idle));
        nets.emplace(net, seen.channel);
      } else {
        say_size_not_known(seen, net);
      }
    }
    for (const auto& [net, channel] : nets) spread(net, channel);
    for (auto& [pin, idle] : idle_) b_.out.idle.push_back(std::move(idle));
  }

 private:
  [[nodiscard]] bool by_user(Index net) const {
    const auto& why = b_.out.nets[net].why;
    return !why.empty() && why.front().source.starts_with("rule ");
  }

  [[nodiscard]] std::optional<IdlePin> judge(const MemoryPinSeen& seen) const {
    const std::string function = upper(plain_name(seen.function));
    const bool plain_spare = is_spare(function);
    const auto slash = function.find('/');
    const bool maybe_spare = slash != std::string::npos && is_spare(function.substr(0, slash));
    const std::string pin = b_.index.pin_text(seen.pin);
    const Part& part = b_.board().parts[b_.board().pins[seen.pin].part];
    // Lower ones are column addresses or commands as well.
    const bool address = seen.role.signal_class == SignalClass::kAddress && seen.role.index >= 13;
    if (const auto size = memory_size(part.value); size && address && seen.kind == "DDR3") {
      if (seen.role.index < size->rows) return std::nullopt;
      return IdlePin{seen.pin, true,
                     fmt::format("not needed by this memory: {} is NC there, since {} is {} by its value {}, "
                                 "with addresses A0 to A{}; check the marking on the chip",
                                 pin, part.reference, size->text, part.value, size->rows - 1)};
    }
    if (seen.by_map) return std::nullopt;
    if (plain_spare || (maybe_spare && b_.board().pins[seen.pin].type == PinType::kNotConnected))
      return IdlePin{seen.pin, true, fmt::format("not needed by this memory: its pin {} is NC there", pin)};
    if (!maybe_spare) return std::nullopt;
    return IdlePin{
        seen.pin, false,
        fmt::format("not needed by this memory if its pin is NC there: {} is {} by its symbol, and "
                    "the value {} states no size; look at the marking on the chip",
                    pin, seen.function, part.value.empty() ? "(none)" : part.value)};
  }

  // Such a ball counts as needed, which a smaller memory would spare.
  void say_size_not_known(const MemoryPinSeen& seen, Index net) {
    const Part& part = b_.board().parts[b_.board().pins[seen.pin].part];
    const int row = seen.role.index;
    if (seen.kind != "DDR3" || seen.role.signal_class != SignalClass::kAddress || row < 13 || row > 15 ||
        memory_size(part.value))
      return;
    const std::string how = fmt::format(
        "the size of {} is not known by its value {}: A{} is of use from {}M words on; where the marking "
        "on the chip says less, the fact spare of this ball says so",
        part.reference, part.value.empty() ? "(none)" : part.value, row, 1 << (row - 6));
    std::vector<Index> nets;
    std::vector<Index> pins;
    if (!gather(net, seen.channel, nets, pins)) nets = {net};
    for (const Index n : nets) {
      auto& why = b_.out.nets[n].why;
      const bool said =
          std::any_of(why.begin(), why.end(), [](const auto& one) { return one.says == kSizeNotKnown; });
      if (!said) why.push_back({std::string(kSizeNotKnown), how});
    }
  }

  // A termination that the other addresses have too: its far net leads by resistors to four more of them.
  [[nodiscard]] bool is_shared_termination(Index far, Index channel) const {
    std::set<Index> nets;
    for (const Index pin : b_.index.pins_of_net(far)) {
      const Step step = across(b_.index, pin);
      if (step.kind != SeriesKind::kResistor || step.far_pin == kNone) continue;
      const Index net = b_.board().pins[step.far_pin].net;
      if (net == kNone || b_.out.nets[net].channel != channel) continue;
      const SignalClass c = b_.out.nets[net].signal_class;
      if (c == SignalClass::kAddress || c == SignalClass::kCommand) nets.insert(net);
    }
    return nets.size() > 4;
  }

  // What is on a net and on the nets beyond its series resistors. Nothing when a resistor leads elsewhere
  // than to another line or to the rail that terminates the other addresses too: it may be a strap.
  [[nodiscard]] bool gather(Index net, Index channel, std::vector<Index>& nets,
                            std::vector<Index>& pins) const {
    nets = {net};
    for (std::size_t i = 0; i < nets.size() && nets.size() < 16; ++i) {
      if (by_user(nets[i])) return false;
      for (const Index pin : b_.index.pins_of_net(nets[i])) {
        const Index part = b_.board().pins[pin].part;
        if (is_test_point(b_.index, part) || !b_.board().parts[part].fitted) continue;
        const Step step = across(b_.index, pin);
        if (step.far_pin == kNone || step.kind != SeriesKind::kResistor) {
          pins.push_back(pin);
          continue;
        }
        const Index far = b_.board().pins[step.far_pin].net;
        if (far != kNone && is_shared_termination(far, channel)) continue;
        if (b_.supply(far)) return false;
        if (std::find(nets.begin(), nets.end(), far) == nets.end()) nets.push_back(far);
      }
    }
    return true;
  }

  // The whole net is idle where nothing but idle memory pins, resistors as the other addresses have them, and
  // one pin of the part that drives the memories is on it and beyond its series resistors.
  void spread(Index net, Index channel) {
    std::vector<Index> nets;
    std::vector<Index> pins;
    if (!gather(net, channel, nets, pins)) return;
    Index driver = kNone;
    const IdlePin* first = nullptr;
    bool sure = true;
    for (const Index pin : pins) {
      if (const auto idle = idle_.find(pin); idle != idle_.end()) {
        if (first == nullptr) first = &idle->second;
        sure = sure && idle->second.sure;
      } else if (driver == kNone && drives(b_.board().pins[pin].part, channel)) {
        driver = pin;
      } else {
        return;
      }
    }
    if (first == nullptr) return;
    const IdlePin copy = *first;
    for (const Index n : nets) {
      for (const Index pin : b_.index.pins_of_net(n)) idle_.try_emplace(pin, IdlePin{pin, sure, copy.why});
      b_.out.nets[n].why.push_back({sure ? "used by no memory" : "perhaps used by no memory", copy.why});
    }
  }

  [[nodiscard]] bool drives(Index part, Index channel) const {
    std::size_t found = 0;
    for (const Index pin : b_.index.pins_of_part(part)) {
      const Index net = b_.board().pins[pin].net;
      found += net != kNone && b_.out.nets[net].channel == channel ? 1U : 0U;
    }
    return found >= 8;
  }

  Builder& b_;
  std::map<Index, IdlePin> idle_;
};

}  // namespace

void find_idle(Builder& b) {
  Finder(b).run();
}

}  // namespace landfall::signals
