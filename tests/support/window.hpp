// The whole window without a display: keys, text and clicks in, the session's state out.
#pragma once

#include "tests/support/headless.hpp"
#include "tests/support/session.hpp"
#include "viewer/app/session.hpp"
#include "viewer/ui/window.hpp"

namespace landfall::testing {

// Keys by their place on the keyboard, as USB HID usage numbers.
inline constexpr int kPlaceEnter = 40, kPlaceEsc = 41, kPlaceTab = 43;

class WindowDriver : public Mouse<WindowDriver> {
  app::Session& shown_;

 public:
  Headless screen{1280, 800};
  ui::WindowState state;

  // `session` must outlive it.
  explicit WindowDriver(app::Session& session) : shown_(session) {
    ImGuiIO& io = ImGui::GetIO();
    io.MousePos = {5, 795};
    // As the program sets them: ImGui's own keys by their place on the keyboard.
    io.KeyMap[ImGuiKey_Enter] = kPlaceEnter;
    io.KeyMap[ImGuiKey_Escape] = kPlaceEsc;
    io.KeyMap[ImGuiKey_Tab] = kPlaceTab;
  }
  // One frame; an action that comes back is applied, as the program does.
  void frame() {
    ImGui::NewFrame();
    const ImVec2 size = ImGui::GetIO().DisplaySize;
    const auto action = ui::draw_window(shown_, state, screen.fonts, size.x, size.y);
    ImGui::Render();
    if (action) app::apply(shown_, *action);
  }
  void key(int place, bool shift = false, bool ctrl = false) {
    ImGuiIO& io = ImGui::GetIO();
    io.KeyShift = shift;
    io.KeyCtrl = ctrl;
    io.KeysDown[place] = true;
    frame();
    io.KeysDown[place] = false;
    io.KeyShift = false;
    io.KeyCtrl = false;
    frame();
    frame();
  }
  void type(const char* text) {
    ImGui::GetIO().AddInputCharactersUTF8(text);
    frame();
    frame();
  }
  // Where a grid position of the package is on the map.
  [[nodiscard]] scene::P cell(int row, int column) const {
    ui::MapFlags flags;
    const scene::MapInput in = ui::map_input(shown_, flags);
    const scene::MapView map(in, state.map_area);
    const Package& p = shown_.package;
    return map.to_screen({column - (1.0 + p.columns) / 2, (1.0 + p.rows) / 2 - row});
  }
};

// The window on a new job of the sample board's U1.
struct JobWindow : SessionFixture, WindowDriver {
  JobWindow() : WindowDriver(session) {
    job();
    for (int i = 0; i < 3; ++i) frame();
  }
};

}  // namespace landfall::testing
