#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/board.hpp"
#include "viewer/scene/signs.hpp"
#include "viewer/ui/panel.hpp"

// The list of marks: sign, ball, net, need, note; sorted by what is asked; a row leads to its ball.

namespace landfall::ui {
namespace {

constexpr float kRow = 32;

void draw_cut_off(scene::Canvas& canvas, scene::P at, scene::Colour ink) {
  canvas.line({at.x - 8, at.y}, {at.x - 4, at.y}, 1.6, ink);
  canvas.line({at.x - 5, at.y + 5}, {at.x, at.y - 5}, 1.6, ink);
  canvas.line({at.x, at.y + 5}, {at.x + 5, at.y - 5}, 1.6, ink);
  canvas.line({at.x + 4, at.y}, {at.x + 8, at.y}, 1.6, ink);
}

void draw_row(Frame& f, const app::MarkRow& row, int number) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const bool own = row.pin != kNone && row.pin == f.session.selected;
  ImGui::PushID(number);
  if (ImGui::InvisibleButton("row", {width, kRow - 4}) && row.pin != kNone)
    f.action = app::SelectPin{row.pin};
  ImGui::PopID();
  row_ground(f, {at.x - 8, at.y - 2}, {at.x + width, at.y + kRow - 2}, own, ImGui::IsItemHovered());
  scene::Canvas canvas(f.theme.stroke);
  const double middle = at.y + 14;
  if (row.kind) {
    draw_mark(canvas, *row.kind, {at.x + 10, middle}, 8, f.theme.mark, own ? f.theme.pick : f.theme.sheet);
  } else {
    draw_cut_off(canvas, {at.x + 10, middle}, f.theme.ink);
  }
  const std::string ball = f.session.job->lifted.size() > 1 ? row.part + "." + row.ball : row.ball;
  canvas.label({at.x + 28, middle}, cut(f.fonts.mono_bold, ball, 76), 15, scene::Typeface::kMonoBold,
               scene::Align::kLeft, f.theme.ink);
  const float need = 92;
  const bool noted = !row.note.empty();
  std::string net = row.pin == kNone ? "not on the board" : std::string(leaf_name(row.net));
  if (!row.kind) net += row.open ? "  open" : "  cut off";
  // In a narrow list the note is only a sign; the sheet has its words.
  const float room = width - 108 - need;
  const bool words = noted && room > 200;
  const float net_width = room - (words ? 90.0F : (noted ? 16.0F : 0.0F));
  canvas.label({at.x + 104, middle}, cut(f.fonts.mono, net, net_width), 13, scene::Typeface::kMono,
               scene::Align::kLeft, f.theme.ink);
  if (noted && !words) {
    const double x = at.x + 108 + net_width;
    canvas.path(
        {{x, middle - 6}, {x + 10, middle - 6}, {x + 10, middle + 6}, {x, middle + 6}, {x, middle - 6}}, 1.2,
        f.theme.mark);
    for (const double y : {-2.5, 1.5}) canvas.line({x + 2, middle + y}, {x + 8, middle + y}, 1, f.theme.mark);
  }
  if (words)
    canvas.label({at.x + 108 + net_width, middle}, cut(f.fonts.italic, row.note, 80), 13,
                 scene::Typeface::kPlain, scene::Align::kLeft, f.theme.mark);
  if (row.pin != kNone) {
    draw_need(canvas, row.need, {at.x + width - need + 10, middle}, 6, f.theme.ink);
    canvas.label({at.x + width - need + 24, middle}, std::string(word(row.need)), 15, scene::Typeface::kPlain,
                 scene::Align::kLeft, f.theme.ink);
  }
  draw(f, canvas);
}

}  // namespace

void draw_marks(Frame& f, scene::Rect area) {
  const Pane pane("marks", area, f.theme.sheet, true);
  const ImVec2 top = ImGui::GetWindowPos();
  straight_line(*ImGui::GetWindowDrawList(), top, {top.x + static_cast<float>(area.width), top.y}, 1,
                packed(f.theme.ink));
  if (!f.session.job) {
    text(f.fonts.bold, f.theme.ink2, "MARKS");
    return wrapped(f.fonts.body, f.theme.ink, "No job. Marks need one.");
  }
  text(f.fonts.bold, f.theme.ink2, fmt::format("MARKS  {}", f.session.marks.size()));
  const float right = ImGui::GetCursorPosX() + ImGui::GetContentRegionAvail().x;
  ImGui::SameLine();
  ImGui::SetCursorPos({right - 192, 4});
  if (button(f, "order", std::string(word(f.session.order)), key_of(f, app::Command::kOrder), {190, 30}))
    f.action = run_command(f.session, f.state, app::Command::kOrder);
  ImGui::SetCursorPosY(40);
  if (f.session.marks.empty()) {
    wrapped(f.fonts.body, f.theme.ink, "No marks yet. Select a ball, press 0 to 6.");
    return;
  }
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(f.session.marks.size()), kRow);
  while (clipper.Step()) {
    for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i)
      draw_row(f, f.session.marks[static_cast<std::size_t>(i)], i);
  }
}

}  // namespace landfall::ui
