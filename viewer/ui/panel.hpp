// What the panels share: the frame, panes on their grounds, texts and buttons. For viewer/ui only.
#pragma once

#include <string>

#include "viewer/ui/window.hpp"

namespace landfall::ui {

// One frame of the window.
struct Frame {
  const app::Session& session;
  WindowState& state;
  const Fonts& fonts;
  const scene::Theme& theme;
  float width, height;
  std::optional<app::Action> action;
};

// A fixed part of the window on its own ground.
class Pane {
 public:
  // `above`: over the others, as the list of finds is while typing.
  Pane(const char* name, scene::Rect area, scene::Colour ground, bool scrolls = false, bool above = false);
  ~Pane();
  Pane(const Pane&) = delete;
  Pane& operator=(const Pane&) = delete;
  Pane(Pane&&) = delete;
  Pane& operator=(Pane&&) = delete;
};

void text(ImFont* font, scene::Colour colour, const std::string& what);
void wrapped(ImFont* font, scene::Colour colour, const std::string& what);
// How wide a line of it is, in the window's units at any scale of the screen.
float width_of(ImFont* font, const std::string& what);
// Cut with an ellipsis where it is wider than that.
void cut_text(ImFont* font, scene::Colour colour, const std::string& what, float width);
std::string cut(ImFont* font, const std::string& what, float width);
// Ends at the right edge of what is left of the line.
void right_text(ImFont* font, scene::Colour colour, const std::string& what, float right);
// A section: hairline, word in capitals, something at the right.
void caption(const Frame& f, const std::string& what, const std::string& right = "", bool line = true);
void rule(const Frame& f);
// A button with its key in a small box. `main`: the one that matters most.
bool button(const Frame& f, const char* name, const std::string& label, const std::string& key, ImVec2 size,
            bool main = false);
// The ground of a list's row: full with a bar at its left for the chosen one, a thin frame under the pointer,
// so that the two are not taken for each other.
void row_ground(const Frame& f, ImVec2 low, ImVec2 high, bool chosen, bool hovered);
// The first key of a command, for a button's box.
std::string key_of(const Frame& f, app::Command command);
// Shapes drawn in the present window.
void draw(const Frame& f, scene::Canvas& canvas);
// A field with its hint; the caret goes there when the form has just opened. True when Enter was pressed.
bool field(Frame& f, const char* name, const char* hint, std::string& value, float width, bool first = false);
// A field that shows what is kept. Answers what was typed in its place, once: on Enter, or when the caret
// leaves it. What was refused stays to be corrected.
std::optional<std::string> kept_field(Frame& f, const std::string& name, const char* hint,
                                      const std::string& kept, float width, bool first = false);
// The caution's triangle, and a caution in its place: triangle and sentence.
void draw_caution(scene::Canvas& canvas, scene::P at, scene::Colour colour);
void caution(Frame& f, const std::string& says);
// What must be done before a meter or a wire touches the board, at the head of `area`, which shrinks by it;
// nothing where nothing stands against it. `low`: one line, the gravest and how many more.
void draw_power_cautions(Frame& f, scene::Rect& area, bool low);
// A closed job's line and the way to open it again, in place of what would be refused.
void draw_closed(Frame& f, float width);
// "~/a.net" -> a path, without blanks and quotes around it; empty for none.
std::filesystem::path typed_path(const std::string& text);
void open_form(WindowState& state, Form form);
// Runs what a key or a button stands for: an action, or a change of the window's own state.
std::optional<app::Action> run_command(const app::Session& session, WindowState& state, app::Command command);
// A page stands in the map's place: what a key would mark is not seen, so nothing is marked.
bool hides_map(const app::Session& session);
app::Action marks_wait(const WindowState& state);
// The keys of this frame.
void take_keys(Frame& f);

inline constexpr float kHeadHeight = 48;
// Where the head's parts begin, and how wide the field is.
struct HeadPlaces {
  float find, find_width, views;
};
HeadPlaces head_places(const Frame& f);
void draw_head(Frame& f);
void draw_find(Frame& f, const HeadPlaces& at);
void draw_hits(Frame& f);
void draw_message(const Frame& f);
void draw_gauge(Frame& f, scene::Rect area);
void draw_strip(Frame& f, scene::Rect area);
// The colour of a state's word; the sign beside it says the same by its shape.
scene::Colour state_colour(const Frame& f, rework::State state);
void draw_mark_keys(Frame& f, float width);
void draw_rose_panel(Frame& f, float radius);
void draw_map_panel(Frame& f, scene::Rect area);
void draw_plan(Frame& f, scene::Rect area);
// Up, Down, Space, X and Enter on the plan's page; `taken`: it was one of them.
std::optional<app::Action> plan_command(const app::Session& session, app::Command command, bool& taken);
void draw_verdict(Frame& f, scene::Rect area);
// 'What if': the figures with a field each; the foot that says what is tried.
void draw_figures(Frame& f);
void draw_trial_foot(Frame& f, scene::Rect area);
// The whole board beside the map, near to the plan's wires.
void draw_board_beside(Frame& f, scene::Rect area);
void draw_photos(Frame& f, scene::Rect area);
// The words of the job's pages in one row, the present one bold, with its keys.
inline constexpr double kPagesRow = 44;
void draw_pages_row(Frame& f, scene::Rect area);
void draw_readings(Frame& f, scene::Rect area);
void draw_suspects(Frame& f, scene::Rect area);
void draw_intake(Frame& f, scene::Rect area);
// Keys of these pages: rows go by Up and Down, though a field may have the caret on the readings' page.
bool take_reading_key(Frame& f, int place);
bool take_intake_key(Frame& f, int place);
std::optional<app::Action> reading_command(const app::Session& session, WindowState& state,
                                           app::Command command, bool& taken);
std::optional<app::Action> intake_command(const app::Session& session, WindowState& state,
                                          app::Command command, bool& taken);
std::optional<app::Action> suspect_command(const app::Session& session, WindowState& state,
                                           app::Command command, bool& taken);
// The bench's other pages.
void draw_shelf(Frame& f, scene::Rect area);
void draw_sharing(Frame& f, scene::Rect area);
void draw_names(Frame& f, scene::Rect area);
// The slider of how strong the map stands over the photo.
void draw_strength(Frame& f, float width);
void draw_sheet(Frame& f, scene::Rect area);
void draw_marks(Frame& f, scene::Rect area);
void draw_bench(Frame& f, scene::Rect area);
// The bench page's rows from the top: a board, then its jobs; `job` is 0 in a board's own row.
struct BenchRow {
  std::int64_t board = 0, job = 0;
};
std::vector<BenchRow> bench_rows(const app::Session& session);
void draw_import(Frame& f, scene::Rect area);
void draw_warnings(Frame& f, scene::Rect area);
// The new job's form: digits choose parts, N and Y answer, Enter begins; false: not one of its keys.
bool take_new_job_key(Frame& f, int place);
void draw_form(Frame& f, scene::Rect area);
// A pasted table before it is taken; its keys: Up and Down go from column to column, Left and Right change
// what it is for, Enter accepts. False: not one of them.
void draw_paste(Frame& f, scene::Rect area);
bool take_paste_key(Frame& f, int place);
std::string clipboard_text();
// A bare package that is being shaped: what a click on the map does, the line below the map, the keys.
void click_shape(Frame& f, const scene::MapView& map, scene::P at);
void drag_shape(Frame& f, const scene::MapView& map, scene::P from, scene::P to);
void draw_shape_line(Frame& f, double width);
std::optional<app::Action> shape_command(const app::Session& session, WindowState& state,
                                         app::Command command, bool& taken);
void draw_keys_page(Frame& f, scene::Rect area);
void draw_messages_page(Frame& f, scene::Rect area);

// What the map shows; the flags must outlive it.
struct MapFlags {
  std::vector<bool> single_out, lit, chosen;
};
scene::MapInput map_input(const app::Session& session, MapFlags& flags);

}  // namespace landfall::ui
