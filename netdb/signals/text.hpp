// Names taken apart: the few operations that all rules share.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board.hpp"

namespace landfall::signals {

std::string upper(std::string_view text);

// The plain last step of a net's name in capitals: "/cpu/~{cs}" -> "CS".
std::string leaf_upper(std::string_view net_name);

// Text taken into words of letters and numbers: "RAM1_DQS3_P" -> RAM 1 DQS 3 P. Signs end a word.
std::vector<std::string> words(std::string_view upper_text);

// Polarity at a name's end: _P _N + - _T _C #, P or N after a digit or DATA-like word, DP/DM. `stem` is the
// name without it; polarity 0 when there is none.
struct Polar {
  std::string stem;
  char polarity = 0;  // 'P' or 'N'
};
Polar polarity_of(std::string_view upper_name);

// The number at a name's end and the text before it: "RAM1_D9" -> {"RAM1_D", 9}; -1 when there is none.
struct Indexed {
  std::string stem;
  int index = -1;
};
Indexed index_of(std::string_view upper_name);

// '*' any text, '?' one sign; both in capitals.
bool matches(std::string_view pattern, std::string_view text);

// The longest common beginning.
std::string common_prefix(const std::vector<std::string>& names);

// A ball that has several functions ("GPIO3/VREF"): it is no reference by one of them.
// `function`: in capitals.
inline bool may_be_another(std::string_view function) {
  return function.find('/') != std::string_view::npos;
}

}  // namespace landfall::signals
