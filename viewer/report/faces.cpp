#include "viewer/report/faces.hpp"

#include <cairo-ft.h>
#include <ft2build.h>
#include FT_FREETYPE_H

#include <array>
#include <memory>
#include <numbers>
#include <unordered_map>

#include "viewer/app/typefaces.hpp"
#include "viewer/report/paint.hpp"

namespace landfall::report {
namespace {

using scene::Shape;
using scene::ShapeKind;
using scene::Typeface;

constexpr std::size_t kFaces = 5;
// Baseline below the line asked for: B612's capitals are 0.75 em high.
constexpr double kBaseline = 0.365;

struct DropFontFace {
  void operator()(cairo_font_face_t* face) const { cairo_font_face_destroy(face); }
};
using FontFace = std::unique_ptr<cairo_font_face_t, DropFontFace>;

// Loaded once. Where a file is missing cairo's own sans stands in.
class Faces {
 public:
  struct Glyph {
    std::size_t face = 0;  // own kinds first, then the spare ones
    double advance = 0;    // of an em
  };

  Faces() {
    if (FT_Init_FreeType(&library_) != 0) return;
    constexpr std::array kFiles{app::FontFile::kRegular, app::FontFile::kBold, app::FontFile::kItalic,
                                app::FontFile::kMono, app::FontFile::kMonoBold};
    for (std::size_t i = 0; i < kFaces; ++i) {
      load(i, app::font_file(kFiles[i]));
      load(i + kFaces, app::spare_font_file(kFiles[i]));
    }
  }
  Faces(const Faces&) = delete;
  Faces& operator=(const Faces&) = delete;
  Faces(Faces&&) = delete;
  Faces& operator=(Faces&&) = delete;
  // Lives as long as the program: cairo's font cache keeps the faces.
  ~Faces() = default;

  Glyph glyph(Typeface typeface, char32_t sign) {
    const auto own = static_cast<std::size_t>(typeface);
    auto& known = known_[own];
    if (const auto found = known.find(sign); found != known.end()) return found->second;
    Glyph glyph{own, estimate(typeface)};
    for (const std::size_t face : {own, own + kFaces, kFaces}) {
      FT_Face ft = faces_[face];
      if (ft == nullptr) continue;
      const FT_UInt index = FT_Get_Char_Index(ft, sign);
      if (index == 0 && face != kFaces) continue;  // the last one shows its box
      if (FT_Load_Glyph(ft, index, FT_LOAD_NO_SCALE) != 0) continue;
      glyph = {face,
               static_cast<double>(ft->glyph->metrics.horiAdvance) / static_cast<double>(ft->units_per_EM)};
      break;
    }
    return known.emplace(sign, glyph).first->second;
  }

  void choose(cairo_t* cr, std::size_t face) const {
    if (cairo_[face]) {
      cairo_set_font_face(cr, cairo_[face].get());
    } else {
      cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    }
  }

 private:
  static double estimate(Typeface face) { return scene::text_width("n", 1, face); }

  void load(std::size_t place, const std::filesystem::path& path) {
    if (path.empty() || FT_New_Face(library_, path.string().c_str(), 0, &faces_[place]) != 0) return;
    cairo_[place].reset(cairo_ft_font_face_create_for_ft_face(faces_[place], 0));
  }

  FT_Library library_ = nullptr;
  std::array<FT_Face, 2 * kFaces> faces_{};
  std::array<FontFace, 2 * kFaces> cairo_;
  std::array<std::unordered_map<char32_t, Glyph>, kFaces> known_;
};

Faces& all_faces() {
  static Faces& faces = *new Faces;
  return faces;
}

void paint_label(cairo_t* cr, const Shape& shape) {
  Faces& faces = all_faces();
  double x = shape.at.x;
  const double width = width_of(shape.text, shape.size, shape.face);
  if (shape.align == scene::Align::kMiddle) x -= width / 2;
  if (shape.align == scene::Align::kRight) x -= width;
  const double y = shape.at.y + shape.size * kBaseline;
  std::string run;
  std::size_t face = 0;
  double start = x;
  const auto show = [&] {
    if (run.empty()) return;
    faces.choose(cr, face);
    cairo_set_font_size(cr, shape.size);
    cairo_move_to(cr, start, y);
    cairo_show_text(cr, run.c_str());
    run.clear();
  };
  for (const char32_t sign : signs_of(shape.text)) {
    const Faces::Glyph glyph = faces.glyph(shape.face, sign);
    if (glyph.face != face || run.empty()) {
      show();
      face = glyph.face;
      start = x;
    }
    add_sign(run, sign);
    x += glyph.advance * shape.size;
  }
  show();
}

}  // namespace

std::vector<char32_t> signs_of(const std::string& text) {
  const std::string clean = scene::clean_text(text);
  std::vector<char32_t> signs;
  signs.reserve(clean.size());
  for (std::size_t i = 0; i < clean.size();) {
    const auto first = static_cast<unsigned char>(clean[i]);
    const std::size_t length = first < 0x80 ? 1 : (first < 0xE0 ? 2 : (first < 0xF0 ? 3 : 4));
    char32_t sign = length == 1 ? first : first & (0xFFU >> (length + 1));
    for (std::size_t k = 1; k < length; ++k)
      sign = (sign << 6U) | (static_cast<unsigned char>(clean[i + k]) & 0x3FU);
    signs.push_back(sign);
    i += length;
  }
  return signs;
}

void add_sign(std::string& text, char32_t sign) {
  if (sign < 0x80) {
    text += static_cast<char>(sign);
    return;
  }
  const int more = sign < 0x800 ? 1 : (sign < 0x10000 ? 2 : 3);
  constexpr std::array<unsigned, 4> kLead{0, 0xC0, 0xE0, 0xF0};
  text +=
      static_cast<char>(kLead[static_cast<std::size_t>(more)] | (sign >> (6U * static_cast<unsigned>(more))));
  for (int k = more - 1; k >= 0; --k)
    text += static_cast<char>(0x80U | ((sign >> (6U * static_cast<unsigned>(k))) & 0x3FU));
}

double width_of(const std::string& text, double size, Typeface face) {
  double width = 0;
  for (const char32_t sign : signs_of(text)) width += all_faces().glyph(face, sign).advance;
  return width * size;
}

void paint_shape(cairo_t* cr, const Shape& shape) {
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
      paint_label(cr, shape);
      break;
  }
}

}  // namespace landfall::report
