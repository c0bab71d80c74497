// Whose names are whose: each list part's own, and the board's nets.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"

namespace landfall::join {

struct SpaceName {
  std::string name;
  Index net = kNone;
};

struct NameSpace {
  std::string reference;                   // empty: the board's nets
  std::map<std::string, SpaceName> names;  // by name_key
};

// The board's own nets first, if there are any beside the lists, then the list parts in the board's order.
std::vector<NameSpace> name_spaces(const BoardIndex& index);

}  // namespace landfall::join
