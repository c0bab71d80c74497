// Where the typefaces' files are: B612 (Debian fonts-b612), else DejaVu.
#pragma once

#include <filesystem>

namespace landfall::app {

enum class FontFile { kRegular, kBold, kItalic, kMono, kMonoBold };

// The first of the usual folders, or of $LANDFALL_FONTS, that has it; empty when none has.
std::filesystem::path font_file(FontFile file);

// DejaVu's file for the same style, for letters that the first lacks (Cyrillic, signs); empty where absent.
std::filesystem::path second_font_file(FontFile file);

}  // namespace landfall::app
