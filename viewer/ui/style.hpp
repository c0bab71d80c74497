// Typefaces and colours of the window. LOOK, "Type", "Colour tokens".
#pragma once

#include <set>
#include <string_view>

#include <imgui.h>

#include "viewer/scene/scene.hpp"
#include "viewer/ui/sprites.hpp"

namespace landfall::ui {

struct Fonts {
  ImFont* body = nullptr;       // 15
  ImFont* bold = nullptr;       // 15
  ImFont* italic = nullptr;     // 15
  ImFont* note = nullptr;       // 13
  ImFont* title = nullptr;      // Bold 20
  ImFont* mono = nullptr;       // 13
  ImFont* mono_bold = nullptr;  // 15
  ImFont* figure = nullptr;     // Mono Bold 32: the count of wires, the selected ball
  Sprites sprites;
};

// Adds the faces to the present context's atlas at this scale, which must be empty or cleared, and builds it;
// ImGui's own face where a file is missing. `extra`: letters beyond the standard ones, taken from the second
// typeface where the first lacks them.
Fonts load_fonts(float scale, const std::set<ImWchar>& extra);
// Adds the letters of the text that the standard ranges lack.
void collect_letters(std::string_view text, std::set<ImWchar>& extra);

// Every colour and measure of ImGuiStyle from the theme.
void set_style(const scene::Theme& theme);
ImU32 packed(scene::Colour c);
ImFont* face(const Fonts& fonts, scene::Typeface typeface);
ImFont* font_for(const Fonts& fonts, const scene::Shape& shape);

// Along a row or a column of pixels, snapped to them: a slanting line's blur has no use there, and the
// software renderer draws such lines unevenly.
void straight_line(ImDrawList& list, ImVec2 from, ImVec2 to, float width, ImU32 colour);
// A box's outline, inside it.
void outline(ImDrawList& list, ImVec2 low, ImVec2 high, ImU32 colour, float width = 1);
// Paints a scene's shapes; decides nothing.
void paint(ImDrawList& list, const Fonts& fonts, const std::vector<scene::Shape>& shapes);

}  // namespace landfall::ui
