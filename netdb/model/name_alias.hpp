// What the user accepted of two parts' own names: 'RAM0_DATA5' is 'DQ5'.
#pragma once

#include <cstdint>
#include <string>

namespace landfall {

// A signal of one part is a signal of another. An empty part means any part that has the name. Names are
// compared as join::name_key folds them.
struct NameAlias {
  std::int64_t id = 0;
  std::string part, name;
  std::string to_part, to_name;
  std::string why;  // "typed in", or the suggestion's reason
  friend bool operator==(const NameAlias&, const NameAlias&) = default;
};

}  // namespace landfall
