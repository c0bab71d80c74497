// Series parts, and what lies beyond them. DESIGN.md section 2 (reach), 5 and 6.
#pragma once

#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/signal.hpp"

namespace landfall::signals {

enum class SeriesKind { kResistor, kCapacitor, kBead };
std::string_view word(SeriesKind kind);

// One way through a series part: from this pin's net to the other pin's.
struct Step {
  Index near_pin = kNone;
  Index far_pin = kNone;
  SeriesKind kind = SeriesKind::kResistor;
};

// The pin on the other side of a fitted two-terminal resistor, bead, inductor or capacitor, or of the same
// element of a resistor array; nothing (far_pin kNone) for any other part. Knows no supplies.
Step across(const BoardIndex& index, Index pin);

// The nets that lie beyond series parts, the net itself not included, nearest first. Stops at supplies and at
// nets that more than eight series parts join (a termination rail). O(pins reached).
struct Beyond {
  Index net = kNone;
  Step step;  // the last step to it
};
std::vector<Beyond> reach(const BoardIndex& index, const Signals& signals, Index net);

}  // namespace landfall::signals
