// The flow through the room between the balls, from the wires' sites to the outside. Shared by the files of
// this folder; Boost.Graph stays behind it.
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <vector>

#include "netdb/rework/escape/room.hpp"

namespace landfall::rework {

struct FlowOrder {
  std::vector<GridPlace> from;            // one a wire
  std::vector<long> amount;               // what each sends: 1, or its width
  std::function<long(int, int)> between;  // capacity of a gap, by the cells' numbers
  std::function<long(Cell)> inside;       // of a cell
};

class EscapeFlow {
 public:
  EscapeFlow(const Room& room, const FlowOrder& order);
  ~EscapeFlow();
  EscapeFlow(const EscapeFlow&) = delete;
  EscapeFlow& operator=(const EscapeFlow&) = delete;
  EscapeFlow(EscapeFlow&&) = delete;
  EscapeFlow& operator=(EscapeFlow&&) = delete;

  // Greatest flow of least cost; then the way of each wire, empty for one that found none. Amounts of 1.
  std::vector<std::vector<Cell>> cheapest();
  // The greatest flow's value.
  long greatest();
  // After either, when not all got out: the gaps of a minimum cut, and what they let through.
  void name_cut(std::vector<std::pair<Cell, Cell>>& gaps, int& through) const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace landfall::rework
