// Parts that are known by a list alone (a processor's ball list, a slot's pin table) joined by signal name.
#pragma once

#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/name_alias.hpp"
#include "netdb/model/result.hpp"

namespace landfall::join {

// Parts of which nothing is known but a list: no copper, and every net of theirs (four pins or more) is
// theirs alone and bears the pins' own name. O(pins).
std::vector<Index> list_parts(const BoardIndex& index);

// Puts the one part of `list` onto the board under this reference; its nets stay its own ("J1/DQ5" where the
// name is taken). kUsage when the reference is empty or taken; kInput unless the list is of one part.
Status add_list_part(Board& board, const Board& list, const std::string& reference);

// The part whose pins a bare part's pins are: most of both have the same numbers. kNone when none fits or
// several do (`several` names them then).
struct Fit {
  Index part = kNone;
  std::size_t shared = 0;
  std::vector<std::string> several;
};
Fit fitting_part(const BoardIndex& index, const Board& list);

// Two names that were made one net.
struct NameJoin {
  std::string net;   // the joined net's name
  std::string says;  // "U1's RAM0_DATA5 is J1's DQ5"
  std::string from;  // "equal names", "you accepted: ..."
};

struct NameConflict {
  std::string name;  // as the first part writes it
  std::string says;  // who else has it, and why it was not joined
};

struct JoinedByName {
  Board board;
  std::vector<NameJoin> joins;
  std::vector<NameConflict> conflicts;
};

// Equal names (name_key) of two parts, one of them a list part, become one net; what the aliases say does
// too. Supplies only by an alias. A name that three or more have, or that both of two like parts have, is not
// joined but listed, since a second memory's DQ0 is another wire. The copper's nets keep their names. O(pins
// log pins).
JoinedByName joined_by_name(Board board, const std::vector<NameAlias>& aliases);

}  // namespace landfall::join
