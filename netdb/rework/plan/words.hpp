// What the plan says in words: procedures, neighbours to beware of, readings.
#pragma once

#include <string>
#include <vector>

#include "netdb/rework/plan/plan.hpp"

namespace landfall::rework {

// The IPC-7721 procedure for a wire, a rebuild (TRADE.md T19).
Procedure procedure_for(const PlannedWire& wire);
Procedure procedure_for(const Rebuild& rebuild);

// Lands of other nets within `reach` of a place on a layer that the landing has, nearest first, at most six:
// "U1.K5 (VDD)".
std::vector<std::string> neighbours_of(const BoardIndex& index, Point at, Side side, Index net, Nm reach);

// What a wire's number is given for: "U1.B3 to R5.1". Of a rebuild, and of numbers that older benches gave
// out, it is the site alone.
std::string ends_text(const BoardIndex& index, const Jumper& jumper);
// "U1.B3", "R5.1"; the far end is empty where none is said.
std::string near_end(const std::string& ends);
std::string far_end(const std::string& ends);

// The net of the other leg of a differential pair by its name ("_P" and "_N", "+" and "-", "_T" and "_C", "P"
// and "N" at the end); kNone when the board has none.
Index other_leg(const BoardIndex& index, Index net);

}  // namespace landfall::rework
