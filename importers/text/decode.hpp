// Text as people have it, as UTF-8.
#pragma once

#include <string>
#include <string_view>

namespace landfall::importers {

// UTF-16 by its byte order mark; UTF-8, with or without a mark, where it is valid; else Latin-1 with the
// punctuation of Windows (CP1252). No-break spaces become spaces, the long dashes and the minus sign '-',
// CRLF and CR become LF.
std::string decode_text(std::string_view bytes);

}  // namespace landfall::importers
