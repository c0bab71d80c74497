#pragma once

#include <string_view>

#include "netdb/model/result.hpp"
#include "viewer/scene/theme.hpp"

// The words that every command of a picture takes.
namespace landfall::cli {

// kUsage unless it is day, night or strong, in either case.
Result<scene::ThemeName> theme_named(std::string_view text);

// --scale: true for 1:1, false where it is left out; else kUsage.
Result<bool> true_size(std::string_view text);

}  // namespace landfall::cli
