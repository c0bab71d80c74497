#include "viewer/app/typefaces.hpp"

#include <array>
#include <cstdlib>
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

}  // namespace

std::filesystem::path font_file(FontFile file) {
  const Names names = names_of(file);
  const char* own = std::getenv("LANDFALL_FONTS");
  const std::array<std::filesystem::path, 4> folders{own == nullptr ? "" : own,
                                                     "/usr/share/fonts/opentype/b612",
                                                     "/usr/share/fonts/truetype/dejavu", "fonts"};
  for (const auto& folder : folders) {
    if (folder.empty()) continue;
    for (const std::string_view name : {names.b612, names.dejavu}) {
      std::error_code failed;
      if (std::filesystem::is_regular_file(folder / name, failed)) return folder / name;
    }
  }
  return {};
}

std::filesystem::path second_font_file(FontFile file) {
  const std::filesystem::path found =
      std::filesystem::path("/usr/share/fonts/truetype/dejavu") / names_of(file).dejavu;
  const char* own = std::getenv("LANDFALL_FONTS");
  const std::array<std::filesystem::path, 3> places{
      (own == nullptr ? std::filesystem::path() : std::filesystem::path(own)) / names_of(file).dejavu, found,
      std::filesystem::path("fonts") / names_of(file).dejavu};
  for (const auto& place : places) {
    std::error_code failed;
    if (std::filesystem::is_regular_file(place, failed)) return place;
  }
  return {};
}

}  // namespace landfall::app
