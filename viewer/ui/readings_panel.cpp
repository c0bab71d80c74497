#include <algorithm>

#include <fmt/format.h>

#include "viewer/ui/panel.hpp"

// The measuring sheet to type into: rows in its order, the field for the present one at the foot.

namespace landfall::ui {
namespace {

constexpr float kRow = 46;
// A low window has buttons and words in one line each, and the caution at the head of the list.
bool is_low(scene::Rect area) {
  return area.height < 340;
}
float head_height(scene::Rect area) {
  return is_low(area) ? 66 : 116;
}
float foot_height(scene::Rect area) {
  return is_low(area) ? 46 : 92;
}
constexpr float kFigure = 74;  // a column of figures

scene::Colour colour_of(const Frame& f, rework::ReadingWord word) {
  switch (word) {
    case rework::ReadingWord::kGood:
      return f.theme.ok;
    case rework::ReadingWord::kOpen:
    case rework::ReadingWord::kShort:
      return f.theme.bad;
    case rework::ReadingWord::kDoubtful:
      return f.theme.warn;
    case rework::ReadingWord::kUnknown:
      return f.theme.ink2;
  }
  return f.theme.ink;
}

// Where the columns stand, from the left of the list.
struct Columns {
  float net = 44, expected = 0, before = 0, after = 0, says = 0;
  bool wide = false;
};

// What the list has of a pane's width: the bar at its right stands there or not.
float list_width(float pane) {
  return pane - 2 * ImGui::GetStyle().WindowPadding.x - ImGui::GetStyle().ScrollbarSize;
}

Columns columns_of(float width) {
  Columns at;
  at.wide = width >= 560;
  at.says = width - (at.wide ? 150.0F : 96.0F);
  at.after = at.says - kFigure;
  at.before = at.after - kFigure;
  at.expected = at.before - kFigure;
  return at;
}

void draw_row(Frame& f, std::size_t n, const Columns& at, float width) {
  const app::ReadingDesk& desk = *f.session.readings;
  const app::ReadingRow& row = desk.sheet.rows[n];
  const bool own = desk.at == n;
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  ImGui::PushID(static_cast<int>(n));
  if (ImGui::InvisibleButton("row", {width, kRow})) {
    f.action = app::GoToReading{n};
    f.state.reading.wants_caret = true;
  }
  ImGui::PopID();
  row_ground(f, corner, {corner.x + width, corner.y + kRow - 1}, own, ImGui::IsItemHovered());
  scene::Canvas canvas(f.theme.stroke);
  const double first = corner.y + 15;
  const double second = corner.y + 34;
  const auto put = [&](float x, double y, const std::string& what, ImFont* font, scene::Typeface face,
                       double size, float room, scene::Colour colour) {
    canvas.label({corner.x + x, y}, cut(font, what, room), size, face, scene::Align::kLeft, colour);
  };
  put(10, first, std::to_string(row.number), f.fonts.bold, scene::Typeface::kBold, 15, 32, f.theme.ink);
  put(at.net, first, row.net, row.damaged ? f.fonts.mono_bold : f.fonts.mono,
      row.damaged ? scene::Typeface::kMonoBold : scene::Typeface::kMono, row.damaged ? 15 : 13,
      at.expected - at.net - 8, f.theme.ink);
  const ReadingMode mode = desk.sheet.mode;
  put(at.expected, first, app::expected_text(mode, row.expected), f.fonts.italic, scene::Typeface::kItalic,
      15, kFigure - 6, f.theme.ink2);
  if (row.before)
    put(at.before, first, app::value_text(mode, row.before->value), f.fonts.body, scene::Typeface::kPlain, 15,
        kFigure - 6, f.theme.ink);
  if (row.after)
    put(at.after, first, app::value_text(mode, row.after->value), f.fonts.body, scene::Typeface::kPlain, 15,
        kFigure - 6, f.theme.ink);
  const bool read = row.before || row.after;
  const rework::JudgedReading& judged = row.after ? row.judged_after : row.judged_before;
  if (read) {
    const bool unknown = judged.word == rework::ReadingWord::kUnknown;
    put(at.says, first, unknown ? "kept" : std::string(rework::word(judged.word)), f.fonts.bold,
        scene::Typeface::kBold, 15, width - at.says - 6, colour_of(f, judged.word));
  }
  std::string below = row.point.empty() ? "no point known" : row.point;
  if (read) {
    below += ".  " + judged.why;
  } else if (row.expected.known) {
    below += ".  expected from " + row.expected.from;
  }
  put(at.net, second, below, f.fonts.note, scene::Typeface::kPlain, 13, width - at.net - 8, f.theme.ink2);
  canvas.rect({corner.x, corner.y + kRow - 1.0, width, 1}, f.theme.rule);
  draw(f, canvas);
}

void draw_rows(Frame& f, scene::Rect area, scene::Rect whole) {
  const Pane pane("reading rows", area, f.theme.sheet, true);
  const app::ReadingDesk& desk = *f.session.readings;
  const float width = list_width(static_cast<float>(area.width));
  const Columns at = columns_of(width);
  if (is_low(whole)) {
    ImGui::PushTextWrapPos(width);
    text(f.fonts.note, f.theme.warn, std::string(app::kMeterCaution));
    ImGui::PopTextWrapPos();
  }
  const float above = ImGui::GetCursorPosY() - ImGui::GetStyle().WindowPadding.y;
  if (desk.at != f.state.reading.brought) {
    f.state.reading.brought = desk.at;
    const float top = static_cast<float>(desk.at) * kRow + above;
    const float shown = ImGui::GetWindowHeight() - 2 * ImGui::GetStyle().WindowPadding.y;
    if (top < ImGui::GetScrollY()) ImGui::SetScrollY(top);
    if (top + kRow > ImGui::GetScrollY() + shown) ImGui::SetScrollY(top + kRow - shown);
  }
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2{8, 0});
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(desk.sheet.rows.size()), kRow);
  while (clipper.Step()) {
    for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i)
      draw_row(f, static_cast<std::size_t>(i), at, width);
  }
  for (const app::ReadingHint& hint : desk.sheet.hints) {
    ImGui::Dummy({0, 6});
    wrapped(f.fonts.note, f.theme.warn, hint.says + ".");
  }
  ImGui::PopStyleVar();
}

void draw_reading_head(Frame& f, scene::Rect area, scene::Rect whole) {
  const Pane pane("reading head", area, f.theme.sheet);
  const app::ReadingDesk& desk = *f.session.readings;
  const auto width = static_cast<float>(area.width);
  const float room = std::min(228.0F, (width - 36) / 3);
  ImGui::SetCursorPos({12, 6});
  const bool before = desk.stage == ReadingStage::kBefore;
  const bool diode = desk.sheet.mode == ReadingMode::kDiode;
  const auto command = [&](const std::string& label, app::Command what, bool main) {
    const std::string key = key_of(f, what);
    const bool both = width_of(f.fonts.body, label) + width_of(f.fonts.mono, key) + 40 < room;
    if (button(f, label.c_str(), label, both ? key : "", {room, 32}, main))
      f.action = run_command(f.session, f.state, what);
    ImGui::SameLine(0, 6);
  };
  command(before ? "Before" : "After", app::Command::kReadingStage, true);
  command(diode ? "Diode, volts" : "Ohm to ground", app::Command::kReadingMode, true);
  command(desk.sheet.known_good ? "Known good" : "Not known good", app::Command::kKnownGood,
          desk.sheet.known_good);
  if (!is_low(whole)) {
    ImGui::SetCursorPos({12, 44});
    ImGui::PushTextWrapPos(width - 10);
    text(f.fonts.note, f.theme.warn, std::string(app::kMeterCaution));
    ImGui::PopTextWrapPos();
  }
  const Columns at = columns_of(list_width(width));
  const auto height = static_cast<float>(area.height);
  const auto title = [&](float x, const char* word, float wide) {
    ImGui::SetCursorPos({ImGui::GetStyle().WindowPadding.x + x, height - 24});
    cut_text(f.fonts.note, f.theme.ink2, word, wide - 4);
  };
  title(10, "no", 40);
  title(at.net, at.wide ? "net; bold: a site of it needs work" : "net; bold: to mend", at.expected - at.net);
  title(at.expected, "expected", kFigure);
  title(at.before, "before", kFigure);
  title(at.after, "after", kFigure);
  title(at.says, "says", kFigure);
  const ImVec2 corner = ImGui::GetWindowPos();
  straight_line(*ImGui::GetWindowDrawList(), {corner.x, corner.y + height - 1},
                {corner.x + width, corner.y + height - 1}, 1, packed(f.theme.ink));
}

void draw_reading_foot(Frame& f, scene::Rect area, bool low) {
  const Pane pane("reading foot", area, f.theme.ground);
  const app::ReadingDesk& desk = *f.session.readings;
  ReadingPanelState& own = f.state.reading;
  const app::ReadingRow* row = desk.row();
  if (row == nullptr) return;
  const auto width = static_cast<float>(area.width);
  const std::string what =
      fmt::format("{}  {}{}{}", row->number, row->net, row->point.empty() ? "" : ", ", row->point);
  const bool narrow = width < 560 || low;
  const float keep = narrow ? 76 : 164;
  const float back = narrow ? 96 : 210;
  // In a low window all in one line.
  const float left = low ? std::max(120.0F, width * 0.36F) : 12;
  const float top = low ? 7 : 40;
  ImGui::SetCursorPos({12, low ? 13.0F : 8.0F});
  cut_text(f.fonts.bold, f.theme.ink, what, low ? left - 20 : width - 24);
  if (own.sent) {
    own.sent = false;
    own.wants_caret = true;
    if (!f.session.message_is_error) own.typed.clear();
  }
  if (own.wants_caret) f.state.focus_field = true;
  ImGui::SetCursorPos({left, top});
  const float typing = std::clamp(width - left - keep - back - 28, 80.0F, 240.0F);
  bool send = field(f, "##reading", "0.452  OL  - passes", own.typed, typing, own.wants_caret);
  own.wants_caret = false;
  f.state.caret = f.state.caret || ImGui::IsItemActive();
  ImGui::SetCursorPos({left + typing + 8, top + 1});
  send = button(f, "keep", narrow ? "Keep" : "Keep, next", narrow ? "" : "Enter", {keep, 32}, true) || send;
  ImGui::SameLine(0, 6);
  if (button(f, "back", "Take back", narrow ? "" : key_of(f, app::Command::kTakeBackReading), {back, 32}))
    f.action = app::TakeBackReading{};
  if (!send || f.action) return;
  f.action = app::TypeReadings{own.typed};
  own.sent = true;
}

}  // namespace

bool take_reading_key(Frame& f, int place) {
  constexpr int kZ = 29, kDown = 81, kUp = 82;
  if (f.session.page != app::JobPage::kReadings || f.session.bench_page || f.state.form != Form::kNone ||
      !f.state.caret)
    return false;
  const bool ctrl = ImGui::GetIO().KeyCtrl;
  if ((place == kUp || place == kDown) && !ctrl) {
    f.action = app::StepReading{place == kUp};
    return true;
  }
  // An empty field has nothing of its own to undo.
  if (place == kZ && ctrl && f.state.reading.typed.empty()) {
    f.action = ImGui::GetIO().KeyShift ? app::Action(app::Redo{}) : app::Action(app::Undo{});
    return true;
  }
  return false;
}

std::optional<app::Action> reading_command(const app::Session& session, WindowState& state,
                                           app::Command command, bool& taken) {
  if (!session.readings) return std::nullopt;
  const app::ReadingDesk& desk = *session.readings;
  taken = true;
  switch (command) {
    case app::Command::kUp:
    case app::Command::kDown:
      return app::StepReading{command == app::Command::kUp};
    case app::Command::kOnAndAgain:
      state.reading.wants_caret = true;
      return std::nullopt;
    case app::Command::kReadingStage:
      state.reading.wants_caret = true;
      return app::ReadAs{desk.sheet.mode,
                         desk.stage == ReadingStage::kBefore ? ReadingStage::kAfter : ReadingStage::kBefore};
    case app::Command::kReadingMode:
      state.reading.wants_caret = true;
      return app::ReadAs{desk.sheet.mode == ReadingMode::kDiode ? ReadingMode::kOhm : ReadingMode::kDiode,
                         desk.stage};
    case app::Command::kTakeBackReading:
      state.reading.wants_caret = true;
      return app::TakeBackReading{};
    case app::Command::kKnownGood:
      return app::KnowGood{!desk.sheet.known_good};
    default:
      taken = false;
      return std::nullopt;
  }
}

void draw_readings(Frame& f, scene::Rect area) {
  if (!f.session.readings) return;
  draw_power_cautions(f, area, area.height < 420);
  if (f.session.readings->sheet.rows.empty()) {
    const Pane pane("readings", area, f.theme.sheet);
    ImGui::SetCursorPos({20, 20});
    ImGui::BeginGroup();
    text(f.fonts.bold, f.theme.ink, "Nothing to read yet.");
    wrapped(f.fonts.body, f.theme.ink2,
            "The sheet lists the nets of sites that need work, and the lines beside them on the same buses. "
            "Mark what the microscope shows; then they stand here.");
    ImGui::EndGroup();
    return;
  }
  const float head = head_height(area);
  const float foot = foot_height(area);
  draw_reading_head(f, {area.x, area.y, area.width, head}, area);
  draw_rows(f, {area.x, area.y + head, area.width, area.height - head - foot}, area);
  draw_reading_foot(f, {area.x, area.y + area.height - foot, area.width, foot}, is_low(area));
}

}  // namespace landfall::ui
