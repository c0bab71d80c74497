// Text as people have it, as UTF-8.
#pragma once

#include <string>
#include <string_view>

namespace landfall::importers {

// UTF-16 without a byte order mark: nearly every second byte of its beginning is NUL, and none of the others.
bool is_utf_16(std::string_view bytes);

// UTF-16 by its byte order mark, or as is_utf_16() knows it; UTF-8, with or without a mark, where it is
// valid; else Latin-1 with the punctuation of Windows (CP1252). No-break spaces become spaces, the long
// dashes and the minus sign '-', CRLF and CR become LF, and so does a form feed, the end of a page, that
// stands within a line.
std::string decode_text(std::string_view bytes);

}  // namespace landfall::importers
