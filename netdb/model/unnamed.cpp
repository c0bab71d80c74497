#include "netdb/model/unnamed.hpp"

#include <vector>

namespace landfall {

bool joins_parts(const Board& board, const std::function<bool(Index)>& skipped) {
  std::vector<Index> part_of(board.nets.size(), kNone);
  for (const Pin& pin : board.pins) {
    if (pin.net == kNone) continue;
    const bool other = part_of[pin.net] != kNone && part_of[pin.net] != pin.part;
    if (other && !(skipped && skipped(pin.net))) return true;
    part_of[pin.net] = pin.part;
  }
  return false;
}

}  // namespace landfall
