// Dear ImGui without a display: frames can be made, and keys and mouse set before each.
#pragma once

#include <imgui.h>

#include "viewer/ui/panel.hpp"

namespace landfall::testing {

class Headless {
 public:
  Headless(float width, float height) : context_(ImGui::CreateContext()) {
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {width, height};
    io.DeltaTime = 0.05F;
    fonts = ui::load_fonts(1, {});
    unsigned char* pixels = nullptr;
    int wide = 0;
    int high = 0;
    io.Fonts->GetTexDataAsAlpha8(&pixels, &wide, &high);
  }
  ~Headless() { ImGui::DestroyContext(context_); }
  Headless(const Headless&) = delete;
  Headless& operator=(const Headless&) = delete;
  Headless(Headless&&) = delete;
  Headless& operator=(Headless&&) = delete;

  ui::Fonts fonts;

 private:
  ImGuiContext* context_;
};

}  // namespace landfall::testing
