#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/ui/panel.hpp"

// A job to another bench, and one from there: what came in, and where both changed a site.

namespace landfall::ui {
namespace {

void draw_on_paper(Frame& f, std::int64_t job, float width) {
  text(f.fonts.title, f.theme.ink, "On paper");
  wrapped(f.fonts.note, f.theme.ink2,
          "The wiring and the measuring sheet for the bench, the decision for the customer, the record. From "
          "then "
          "on the plan's numbers stay with their sites. A name with .html, .csv or .json writes that.");
  SharingPanelState& own = f.state.sharing;
  if (own.paper_for != job) {
    own.paper_for = job;
    own.paper = fmt::format("~/job-{}.pdf", job);
  }
  text(f.fonts.note, f.theme.ink2, "file to write");
  if (own.to_paper) f.state.focus_field = true;
  const bool entered =
      field(f, "##paper", "/home/me/job.pdf", own.paper, std::min(520.0F, width - 8), own.to_paper);
  own.to_paper = false;
  f.state.caret = f.state.caret || ImGui::IsItemActive();
  ImGui::Dummy({0, 4});
  if (button(f, "paper", own.letter ? "on letter paper" : "on A4 paper", "", {150, 32}))
    own.letter = !own.letter;
  ImGui::Dummy({0, 4});
  if (button(f, "write sheets", "Write the sheets", "", {170, 36}, true) || entered)
    f.action = app::WriteSheets{job, typed_path(own.paper), own.letter};
}

void draw_hand_over(Frame& f, float width) {
  text(f.fonts.title, f.theme.ink, "Hand a job over");
  wrapped(f.fonts.note, f.theme.ink2,
          "One file with the job, its board, readings and photos, for another bench. Paths, other jobs and "
          "boards "
          "are not in it.");
  const std::int64_t id = f.state.chosen_job != 0 ? f.state.chosen_job
                          : f.session.job         ? f.session.job->id
                                                  : 0;
  const auto job = std::find_if(f.session.jobs.begin(), f.session.jobs.end(),
                                [&](const Job& one) { return one.id == id; });
  if (job == f.session.jobs.end())
    return wrapped(f.fonts.body, f.theme.ink, "Choose a job on the bench first, or open one.");
  SharingPanelState& own = f.state.sharing;
  cut_text(f.fonts.bold, f.theme.ink,
           fmt::format("job {}{}{}", job->id, job->title.empty() ? "" : ": ", job->title), width - 8);
  text(f.fonts.note, f.theme.ink2, "file to write");
  const bool entered = field(f, "##over", "/home/me/job.landfall", own.over, std::min(520.0F, width - 8));
  f.state.caret = f.state.caret || ImGui::IsItemActive();
  ImGui::Dummy({0, 4});
  if (button(f, "photos", own.photos ? "with its photos" : "without photos", "", {170, 32}, own.photos))
    own.photos = !own.photos;
  ImGui::SameLine(0, 6);
  if (button(f, "settings", own.settings ? "with the shop's figures" : "without the shop's figures", "",
             {232, 32}, own.settings))
    own.settings = !own.settings;
  ImGui::Dummy({0, 4});
  if (button(f, "hand over", "Hand over", "", {150, 36}, true) || entered)
    f.action = app::HandOverJob{id, typed_path(own.over).string(), own.settings, own.photos};
  ImGui::Dummy({0, 8});
  draw_on_paper(f, id, width);
}

void draw_take_in(Frame& f, float width) {
  text(f.fonts.title, f.theme.ink, "Take one in");
  wrapped(f.fonts.note, f.theme.ink2,
          "What another bench handed over; it can be dropped on this window as well. What is newer on either "
          "bench stands. Where both changed a site, nothing is taken in until you say which side holds.");
  SharingPanelState& own = f.state.sharing;
  text(f.fonts.note, f.theme.ink2, "file to read");
  const bool entered = field(f, "##in", "/home/me/job.landfall", own.in, std::min(520.0F, width - 8), true);
  f.state.caret = f.state.caret || ImGui::IsItemActive();
  ImGui::Dummy({0, 4});
  if (button(f, "take in", "Take in", "", {150, 36}, true) || entered) {
    if (own.in.empty()) {
      f.action = app::Complain{"Name the file that another bench handed over."};
    } else {
      f.action = app::TakeInFile{typed_path(own.in), {}};
    }
  }
  ImGui::SameLine(0, 8);
  if (button(f, "pick", "Choose the file", "", {150, 36})) f.state.wants_picker = true;
}

void draw_what_came(Frame& f, float width) {
  const app::SharingDesk& desk = f.session.sharing;
  if (desk.file.empty()) return;
  rule(f);
  cut_text(f.fonts.bold, f.theme.ink, desk.file.filename().string(), width - 8);
  for (const app::TakenIn& one : desk.jobs) {
    if (!desk.waits) {
      wrapped(f.fonts.body, f.theme.ink,
              fmt::format("job {} on {}{} came in: {}.", one.job, one.board, one.new_job ? ", new here," : "",
                          app::counts_text(one)));
      ImGui::PushID(static_cast<int>(one.job));
      if (button(f, "open", "Open the job", "", {150, 32})) f.action = app::OpenJob{one.job};
      ImGui::PopID();
    }
    if (one.conflicts.empty()) continue;
    caption(f, "BOTH CHANGED", count_of(one.conflicts.size(), "site"));
    for (const std::string& conflict : one.conflicts) wrapped(f.fonts.mono, f.theme.ink, conflict);
  }
  if (!desk.waits) return;
  ImGui::Dummy({0, 6});
  wrapped(f.fonts.bold, f.theme.ink, "Nothing was taken in yet. Which side holds at these sites?");
  if (button(f, "ours", "This bench", "", {150, 36}))
    f.action = app::TakeInFile{desk.file, app::Prefer::kOurs};
  ImGui::SameLine(0, 8);
  if (button(f, "theirs", "The other bench", "", {170, 36}))
    f.action = app::TakeInFile{desk.file, app::Prefer::kTheirs};
}

}  // namespace

void draw_sharing(Frame& f, scene::Rect area) {
  const bool wide = area.width >= 980;
  const double left = wide ? std::floor(area.width / 2) : area.width;
  const auto second = [&] {
    const float width = ImGui::GetContentRegionAvail().x;
    draw_take_in(f, width);
    draw_what_came(f, width);
  };
  {
    const Pane pane("hand over", {area.x, area.y, left, area.height}, f.theme.sheet, true);
    // What waits for an answer stands first where there is one column.
    if (!wide && f.session.sharing.waits) {
      second();
      rule(f);
    }
    draw_hand_over(f, ImGui::GetContentRegionAvail().x);
    if (!wide && !f.session.sharing.waits) {
      rule(f);
      second();
    }
  }
  if (!wide) return;
  const Pane pane("take in", {area.x + left, area.y, area.width - left, area.height}, f.theme.sheet, true);
  second();
}

}  // namespace landfall::ui
