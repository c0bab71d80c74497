#include <algorithm>

#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include "viewer/ui/panel.hpp"

// The head with find and the views; the list of hits; the message line.

namespace landfall::ui {
namespace {

constexpr float kHead = 48;
constexpr float kMessage = 28;

struct HeadPlaces {
  float find, find_width, views;
};

// Narrow windows reach the photos from the job's pages.
bool has_photo_view(float width) {
  return width >= 1076;
}

float view_width(float width) {
  return width >= 760 ? 76 : 58;
}

HeadPlaces places(float width) {
  const float views = width - view_width(width) * (has_photo_view(width) ? 6.0F : 5.0F) - 8;
  // In the narrowest the field stands in the title's place.
  const float find = width >= 1160 ? 380 : width >= 600 ? std::max(150.0F, width * 0.22F) : 48;
  return {find, std::max(90.0F, std::min(488.0F, views - find - 16)), views};
}

void draw_view(Frame& f, const char* word, float x, bool present, bool can, const app::Action& go) {
  const float wide = view_width(f.width);
  ImGui::SetCursorPos({x, 0});
  if (ImGui::InvisibleButton(word, {wide, kHead})) f.action = go;
  scene::Canvas canvas(f.theme.stroke);
  canvas.label({x + wide / 2, 24}, word, 15, present ? scene::Typeface::kBold : scene::Typeface::kPlain,
               scene::Align::kMiddle, present || can ? f.theme.ink : f.theme.line);
  if (present) canvas.rect({x + 6, kHead - 5, wide - 12.0, 5}, f.theme.ink);
  draw(f, canvas);
}

}  // namespace

void draw_head(Frame& f) {
  const Pane pane("head", {0, 0, f.width, kHead}, f.theme.ground);
  const HeadPlaces at = places(f.width);
  scene::Canvas canvas(f.theme.stroke);
  canvas.disc({26, 19}, 7, f.theme.ink);  // a ball over its land
  canvas.rect({14, 30, 24, 3.5}, f.theme.ink);
  canvas.rect({0, kHead - 1, f.width, 1}, f.theme.ink);
  draw(f, canvas);
  std::string title = "Landfall";
  std::string under =
      fmt::format("{} board{}, {} job{}", f.session.boards.size(), f.session.boards.size() == 1 ? "" : "s",
                  f.session.jobs.size(), f.session.jobs.size() == 1 ? "" : "s");
  if (f.session.board) {
    title = fmt::format("{} on {}", f.session.board->board().parts[f.session.package.part].reference,
                        f.session.board->info().name);
    under = f.session.job ? fmt::format("job {}{}{}", f.session.job->id,
                                        f.session.job->title.empty() ? "" : ": ", f.session.job->title)
                          : std::string("no job");
    if (f.session.job && f.session.job->safety_critical == SafetyAnswer::kYes)
      under = "safety-critical, " + under;
  }
  if (f.session.bench != nullptr && f.session.bench->read_only()) under = "READ ONLY, " + under;
  const bool room = !f.session.board || at.find > 100;
  const float wide = f.session.board ? at.find - 62 : at.views - 62;
  ImGui::SetCursorPos({50, 5});
  if (room) cut_text(f.fonts.bold, f.theme.ink, title, wide);
  ImGui::SetCursorPos({50, 26});
  if (room) cut_text(f.fonts.note, f.theme.ink2, under, wide);
  draw_view(f, "Bench", at.views, f.session.bench_page, true, app::ShowBench{});
  const bool there = f.session.board != nullptr;
  const bool board = there && f.session.board_view;
  const bool plan = there && f.session.plan_page;
  const bool photo = there && f.session.photo_page;
  const bool page = there && f.session.page.has_value();
  const bool has_job = f.session.job.has_value();
  float x = at.views;
  const auto view = [&](const char* word, bool present, bool can, const app::Action& go) {
    x += view_width(f.width);
    // The present one leads back to the map.
    draw_view(f, word, x, !f.session.bench_page && present, can, present ? app::Action(app::ShowMap{}) : go);
  };
  view("Map", there && !board && !plan && !photo && !page, there, app::ShowMap{});
  view("Board", board, there, app::ShowBoard{});
  view("Plan", plan, has_job, app::ShowPlan{});
  if (has_photo_view(f.width)) view("Photo", photo, has_job, app::ShowPhotos{});
  view("Job", page, has_job, app::ShowIntake{});
  if (!f.session.board) return;
  ImGui::SetCursorPos({at.find, 8});
  ImGui::SetNextItemWidth(at.find_width);
  if (f.state.focus_find) ImGui::SetKeyboardFocusHere();
  f.state.focus_find = false;
  const std::string hint = fmt::format("{}  find a net, ball or part", key_of(f, app::Command::kFind));
  const bool entered =
      ImGui::InputTextWithHint("##find", hint.c_str(), &f.state.typed, ImGuiInputTextFlags_EnterReturnsTrue);
  if (entered && !f.session.hits.empty()) {
    f.action = app::GoToHit{0};
    f.state.typed.clear();
  } else if (f.state.typed != f.session.find_text) {
    f.action = app::FindText{f.state.typed};
  }
}

void draw_hits(Frame& f) {
  if (f.session.find_text.empty()) return;
  const HeadPlaces at = places(f.width);
  const auto rows = static_cast<double>(f.session.hits.size());
  const double width = std::min(520.0, f.width - at.find - 8.0);
  const double height =
      f.session.hits.empty() ? 64 : rows * 36 + 24 + (f.session.hits_total > f.session.hits.size() ? 26 : 0);
  const Pane pane("hits", {at.find, kHead, width, std::min(height, f.height - 80.0)}, f.theme.field, true,
                  true);
  const ImVec2 corner = ImGui::GetWindowPos();
  const ImVec2 size = ImGui::GetWindowSize();
  outline(*ImGui::GetWindowDrawList(), corner, {corner.x + size.x, corner.y + size.y}, packed(f.theme.ink));
  if (f.session.hits.empty()) {
    return wrapped(f.fonts.body, f.theme.ink,
                   fmt::format("No net, ball, part or function has \"{}\".", f.session.find_text));
  }
  for (std::size_t i = 0; i < f.session.hits.size(); ++i) {
    const app::Hit& hit = f.session.hits[i];
    const ImVec2 row = ImGui::GetCursorScreenPos();
    if (ImGui::Selectable(fmt::format("##hit{}", i).c_str(), i == 0, 0, {0, 32})) {
      f.action = app::GoToHit{i};
      f.state.typed.clear();
    }
    std::string where;
    if (hit.kind == app::HitKind::kFunction) where = f.session.board->index().pin_text(hit.item);
    if (hit.kind == app::HitKind::kNet)
      where = std::string(word(f.session.board->signals().nets[hit.item].signal_class));
    scene::Canvas canvas(f.theme.stroke);
    const double middle = row.y + 16;
    canvas.label({row.x + 4, middle}, std::string(word(hit.kind)), 13, scene::Typeface::kPlain,
                 scene::Align::kLeft, f.theme.ink2);
    canvas.label({row.x + 74, middle}, cut(f.fonts.mono_bold, hit.name, static_cast<float>(width) - 210), 15,
                 scene::Typeface::kMonoBold, scene::Align::kLeft, f.theme.ink);
    canvas.label({row.x + width - 44, middle}, where, 13, scene::Typeface::kPlain, scene::Align::kRight,
                 f.theme.ink2);
    draw(f, canvas);
  }
  if (f.session.hits_total > f.session.hits.size())
    text(f.fonts.body, f.theme.ink2,
         fmt::format("and {} more: type on", f.session.hits_total - f.session.hits.size()));
}

void draw_message(const Frame& f) {
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2{16, 5});
  {
    const Pane pane("message", {0, static_cast<double>(f.height - kMessage), f.width, kMessage},
                    f.theme.ground);
    const ImVec2 at = ImGui::GetWindowPos();
    straight_line(*ImGui::GetWindowDrawList(), at, {at.x + f.width, at.y}, 1, packed(f.theme.ink));
    const std::string kept = app::clock_text(f.session.kept);
    std::string right = f.session.job && !kept.empty() ? "kept " + kept : "";
    if (f.session.import) right = "Esc stops";
    cut_text(f.session.message_is_error ? f.fonts.bold : f.fonts.body,
             f.session.message_is_error ? f.theme.bad : f.theme.ink, f.session.message, f.width - 160);
    if (!right.empty()) right_text(f.fonts.note, f.theme.ink2, right, f.width - 16);
  }
  ImGui::PopStyleVar();
}

}  // namespace landfall::ui
