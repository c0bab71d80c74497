#include "viewer/ui/window.hpp"

#include <algorithm>

#include "viewer/ui/panel.hpp"

// The layout by effective width: pixels divided by scale and text size. LOOK, section 9.

namespace landfall::ui {
namespace {

constexpr double kHead = 48;
constexpr double kMessage = 28;
constexpr double kStrip = 60;
constexpr double kColumn = 300;
constexpr double kKeysHeight = 176;

// Narrow windows: one column, the sheet or the marks, with the mark keys at its foot.
void draw_column(Frame& f, scene::Rect area) {
  const double keys = f.session.job && area.height > 380 ? kKeysHeight : 0;
  {
    const Pane pane("choice", {area.x, area.y, area.width, 44}, f.theme.sheet);
    ImGui::SetCursorPos({8, 5});
    const float half = static_cast<float>(area.width) / 2 - 12;
    if (button(f, "ball", "Ball", "", {half, 34}, !f.state.marks_column)) f.state.marks_column = false;
    ImGui::SameLine(0, 8);
    if (button(f, "marks", "Marks", "", {half, 34}, f.state.marks_column)) f.state.marks_column = true;
  }
  const scene::Rect rest{area.x, area.y + 44, area.width, area.height - 44 - keys};
  if (f.state.marks_column) {
    draw_marks(f, rest);
  } else {
    draw_sheet(f, rest);
  }
  if (keys == 0) return;
  const Pane pane("mark keys", {area.x, area.y + area.height - keys, area.width, keys}, f.theme.ground);
  ImGui::SetCursorPos({12, 8});
  text(f.fonts.note, f.theme.ink2, std::to_string(f.session.assessment.not_inspected) + " not inspected");
  ImGui::SetCursorPosX(12);
  ImGui::BeginGroup();
  draw_mark_keys(f, static_cast<float>(area.width) - 24);
  ImGui::EndGroup();
}

void draw_middle(Frame& f, scene::Rect area);

// Small windows: the map, the sheet or the marks, one at a time.
void draw_small(Frame& f, scene::Rect area) {
  constexpr double kChoice = 44;
  const scene::Rect page{area.x, area.y, area.width, area.height - kChoice};
  if (!f.state.column_alone || (f.state.form != Form::kNone && f.state.form != Form::kNote)) {
    draw_middle(f, page);
  } else if (f.state.marks_column) {
    draw_marks(f, page);
  } else {
    draw_sheet(f, page);
  }
  const Pane pane("choice", {area.x, area.y + area.height - kChoice, area.width, kChoice}, f.theme.ground);
  ImGui::SetCursorPos({8, 5});
  const float third = static_cast<float>(area.width - 32) / 3;
  const auto choose = [&](const char* label, bool alone, bool marks) {
    const bool own = f.state.column_alone == alone && (!alone || f.state.marks_column == marks);
    if (button(f, label, label, "", {third, 34}, own)) {
      f.state.column_alone = alone;
      f.state.marks_column = marks;
    }
    ImGui::SameLine(0, 8);
  };
  const char* shown = "Map";
  if (f.session.board_view) shown = "Board";
  if (f.session.plan_page) shown = "Plan";
  if (f.session.verdict_page) shown = "Verdict";
  if (f.session.photo_page) shown = "Photo";
  if (f.session.page) shown = "Job";
  choose(shown, false, false);
  choose("Ball", true, false);
  choose("Marks", true, true);
}

// The whole board in the map's place.
void draw_board_pane(Frame& f, scene::Rect area) {
  const Pane pane("board", area, f.theme.sheet);
  f.state.board_panel.beside = false;
  if (auto action = draw_board(f.session, f.state.board_panel, f.fonts, area)) f.action = std::move(action);
}

// A page that takes the columns' room as well; forms that stand in the map's place come before it.
bool has_whole_width(const Frame& f) {
  return (f.session.plan_page || f.session.verdict_page) && f.state.form == Form::kNone;
}

void draw_job_page(Frame& f, scene::Rect area) {
  draw_pages_row(f, {area.x, area.y, area.width, kPagesRow});
  const scene::Rect rest{area.x, area.y + kPagesRow, area.width, area.height - kPagesRow};
  switch (*f.session.page) {
    case app::JobPage::kIntake:
      return draw_intake(f, rest);
    case app::JobPage::kSuspects:
      return draw_suspects(f, rest);
    case app::JobPage::kReadings:
      return draw_readings(f, rest);
  }
}

// The place of the map, or of a page that is read instead.
void draw_middle(Frame& f, scene::Rect area) {
  switch (f.state.form) {
    case Form::kKeys:
      return draw_keys_page(f, area);
    case Form::kMessages:
      return draw_messages_page(f, area);
    case Form::kNewJob:
    case Form::kOpen:
    case Form::kBare:
      return draw_form(f, area);
    case Form::kNote:
    case Form::kType:  // their field stands below the map, whatever stood in its place
      return draw_map_panel(f, area);
    case Form::kNone:
    case Form::kBallName:
    case Form::kTypeShape:
      if (f.session.board_view) return draw_board_pane(f, area);
      if (f.session.plan_page) return draw_plan(f, area);
      if (f.session.verdict_page) return draw_verdict(f, area);
      if (f.session.photo_page) return draw_photos(f, area);
      if (f.session.page) return draw_job_page(f, area);
      return draw_map_panel(f, area);
  }
}

void draw_map_page(Frame& f) {
  const double top = kHead;
  const double height = f.height - kHead - kMessage;
  if (f.width >= 1160) {
    const double gauge = f.width >= 1600 ? 224 : 208;
    const double sheet = f.width >= 1600 ? 372 : 344;
    const double upper = height * 0.6;
    draw_gauge(f, {0, top, gauge, height});
    if (has_whole_width(f)) return draw_middle(f, {gauge, top, f.width - gauge, height});
    draw_middle(f, {gauge, top, f.width - gauge - sheet, height});
    draw_sheet(f, {f.width - sheet, top, sheet, upper});
    draw_marks(f, {f.width - sheet, top + upper, sheet, height - upper});
    return;
  }
  const double strip = height > 400 ? kStrip : 0;
  if (strip > 0) draw_strip(f, {0, top, f.width, strip});
  const double left = height - strip;
  if (has_whole_width(f)) return draw_middle(f, {0, top + strip, f.width, left});
  if (f.width >= 760) {
    draw_middle(f, {0, top + strip, f.width - kColumn, left});
    draw_column(f, {f.width - kColumn, top + strip, kColumn, left});
    return;
  }
  if (left < 620) return draw_small(f, {0, top + strip, f.width, left});
  // The column goes under the map, which keeps what it can.
  const double map = std::min(left - 120, std::max(420.0, left * 0.6));
  draw_middle(f, {0, top + strip, f.width, map});
  draw_column(f, {0, top + strip + map, f.width, left - map});
}

// The bench's list, or what stands in its place.
void draw_bench_list(Frame& f, scene::Rect area) {
  if (!f.session.bench_view) return draw_bench(f, area);
  draw_pages_row(f, {area.x, area.y, area.width, kPagesRow});
  const scene::Rect rest{area.x, area.y + kPagesRow, area.width, area.height - kPagesRow};
  switch (*f.session.bench_view) {
    case app::BenchPage::kShelf:
      return draw_shelf(f, rest);
    case app::BenchPage::kSharing:
      return draw_sharing(f, rest);
    case app::BenchPage::kNames:
      return draw_names(f, rest);
  }
}

void draw_bench_page(Frame& f) {
  const scene::Rect area{0, kHead, f.width, f.height - kHead - kMessage};
  if (f.session.import) return draw_import(f, area);
  if (f.session.warnings) return draw_warnings(f, area);
  if (f.session.pasted &&
      (f.state.form == Form::kNone || f.state.form == Form::kNote || f.state.form == Form::kType))
    return draw_paste(f, area);
  switch (f.state.form) {
    case Form::kKeys:
      return draw_keys_page(f, area);
    case Form::kMessages:
      return draw_messages_page(f, area);
    case Form::kOpen:
    case Form::kBare:
    case Form::kNewJob:
      return draw_form(f, area);
    case Form::kNone:
    case Form::kNote:
    case Form::kType:
    case Form::kBallName:
    case Form::kTypeShape:
      return draw_bench_list(f, area);
  }
}

}  // namespace

void draw_board_beside(Frame& f, scene::Rect area) {
  const Pane pane("board beside", area, f.theme.sheet);
  f.state.board_panel.beside = true;
  if (auto action = draw_board(f.session, f.state.board_panel, f.fonts, area)) f.action = std::move(action);
}

std::optional<app::Action> draw_window(const app::Session& session, WindowState& state, const Fonts& fonts,
                                       float width, float height) {
  const scene::Theme& theme = scene::theme(static_cast<scene::ThemeName>(session.preferences.theme));
  Frame f{session, state, fonts, theme, width, height, std::nullopt};
  const bool map = session.board && !session.bench_page;
  // A form that made what it was for has nothing more to ask.
  if (map && (state.form == Form::kBare || state.form == Form::kOpen)) state.form = Form::kNone;
  // What is worked on is what the bench and its pages are about next.
  if (map) {
    state.chosen_board = session.board->info().id;
    state.chosen_job = session.job ? session.job->id : 0;
  }
  if (state.form != Form::kNewJob) state.parts.clear();
  const auto alone = app::key_press(key_of(f, app::Command::kPhotoAlone));
  state.photo.alone = alone && !ImGui::GetIO().WantTextInput && ImGui::IsKeyDown(alone->place);
  if (!map || !session.plan_page) {
    state.plan_fitted = false;
    state.board_panel.near = false;
  }
  if (!session.import) state.import_since = -1;
  state.had_caret = state.caret;
  state.caret = false;
  ImGui::PushFont(fonts.body);
  draw_head(f);
  if (map) {
    draw_map_page(f);
  } else {
    draw_bench_page(f);
  }
  draw_hits(f);
  draw_message(f);
  ImGui::PopFont();
  if (state.then) {
    // Two actions of one key: the second follows in a frame of its own.
    f.action = std::move(state.then);
    state.then.reset();
    return f.action;
  }
  take_keys(f);
  return f.action;
}

}  // namespace landfall::ui
