#include "viewer/ui/style.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "viewer/app/typefaces.hpp"

namespace landfall::ui {
namespace {

// stb scales ascent plus descent: B612's em is so much smaller than ImGui's size.
constexpr float kEm = 1.215F;

// Latin, Greek as far as circuits need it, punctuation, arrows, signs; E007 is the slashed zero of the Mono
// faces (LOOK, "Type"). In the order that the atlas wants, ended by 0.
constexpr std::array<ImWchar, 21> kStandard{0x20,   0x7E,   0xA0,   0xFF,   0x394,  0x394,  0x3A9,
                                            0x3BC,  0x2010, 0x2027, 0x2190, 0x2193, 0x2212, 0x2212,
                                            0x2264, 0x2265, 0x20AC, 0x20AC, 0xE007, 0xE007, 0};
constexpr std::array<ImWchar, 9> kFigures{0x20, 0x20, 0x2B, 0x39, 0x41, 0x5A, 0xE007, 0xE007, 0};
constexpr ImWchar kSlashedZero = 0xE007;

bool standard(ImWchar letter) {
  for (std::size_t i = 0; i + 1 < kStandard.size(); i += 2) {
    if (letter >= kStandard[i] && letter <= kStandard[i + 1]) return true;
  }
  return false;
}

// Of valid UTF-8, by its first byte.
std::size_t letter_length(unsigned char first) {
  if (first >= 0xF0) return 4;
  if (first >= 0xE0) return 3;
  return first >= 0xC2 ? 2 : 1;
}

// The atlas reads ranges only when it is built, so they must live until then.
std::vector<ImWchar>& extra_ranges() {
  static std::vector<ImWchar> ranges;
  return ranges;
}

ImFont* load(app::FontFile file, float em, float scale, bool figures = false) {
  ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
  ImFontConfig config;
  config.OversampleH = 1;
  config.PixelSnapH = true;
  const float size = em * kEm * scale;
  const auto path = app::font_file(file);
  ImFont* font = path.empty() ? nullptr
                              : atlas.AddFontFromFileTTF(path.string().c_str(), size, &config,
                                                         figures ? kFigures.data() : kStandard.data());
  if (font == nullptr) return atlas.AddFontDefault();
  if (figures || extra_ranges().size() < 3) return font;
  config.MergeMode = true;
  atlas.AddFontFromFileTTF(path.string().c_str(), size, &config, extra_ranges().data());
  const auto second = app::spare_font_file(file);
  if (!second.empty() && second != path)
    atlas.AddFontFromFileTTF(second.string().c_str(), size * 0.95F, &config, extra_ranges().data());
  return font;
}

// As Canvas::rect makes it: left top, right top, right bottom, left bottom.
bool upright_box(const std::vector<scene::P>& p) {
  return p.size() == 4 && p[0].y == p[1].y && p[1].x == p[2].x && p[2].y == p[3].y && p[3].x == p[0].x &&
         p[0].x < p[2].x && p[0].y < p[2].y;
}

// Every piece of the path lies along a row or a column of pixels.
bool upright_path(const std::vector<scene::P>& p) {
  for (std::size_t i = 1; i < p.size(); ++i) {
    if (p[i].x != p[i - 1].x && p[i].y != p[i - 1].y) return false;
  }
  return p.size() > 1;
}

ImVec2 at(scene::P p) {
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

}  // namespace

Fonts load_fonts(float scale, const std::set<ImWchar>& extra) {
  extra_ranges().clear();
  for (const ImWchar letter : extra) extra_ranges().insert(extra_ranges().end(), {letter, letter});
  extra_ranges().push_back(0);
  Fonts fonts;
  fonts.body = load(app::FontFile::kRegular, 15, scale);
  fonts.bold = load(app::FontFile::kBold, 15, scale);
  fonts.italic = load(app::FontFile::kItalic, 15, scale);
  fonts.note = load(app::FontFile::kRegular, 13, scale);
  fonts.title = load(app::FontFile::kBold, 20, scale);
  fonts.mono = load(app::FontFile::kMono, 13, scale);
  fonts.mono_bold = load(app::FontFile::kMonoBold, 15, scale);
  fonts.figure = load(app::FontFile::kMonoBold, 32, scale, true);
  ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
  fonts.sprites.reserve(atlas, scale);
  atlas.Build();
  fonts.sprites.fill(atlas);
  for (ImFont* font : {fonts.mono, fonts.mono_bold, fonts.figure}) {
    if (font->FindGlyphNoFallback(kSlashedZero) != nullptr) font->AddRemapChar('0', kSlashedZero);
  }
  return fonts;
}

void collect_letters(std::string_view text, std::set<ImWchar>& extra) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    const std::size_t length = letter_length(byte);
    if (length == 1 || i + length > text.size()) continue;
    unsigned int letter = byte & (length == 2 ? 0x1FU : 0x0FU);
    for (std::size_t k = 1; k < length; ++k)
      letter = (letter << 6U) | (static_cast<unsigned char>(text[i + k]) & 0x3FU);
    i += length - 1;
    // The atlas knows the basic plane; control codes and surrogates are no letters.
    if (length == 4 || (letter >= 0xD800 && letter < 0xE000) || letter < 0xA0) continue;
    const auto wide = static_cast<ImWchar>(letter);
    if (!standard(wide) && extra.size() < 2000) extra.insert(wide);
  }
}

ImU32 packed(scene::Colour c) {
  return IM_COL32(c.r, c.g, c.b, c.a);
}

ImFont* face(const Fonts& fonts, scene::Typeface typeface) {
  switch (typeface) {
    case scene::Typeface::kPlain:
      return fonts.body;
    case scene::Typeface::kBold:
      return fonts.bold;
    case scene::Typeface::kItalic:
      return fonts.italic;
    case scene::Typeface::kMono:
      return fonts.mono;
    case scene::Typeface::kMonoBold:
      return fonts.mono_bold;
  }
  return fonts.body;
}

void set_style(const scene::Theme& theme) {
  ImGuiStyle& style = ImGui::GetStyle();
  style = ImGuiStyle();
  style.WindowRounding = style.FrameRounding = style.PopupRounding = style.ScrollbarRounding =
      style.GrabRounding = style.TabRounding = 0;
  style.WindowBorderSize = style.FrameBorderSize = style.PopupBorderSize = style.ChildBorderSize = 0;
  style.ItemSpacing = {8, 4};
  style.FramePadding = {10, 7};
  style.WindowPadding = {16, 12};
  const auto set = [&](ImGuiCol which, scene::Colour c) {
    style.Colors[which] = ImGui::ColorConvertU32ToFloat4(packed(c));
  };
  for (ImGuiCol i = 0; i < ImGuiCol_COUNT; ++i) set(i, theme.sheet);
  set(ImGuiCol_Text, theme.ink);
  set(ImGuiCol_TextDisabled, theme.ink2);
  set(ImGuiCol_WindowBg, theme.sheet);
  set(ImGuiCol_FrameBg, theme.field);
  set(ImGuiCol_FrameBgHovered, theme.field);
  set(ImGuiCol_FrameBgActive, theme.field);
  set(ImGuiCol_Button, theme.sheet);
  set(ImGuiCol_ButtonHovered, theme.pick);
  set(ImGuiCol_ButtonActive, theme.pick);
  set(ImGuiCol_Header, theme.pick);
  set(ImGuiCol_HeaderHovered, theme.pick);
  set(ImGuiCol_HeaderActive, theme.pick);
  set(ImGuiCol_ScrollbarGrab, theme.line);
  set(ImGuiCol_ScrollbarGrabHovered, theme.ink2);
  set(ImGuiCol_ScrollbarGrabActive, theme.ink);
  set(ImGuiCol_TextSelectedBg, theme.pick);
  set(ImGuiCol_NavHighlight, theme.ink);
  set(ImGuiCol_Separator, theme.rule);
}

void straight_line(ImDrawList& list, ImVec2 from, ImVec2 to, float width, ImU32 colour) {
  const float pixels = 1 / ImGui::GetIO().FontGlobalScale;
  const float thick = std::max(1.0F, std::round(width * pixels)) / pixels;
  const auto snapped = [&](float v) { return std::floor((v - thick / 2) * pixels + 0.5F) / pixels; };
  const ImVec2 low{snapped(std::min(from.x, to.x)), snapped(std::min(from.y, to.y))};
  const ImVec2 high{snapped(std::max(from.x, to.x)) + thick, snapped(std::max(from.y, to.y)) + thick};
  list.AddRectFilled(low, high, colour);
}

void outline(ImDrawList& list, ImVec2 low, ImVec2 high, ImU32 colour, float width) {
  const ImVec2 right_top{high.x - 1, low.y};
  const ImVec2 left_bottom{low.x, high.y - 1};
  const ImVec2 corner{high.x - 1, high.y - 1};
  straight_line(list, low, right_top, width, colour);
  straight_line(list, left_bottom, corner, width, colour);
  straight_line(list, low, left_bottom, width, colour);
  straight_line(list, right_top, corner, width, colour);
}

// The face of the size nearest to what is asked for, so that little is scaled.
ImFont* font_for(const Fonts& fonts, const scene::Shape& shape) {
  if (shape.face == scene::Typeface::kPlain && shape.size < 14) return fonts.note;
  if (shape.face == scene::Typeface::kBold && shape.size > 17) return fonts.title;
  const bool figures = shape.face == scene::Typeface::kMonoBold && shape.size > 22 &&
                       shape.text.find_first_not_of("0123456789") == std::string::npos;
  return figures ? fonts.figure : face(fonts, shape.face);
}

namespace {

void paint_path(ImDrawList& list, const scene::Shape& shape, std::vector<ImVec2>& points) {
  const ImU32 colour = packed(shape.colour);
  const auto width = static_cast<float>(shape.width);
  const bool filled = shape.kind == scene::ShapeKind::kPolygon;
  if (filled && upright_box(shape.points))
    return list.AddRectFilled(at(shape.points[0]), at(shape.points[2]), colour);
  if (!filled && upright_path(shape.points)) {
    for (std::size_t i = 1; i < shape.points.size(); ++i)
      straight_line(list, at(shape.points[i - 1]), at(shape.points[i]), width, colour);
    return;
  }
  points.clear();
  for (const scene::P p : shape.points) points.push_back(at(p));
  if (filled) return list.AddConvexPolyFilled(points.data(), static_cast<int>(points.size()), colour);
  list.AddPolyline(points.data(), static_cast<int>(points.size()), colour, 0, width);
}

void paint_label(ImDrawList& list, const Fonts& fonts, const scene::Shape& shape) {
  ImFont* font = font_for(fonts, shape);
  const float size = static_cast<float>(shape.size) * kEm;
  const ImVec2 extent = font->CalcTextSizeA(size, FLT_MAX, 0, shape.text.c_str());
  ImVec2 place = at(shape.at);
  if (shape.align == scene::Align::kMiddle) place.x -= extent.x / 2;
  if (shape.align == scene::Align::kRight) place.x -= extent.x;
  place.y -= extent.y / 2;
  list.AddText(font, size, place, packed(shape.colour), shape.text.c_str());
}

}  // namespace

void paint(ImDrawList& list, const Fonts& fonts, const std::vector<scene::Shape>& shapes) {
  std::vector<ImVec2> points;
  for (const scene::Shape& shape : shapes) {
    const ImU32 colour = packed(shape.colour);
    const auto radius = static_cast<float>(shape.radius);
    const auto width = static_cast<float>(shape.width);
    switch (shape.kind) {
      case scene::ShapeKind::kDisc:
        if (!fonts.sprites.disc(list, at(shape.at), radius, colour))
          list.AddCircleFilled(at(shape.at), radius, colour);
        break;
      case scene::ShapeKind::kRing:
        if (!fonts.sprites.ring(list, at(shape.at), radius, width, colour))
          list.AddCircle(at(shape.at), radius, colour, 0, width);
        break;
      case scene::ShapeKind::kLine:
      case scene::ShapeKind::kPolygon:
        paint_path(list, shape, points);
        break;
      case scene::ShapeKind::kLabel:
        paint_label(list, fonts, shape);
        break;
    }
  }
}

}  // namespace landfall::ui
