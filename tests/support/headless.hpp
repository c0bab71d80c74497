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

// The mouse of a fixture that makes frames by its own frame().
template <class Fixture>
class Mouse {
 public:
  void move(scene::P to) {
    ImGui::GetIO().MousePos = {static_cast<float>(to.x), static_cast<float>(to.y)};
    own().frame();
  }
  void click(scene::P at) {
    move(at);
    ImGui::GetIO().MouseDown[0] = true;
    own().frame();
    ImGui::GetIO().MouseDown[0] = false;
    own().frame();
    own().frame();
  }

 private:
  Fixture& own() { return static_cast<Fixture&>(*this); }
};

}  // namespace landfall::testing
