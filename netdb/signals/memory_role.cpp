#include "netdb/signals/memory_role.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "netdb/model/units.hpp"
#include "netdb/signals/text.hpp"

namespace landfall::signals {

bool is_spare(std::string_view s) {
  return s == "NC" || s == "N/C" || s == "DNU" || s == "NU" || s == "NF" || s == "RFU";
}
namespace {

struct Word {
  std::string stem;  // capitals and underscores, no number
  int index = -1;
  char polarity = 0;
  char half = 0;
};

// The first of several functions of a pin ("A12/BC#"), the second where the first says 'none' ("NC/A15").
std::string first_function(std::string_view text) {
  if (const auto slash = text.find('/'); slash != std::string_view::npos && slash > 0) {
    const std::string_view first = text.substr(0, slash);
    return std::string(is_spare(first) && slash + 1 < text.size() ? text.substr(slash + 1) : first);
  }
  return std::string(text);
}

Word take_apart(std::string_view function) {
  Word word;
  std::string text = upper(function);
  if (text.starts_with("~{") || text.starts_with('~') || text.starts_with('#') || text.starts_with('/'))
    word.polarity = 'N';
  if (text.starts_with('#') || text.starts_with('/')) text.erase(0, 1);
  text = first_function(plain_name(text));
  std::erase_if(text, [](char c) {
    return c == '[' || c == ']' || c == '<' || c == '>' || c == ' ' || c == '(' || c == ')';
  });
  if (text.ends_with('#') || text.ends_with('*')) {
    word.polarity = 'N';
    text.pop_back();
  }
  // LPDDR4: the package's half stands last. "CK_A" alone would be ambiguous, and is such a half.
  if (text.size() > 2 && (text.ends_with("_A") || text.ends_with("_B"))) {
    word.half = text.back();
    text.resize(text.size() - 2);
  }
  static constexpr std::array<std::pair<std::string_view, char>, 8> kPolar{
      {{"_T", 'P'}, {"_P", 'P'}, {"_C", 'N'}, {"_N", 'N'}, {"_B", 'N'}, {"+", 'P'}, {"-", 'N'}, {"_L", 'N'}}};
  for (const auto& [ending, polarity] : kPolar) {
    if (!text.ends_with(ending)) continue;
    word.polarity = polarity;
    text.resize(text.size() - ending.size());
    break;
  }
  const Indexed indexed = index_of(text);
  word.stem = indexed.stem;
  word.index = indexed.index;
  // "DQS0T", "CKN": a polarity letter after the number or the stem.
  if (word.index < 0 && word.polarity == 0 && text.size() > 2) {
    const Polar polar = polarity_of(text);
    const Indexed inner = index_of(polar.stem);
    if (polar.polarity != 0 && (inner.stem == "DQS" || inner.stem == "CK" || inner.stem == "CLK")) {
      word = {inner.stem, inner.index, polar.polarity, word.half};
    }
  }
  while (word.stem.ends_with('_')) word.stem.pop_back();
  return word;
}

bool one_of(std::string_view text, std::initializer_list<std::string_view> list) {
  return std::find(list.begin(), list.end(), text) != list.end();
}

std::optional<MemoryRole> supply_role(std::string_view stem) {
  if (stem.starts_with("VSS") || stem == "GND") return MemoryRole{SignalClass::kGround};
  if (stem.starts_with("VDD") || stem.starts_with("VPP") || stem.starts_with("VTT") || stem == "VCC" ||
      stem == "VCCQ") {
    return MemoryRole{SignalClass::kPower};
  }
  if (stem.starts_with("VREF")) return MemoryRole{SignalClass::kAnalogue, -1, -1, 0, 0, Steady::kReference};
  if (stem == "ZQ") return MemoryRole{SignalClass::kAnalogue, -1, -1, 0, 0, Steady::kCalibration};
  if (is_spare(stem)) return MemoryRole{SignalClass::kUnconnected};
  return std::nullopt;
}

// Data, mask and strobe: the lines of a byte lane.
std::optional<MemoryRole> lane_role(const Word& word) {
  const std::string& s = word.stem;
  const auto role = [&](SignalClass c, int index, int byte) {
    return MemoryRole{c, index, byte, c == SignalClass::kStrobe && word.polarity == 0 ? 'P' : word.polarity,
                      word.half};
  };
  if (s == "DQ" && word.index >= 0) return role(SignalClass::kData, word.index, word.index / 8);
  if (s == "DQL" && word.index >= 0) return role(SignalClass::kData, word.index, 0);
  if (s == "DQU" && word.index >= 0) return role(SignalClass::kData, word.index + 8, 1);
  if (s == "CB" && word.index >= 0) return role(SignalClass::kData, 64 + word.index, 8);
  if (one_of(s, {"LDQS", "DQSL"})) return role(SignalClass::kStrobe, 0, 0);
  if (one_of(s, {"UDQS", "DQSU"})) return role(SignalClass::kStrobe, 1, 1);
  if (s == "DQS") return role(SignalClass::kStrobe, std::max(word.index, 0), std::max(word.index, 0));
  if (one_of(s, {"LDM", "DML", "LDQM", "DQML", "LDBI"})) return role(SignalClass::kMask, 0, 0);
  if (one_of(s, {"UDM", "DMU", "UDQM", "DQMU", "DQMH", "UDBI"})) return role(SignalClass::kMask, 1, 1);
  if (one_of(s, {"DM", "DMI", "DQM", "DBI"})) {
    return role(SignalClass::kMask, std::max(word.index, 0), std::max(word.index, 0));
  }
  return std::nullopt;
}

}  // namespace

std::optional<MemoryRole> memory_role(std::string_view function) {
  if (function.empty()) return std::nullopt;
  const Word word = take_apart(function);
  const std::string& s = word.stem;
  if (auto supply = supply_role(s)) {
    supply->half = word.half;
    return supply;
  }
  if (auto lane = lane_role(word)) return lane;
  const auto role = [&](SignalClass c) { return MemoryRole{c, word.index, -1, word.polarity, word.half}; };
  if (one_of(s, {"A", "CA", "BA", "BG", "MA", "BS"}) && word.index >= 0 && word.index <= 20)
    return role(SignalClass::kAddress);
  if (one_of(s, {"RAS", "CAS", "WE", "ACT", "PAR"})) return role(SignalClass::kCommand);
  if (one_of(s, {"CK", "CLK"})) {
    MemoryRole clock = role(SignalClass::kClock);
    if (clock.polarity == 0) clock.polarity = 'P';
    return clock;
  }
  if (one_of(s, {"CKE", "CS", "S", "ODT", "ODT_CA", "ODTCA", "RESET", "RST"}))
    return role(SignalClass::kControl);
  if (one_of(s, {"TEN", "ALERT", "EVENT", "TDQS"})) return role(SignalClass::kUnknown);
  return std::nullopt;
}

}  // namespace landfall::signals
