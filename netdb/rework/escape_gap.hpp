// The room between neighbouring joints, in integer nanometres: TRADE.md T31 to T33.
#pragma once

#include <optional>
#include <string_view>

#include "netdb/model/result.hpp"
#include "netdb/model/units.hpp"

namespace landfall::rework {

// All lengths in nm. Bounds: 0 < joint < pitch <= 100 mm, clearance and spacing from 0 to 100 mm.
struct Gap {
  Nm pitch = 0;      // centre to centre
  Nm joint = 0;      // joint's widest diameter once soldered
  Nm clearance = 0;  // kept free between a joint and the nearest wire
  Nm spacing = 0;    // kept free between two wires; 0: they touch
};

// Free width between two neighbours of one row, pitch - joint. Source: TRADE.md T31.
Nm straight_gap(const Gap& gap);

// Free width between two joints across a cell of four, sqrt(pitch^2 + other^2) - joint, rounded down; `other`
// is the pitch the other way. It limits only wires that turn inside the cell. Source: TRADE.md T31.
Nm diagonal_gap(const Gap& gap, Nm other_pitch);

// How many wires of overall diameter `wire` pass side by side:
// n = floor((free width - 2 clearance + spacing) / (wire + spacing)), never below 0. Integers, so that exact
// fits count (TRADE.md C55, where doubles lose one).
// Errors: kUsage when `wire` or the gap breaks the bounds.
Result<int> wires_through(const Gap& gap, Nm wire);
Result<int> wires_through_diagonal(const Gap& gap, Nm other_pitch, Nm wire);

// The width that wires may fill: free width - 2 clearance, never below 0. For wires of different diameter,
// where the capacity of a gap is width and not number.
Nm usable_width(const Gap& gap);

struct JointDiameter {
  Nm diameter = 0;
  std::string_view source;  // "TRADE.md T32, T33 (by the land)"
};

// The default for a joint's widest diameter once soldered. By the land where it is known: the ball that
// belongs to it (T33), a little wider than before (T32: land 0.40, ball 0.45 before, 0.50 after); between
// table rows in proportion. Without it by the pitch (the table of TRADE.md section 8, the wider ball where
// it has two). Never less than the land, never so wide that less than a tenth of the pitch stays free.
// Before the part goes back on, the land's own diameter applies, not this.
// Nothing when the pitch is not above 0.
std::optional<JointDiameter> joint_after_soldering(Nm pitch, std::optional<Nm> land = std::nullopt);

// Default for the joint's height once soldered, which a wire must stay below: 0.25 mm at 0.8 mm pitch, in
// proportion below that, never more. Source: TRADE.md T32 (common practice).
Nm joint_height(Nm pitch);

}  // namespace landfall::rework
