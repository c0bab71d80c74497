#include "viewer/app/preferences.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <system_error>

#include <fmt/format.h>

#include "netdb/model/units.hpp"

namespace landfall::app {
namespace {

constexpr std::array<int, 5> kPercents{90, 100, 115, 130, 150};
constexpr std::size_t kMostLooks = 500;

std::filesystem::path folder_of(const char* variable) {
  const char* value = std::getenv(variable);
  return value == nullptr ? std::filesystem::path() : std::filesystem::path(value);
}

// "balls 90 true 2.5 -3 4.25".
std::optional<Look> look_of(std::string_view text) {
  std::array<std::string_view, 6> words;
  for (std::string_view& word : words) {
    const auto end = std::min(text.find(' '), text.size());
    word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  const auto turn = parse_decimal(words[1]);
  const auto zoom = parse_decimal(words[3]);
  const auto x = parse_decimal(words[4]);
  const auto y = parse_decimal(words[5]);
  if (!turn || !zoom || !x || !y) return std::nullopt;
  return sound_look({words[0] == "balls", *turn, words[2] == "true", *zoom, *x, *y});
}

void take_line(Preferences& preferences, std::string_view name, std::string_view value) {
  const auto number = parse_integer(value);
  const auto within = [&](int low, int high) { return number && *number >= low && *number <= high; };
  if (name == "theme" && within(0, kThemes - 1)) preferences.theme = static_cast<int>(*number);
  if (name == "text" && number && std::find(kPercents.begin(), kPercents.end(), *number) != kPercents.end())
    preferences.text_percent = static_cast<int>(*number);
  if (name == "units") preferences.mils = value == "mils";
  if (name == "width" && within(320, 16'000)) preferences.width = static_cast<int>(*number);
  if (name == "height" && within(240, 16'000)) preferences.height = static_cast<int>(*number);
  if (!name.starts_with("look ") || preferences.looks.size() >= kMostLooks) return;
  if (const auto look = look_of(value)) preferences.looks[std::string(name.substr(5))] = *look;
}

}  // namespace

Look sound_look(Look look) {
  for (double* value : {&look.turn, &look.zoom, &look.x, &look.y}) {
    if (!std::isfinite(*value)) *value = 0;
  }
  look.turn = normal_degrees(look.turn);
  look.zoom = look.zoom == 0 ? 1 : std::clamp(look.zoom, kLeastZoom, kMostZoom);
  look.x = std::clamp(look.x, -1000.0, 1000.0);
  look.y = std::clamp(look.y, -1000.0, 1000.0);
  return look;
}

int next_text_percent(int percent, bool larger) {
  if (larger) {
    const auto* next = std::upper_bound(kPercents.begin(), kPercents.end(), percent);
    return next == kPercents.end() ? kPercents.back() : *next;
  }
  const auto* next = std::lower_bound(kPercents.begin(), kPercents.end(), percent);
  return next == kPercents.begin() ? kPercents.front() : *(next - 1);
}

std::filesystem::path config_folder() {
  if (const auto own = folder_of("XDG_CONFIG_HOME"); !own.empty()) return own / "landfall";
  if (const auto data = folder_of("APPDATA"); !data.empty()) return data / "landfall";
  if (const auto home = folder_of("HOME"); !home.empty()) return home / ".config" / "landfall";
  return "landfall";
}

Preferences read_preferences(std::string_view text) {
  Preferences preferences;
  while (!text.empty()) {
    const auto end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    // Names of boards may hold '=': the value has none.
    const auto equals = line.rfind(" = ");
    if (equals != std::string_view::npos)
      take_line(preferences, line.substr(0, equals), line.substr(equals + 3));
  }
  return preferences;
}

std::string preferences_text(const Preferences& preferences) {
  std::string text = fmt::format("theme = {}\ntext = {}\nunits = {}\nwidth = {}\nheight = {}\n",
                                 preferences.theme, preferences.text_percent,
                                 preferences.mils ? "mils" : "mm", preferences.width, preferences.height);
  for (const auto& [name, look] : preferences.looks) {
    if (name.find('\n') != std::string::npos) continue;
    text += fmt::format("look {} = {} {:.4f} {} {:.4f} {:.4f} {:.4f}\n", name, look.balls ? "balls" : "lands",
                        look.turn, look.true_scale ? "true" : "grid", look.zoom, look.x, look.y);
  }
  return text;
}

Preferences load_preferences(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  if (in) text << in.rdbuf();
  return read_preferences(text.str());
}

bool save_preferences(const std::filesystem::path& file, const Preferences& preferences) {
  std::error_code failed;
  std::filesystem::create_directories(file.parent_path(), failed);
  std::filesystem::path beside = file;
  beside += ".new";
  {
    std::ofstream out(beside, std::ios::binary | std::ios::trunc);
    out << preferences_text(preferences);
    out.flush();
    if (!out) return false;
  }
  std::filesystem::rename(beside, file, failed);
  return !failed;
}

}  // namespace landfall::app
