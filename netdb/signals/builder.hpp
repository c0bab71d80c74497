// The answer while it is being found: shared by the files of this folder.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/signal.hpp"

namespace landfall::signals {

class Builder {
 public:
  explicit Builder(const BoardIndex& board_index) : index(board_index) {
    out.nets.resize(board_index.board().nets.size());
  }

  const BoardIndex& index;
  Signals out;

  [[nodiscard]] const Board& board() const { return index.board(); }
  [[nodiscard]] NetSignal& net(Index n) { return out.nets[n]; }
  [[nodiscard]] bool supply(Index n) const { return n == kNone || is_supply(out.nets[n].signal_class); }
  // No rule has said a class yet.
  [[nodiscard]] bool open(Index n) const { return out.nets[n].why.empty(); }

  void say(Index n, SignalClass c, std::string says, std::string source);
  Index add_bus(std::string_view name, Index channel);
  Index add_lane(std::string name, Index channel);
  Index add_channel(Channel channel);  // its name is made unique

 private:
  std::string unique(std::string name, bool lane) const;
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
void apply_rules(Builder& b, const std::vector<NameRule>& rules);

}  // namespace landfall::signals
