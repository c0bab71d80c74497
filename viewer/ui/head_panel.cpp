#include <algorithm>
#include <array>

#include <fmt/format.h>
#include <imgui.h>

#include "netdb/model/counted.hpp"
#include "viewer/ui/panel.hpp"

// The head with find and the views; the message line.

namespace landfall::ui {
namespace {

constexpr float kMessage = 28;

constexpr std::array<const char*, 7> kViews{"Bench", "Map", "Board", "Plan", "Verdict", "Photo", "Job"};

// In narrow windows each view has what its word needs, so that all of them stay.
float view_width(const Frame& f, const char* word) {
  if (f.width >= 900) return f.width >= 1160 ? 76 : 64;
  return width_of(f.fonts.bold, word) + 14;
}

void draw_view(Frame& f, const char* word, float x, bool present, bool can, const app::Action& go) {
  const float wide = view_width(f, word);
  ImGui::SetCursorPos({x, 0});
  if (ImGui::InvisibleButton(word, {wide, kHeadHeight})) f.action = go;
  scene::Canvas canvas(f.theme.stroke);
  canvas.label({x + wide / 2, 24}, word, 15, present ? scene::Typeface::kBold : scene::Typeface::kPlain,
               scene::Align::kMiddle, present || can ? f.theme.ink : f.theme.line);
  if (present) canvas.rect({x + 6, kHeadHeight - 5, wide - 12.0, 5}, f.theme.ink);
  draw(f, canvas);
}

// What shows now, and the ways to the rest; the present one leads back to the map.
void draw_views(Frame& f, float x) {
  const app::Session& s = f.session;
  const bool there = s.board && !s.bench_page;
  const bool job = s.job.has_value();
  const bool page = s.board_view || s.plan_page || s.verdict_page || s.photo_page || s.page;
  const auto add = [&](const char* word, bool present, bool can, const app::Action& go,
                       const app::Action& back) {
    draw_view(f, word, x, present, can, present ? back : go);
    x += view_width(f, word);
  };
  const app::ShowMap map{};
  add("Bench", s.bench_page, true, app::ShowBench{}, app::ShowBench{});
  add("Map", there && !page, s.board != nullptr, map, map);
  add("Board", there && s.board_view, s.board != nullptr, app::ShowBoard{}, map);
  add("Plan", there && s.plan_page, job, app::ShowPlan{}, map);
  add("Verdict", there && s.verdict_page, job, app::ShowVerdict{}, map);
  add("Photo", there && s.photo_page, job, app::ShowPhotos{}, map);
  add("Job", there && s.page.has_value(), job, app::ShowIntake{}, map);
}

}  // namespace

HeadPlaces head_places(const Frame& f) {
  const float width = f.width;
  float views = width - 8;
  for (const char* word : kViews) views -= view_width(f, word);
  // In the narrowest the field stands in the title's place.
  const float find = width >= 1160 ? 380 : width >= 700 ? std::max(150.0F, width * 0.22F) : 48;
  return {find, std::max(90.0F, std::min(488.0F, views - find - 16)), views};
}

void draw_head(Frame& f) {
  const Pane pane("head", {0, 0, f.width, kHeadHeight}, f.theme.ground);
  const HeadPlaces at = head_places(f);
  scene::Canvas canvas(f.theme.stroke);
  canvas.disc({26, 19}, 7, f.theme.ink);  // a ball over its land
  canvas.rect({14, 30, 24, 3.5}, f.theme.ink);
  canvas.rect({0, kHeadHeight - 1, f.width, 1}, f.theme.ink);
  draw(f, canvas);
  std::string title = "Landfall";
  std::string under = fmt::format("{}, {}", count_of(f.session.boards.size(), "board"),
                                  count_of(f.session.jobs.size(), "job"));
  if (f.session.board) {
    title = fmt::format("{} on {}", f.session.board->board().parts[f.session.package.part].reference,
                        f.session.board->info().name);
    under = f.session.job ? fmt::format("job {}{}{}", f.session.job->id,
                                        f.session.job->title.empty() ? "" : ": ", f.session.job->title)
                          : std::string("no job");
    if (f.session.job && f.session.job->closed) under = "closed, " + under;
    if (f.session.job && f.session.job->safety_critical == SafetyAnswer::kYes)
      under = "safety-critical, " + under;
  }
  if (f.session.bench != nullptr && f.session.bench->read_only()) under = "READ ONLY, " + under;
  const bool finds = f.session.board || !f.session.boards.empty();
  const bool room = !finds || at.find > 100;  // else the field stands in the title's place
  const float wide = finds ? at.find - 62 : at.views - 62;
  ImGui::SetCursorPos({50, 5});
  if (room) cut_text(f.fonts.bold, f.theme.ink, title, wide);
  ImGui::SetCursorPos({50, 26});
  if (room) cut_text(f.fonts.note, f.theme.ink2, under, wide);
  draw_views(f, at.views);
  if (finds) draw_find(f, at);
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
    const float room = f.width - 32 - (right.empty() ? 0 : width_of(f.fonts.note, right) + 16);
    cut_text(f.session.message_is_error ? f.fonts.bold : f.fonts.body,
             f.session.message_is_error ? f.theme.bad : f.theme.ink, f.session.message, room);
    if (!right.empty()) right_text(f.fonts.note, f.theme.ink2, right, f.width - 16);
  }
  ImGui::PopStyleVar();
}

}  // namespace landfall::ui
