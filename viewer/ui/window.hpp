// The whole window: head, gauge, map, sheet and marks, message line; or the start page. Looks at the session,
// returns at most one action a frame, and changes nothing but its own small state.
#pragma once

#include <optional>
#include <string>

#include "viewer/app/session.hpp"
#include "viewer/scene/map.hpp"
#include "viewer/ui/board_panel.hpp"
#include "viewer/ui/style.hpp"

namespace landfall::ui {

// What only the window remembers.
struct WindowState {
  std::string typed;  // in the find field
  bool focus_find = false;
  double zoom = 1;
  scene::P pan;
  Index pointed = kNone;
  std::optional<MarkKind> same_again;
  BoardPanelState board;
};

// A key's press, by place (SDL scancode as ImGui's key index) or by the text that it typed.
struct KeyInfo {
  const char* keys;
  const char* does;
};
// The table that F1 shows and the tests read.
const std::vector<KeyInfo>& keys();

std::optional<app::Action> draw_window(const app::Session& session, WindowState& state, const Fonts& fonts,
                                       float width, float height);

// The action of a key typed while no field has the caret; `ctrl` and `shift` as they were then.
std::optional<app::Action> key_action(const app::Session& session, WindowState& state,
                                      const scene::MapView* map, int scancode, bool ctrl, bool shift);

}  // namespace landfall::ui
