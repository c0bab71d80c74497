// The whole window: head, gauge, map, sheet and marks, message line; or the bench page. Looks at the session,
// returns at most one action a frame, and changes nothing but its own small state.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "viewer/app/keymap.hpp"
#include "viewer/app/session.hpp"
#include "viewer/scene/map.hpp"
#include "viewer/ui/board_panel.hpp"
#include "viewer/ui/style.hpp"

namespace landfall::ui {

enum class Form { kNone, kOpen, kBare, kNewJob, kNote, kType, kKeys, kMessages, kBallName, kTypeShape };

// What a click does while a bare package is shaped.
enum class ShapeTool { kRub, kName };

// A mark key that is down: let go without a click it marks the ball that was selected when it went down; a
// click or a drag meanwhile marks what is clicked instead.
struct HeldKey {
  int place = 0;
  MarkKind kind = MarkKind::kSound;
  std::vector<Index> pins;  // what was acted on when it went down
  bool used = false;
};

// What a small window shows of the plan.
enum class PlanPart { kList, kMap, kBoard };

// Of the photo, on its page and under the map.
struct PhotoPanelState {
  double zoom = 1;          // 1: the whole picture
  scene::P pan;             // pixels of the photo, from its middle
  double strength = 0.6;    // of the map over it, 0 to 1
  bool matching = true;     // a click in the picture begins a match, else it selects a land
  bool alone = false;       // its key is held: without the map
  void* texture = nullptr;  // the program around this window uploads what the session shows
  Index brought = kNone;    // the proposal that was last brought into view
};

// Of the readings' page.
struct ReadingPanelState {
  std::string typed;
  bool wants_caret = false;  // the field gets it with the next frame
  bool sent = false;         // what was typed is being kept
  std::size_t brought = 0;   // the row that was last brought into view
};

// What is typed in place of something kept, in the one field that has the caret, or had it when refused.
struct KeptField {
  std::string name, typed;
  bool sent = false;
};

// Of the bench's pages.
struct SharingPanelState {
  std::string over, in, paper;  // paths
  std::int64_t paper_for = 0;   // whose file `paper` names
  bool to_paper = false;        // the caret goes to `paper`
  bool letter = false;
  bool settings = false, photos = true;
};

struct NamesPanelState {
  std::string from, to;  // typed, not kept yet
  std::string open;      // the proposed group whose pairs are listed
  bool sent = false;
};

// What only the window remembers.
struct WindowState {  // NOLINT(clang-analyzer-optin.performance.Padding): ordered by subject
  app::Keymap keys;
  std::string typed;  // in the find field
  bool focus_find = false;
  bool list_away = false;  // a click elsewhere put the list of finds away
  int hit = 0;             // the chosen row of the list of finds
  bool legend = true;
  bool num_lock = true;
  bool marks_column = false;  // narrow windows: the column shows marks, else the sheet
  bool column_alone = false;  // small windows: the column stands in the map's place

  Form form = Form::kNone;
  bool focus_field = false;
  std::string field, field2, field3, field4;          // of the form that is open
  bool line_sent = false;                             // its line is being taken
  std::vector<std::string> picked;                    // parts of a new job
  std::optional<bool> safety;                         // its answer
  std::optional<std::int64_t> into;                   // the board that files are added to
  std::int64_t board = 0;                             // whose part list the new job's form shows
  std::vector<std::string> parts;                     // that list
  std::int64_t chosen_job = 0, chosen_board = 0;      // on the bench page; no job: the board's own row
  std::pair<std::int64_t, std::int64_t> brought_job;  // board and job that were last brought into view

  std::size_t brought_line = static_cast<std::size_t>(-1);  // of the plan, last brought into view

  PlanPart plan_part = PlanPart::kList;  // in a window with room for one alone
  float sheet_height = 0;                // what the sheet came to when it was drawn last
  bool to_telling = false;               // the sheet is brought to what can be said of the ball, or
  bool to_sheet_top = false;             // to its top
  bool plan_fitted = false;              // its map was brought near when the page opened
  bool all_figures = false;              // of 'what if', else those that matter here
  std::string trial_field, trial_typed;  // the figure whose field has the caret

  double import_since = -1;  // when the import that shows was first drawn, ImGui's seconds

  std::size_t column = 0;  // of the pasted table, that keys act on
  ShapeTool tool = ShapeTool::kRub;

  BoardPanelState board_panel;
  PhotoPanelState photo;
  ReadingPanelState reading;
  KeptField kept_field;
  bool caret = false, had_caret = false;  // a page's field has it now; in the frame before
  std::size_t intake_row = 0, intake_brought = 0;
  std::string shelf_note, outcome_note;  // typed, not kept yet
  SharingPanelState sharing;
  NamesPanelState names;
  Index pointed = kNone;
  Index read_for = kNone;  // the selection when the pointer moved last: a newer one is read before it
  Index brought = kNone;   // the selection that was last brought into view
  std::optional<MarkKind> same_again;
  std::optional<HeldKey> held;
  std::optional<app::Action> then;             // to be done after the action that is returned now
  std::optional<scene::P> drag_from, drag_to;  // a rectangle, or a stroke while a mark key is down
  std::vector<Index> stroke;
  bool turning = false;  // the rose is held

  // The map as drawn last, kept while nothing of it changes.
  std::uint64_t drawn_revision = 0;
  scene::Rect drawn_area;
  std::vector<scene::Shape> drawn;
  scene::Rect map_area;  // where the map was, for keys

  // Wishes to the program around it.
  bool wants_picker = false, wants_full_screen = false;
};

std::optional<app::Action> draw_window(const app::Session& session, WindowState& state, const Fonts& fonts,
                                       float width, float height);

}  // namespace landfall::ui
