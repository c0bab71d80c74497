#include "netdb/signals/text.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include "netdb/model/units.hpp"

namespace landfall::signals {
namespace {

bool digit(char c) {
  return c >= '0' && c <= '9';
}
bool letter(char c) {
  return c >= 'A' && c <= 'Z';
}

}  // namespace

std::string upper(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return result;
}

std::string leaf_upper(std::string_view net_name) {
  return upper(plain_name(leaf_name(net_name)));
}

std::vector<std::string> words(std::string_view text) {
  std::vector<std::string> result;
  std::string word;
  const auto flush = [&] {
    if (!word.empty()) result.push_back(std::move(word));
    word.clear();
  };
  for (const char c : text) {
    if (!digit(c) && !letter(c)) {
      flush();
      continue;
    }
    if (!word.empty() && digit(word.back()) != digit(c)) flush();
    word += c;
  }
  flush();
  return result;
}

Polar polarity_of(std::string_view name) {
  struct Ending {
    std::string_view text, stem;
    char polarity;
  };
  static constexpr std::array<Ending, 13> kEndings{{{"_DP", "_D", 'P'},
                                                    {"_DM", "_D", 'N'},
                                                    {"_P", "", 'P'},
                                                    {"_N", "", 'N'},
                                                    {"_T", "", 'P'},
                                                    {"_C", "", 'N'},
                                                    {"-P", "", 'P'},
                                                    {"-N", "", 'N'},
                                                    {".P", "", 'P'},
                                                    {".N", "", 'N'},
                                                    {"+", "", 'P'},
                                                    {"-", "", 'N'},
                                                    {"#", "", 'N'}}};
  for (const Ending& ending : kEndings) {
    if (!name.ends_with(ending.text) || name.size() == ending.text.size()) continue;
    std::string stem(name.substr(0, name.size() - ending.text.size()));
    stem += ending.stem;
    return {stem, ending.polarity};
  }
  // "LVDS0P", "TX1N", "USBDP": a bare P or N counts only after a digit, or as DP / DM at the end.
  if (name.size() >= 3) {
    const char last = name.back();
    const char before = name[name.size() - 2];
    if ((last == 'P' || last == 'N') && digit(before))
      return {std::string(name.substr(0, name.size() - 1)), last};
    if (name.ends_with("DP")) return {std::string(name.substr(0, name.size() - 1)), 'P'};
    if (name.ends_with("DM") || name.ends_with("DN"))
      return {std::string(name.substr(0, name.size() - 1)), 'N'};
    // "DQS_P4", "CLK_N0": the index stands last.
    const auto number = name.find_last_not_of("0123456789");
    if (number != std::string_view::npos && number >= 2 && number + 1 < name.size() &&
        name[number - 1] == '_' && (name[number] == 'P' || name[number] == 'N')) {
      std::string stem(name.substr(0, number));
      stem += name.substr(number + 1);
      return {stem, name[number]};
    }
  }
  return {std::string(name), 0};
}

Indexed index_of(std::string_view name) {
  const std::string_view whole = name;
  while (name.ends_with(']') || name.ends_with('>') || name.ends_with(')')) name.remove_suffix(1);
  const auto last = name.find_last_not_of("0123456789");
  const auto start = last == std::string_view::npos ? 0 : last + 1;
  if (start == name.size() || name.size() - start > 4 || start == 0) return {std::string(whole), -1};
  const auto index = parse_integer(name.substr(start));
  std::string stem(name.substr(0, start));
  while (stem.ends_with('[') || stem.ends_with('<') || stem.ends_with('(')) stem.pop_back();
  return {stem, index ? static_cast<int>(*index) : -1};
}

bool matches(std::string_view pattern, std::string_view text) {
  std::size_t p = 0;
  std::size_t t = 0;
  std::size_t star = std::string_view::npos;
  std::size_t resume = 0;
  while (t < text.size()) {
    if (p < pattern.size() && (pattern[p] == '?' || pattern[p] == text[t])) {
      ++p;
      ++t;
    } else if (p < pattern.size() && pattern[p] == '*') {
      star = p++;
      resume = t;
    } else if (star != std::string_view::npos) {
      p = star + 1;
      t = ++resume;
    } else {
      return false;
    }
  }
  while (p < pattern.size() && pattern[p] == '*') ++p;
  return p == pattern.size();
}

std::string common_prefix(const std::vector<std::string>& names) {
  if (names.empty()) return {};
  std::string prefix = names.front();
  for (const std::string& name : names) {
    std::size_t n = 0;
    while (n < prefix.size() && n < name.size() && prefix[n] == name[n]) ++n;
    prefix.resize(n);
  }
  return prefix;
}

}  // namespace landfall::signals
