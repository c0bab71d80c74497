// The standard ball maps of memories, for files that do not name a memory's pins.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board_index.hpp"

namespace landfall::signals {

struct MemoryMap {
  std::string_view title;   // "96-ball DDR3 x16"
  std::string_view memory;  // "DDR3"
  std::string_view source;  // TRADE.md number
  std::map<std::string, std::string, std::less<>> function_by_ball;
};

// DDR3 x16 (TRADE T6), DDR4 x16 (T7), DDR4 x8 (T8), LPDDR4 of two channels (T10).
const std::vector<MemoryMap>& memory_maps();

// The map that a part's balls and supplies agree with: nearly all its sites are there and nothing but a few
// more, ground balls share one net, no supply ball is on it, data balls are each on a net of their own.
// Null when none does.
const MemoryMap* recognised_map(const BoardIndex& index, Index part);

}  // namespace landfall::signals
