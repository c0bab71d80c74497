#include "netdb/join/signal_name.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include "netdb/model/board.hpp"

namespace landfall::join {
namespace {

bool digit(char c) {
  return c >= '0' && c <= '9';
}
bool letter(char c) {
  return c >= 'A' && c <= 'Z';
}

std::string upper(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  return out;
}

using Word = std::pair<std::string_view, std::string_view>;

constexpr std::array<Word, 44> kMemoryWords{{
    {"DQ", "data"},    {"DATA", "data"},   {"D", "data"},          {"DQL", "data"},
    {"DQS", "strobe"}, {"DQSL", "strobe"}, {"LDQS", "strobe"},     {"DM", "mask"},
    {"DQM", "mask"},   {"QM", "mask"},     {"DML", "mask"},        {"LDM", "mask"},
    {"DMI", "mask"},   {"A", "address"},   {"ADDR", "address"},    {"ADD", "address"},
    {"MA", "address"}, {"BA", "bank"},     {"BG", "bank group"},   {"RAS", "ras"},
    {"NRAS", "ras"},   {"CAS", "cas"},     {"NCAS", "cas"},        {"WE", "we"},
    {"NWE", "we"},     {"ACT", "act"},     {"CS", "select"},       {"S", "select"},
    {"NCS", "select"}, {"CKE", "enable"},  {"ODT", "termination"}, {"CK", "clock"},
    {"CLK", "clock"},  {"CLOCK", "clock"}, {"RESET", "reset"},     {"RST", "reset"},
    {"NRST", "reset"}, {"PAR", "parity"},  {"PARITY", "parity"},   {"ALERT", "alert"},
    {"CB", "check"},   {"ECC", "check"},   {"DQU", "data upper"},  {"DQSU", "strobe upper"},
}};
constexpr std::array<Word, 3> kUpperWords{
    {{"UDQS", "strobe upper"}, {"UDM", "mask upper"}, {"DMU", "mask upper"}}};

struct Stem {
  std::string kind;
  bool negative = false;
};

std::optional<std::string> memory_word(std::string_view stem) {
  for (const auto& [word, kind] : kMemoryWords) {
    if (word == stem) return std::string(kind);
  }
  for (const auto& [word, kind] : kUpperWords) {
    if (word == stem) return std::string(kind);
  }
  return std::nullopt;
}

// "SDCKE" and "DQSN" are CKE and the negative DQS; 'SDA' stays a bus's data line.
std::optional<Stem> memory_stem(std::string_view stem) {
  for (const bool negative : {false, true}) {
    std::string_view text = stem;
    if (negative) {
      if (text.size() < 3 || (text.back() != 'N' && text.back() != 'B')) continue;
      text.remove_suffix(1);
    }
    if (const auto kind = memory_word(text)) return Stem{*kind, negative};
    if (text.size() > 3 && text.starts_with("SD")) {
      if (const auto kind = memory_word(text.substr(2))) return Stem{*kind, negative};
    }
    // "SA3", "SCAS": a processor's S for its SDRAM; SCK, SD and SS are other buses' words.
    if (text.size() > 1 && text.front() == 'S' && text != "SCK" && text != "SD" && text != "SS") {
      if (const auto kind = memory_word(text.substr(1))) return Stem{*kind, negative};
    }
  }
  if (stem.size() > 2 && stem.back() == 'P') {
    if (const auto kind = memory_word(stem.substr(0, stem.size() - 1))) return Stem{*kind, false};
  }
  return std::nullopt;
}

struct Token {
  std::string text;
  bool number = false;
  bool apart = false;  // a separator stands before it
};

std::vector<Token> tokens_of(const std::string& name) {
  std::vector<Token> tokens;
  bool apart = false;
  for (const char c : name) {
    if (!digit(c) && !letter(c)) {
      apart = true;
      continue;
    }
    if (tokens.empty() || apart || tokens.back().number != digit(c)) tokens.push_back({"", digit(c), apart});
    tokens.back().text += c;
    apart = false;
  }
  return tokens;
}

bool paired(std::string_view kind) {
  return kind == "strobe" || kind == "clock" || kind == "strobe upper";
}

int polarity_of(std::string_view word) {
  if (word == "P" || word == "T" || word == "DP") return 1;
  return word == "N" || word == "C" || word == "B" || word == "DN" || word == "L" ? -1 : 0;
}

std::optional<SignalRole> role_of(std::string name, bool overbar) {
  SignalRole role;
  if (overbar) role.polarity = -1;
  if (!name.empty() && (name.back() == '+' || name.back() == '-' || name.back() == '#'))
    role.polarity = name.back() == '+' ? 1 : -1;
  // Active low before the name: "#CK", "!WE".
  if (role.polarity == 0 && (name.front() == '#' || name.front() == '!')) role.polarity = -1;
  std::vector<Token> tokens = tokens_of(name);
  constexpr std::size_t kLongestIndex = 4;
  // "PS_DDR_DQ0_502": the bank's number behind a name that has one already.
  if (tokens.size() > 2 && tokens.back().number && tokens.back().apart && tokens.back().text.size() == 3)
    tokens.pop_back();
  if (tokens.size() > 1 && role.polarity == 0 && polarity_of(tokens.back().text) != 0 &&
      (tokens.back().apart || tokens[tokens.size() - 2].number)) {
    role.polarity = polarity_of(tokens.back().text);
    tokens.pop_back();
  }
  if (tokens.size() > 1 && tokens.back().number) {
    if (tokens.back().text.size() > kLongestIndex) return std::nullopt;
    role.index = 0;
    for (const char c : tokens.back().text) role.index = role.index * 10 + (c - '0');
    tokens.pop_back();
  }
  // "DQS_N0", "DQS_P0"
  if (tokens.size() > 1 && role.polarity == 0 && polarity_of(tokens.back().text) != 0 &&
      tokens.back().apart && memory_stem(tokens[tokens.size() - 2].text)) {
    role.polarity = polarity_of(tokens.back().text);
    tokens.pop_back();
  }
  if (tokens.empty() || tokens.back().number) return std::nullopt;
  const std::string stem = tokens.back().text;
  tokens.pop_back();
  if (const auto known = memory_stem(stem)) {
    role.memory = true;
    role.kind = known->kind;
    if (known->negative && role.polarity == 0) role.polarity = -1;
  } else {
    role.kind = stem;
  }
  for (const Token& token : tokens)
    role.prefix += (role.prefix.empty() || !token.apart ? "" : "_") + token.text;
  // A x16 memory's upper byte: eight bits, one strobe, one mask further.
  if (const auto upper_at = role.kind.find(" upper"); upper_at != std::string::npos) {
    role.kind.resize(upper_at);
    role.index = role.kind == "data" ? (role.index < 0 ? -1 : role.index + 8) : 1;
  }
  const bool pair_line = role.kind == "data" && role.polarity == 1;
  if (role.memory && !paired(role.kind) && !pair_line && role.kind != "data") role.polarity = 0;
  if (role.memory && paired(role.kind) && role.polarity == 0) role.polarity = 1;
  return role;
}

}  // namespace

std::string name_key(std::string_view name) {
  std::string plain = upper(plain_name(name));
  // "~{RAS}", "~RAS", "!RAS", "#RAS" and "RAS#" are one name, and none of them is RAS: CK and its other leg
  // part.
  const bool low = name.starts_with('~') || name.starts_with('!') || name.starts_with('#');
  if (low) plain.erase(0, plain.find_first_not_of("~!#"));
  std::string key;
  for (std::size_t i = 0; i < plain.size(); ++i) {
    const char c = plain[i];
    if (digit(c) || letter(c) || c == '+' || c == '#' || static_cast<unsigned char>(c) >= 0x80) {
      key += c;
    } else if (c == '-' && i + 1 == plain.size()) {
      key += c;
    } else if (!key.empty() && digit(key.back()) && i + 1 < plain.size() && digit(plain[i + 1])) {
      key += '_';
    }
  }
  if (low && !key.empty() && key.back() != '#') key += '#';
  return key;
}

bool names_supply(std::string_view name) {
  std::string text = upper(plain_name(name));
  const auto slash = text.rfind('/');
  if (slash != std::string::npos && slash + 1 < text.size()) text = text.substr(slash + 1);
  static constexpr std::array<std::string_view, 13> kStarts{
      "VSS", "GND", "VDD", "VCC", "VREF", "VTT", "VPP", "VBAT", "VIN", "AGND", "DGND", "VEE", "PWR_"};
  if (std::any_of(kStarts.begin(), kStarts.end(), [&](std::string_view s) { return text.starts_with(s); }))
    return true;
  if (text.find("_VDD") != std::string::npos || text.find("_VSS") != std::string::npos ||
      text.ends_with("_GND") || text.find("VREF") != std::string::npos || text.ends_with("VBUS") ||
      text.ends_with("SHIELD"))
    return true;
  // "+3V3", "1.8V", "3.3Vaux", "12V", "+5V"
  std::string_view rest = text;
  if (rest.starts_with("+")) rest.remove_prefix(1);
  std::size_t i = 0;
  while (i < rest.size() && (digit(rest[i]) || rest[i] == '.')) ++i;
  return i > 0 && i < rest.size() && rest[i] == 'V';
}

std::vector<SignalRole> signal_roles(std::string_view name) {
  std::vector<SignalRole> roles;
  if (names_supply(name)) return roles;
  std::string text = upper(plain_name(name));
  // A pin of many functions: which of them the board uses cannot be seen in its name.
  if (text.find('/') != 0 && std::count(text.begin(), text.end(), '/') >= 2) return roles;
  // A path's slash and a second name's look alike: each step is tried, those with a memory's word first.
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t to = std::min(text.find('/', from), text.size());
    if (auto role = to > from ? role_of(text.substr(from, to - from), from == 0 && name.starts_with('~'))
                              : std::nullopt)
      roles.push_back(*role);
    from = to + 1;
  }
  std::stable_sort(roles.begin(), roles.end(),
                   [](const SignalRole& a, const SignalRole& b) { return a.memory && !b.memory; });
  return roles;
}

}  // namespace landfall::join
