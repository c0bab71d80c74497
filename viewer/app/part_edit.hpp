// A part that is known by lists and by hand alone, changed on the board: its names with their nets, its
// sites.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/board.hpp"
#include "netdb/model/result.hpp"

namespace landfall::app {

// What a pin is to be called. `net` is the wire's name where a list gives one of its own; empty: the name.
struct PinWords {
  std::string name, net;
  PinType type = PinType::kUnknown;  // unknown: as it was, while the name is the same
};

// Names on one part of a board. Equal names of the part are one net, which is the part's alone; a pin of the
// type "not connected" has none. Neither the pins nor the lands may change meanwhile. O(1) a pin, nearly.
class PartNames {
 public:
  PartNames(Board& board, Index part);
  // The pin at this site, however it is written, or of this very number; kNone.
  [[nodiscard]] Index pin(std::string_view ball) const;
  // True when anything changed. Nets that nothing is left of stay: drop_empty_nets().
  bool name(Index pin, const PinWords& words);

 private:
  Index net_called(const std::string& name);

  Board& board_;
  std::string prefix_;  // before names that another part has
  std::map<Site, Index> sites_;
  std::unordered_map<std::string, Index> numbers_, nets_;
  std::set<std::string> taken_;
  std::unordered_map<Index, std::vector<Index>> lands_;
};

// Nets of no pin and no copper.
void drop_empty_nets(Board& board);

// Pins at these sites, which the part has not, each with a land where its lands say where the grid lies.
// kUsage where it has lands and they do not tell the pitch.
Status put_sites_on(Board& board, Index part, const std::set<Site>& sites);

}  // namespace landfall::app
