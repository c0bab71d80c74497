#include "netdb/model/counted.hpp"

namespace landfall {

std::string noun_of(std::size_t n, std::string_view noun) {
  std::string text(noun);
  if (n == 1 || noun.empty()) return text;
  constexpr std::string_view kVowels = "aeiou";
  const char before = noun.size() > 1 ? noun[noun.size() - 2] : 'a';
  if (noun.back() == 'y' && kVowels.find(before) == std::string_view::npos) {
    text.pop_back();
    return text + "ies";
  }
  const bool hisses =
      noun.back() == 's' || noun.back() == 'x' || noun.ends_with("ch") || noun.ends_with("sh");
  return text + (hisses ? "es" : "s");
}

}  // namespace landfall
