// Which names of one part may be which of another: proposals, each to be accepted by the user.
#pragma once

#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/name_alias.hpp"

namespace landfall::join {

struct NamePair {
  std::string name, to_name;
};

struct NameGroup {
  std::string part, pattern;        // "U1", "RAM0_DATA*"; an empty part is the board itself
  std::string to_part, to_pattern;  // "J1", "DQ*"
  std::string kind;                 // "data"
  std::vector<NamePair> pairs;
  std::size_t of = 0;  // so many names the wider side has
  double score = 0;    // 0 to 1: share of matched names, less where others fit as well; no probability
  std::string reason;  // "64 of 64 by index"
  std::vector<std::string> conflicts;  // what else fits one of the sides as well
};

// By stem and index, best first. Names that are one net already and supplies are left out; of several
// families that fit one, those with at least half of the best one's support are all given, with the conflict.
// Bits and lanes swapped on the board (TRADE T18) cannot be seen in names: a proposal is never a proof. Give
// the board as stored and the aliases. O(names^2) in families, not in pins.
std::vector<NameGroup> suggestions(const Board& board, const std::vector<NameAlias>& aliases);

}  // namespace landfall::join
