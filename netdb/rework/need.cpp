#include "netdb/rework/need.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <set>
#include <string>
#include <tuple>

#include <fmt/format.h>

#include "netdb/rework/sites.hpp"
#include "netdb/signals/memory_size.hpp"

namespace landfall::rework {
namespace {

// Functions whose joint carries nothing (TRADE.md T11, T22a: non-critical-to-function joints).
constexpr std::array<std::string_view, 8> kSpareFunctions{"NC",  "DNU",      "NU",   "NF",
                                                          "RFU", "RESERVED", "RSVD", "NCTF"};

bool spare_function(const Pin& pin) {
  if (pin.type == PinType::kNotConnected) return true;
  std::string name = plain_name(pin.function);
  for (char& c : name) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  while (!name.empty() && (std::isdigit(static_cast<unsigned char>(name.back())) != 0 || name.back() == '_'))
    name.pop_back();
  return std::find(kSpareFunctions.begin(), kSpareFunctions.end(), name) != kSpareFunctions.end();
}

// "VDD_CORE12" and "VDD_CORE3" are one supply.
std::string supply_function(const Pin& pin) {
  std::string name = plain_name(pin.function);
  if (const auto slash = name.find_first_of("[(<"); slash != std::string::npos) name.resize(slash);
  while (name.size() > 1 && name.back() == '_') name.pop_back();
  return name;
}

// The joint will not work as it is.
bool loses_joint(MarkKind kind) {
  return takes_copper(kind) || kind == MarkKind::kChip;
}

class Decider {
 public:
  Decider(const BoardIndex& index, const Signals& signals, const SupplyRule& rule,
          const std::set<Index>& lost, const std::set<Index>& spared, bool far_ends)
      : index_(index),
        board_(index.board()),
        signals_(signals),
        rule_(rule),
        lost_(lost),
        spared_(spared),
        far_ends_(far_ends) {}

  SiteAnswer decide(const Mark& mark, Index pin) {
    SiteAnswer answer{pin, mark.kind, Need::kNone, ""};
    const Pin& p = board_.pins[pin];
    if (mark.kind == MarkKind::kMask) {
      return with(answer, Need::kNone, "no copper is gone; beware of a solder bridge to a neighbour");
    }
    if (p.net == kNone) return with(answer, Need::kNone, "it is on no net");
    if (mark.spared) return spare(answer, p);
    if (names_no_connection(board_.nets[p.net].name) || spare_function(p)) {
      return with(answer, Need::kNone, "it is not connected, or reserved");
    }
    if (const IdlePin* idle = idle_pin(signals_, pin))
      return with(answer, idle->sure ? Need::kNone : Need::kOptional, idle->why);
    const auto pins = index_.pins_of_net(p.net);
    // Of a part known by a list alone the far ends are not known: a name that stands once is no lone net.
    if (pins.size() == 1 && far_ends_) return with(answer, Need::kNone, "it is alone on its net");
    const std::vector<Index> partners = live_partners(pin);
    if (far_ends_ && !partners.empty() &&
        std::all_of(partners.begin(), partners.end(), [&](Index one) { return spared_.contains(one); })) {
      answer.spared = loses_joint(mark.kind) || mark.kind == MarkKind::kLoose;
      return with(answer, Need::kNone, leads_to_spared(index_, partners));
    }
    const NetSignal& signal = signals_.nets[p.net];
    std::string lost_share;
    if (is_supply(signal.signal_class) && !strapped(p)) {
      const auto spare = supply_need(pin, signal.signal_class);
      if (spare.need != Need::kWire) return with(answer, spare.need, spare.reason);
      lost_share = spare.reason;
    } else if (far_ends_ && partners.empty()) {
      return with(answer, Need::kOptional, "nothing but test points and unfitted parts is on its net");
    }
    return needed(answer, mark.kind, pin, lost_share);
  }

 private:
  static SiteAnswer with(SiteAnswer answer, Need need, std::string reason) {
    answer.need = need;
    answer.reason = std::move(reason);
    return answer;
  }

  // What the site would need is of no matter: it stays as it is.
  [[nodiscard]] SiteAnswer spare(SiteAnswer answer, const Pin& pin) const {
    answer.spared = loses_joint(answer.mark) || answer.mark == MarkKind::kLoose;
    return with(answer, Need::kNone,
                fmt::format("the board can do without it, as you said: {} on {}",
                            word(signals_.nets[pin.net].signal_class), board_.nets[pin.net].name));
  }

  // A signal ball strapped to a supply is a signal: its own word says so.
  [[nodiscard]] static bool strapped(const Pin& pin) {
    return pin.type == PinType::kInput || pin.type == PinType::kOutput ||
           pin.type == PinType::kBidirectional || pin.type == PinType::kTristate ||
           pin.type == PinType::kOpenDrain;
  }

  SiteAnswer supply_need(Index pin, SignalClass c) {
    const Group& group = group_of(pin);
    const auto share =
        static_cast<double>(group.lost) / static_cast<double>(std::max<std::size_t>(group.balls, 1));
    const std::string count =
        fmt::format("{} of {} {} balls of {} lost", group.lost, group.balls, word(c), group.name);
    const bool large = group.balls >= static_cast<std::size_t>(rule_.spare_least_balls);
    if (large && share <= rule_.spare_share) return with({}, Need::kNone, "spare supply ball: " + count);
    if (large && share <= rule_.optional_share) return with({}, Need::kOptional, "supply: " + count);
    return with({}, Need::kWire, count);
  }

  struct Group {
    std::string name;
    std::size_t balls = 0, lost = 0;
  };

  // By the ball's own function at the chip where that is known, by its net where it is not.
  const Group& group_of(Index pin) {
    const Pin& p = board_.pins[pin];
    const std::string function = supply_function(p);
    const auto [known, fresh] = groups_.try_emplace({p.part, p.net, function});
    Group& group = known->second;
    if (!fresh) return group;
    group.name = function.empty() ? board_.nets[p.net].name : function;
    for (const Index other : index_.pins_of_part(p.part)) {
      const Pin& o = board_.pins[other];
      if (o.net != p.net || strapped(o) || supply_function(o) != function) continue;
      ++group.balls;
      group.lost += lost_.count(other);
    }
    return group;
  }

  [[nodiscard]] std::vector<Index> live_partners(Index pin) const {
    std::vector<Index> partners;
    for (const Index other : index_.pins_of_net(board_.pins[pin].net)) {
      if (other != pin && is_live(index_, other)) partners.push_back(other);
    }
    return partners;
  }

  SiteAnswer needed(SiteAnswer answer, MarkKind kind, Index pin, const std::string& lost_share) {
    const Pin& p = board_.pins[pin];
    const NetSignal& signal = signals_.nets[p.net];
    std::string what = fmt::format("{} on {}", word(signal.signal_class), board_.nets[p.net].name);
    if (!lost_share.empty()) what += ", " + lost_share;
    for (const auto& why : signal.why) {
      if (why.says == signals::kSizeNotKnown) what += "; " + why.source;
    }
    if (kind == MarkKind::kChip)
      return with(answer, Need::kCannot, "the package's own land is gone: " + what);
    if (kind == MarkKind::kLoose)
      return with(answer, Need::kRebuild, "the land must be bonded again: " + what);
    return with(answer, Need::kWire, "needed: " + what);
  }

  const BoardIndex& index_;
  const Board& board_;
  const Signals& signals_;
  const SupplyRule& rule_;
  const std::set<Index>& lost_;
  const std::set<Index>& spared_;
  bool far_ends_;
  std::map<std::tuple<Index, Index, std::string>, Group> groups_;  // counted once: part, net, function
};

}  // namespace

std::string leads_to_spared(const BoardIndex& index, const std::vector<Index>& partners) {
  return fmt::format("it leads to {} alone, which the board can do without, as you said",
                     names_of(index, partners));
}

std::vector<SiteAnswer> needs(const BoardIndex& index, const Signals& signals, const std::vector<Mark>& marks,
                              const std::vector<Index>& pins, const std::set<Index>& spared,
                              const SupplyRule& rule, bool far_ends) {
  std::set<Index> lost;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (pins[i] != kNone && loses_joint(marks[i].kind)) lost.insert(pins[i]);
  }
  Decider decider(index, signals, rule, lost, spared, far_ends);
  std::vector<SiteAnswer> answers;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (pins[i] != kNone && marks[i].kind != MarkKind::kSound)
      answers.push_back(decider.decide(marks[i], pins[i]));
  }
  return answers;
}

}  // namespace landfall::rework
