#include "viewer/report/picture_file.hpp"

#include <cairo-ft.h>
#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
#include <ft2build.h>
#include FT_FREETYPE_H

#include <array>
#include <memory>
#include <numbers>
#include <system_error>

#include <fmt/format.h>

#include "viewer/app/typefaces.hpp"

namespace landfall::report {
namespace {

using scene::Shape;
using scene::ShapeKind;
using scene::Typeface;

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
using FontFace = std::unique_ptr<cairo_font_face_t, With<cairo_font_face_destroy>>;

// The five faces, loaded once. Where a file is missing cairo's own sans stands in.
class Faces {
 public:
  Faces() {
    if (FT_Init_FreeType(&library_) != 0) return;
    constexpr std::array kFiles{app::FontFile::kRegular, app::FontFile::kBold, app::FontFile::kItalic,
                                app::FontFile::kMono, app::FontFile::kMonoBold};
    for (std::size_t i = 0; i < kFiles.size(); ++i) {
      const auto path = app::font_file(kFiles[i]);
      if (path.empty() || FT_New_Face(library_, path.string().c_str(), 0, &faces_[i]) != 0) continue;
      cairo_[i].reset(cairo_ft_font_face_create_for_ft_face(faces_[i], 0));
    }
  }
  Faces(const Faces&) = delete;
  Faces& operator=(const Faces&) = delete;
  Faces(Faces&&) = delete;
  Faces& operator=(Faces&&) = delete;
  // Lives as long as the program: cairo's font cache keeps the faces.
  ~Faces() = default;

  void choose(cairo_t* cr, Typeface face) const {
    const auto& own = cairo_[static_cast<std::size_t>(face)];
    if (own) {
      cairo_set_font_face(cr, own.get());
    } else {
      cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    }
  }

 private:
  FT_Library library_ = nullptr;
  std::array<FT_Face, 5> faces_{};
  std::array<FontFace, 5> cairo_;
};

void paint_label(cairo_t* cr, const Faces& faces, const Shape& shape) {
  faces.choose(cr, shape.face);
  cairo_set_font_size(cr, shape.size);
  cairo_text_extents_t extents{};
  cairo_text_extents(cr, shape.text.c_str(), &extents);
  cairo_font_extents_t font{};
  cairo_font_extents(cr, &font);
  double x = shape.at.x;
  if (shape.align == scene::Align::kMiddle) x -= extents.x_advance / 2;
  if (shape.align == scene::Align::kRight) x -= extents.x_advance;
  // B612's capitals are 0.75 em high: their middle goes on the line asked for.
  cairo_move_to(cr, x, shape.at.y + shape.size * 0.365);
  cairo_show_text(cr, shape.text.c_str());
}

void paint(cairo_t* cr, const Faces& faces, const Shape& shape) {
  cairo_set_source_rgba(cr, shape.colour.r / 255.0, shape.colour.g / 255.0, shape.colour.b / 255.0,
                        shape.colour.a / 255.0);
  cairo_new_path(cr);  // a label leaves a current point behind
  switch (shape.kind) {
    case ShapeKind::kDisc:
      cairo_arc(cr, shape.at.x, shape.at.y, shape.radius, 0, 2 * std::numbers::pi);
      cairo_fill(cr);
      break;
    case ShapeKind::kRing:
      cairo_set_line_width(cr, shape.width);
      cairo_arc(cr, shape.at.x, shape.at.y, shape.radius, 0, 2 * std::numbers::pi);
      cairo_stroke(cr);
      break;
    case ShapeKind::kLine:
    case ShapeKind::kPolygon:
      for (const scene::P p : shape.points) cairo_line_to(cr, p.x, p.y);
      if (shape.kind == ShapeKind::kPolygon) {
        cairo_fill(cr);
      } else {
        cairo_set_line_width(cr, shape.width);
        cairo_stroke(cr);
      }
      break;
    case ShapeKind::kLabel:
      paint_label(cr, faces, shape);
      break;
  }
}

Status failed(const std::filesystem::path& file, cairo_status_t status) {
  std::error_code ignored;
  std::filesystem::remove(file, ignored);
  return Error{ErrorCode::kInput,
               fmt::format("{}: it cannot be written: {}", file.string(), cairo_status_to_string(status))};
}

}  // namespace

Status write_picture(const scene::Picture& picture, const std::filesystem::path& file) {
  const std::string ending = file.extension().string();
  const std::string name = file.string();
  const bool png = ending == ".png";
  Surface surface;
  double scale = 1;
  if (png) {
    scale = kPngScale;
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
  static const Faces& faces = *new Faces;
  {
    const Context cr(cairo_create(surface.get()));
    cairo_scale(cr.get(), scale, scale);
    cairo_set_line_join(cr.get(), CAIRO_LINE_JOIN_MITER);
    for (const Shape& shape : picture.shapes) paint(cr.get(), faces, shape);
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

}  // namespace landfall::report
