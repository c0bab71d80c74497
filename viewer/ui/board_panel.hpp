// The whole board in the window: the same scene as on paper, with a head that names the side and a line below
// that says what is under the pointer. LOOK, "Board".
#pragma once

#include <memory>
#include <optional>

#include "viewer/app/session.hpp"
#include "viewer/scene/board_scene.hpp"
#include "viewer/ui/style.hpp"

namespace landfall::ui {

// What only this panel remembers.
struct BoardPanelState {
  std::weak_ptr<const app::OpenBoard> board;  // the rest belongs to this one
  double zoom = 1;
  scene::P pan;
  Index part = kNone;                   // clicked beside its lands
  Index net = kNone;                    // clicked on its copper
  std::vector<scene::BoardWire> wires;  // of the plan, for the frame that is drawn
  bool every_track = false;
  bool beside = false;         // beside the map on the plan's page: keys act on the map
  bool near = false;           // the plan's wires were brought into view there
  bool near_or_whole = false;  // asked for by key, done when the place is known
};

// To do, done or failed, by the job's outcomes; `present`: the chosen line of the plan.
scene::WireState wire_state(const app::Session& session, const rework::PlannedWire& wire);

// Draws inside the caller's window, in `area`; needs session.board. A click on a land selects its ball, on
// copper its net, on a part the part; a double click opens that part's map; the wheel zooms about the
// pointer, a drag moves the board. At most one action a frame.
std::optional<app::Action> draw_board(const app::Session& session, BoardPanelState& state, const Fonts& fonts,
                                      scene::Rect area);

// The action of a key while the board shows (SDL scancode); F: the other side, Z: near or whole, + and -:
// zoom, C: every track of the side.
std::optional<app::Action> board_key(BoardPanelState& state, int scancode);

// The keys that board_key() takes.
bool is_board_key(int scancode);

// What stands in the line below: the land, copper or part, else the board.
std::string board_reading(const app::OpenBoard& board, const std::optional<scene::BoardHit>& hit);

}  // namespace landfall::ui
