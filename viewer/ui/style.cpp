#include "viewer/ui/style.hpp"

#include <array>

#include "viewer/app/typefaces.hpp"

namespace landfall::ui {
namespace {

// stb scales ascent plus descent: B612's em is so much smaller than ImGui's size.
constexpr float kEm = 1.215F;

ImFont* load(app::FontFile file, float em, float scale) {
  static constexpr std::array<ImWchar, 21> kRanges{0x20,   0x7E,   0xA0,   0xFF,   0x370,  0x3FF,  0x400,
                                                   0x4FF,  0x2010, 0x2027, 0x2190, 0x2193, 0x2212, 0x2212,
                                                   0x2264, 0x2265, 0x20AC, 0x20AC, 0x2126, 0x2126, 0};
  ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
  const auto path = app::font_file(file);
  ImFontConfig config;
  config.OversampleH = 1;
  config.PixelSnapH = true;
  ImFont* font = path.empty() ? nullptr
                              : atlas.AddFontFromFileTTF(path.string().c_str(), em * kEm * scale, &config,
                                                         kRanges.data());
  return font == nullptr ? atlas.AddFontDefault() : font;
}

ImVec2 at(scene::P p) {
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

}  // namespace

Fonts load_fonts(float scale) {
  Fonts fonts;
  fonts.body = load(app::FontFile::kRegular, 15, scale);
  fonts.bold = load(app::FontFile::kBold, 15, scale);
  fonts.italic = load(app::FontFile::kItalic, 15, scale);
  fonts.mono = load(app::FontFile::kMono, 13, scale);
  fonts.mono_bold = load(app::FontFile::kMonoBold, 15, scale);
  fonts.figure = load(app::FontFile::kMonoBold, 32, scale);
  return fonts;
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

void paint(ImDrawList& list, const Fonts& fonts, const std::vector<scene::Shape>& shapes) {
  std::vector<ImVec2> points;
  for (const scene::Shape& shape : shapes) {
    const ImU32 colour = packed(shape.colour);
    switch (shape.kind) {
      case scene::ShapeKind::kDisc:
        list.AddCircleFilled(at(shape.at), static_cast<float>(shape.radius), colour);
        break;
      case scene::ShapeKind::kRing:
        list.AddCircle(at(shape.at), static_cast<float>(shape.radius), colour, 0,
                       static_cast<float>(shape.width));
        break;
      case scene::ShapeKind::kLine:
      case scene::ShapeKind::kPolygon:
        points.clear();
        for (const scene::P p : shape.points) points.push_back(at(p));
        if (shape.kind == scene::ShapeKind::kPolygon) {
          list.AddConvexPolyFilled(points.data(), static_cast<int>(points.size()), colour);
        } else {
          list.AddPolyline(points.data(), static_cast<int>(points.size()), colour, 0,
                           static_cast<float>(shape.width));
        }
        break;
      case scene::ShapeKind::kLabel: {
        ImFont* font = face(fonts, shape.face);
        const float size = static_cast<float>(shape.size) * kEm;
        const ImVec2 extent = font->CalcTextSizeA(size, FLT_MAX, 0, shape.text.c_str());
        ImVec2 place = at(shape.at);
        if (shape.align == scene::Align::kMiddle) place.x -= extent.x / 2;
        if (shape.align == scene::Align::kRight) place.x -= extent.x;
        place.y -= extent.y / 2;
        list.AddText(font, size, place, colour, shape.text.c_str());
        break;
      }
    }
  }
}

}  // namespace landfall::ui
