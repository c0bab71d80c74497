// The answer while it is being found: shared by the files of this folder.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/signal.hpp"
#include "netdb/signals/general_pin.hpp"
#include "netdb/signals/memory_role.hpp"

namespace landfall::signals {

// A memory's pin that is on a net and no supply.
struct MemoryPinSeen {
  Index pin = kNone;
  Index channel = kNone;
  std::string kind;      // "DDR3"
  std::string function;  // "NC/A15"
  bool by_map = false;   // by a standard map, not by the file
  MemoryRole role;
};

class Builder {
 public:
  explicit Builder(const BoardIndex& board_index) : index(board_index) {
    const std::size_t nets = board_index.board().nets.size();
    out.nets.resize(nets);
    for (Index n = 0; n < nets; ++n) named_after_.push_back(named_after(board_index, n));
  }

  const BoardIndex& index;
  Signals out;
  std::vector<MemoryPinSeen> memory_pins;

  [[nodiscard]] const Board& board() const { return index.board(); }
  [[nodiscard]] NetSignal& net(Index n) { return out.nets[n]; }
  [[nodiscard]] bool supply(Index n) const { return n == kNone || is_supply(out.nets[n].signal_class); }
  // No rule has said a class yet.
  [[nodiscard]] bool open(Index n) const { return out.nets[n].why.empty(); }
  // Its name is that of a pin that any signal may use, and says nothing of what it carries.
  [[nodiscard]] bool general(Index n) const { return named_after_[n] != NamedAfter::kNoPin; }
  [[nodiscard]] bool by_ball(Index n) const { return named_after_[n] == NamedAfter::kBall; }

  void say(Index n, SignalClass c, std::string says, std::string source);
  Index add_bus(std::string_view name, Index channel);
  Index add_lane(std::string name, Index channel);
  Index add_channel(Channel channel);  // its name is made unique

 private:
  std::string unique(std::string name, bool lane) const;

  std::vector<NamedAfter> named_after_;  // by net
};

// The steps, in the order in which they run.
void find_supplies(Builder& b);
void find_memories(Builder& b);
void find_named_memories(Builder& b);
void find_pairs(Builder& b);
void find_interfaces(Builder& b);
void find_parallel_buses(Builder& b);
// A net still open takes the groups of what lies beyond its series parts.
void spread_beyond(Builder& b);
void find_rest(Builder& b);
// References, calibrations and terminations that no memory's pin has named.
void find_steady(Builder& b);
void apply_rules(Builder& b, const std::vector<NameRule>& rules);
// Address balls that their memories do not use; last, since a rule of the user's keeps its nets needed.
void find_idle(Builder& b);

// The middle of a pair's termination is said to be one: no rule has spoken yet, nothing but passives is on
// the net, and exactly two resistors lead from it, to the two legs of a pair, by their names or by what is
// known of them. False, and nothing said, of another net.
bool take_pair_middle(Builder& b, Index net);

}  // namespace landfall::signals
