// A scene as SVG, PNG or PDF (cairo).
#pragma once

#include <filesystem>

#include "netdb/model/result.hpp"
#include "netdb/photo/picture.hpp"
#include "viewer/scene/picture.hpp"

namespace landfall::report {

// By the name's ending: .svg, .png (2 pixels a unit), .pdf. kUsage for another ending, kInput when the file
// cannot be written; a file half written is removed.
Status write_picture(const scene::Picture& picture, const std::filesystem::path& file);

// Shapes over a photo, `scale` units to its pixel; a PNG has the photo's own pixels.
Status write_over(const photo::Picture& under, const std::vector<scene::Shape>& shapes, double scale,
                  const std::filesystem::path& file);

}  // namespace landfall::report
