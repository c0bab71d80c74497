// The shop's own figures: each has a default, a unit and a source. Plain data; the bench file keeps what
// was changed.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

namespace landfall {

struct SettingInfo {
  std::string_view name;
  double standard = 0;
  double least = 0;
  double most = 0;
  std::string_view unit;
  std::string_view meaning;
  std::string_view source;
};

// The settings there are, in the order in which they are shown.
const std::vector<SettingInfo>& settings();
const SettingInfo* find_setting(std::string_view name);

// Shares of a supply group's balls, DESIGN.md section 5 rule 2.
struct SupplyRule {
  double spare_share = 0.10;     // lost share up to which nothing need be done ...
  int spare_least_balls = 5;     // ... in a group of so many balls or more
  double optional_share = 0.25;  // lost share up to which mending is optional
};

}  // namespace landfall
