// What a file may put into a name. FORMATS.md section 10.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace landfall::importers {

inline constexpr std::size_t kLongestName = 1000;  // bytes

struct GuardedName {
  std::string text;
  bool cut = false;  // the file's own is longer: warn "name-long"
};

// `name` with control characters shown as `\xHH`, cut to at most kLongestName bytes and never inside a UTF-8
// sign. Of two names that are cut to the same text one may stand for both.
GuardedName guarded_name(std::string_view name);

// Whether guarded_name(name) would be `name` itself, as it nearly always is.
bool is_plain_name(std::string_view name);

}  // namespace landfall::importers
