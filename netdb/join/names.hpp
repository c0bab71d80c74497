// How names fold when a format cuts them, and when two files' names mean the same.
#pragma once

#include <string>
#include <string_view>

namespace landfall::join {

// IPC-D-356 as KiCad writes it: capitals, odd signs as '?', the last 14 signs. FORMATS.md 3.5.
std::string folded_net(std::string_view name);

// Equal but for a leading '/' or case.
bool same_net_name(std::string_view a, std::string_view b);

// `cut` is the folding of `full`: its last or first 14 signs in capitals, or a clash's "...#n".
bool is_cut_of(std::string_view cut, std::string_view full);

// References are compared by 6 signs and pins by 4 where one file is an IPC-D-356.
inline std::string_view folded_reference(std::string_view reference) {
  return reference.substr(0, 6);
}
inline std::string_view folded_pin(std::string_view number) {
  return number.substr(0, 4);
}

}  // namespace landfall::join
