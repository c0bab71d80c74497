#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/scene/signs.hpp"
#include "viewer/ui/panel.hpp"

// The sheet: lines of words with signs; every name that has a sheet of its own can be clicked.

namespace landfall::ui {
namespace {

constexpr float kLabels = 78;
constexpr float kLine = 24;

ImFont* font_of(const Frame& f, app::Tone tone) {
  switch (tone) {
    case app::Tone::kBody:
      return f.fonts.body;
    case app::Tone::kBold:
      return f.fonts.bold;
    case app::Tone::kNote:
      return f.fonts.note;
    case app::Tone::kItalic:
      return f.fonts.italic;
    case app::Tone::kName:
      return f.fonts.mono;
  }
  return f.fonts.body;
}

bool has_sign(const app::SheetPiece& piece) {
  return piece.signal_class || piece.mark || piece.need || piece.state;
}

void draw_sign(const Frame& f, const app::SheetPiece& piece, scene::P at) {
  scene::Canvas canvas(f.theme.stroke);
  if (piece.signal_class)
    draw_class(canvas, *piece.signal_class, at, 7,
               f.theme.classes[static_cast<std::size_t>(*piece.signal_class)], f.theme.sheet);
  if (piece.mark == MarkKind::kSound) {
    draw_sound_corner(canvas, {at.x - 4, at.y - 5}, 7, f.theme.mark);
  } else if (piece.mark) {
    draw_mark(canvas, *piece.mark, at, 7, f.theme.mark, f.theme.sheet);
  }
  if (piece.need) draw_need(canvas, *piece.need, at, 6, f.theme.ink);
  if (piece.state) draw_state(canvas, *piece.state, at, 10, f.theme);
  draw(f, canvas);
}

scene::Colour colour_of(const Frame& f, const app::SheetPiece& piece) {
  if (piece.mark && !piece.link) return f.theme.mark;
  return piece.tone == app::Tone::kNote ? f.theme.ink2 : f.theme.ink;
}

// Where the cursor is: a sign, then underlined words, so wide.
void draw_link(Frame& f, const app::Action& action, int id, float sign, float width) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  ImGui::PushID(id);
  if (ImGui::InvisibleButton("link", {sign + width, kLine - 2})) f.action = action;
  if (ImGui::IsItemHovered())
    list.AddRectFilled({at.x + sign, at.y}, {at.x + sign + width, at.y + kLine - 2}, packed(f.theme.pick));
  ImGui::PopID();
  straight_line(list, {at.x + sign, at.y + 20}, {at.x + sign + width, at.y + 20}, 1, packed(f.theme.line));
}

// Pieces one after another, wrapped where a piece does not fit; notes wrap inside themselves.
void draw_pieces(Frame& f, const std::vector<app::SheetPiece>& pieces, float left, float right) {
  const float start = ImGui::GetCursorPosY();
  float x = left;
  float y = start;
  int id = 0;
  for (const app::SheetPiece& piece : pieces) {
    ImFont* font = font_of(f, piece.tone);
    const float sign = has_sign(piece) ? 20 : 0;
    const std::string clean = scene::clean_text(piece.text);
    float width = width_of(font, clean);
    if (x > left && x + sign + width > right) {
      x = left;
      y += kLine;
    }
    ImGui::SetCursorPos({x, y});
    const ImVec2 at = ImGui::GetCursorScreenPos();
    if (sign > 0) draw_sign(f, piece, {at.x + 8, at.y + 10});
    const bool many_lines = !piece.link && x == left && sign + width > right - left;
    if (many_lines) {
      ImGui::SetCursorPos({x + sign, y});
      ImGui::PushTextWrapPos(right);
      text(font, colour_of(f, piece), clean);
      ImGui::PopTextWrapPos();
      y = ImGui::GetCursorPosY() - kLine + 2;
      x = right;
      continue;
    }
    const std::string shown = cut(font, clean, std::max(30.0F, right - x - sign));
    width = std::min(width, right - x - sign);
    if (piece.link) draw_link(f, app::Follow{*piece.link}, id++, sign, width);
    if (piece.take_back != 0) draw_link(f, app::TakeBackFact{piece.take_back}, id++, sign, width);
    ImGui::SetCursorPos({x + sign, y});
    text(font, colour_of(f, piece), shown);
    x += sign + width + 12;
  }
  ImGui::SetCursorPos({left, y + kLine});
}

void draw_title(Frame& f, const app::Sheet& sheet, float right) {
  const bool ball = sheet.topic.kind == app::TopicKind::kBall;
  const bool plain =
      sheet.title.size() <= 5 && std::all_of(sheet.title.begin(), sheet.title.end(), [](char c) {
        return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || c == '+' || c == '-';
      });
  const float left = ImGui::GetCursorPosX();
  const float top = ImGui::GetCursorPosY();
  if (ball && plain) {
    text(f.fonts.figure, f.theme.ink, sheet.title);
    const float x = left + std::max(kLabels, width_of(f.fonts.figure, sheet.title) + 14);
    ImGui::SetCursorPos({x, top});
    draw_pieces(f, sheet.under, x, right);
    ImGui::SetCursorPosY(std::max(ImGui::GetCursorPosY(), top + 42));
    return;
  }
  cut_text(f.fonts.title, f.theme.ink, sheet.title, right - left);
  draw_pieces(f, sheet.under, left, right);
}

void draw_ways(Frame& f, float left, float right) {
  const float top = ImGui::GetCursorPosY();
  ImGui::SetCursorPosX(right - 3 * 84 - 8);
  const auto way = [&](const char* label, app::Command command, const app::Action& action) {
    if (button(f, label, label, key_of(f, command).size() > 3 ? "" : key_of(f, command), {84, 30}))
      f.action = action;
    ImGui::SameLine(0, 4);
  };
  way("Back", app::Command::kBack, app::GoBack{});
  way("On", app::Command::kForward, app::GoForward{});
  way("Copy", app::Command::kCopy, app::CopySheet{});
  ImGui::SetCursorPos({left, top + 36});
}

// What can be said of the ball without typing; 'beeps to' begins the line that is typed.
void draw_telling(Frame& f, Index pin) {
  caption(f, "SAY OF THIS BALL", "outranks files and marks");
  const std::string ball = f.session.board->index().pin_text(pin);
  const float left = ImGui::GetCursorPosX();
  const float wide = (ImGui::GetContentRegionAvail().x - 6) / 2;
  const auto tell = [&](const char* label, const char* word, bool second) {
    if (second) ImGui::SameLine(left + wide + 4);
    if (button(f, label, label, "", {wide, 32})) f.action = app::TellFact{fmt::format("{} {}", word, ball)};
  };
  // A ball on no net is open to nothing, and beeps to nothing of its own.
  const bool on_net = f.session.board->board().pins[pin].net != kNone;
  if (on_net) tell("Open to its net", "open", false);
  tell("Can do without it", "spare", on_net);
  tell("Its via is good", "via-good", !on_net);
  if (!on_net) return;
  ImGui::SameLine(left + wide + 4);
  if (!button(f, "beeps", "Beeps to ...", "", {wide, 32})) return;
  if (auto action = run_command(f.session, f.state, app::Command::kType)) f.action = std::move(action);
  if (f.state.form == Form::kType) f.state.field = fmt::format("joined {} ", ball);
}

// The job's facts, each with its way back: bans and added points stand on no ball's sheet.
void draw_all_facts(Frame& f, float left, float right) {
  if (!f.session.job || f.session.job->facts.empty()) return;
  caption(f, "FACTS", std::to_string(f.session.job->facts.size()));
  int id = 0;
  for (const Fact& fact : f.session.job->facts) {
    app::SheetPiece words;
    words.text = app::fact_text(f.session.board->index(), fact);
    app::SheetPiece back;
    back.text = "take back";
    back.tone = app::Tone::kNote;
    back.take_back = fact.id;
    ImGui::PushID(id++);
    draw_pieces(f, {words, back}, left, right);
    ImGui::PopID();
  }
}

void draw_nothing_selected(Frame& f, float left, float right) {
  text(f.fonts.bold, f.theme.ink, "Nothing selected");
  wrapped(f.fonts.body, f.theme.ink2, "Click a ball to see what is on it; drag to choose several.");
  ImGui::Dummy({0, 4});
  for (const app::Command command : {app::Command::kFind, app::Command::kKeys, app::Command::kType}) {
    for (const app::CommandInfo& info : app::commands()) {
      if (info.command != command) continue;
      text(f.fonts.mono_bold, f.theme.ink, key_of(f, command));
      ImGui::SameLine(left + 60);
      wrapped(f.fonts.body, f.theme.ink2, info.does);
    }
  }
  draw_all_facts(f, left, right);
  if (!f.session.been.empty()) draw_ways(f, left, right);
}

}  // namespace

// Whether what can be said of the ball is drawn below its sheet.
static bool tells(const app::Session& s) {
  return s.sheet && s.sheet->topic.kind == app::TopicKind::kBall && s.job && !s.job->closed;
}

// A sheet that is higher than its place: what can be said of the ball must not be overlooked.
static void draw_sheet_foot(Frame& f, scene::Rect area, bool below) {
  const Pane pane("sheet foot", area, f.theme.ground);
  ImGui::SetCursorPos({16, 3});
  const float wide = static_cast<float>(area.width) - 32;
  if (!button(f, "sheet foot", below ? "More below: say of this ball" : "To the top of the sheet", "",
              {wide, 32}))
    return;
  f.state.to_telling = below;
  f.state.to_sheet_top = !below;
}

// True while what can be said of the ball is out of sight.
static bool draw_sheet_lines(Frame& f, scene::Rect area);

void draw_sheet(Frame& f, scene::Rect area) {
  constexpr double kSheetFoot = 38;
  const bool foot = tells(f.session) && f.state.sheet_height > area.height;
  const scene::Rect upper{area.x, area.y, area.width, area.height - (foot ? kSheetFoot : 0)};
  const bool below = draw_sheet_lines(f, upper);
  if (foot) draw_sheet_foot(f, {area.x, area.y + upper.height, area.width, kSheetFoot}, below);
}

static bool draw_sheet_lines(Frame& f, scene::Rect area) {
  const Pane pane("sheet", area, f.theme.sheet, true);
  const float left = ImGui::GetCursorPosX();
  const float right = left + ImGui::GetContentRegionAvail().x - 2;
  if (!f.session.sheet) {
    draw_nothing_selected(f, left, right);
    return false;
  }
  const app::Sheet& sheet = *f.session.sheet;
  // Another topic is read from its top.
  const int topic = static_cast<int>(sheet.topic.item) * 8 + static_cast<int>(sheet.topic.kind);
  int* read = ImGui::GetStateStorage()->GetIntRef(ImGui::GetID("topic"), -1);
  if (*read != topic) ImGui::SetScrollY(0);
  *read = topic;
  draw_ways(f, left, right);
  draw_title(f, sheet, right);
  const bool another =
      sheet.topic.kind == app::TopicKind::kPart && sheet.topic.item != f.session.package.part;
  if (another && button(f, "show part", "Show on the map", "", {170, 32}))
    f.action = app::ShowPart{sheet.topic.item};
  int id = 0;
  for (const app::SheetLine& line : sheet.lines) {
    ImGui::PushID(id++);
    if (line.caption) {
      caption(f, line.label, line.pieces.empty() ? "" : line.pieces.front().text);
    } else {
      const float y = ImGui::GetCursorPosY();
      const bool labelled = !line.label.empty();
      if (labelled) {
        ImGui::SetCursorPos({left, y});
        text(f.fonts.note, f.theme.ink2, line.label);
      }
      const bool note = !labelled && line.pieces.size() == 1 && line.pieces.front().tone == app::Tone::kNote;
      const float from = labelled || note ? left + kLabels : left;
      ImGui::SetCursorPos({from, y});
      draw_pieces(f, line.pieces, from, right);
    }
    ImGui::PopID();
  }
  if (!tells(f.session)) return false;
  draw_telling(f, sheet.topic.item);
  f.state.sheet_height = ImGui::GetCursorPosY() + ImGui::GetStyle().WindowPadding.y;
  if (f.state.to_telling) ImGui::SetScrollY(f.state.sheet_height);
  if (f.state.to_sheet_top) ImGui::SetScrollY(0);
  f.state.to_telling = f.state.to_sheet_top = false;
  constexpr float kSlack = 12;
  return f.state.sheet_height > ImGui::GetScrollY() + static_cast<float>(area.height) + kSlack;
}

}  // namespace landfall::ui
