// Bytes of unknown encoding as UTF-8.
#pragma once

#include <string>
#include <string_view>

namespace landfall::importers {

// Whether all of it is well-formed UTF-8: no overlong forms, no surrogates, nothing beyond U+10FFFF (RFC
// 3629, section 4). Plain ASCII is. O(bytes), fast for ASCII.
bool is_utf_8(std::string_view bytes);

// Every byte as the character of ISO 8859-1 that it is.
std::string utf_8_of_latin_1(std::string_view bytes);

}  // namespace landfall::importers
