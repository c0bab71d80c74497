// A signal's own name taken apart, so that two makers' names for one signal can be laid side by side.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace landfall::join {

// Equal keys are equal names: case, separators, slashes do not count; a separator between two digits does
// ("D1_0" is not "D10"), and so do '+', a last '-', and active low however it is written ("~{RAS}", "RAS#").
std::string name_key(std::string_view name);

// VSS, GND, VDD..., VCC..., VREF, VTT, a voltage ("+3V3"): names that stand for a supply, by common practice,
// no source. Such names are never joined without the user.
bool names_supply(std::string_view name);

// "RAM0_DATA5": prefix "RAM0", kind "data", index 5.
struct SignalRole {
  std::string prefix;   // what stands before the stem, in capitals
  std::string kind;     // "data", "strobe", "mask", "address" ... of memories, else the stem in capitals
  bool memory = false;  // the kind is one of a memory's
  int index = -1;       // -1: none
  int polarity = 0;     // of a pair: 1 or -1; 0 where the name does not say
};

// What the name may stand for, the likeliest first; several where it has second names ("WE_n/A14"). Names of
// memory signals are those of JEDEC's DDR3 and DDR4 ball tables (TRADE T6 to T10) and what processors make of
// them, from memory. Empty for a supply, and where there are no letters.
std::vector<SignalRole> signal_roles(std::string_view name);

}  // namespace landfall::join
