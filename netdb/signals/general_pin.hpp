// Pins that any signal may use, as programmable chips have them by the hundred. Their names give a bank and a
// place, or the ball itself, and what else the pin may be; none of that says what a board does with it.
#pragma once

#include <string_view>

#include "netdb/model/board.hpp"
#include "netdb/model/board_index.hpp"

namespace landfall::signals {

// "IO_A2" or "IO3AA14" on the ball of that name: it is called after its place and nothing else. Both in
// capitals.
bool names_own_ball(std::string_view name, std::string_view ball);

// A general pin by its name, one of several behind slashes included: "IO_L6N_T0_VREF_34", "GDA0/IO60VDB1",
// "IOB_107_SCK", "PT9A/VREF1_0", "GPIOL_24_CLK0", or its own ball. Both in capitals. The forms are those of
// KiCad's symbols of programmable chips; UG475 table 1-12 explains the first.
bool is_general_pin(std::string_view name, std::string_view ball);

// How much a net's name says when it is that of a general pin on it, as in a list.
enum class NamedAfter { kNoPin, kGeneralPin, kBall };
NamedAfter named_after(const BoardIndex& index, Index net);

}  // namespace landfall::signals
