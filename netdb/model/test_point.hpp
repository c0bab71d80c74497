// Which parts are test points.
#pragma once

#include "netdb/model/board_index.hpp"

namespace landfall {

// A single pin, named TP...: nothing lives there.
inline bool is_test_point(const BoardIndex& index, Index part) {
  return index.pins_of_part(part).size() == 1 && index.board().parts[part].reference.starts_with("TP");
}

}  // namespace landfall
