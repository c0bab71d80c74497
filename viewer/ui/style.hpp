// Typefaces and colours of the window. LOOK, "Type", "Colour tokens".
#pragma once

#include <imgui.h>

#include "viewer/scene/scene.hpp"

namespace landfall::ui {

struct Fonts {
  ImFont* body = nullptr;
  ImFont* bold = nullptr;
  ImFont* italic = nullptr;
  ImFont* mono = nullptr;
  ImFont* mono_bold = nullptr;
  ImFont* figure = nullptr;  // the count of wires, the selected ball
};

// Adds the faces to the present context's atlas at this scale; ImGui's own face where a file is missing.
Fonts load_fonts(float scale);
// Every colour and measure of ImGuiStyle from the theme.
void set_style(const scene::Theme& theme);
ImU32 packed(scene::Colour c);
ImFont* face(const Fonts& fonts, scene::Typeface typeface);

// Paints a scene's shapes; decides nothing.
void paint(ImDrawList& list, const Fonts& fonts, const std::vector<scene::Shape>& shapes);

}  // namespace landfall::ui
