#include "viewer/cli/picture_words.hpp"

#include "viewer/app/desk.hpp"

namespace landfall::cli {

Result<scene::ThemeName> theme_named(std::string_view text) {
  for (const auto name : {scene::ThemeName::kDay, scene::ThemeName::kNight, scene::ThemeName::kStrong}) {
    if (word(name) == app::lower(text)) return name;
  }
  return Error{ErrorCode::kUsage, "--theme is day, night or strong"};
}

Result<bool> true_size(std::string_view text) {
  if (!text.empty() && text != "1:1") return Error{ErrorCode::kUsage, "--scale is 1:1, or left out"};
  return !text.empty();
}

}  // namespace landfall::cli
