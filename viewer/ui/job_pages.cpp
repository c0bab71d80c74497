#include <algorithm>
#include <vector>

#include "viewer/ui/panel.hpp"

// The row of words above the job's pages, and above the bench's.

namespace landfall::ui {
namespace {

struct PageWord {
  const char* word;
  bool present;
  app::Command command;
};

std::vector<PageWord> words_of(const app::Session& s) {
  if (s.bench_page) {
    return {{"Boards and jobs", !s.bench_view, app::Command::kBench},
            {"Shelf", s.bench_view == app::BenchPage::kShelf, app::Command::kShelf},
            {"Sharing", s.bench_view == app::BenchPage::kSharing, app::Command::kSharing},
            {"Names", s.bench_view == app::BenchPage::kNames, app::Command::kNames}};
  }
  return {{"Intake", s.page == app::JobPage::kIntake, app::Command::kIntake},
          {"Suspects", s.page == app::JobPage::kSuspects, app::Command::kSuspects},
          {"Readings", s.page == app::JobPage::kReadings, app::Command::kReadings},
          {"Photos", s.photo_page, app::Command::kPhotos}};
}

}  // namespace

void draw_pages_row(Frame& f, scene::Rect area) {
  const Pane pane("pages", area, f.theme.ground);
  const std::vector<PageWord> words = words_of(f.session);
  ImGui::SetCursorPos({8, 6});
  const float each = std::min(f.session.bench_page ? 206.0F : 176.0F,
                              (static_cast<float>(area.width) - 16) / static_cast<float>(words.size()) - 6);
  // All with their keys, or none: one without would look as if it had none.
  const bool room = std::all_of(words.begin(), words.end(), [&](const PageWord& one) {
    return width_of(f.fonts.body, one.word) + width_of(f.fonts.mono, key_of(f, one.command)) + 44 < each;
  });
  for (const PageWord& one : words) {
    if (button(f, one.word, one.word, room ? key_of(f, one.command) : "", {each, 32}, one.present) &&
        !one.present)
      f.action = run_command(f.session, f.state, one.command);
    ImGui::SameLine(0, 6);
  }
}

}  // namespace landfall::ui
