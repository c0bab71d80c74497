// What a memory's pin is for, by the pin's own word: "DQ5", "LDQS#", "A10/AP", "CK_t_A".
#pragma once

#include <optional>
#include <string_view>

#include "netdb/model/signal.hpp"

namespace landfall::signals {

// "NC", "DNU" and their kin: a pin that carries nothing. `word`: in capitals.
bool is_spare(std::string_view word);

struct MemoryRole {
  SignalClass signal_class = SignalClass::kUnknown;
  int index = -1;     // of a data, address or strobe line
  int byte = -1;      // the part's own byte group of a data, mask or strobe line, from 0
  char polarity = 0;  // 'P', 'N'
  char half = 0;      // 'A', 'B': which of a package's two channels (LPDDR4); 0: of both, or there is one
  Steady steady = Steady::kNo;  // VREF..., ZQ
};

// Nothing when the word is none that JEDEC's memories use (JESD79-2 to -5, JESD209 as seen in TRADE.md T6 to
// T10, and the makers' variants DQL/DQU, LDQS/DQSL).
std::optional<MemoryRole> memory_role(std::string_view function);

}  // namespace landfall::signals
