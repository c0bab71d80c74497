#include "netdb/model/settings.hpp"

namespace landfall {

const std::vector<SettingInfo>& settings() {
  static const std::vector<SettingInfo> all{
      {"supply.spare-share", 10, 0, 100, "%",
       "a supply's lost balls up to this share of its group need nothing", "common practice, no source"},
      {"supply.spare-least", 5, 1, 1000, "balls", "smaller groups have no spare ball",
       "common practice, no source"},
      {"supply.optional-share", 25, 0, 100, "%", "up to this lost share mending a supply is optional",
       "common practice, no source"},
      {"torn.reach", 0, 0, 100, "mm",
       "how much of its trace a torn land takes at most; 0: up to the next branch, via or land",
       "common practice, no source"},
      {"wires.rarely-pays", 12, 0, 1000, "wires", "beyond so many wires on fast lines a repair rarely pays",
       "common practice, no source (TRADE T21f)"},
  };
  return all;
}

const SettingInfo* find_setting(std::string_view name) {
  for (const SettingInfo& info : settings()) {
    if (info.name == name) return &info;
  }
  return nullptr;
}

}  // namespace landfall
