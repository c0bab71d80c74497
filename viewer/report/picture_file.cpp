#include "viewer/report/picture_file.hpp"

#include <memory>
#include <system_error>

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
#include <fmt/format.h>

#include "viewer/report/paint.hpp"

namespace landfall::report {
namespace {

constexpr double kPngScale = 2;
constexpr double kPointsPerPixel = 0.75;  // 72 to the inch against 96

template <auto Free>
struct With {
  template <class T>
  void operator()(T* pointer) const {
    Free(pointer);
  }
};
using Surface = std::unique_ptr<cairo_surface_t, With<cairo_surface_destroy>>;
using Context = std::unique_ptr<cairo_t, With<cairo_destroy>>;

Status failed(const std::filesystem::path& file, cairo_status_t status) {
  std::error_code ignored;
  std::filesystem::remove(file, ignored);
  return Error{ErrorCode::kInput,
               fmt::format("{}: it cannot be written: {}", file.string(), cairo_status_to_string(status))};
}

// A photo that is painted under the shapes, over the whole of them.
struct Under {
  const photo::Picture* photo = nullptr;
  double scale = 1;  // scene units a pixel
};

Status write(const scene::Picture& picture, const std::filesystem::path& file, double png_scale,
             const Under& under) {
  const std::string ending = file.extension().string();
  const std::string name = file.string();
  const bool png = ending == ".png";
  Surface surface;
  double scale = 1;
  if (png) {
    scale = png_scale;
    surface.reset(cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(picture.width * scale),
                                             static_cast<int>(picture.height * scale)));
  } else if (ending == ".svg") {
    scale = kPointsPerPixel;
    surface.reset(cairo_svg_surface_create(name.c_str(), picture.width * scale, picture.height * scale));
  } else if (ending == ".pdf") {
    scale = kPointsPerPixel;
    surface.reset(cairo_pdf_surface_create(name.c_str(), picture.width * scale, picture.height * scale));
  } else {
    return Error{ErrorCode::kUsage, fmt::format("{}: a picture's name ends in .svg, .png or .pdf", name)};
  }
  if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
    return failed(file, status);
  {
    const Context cr(cairo_create(surface.get()));
    cairo_scale(cr.get(), scale, scale);
    cairo_set_line_join(cr.get(), CAIRO_LINE_JOIN_MITER);
    if (under.photo != nullptr) paint_photo(cr.get(), *under.photo, {}, under.scale, !png);
    for (const scene::Shape& shape : picture.shapes) paint_shape(cr.get(), shape);
    if (const auto status = cairo_status(cr.get()); status != CAIRO_STATUS_SUCCESS)
      return failed(file, status);
  }
  if (png) {
    if (const auto status = cairo_surface_write_to_png(surface.get(), name.c_str());
        status != CAIRO_STATUS_SUCCESS)
      return failed(file, status);
    surface.reset();
    return done();
  }
  cairo_surface_finish(surface.get());
  if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
    return failed(file, status);
  surface.reset();
  return done();
}

}  // namespace

Status write_picture(const scene::Picture& picture, const std::filesystem::path& file) {
  return write(picture, file, kPngScale, {});
}

Status write_over(const photo::Picture& under, const std::vector<scene::Shape>& shapes, double scale,
                  const std::filesystem::path& file) {
  // A hair more than whole, so that cutting to whole pixels never loses one.
  constexpr double kHair = 1e-6;
  const scene::Picture picture{under.width * scale + kHair, under.height * scale + kHair, shapes, {}};
  return write(picture, file, 1 / scale, {&under, scale});
}

}  // namespace landfall::report
