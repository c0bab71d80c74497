#include "viewer/app/typefaces.hpp"

#include <array>
#include <cstdlib>
#include <initializer_list>
#include <string_view>
#include <system_error>

namespace landfall::app {
namespace {

struct Names {
  std::string_view b612, dejavu;
};

Names names_of(FontFile file) {
  switch (file) {
    case FontFile::kRegular:
      return {"B612-Regular.otf", "DejaVuSans.ttf"};
    case FontFile::kBold:
      return {"B612-Bold.otf", "DejaVuSans-Bold.ttf"};
    case FontFile::kItalic:
      return {"B612-Italic.otf", "DejaVuSans-Oblique.ttf"};
    case FontFile::kMono:
      return {"B612Mono-Regular.otf", "DejaVuSansMono.ttf"};
    case FontFile::kMonoBold:
      return {"B612Mono-Bold.otf", "DejaVuSansMono-Bold.ttf"};
  }
  return {};
}

// The first folder that has the first of the names that it has.
std::filesystem::path first_file(std::initializer_list<std::string_view> names) {
  const char* own = std::getenv("LANDFALL_FONTS");
  const std::array<std::filesystem::path, 4> folders{own == nullptr ? "" : own,
                                                     "/usr/share/fonts/opentype/b612",
                                                     "/usr/share/fonts/truetype/dejavu", "fonts"};
  for (const auto& folder : folders) {
    if (folder.empty()) continue;
    for (const std::string_view name : names) {
      std::error_code failed;
      if (std::filesystem::is_regular_file(folder / name, failed)) return folder / name;
    }
  }
  return {};
}

}  // namespace

std::filesystem::path font_file(FontFile file) {
  return first_file({names_of(file).b612, names_of(file).dejavu});
}

std::filesystem::path spare_font_file(FontFile file) {
  return first_file({names_of(file).dejavu});
}

}  // namespace landfall::app
