#include "importers/bsdl/tokens.hpp"

#include <algorithm>
#include <cctype>

namespace landfall::importers::bsdl {
namespace {

bool is_word_sign(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '.';
}

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

}  // namespace

std::vector<Token> tokens_of(std::string_view text) {
  std::vector<Token> tokens;
  for (std::size_t i = 0; i < text.size();) {
    const char c = text[i];
    if (c == ' ' || c == '\t' || c == '\r' || c == '\n' || c == '\f' || c == '\v') {
      ++i;
    } else if (c == '-' && i + 1 < text.size() && text[i + 1] == '-') {
      i = std::min(text.find_first_of("\r\n", i), text.size());
    } else if (c == '"') {
      const std::size_t end = std::min(text.find_first_of("\"\r\n", i + 1), text.size());
      tokens.push_back({Token::Kind::kString, text.substr(i + 1, end - i - 1), i});
      i = end < text.size() && text[end] == '"' ? end + 1 : end;
    } else if (is_word_sign(c)) {
      const std::size_t start = i;
      while (i < text.size() && is_word_sign(text[i])) ++i;
      const bool number = std::isdigit(static_cast<unsigned char>(c)) != 0;
      tokens.push_back(
          {number ? Token::Kind::kNumber : Token::Kind::kWord, text.substr(start, i - start), start});
    } else {
      tokens.push_back({Token::Kind::kSign, text.substr(i, 1), i});
      ++i;
    }
  }
  return tokens;
}

bool same_word(std::string_view a, std::string_view b) {
  return a.size() == b.size() &&
         std::equal(a.begin(), a.end(), b.begin(), [](char x, char y) { return lower(x) == lower(y); });
}

}  // namespace landfall::importers::bsdl
