// Find over boards that are not open: what a name stands for on each board of the bench, without reading
// copper.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/signal.hpp"
#include "netdb/store/bench.hpp"
#include "viewer/app/find.hpp"

namespace landfall::app {

struct FoundThing {
  HitKind kind = HitKind::kNet;
  std::string name;     // as the file wrote it
  std::string where;    // "U1.A3" of a ball or function, the part of a value; empty for a net
  std::string net;      // empty: none
  bool on_net = false;  // a net, or a ball that is on one
  SignalClass signal_class = SignalClass::kUnknown;  // of that net, where classes were asked for
};

struct FoundOnBoard {
  std::vector<FoundThing> things;  // at most as many as were asked for, best first
  std::size_t total = 0;           // how many there are, up to FindIndex's bound
};

// The same answers as FindIndex gives on the open board. What the classes of nets cost is spent only where
// they are asked for and something was found. kNotFound when there is no such board.
Result<FoundOnBoard> find_on_board(store::Bench& bench, std::int64_t board, std::string_view text,
                                   std::size_t most, bool classes);

}  // namespace landfall::app
