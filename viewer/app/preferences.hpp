// What the window remembers from one start to the next: theme, text size, units, its size, and how each
// package was last looked at. A text file of the user's, apart from the bench file, which may be shared.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <string_view>

namespace landfall::app {

// How a package is looked at.
struct Look {
  bool balls = false;       // the face: else lands
  double turn = 0;          // degrees clockwise as seen, [0, 360)
  bool true_scale = false;  // else the schematic grid
  double zoom = 1;          // 1: the whole package fits
  double x = 0, y = 0;      // the place of the package in the middle of the map, in steps of the grid
  friend bool operator==(const Look&, const Look&) = default;
};
inline constexpr double kLeastZoom = 0.5;
inline constexpr double kMostZoom = 40;
// Numbers that are none are 0; zoom inside its bounds; turn in [0, 360).
Look sound_look(Look look);

inline constexpr int kThemes = 3;

struct Preferences {
  int theme = 0;
  int text_percent = 100;  // 90, 100, 115, 130 or 150
  bool mils = false;
  int width = 1280, height = 800;
  std::map<std::string, Look> looks;  // by "BOARD/PART"
  friend bool operator==(const Preferences&, const Preferences&) = default;
};

// The next size up or down; the same at either end.
int next_text_percent(int percent, bool larger);

// $XDG_CONFIG_HOME/landfall, or ~/.config/landfall; %APPDATA%\landfall on Windows.
std::filesystem::path config_folder();

// Any text is safe: a line that is not understood, or a value out of bounds, is left out.
Preferences read_preferences(std::string_view text);
std::string preferences_text(const Preferences& preferences);

// The file; the standard ones where there is none. Written whole beside it and then put in its place.
Preferences load_preferences(const std::filesystem::path& file);
bool save_preferences(const std::filesystem::path& file, const Preferences& preferences);

}  // namespace landfall::app
