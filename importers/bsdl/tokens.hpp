// The words of a BSDL file.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace landfall::importers::bsdl {

struct Token {
  enum class Kind { kWord, kNumber, kString, kSign, kEnd };
  Kind kind = Kind::kEnd;
  std::string_view text;  // a string without its quotes
  std::size_t offset = 0;
};

// Comments ("--" to the line's end, outside quotes) left out. A string ends at the line's end at the latest.
std::vector<Token> tokens_of(std::string_view text);

// Case-blind.
bool same_word(std::string_view a, std::string_view b);

}  // namespace landfall::importers::bsdl
