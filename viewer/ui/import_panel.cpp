#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/ui/panel.hpp"

// An import while it runs, and what was doubted once it is done.

namespace landfall::ui {
namespace {

constexpr int kSteps = 20;  // of the scale bar

// The share of the work that is done, in steps of the bar: of a large board reading and keeping take about as
// long as each other; joining has no measure.
double steps_done(const app::ImportStep& step) {
  const auto nine = [](std::uint64_t done, std::uint64_t all) {
    return all == 0 ? 0.0 : static_cast<double>(done * 9) / static_cast<double>(all);
  };
  switch (step.stage) {
    case app::ImportStage::kReading:
      return nine(step.bytes_done, step.bytes_total);
    case app::ImportStage::kJoining:
      return 9;
    case app::ImportStage::kKeeping:
      return 10 + nine(step.rows_done, step.rows_total);
  }
  return 0;
}

// "about 40 s left", by how long it took so far; nothing while too little is known.
std::string time_left(Frame& f, const app::ImportStep& step) {
  const double now = ImGui::GetTime();
  if (f.state.import_since < 0) f.state.import_since = now;
  const double part = steps_done(step) / kSteps;
  const double took = now - f.state.import_since;
  if (took < 2 || part < 0.05) return "";
  const double left = took * (1 - part) / part;
  return left < 90 ? fmt::format("about {:.0f}\u00A0s left", std::max(1.0, left))
                   : fmt::format("about {:.0f}\u00A0min left", left / 60);
}

std::string how_far(const app::ImportStep& step) {
  if (step.stage == app::ImportStage::kKeeping && step.rows_total > 0)
    return fmt::format("keeping, {} of {} written", step.rows_done, count_of(step.rows_total, "row"));
  return fmt::format("{}, {:.1f} of {:.1f} MB read", word(step.stage),
                     static_cast<double>(step.bytes_done) / 1e6, static_cast<double>(step.bytes_total) / 1e6);
}

// A chart's scale bar: two rows of alternating black.
void draw_scale_bar(const Frame& f, int done, float width) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  scene::Canvas canvas(f.theme.stroke);
  const double step = static_cast<double>(width) / kSteps;
  for (int i = 0; i < done; ++i)
    canvas.rect({at.x + i * step, at.y + (i % 2 == 0 ? 0.0 : 8.0), step, 8}, f.theme.ink);
  canvas.path(
      {{at.x, at.y}, {at.x + width, at.y}, {at.x + width, at.y + 16}, {at.x, at.y + 16}, {at.x, at.y}}, 1,
      f.theme.ink);
  canvas.line({at.x, at.y + 8}, {at.x + width, at.y + 8}, 1, f.theme.ink);
  for (int i = 1; i < kSteps; ++i)
    canvas.line({at.x + i * step, at.y}, {at.x + i * step, at.y + 16}, 0.8, f.theme.line);
  canvas.line({at.x + done * step, at.y - 4}, {at.x + done * step, at.y + 20}, 2.4, f.theme.ink);
  draw(f, canvas);
  ImGui::Dummy({width, 24});
}

struct Kind {
  const Diagnostic* first = nullptr;
  std::size_t count = 0;
};

void draw_doubt(Frame& f, const std::string& message, const std::string& where, std::size_t count,
                bool error) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  scene::Canvas canvas(f.theme.stroke);
  draw_caution(canvas, {at.x + 10, at.y + 11}, error ? f.theme.bad : f.theme.warn);
  draw(f, canvas);
  ImGui::SetCursorPosX(ImGui::GetCursorPosX() + 28);
  ImGui::BeginGroup();
  wrapped(f.fonts.body, f.theme.ink, message);
  std::string under = where;
  if (count > 1) under += fmt::format("{}\u00D7{}", under.empty() ? "" : "  ", count);
  if (!under.empty()) wrapped(f.fonts.note, f.theme.ink2, under);
  ImGui::EndGroup();
  rule(f);
}

// Folded by kind: the first place and how many.
void draw_source(Frame& f, const store::SourceFile& source) {
  std::map<std::string, Kind> kinds;  // by code: the first place, and how many
  for (const Diagnostic& d : source.diagnostics) {
    Kind& kind = kinds[d.code];
    if (kind.first == nullptr) kind.first = &d;
    ++kind.count;
  }
  caption(f, source.name, fmt::format("{} {}", source.format, source.version));
  if (kinds.empty()) text(f.fonts.body, f.theme.ok, "read, nothing doubted");
  for (const auto& [code, kind] : kinds) {
    const Diagnostic& d = *kind.first;
    std::string where = source.name;
    if (d.line > 0) where += fmt::format(":{}", d.line);
    if (d.line > 0 && d.column > 0) where += fmt::format(":{}", d.column);
    draw_doubt(f, d.message, where, kind.count, d.severity == Severity::kError);
  }
}

}  // namespace

void draw_import(Frame& f, scene::Rect area) {
  const Pane pane("import", area, f.theme.sheet, true);
  ImGui::SetCursorPos({24, 20});
  ImGui::BeginGroup();
  const app::ImportStep step = f.session.import->step();
  const float width = static_cast<float>(std::min(area.width - 48, 900.0));
  text(f.fonts.title, f.theme.ink,
       f.session.import_files.size() == 1 ? "Reading " + f.session.import_files.front()
                                          : "Reading " + count_of(f.session.import_files.size(), "file"));
  ImGui::Dummy({0, 8});
  const int done = static_cast<int>(steps_done(step));
  draw_scale_bar(f, done, width);
  text(f.fonts.bold, f.theme.ink, fmt::format("{}\u00A0%", done * 100 / kSteps));
  ImGui::SameLine(0, 16);
  text(f.fonts.body, f.theme.ink2, how_far(step));
  if (const std::string left = time_left(f, step); !left.empty()) {
    ImGui::SameLine(0, 16);
    text(f.fonts.body, f.theme.ink2, left);
  }
  rule(f);
  for (std::size_t i = 0; i < f.session.import_files.size(); ++i) {
    const bool read = step.stage != app::ImportStage::kReading || i < step.file;
    const bool now = step.stage == app::ImportStage::kReading && i == step.file;
    cut_text(now ? f.fonts.bold : f.fonts.body, f.theme.ink, f.session.import_files[i], width - 120);
    ImGui::SameLine(width - 100);
    text(now ? f.fonts.bold : f.fonts.body, read ? f.theme.ok : f.theme.ink,
         read ? "read" : (now ? "reading" : "waits"));
    rule(f);
  }
  ImGui::Dummy({0, 8});
  if (f.session.import->stopping()) {
    text(f.fonts.body, f.theme.ink, "Stopping.");
  } else if (button(f, "stop", "Stop", "Esc", {150, 36})) {
    f.action = app::StopImport{};
  }
  text(f.fonts.note, f.theme.ink2, "Stopping, or closing the window, leaves the bench as it was.");
  ImGui::EndGroup();
}

void draw_warnings(Frame& f, scene::Rect area) {
  const Pane pane("warnings", area, f.theme.sheet, true);
  const app::Warnings& warnings = *f.session.warnings;
  ImGui::SetCursorPos({24, 16});
  ImGui::BeginGroup();
  cut_text(f.fonts.title, f.theme.ink, "What was read for " + warnings.board,
           static_cast<float>(area.width) - 180);
  if (button(f, "away", "Done", "Esc", {120, 32}, true)) f.action = app::ReadWarnings{};
  ImGui::Dummy({0, 6});
  for (const store::SourceFile& source : warnings.sources) {
    draw_source(f, source);
  }
  if (!warnings.disagreements.empty()) {
    caption(f, "WHERE THE FILES DIFFER", std::to_string(warnings.disagreements.size()));
    for (std::size_t i = 0; i < warnings.disagreements.size() && i < 200; ++i) {
      const store::KeptDisagreement& d = warnings.disagreements[i];
      draw_doubt(f, fmt::format("{}: {}", d.what, d.says), d.net.empty() ? d.kind : d.kind + ", net " + d.net,
                 1, false);
    }
    if (warnings.disagreements.size() > 200)
      text(f.fonts.note, f.theme.ink2, fmt::format("and {} more", warnings.disagreements.size() - 200));
  }
  if (!warnings.notes.empty()) caption(f, "ALSO", "");
  for (const std::string& note : warnings.notes) wrapped(f.fonts.body, f.theme.ink, note);
  ImGui::EndGroup();
}

}  // namespace landfall::ui
