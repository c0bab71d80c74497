#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "viewer/ui/panel.hpp"

// The shelf: who has this part, what boards are there; and how past verdicts fared.

namespace landfall::ui {
namespace {

// What the jobs' list has as chosen, else the job that is open.
const Job* chosen_job(const Frame& f) {
  const std::int64_t id = f.state.chosen_job != 0 ? f.state.chosen_job
                          : f.session.job         ? f.session.job->id
                                                  : 0;
  for (const Job& job : f.session.jobs) {
    if (job.id == id) return &job;
  }
  return nullptr;
}

void draw_finding(Frame& f, float width) {
  const app::ShelfDesk& desk = *f.session.shelf;
  caption(f, "DO I HAVE A DONOR FOR THIS PART?", "Enter begins to type", false);
  if (const auto typed = kept_field(f, "donor", "a piece of its value, pattern or reference", desk.text,
                                    std::min(420.0F, width - 8), true))
    f.action = app::FindDonors{*typed};
  if (desk.text.empty()) return;
  if (desk.donors.empty())
    return wrapped(f.fonts.body, f.theme.ink, fmt::format("No board on the shelf has {}.", desk.text));
  for (std::size_t n = 0; n < desk.donors.size(); ++n) {
    const app::Donor& donor = desk.donors[n];
    ImGui::PushID(static_cast<int>(n));
    const ImVec2 at = ImGui::GetCursorPos();
    ImGui::SetCursorPosY(at.y + 6);
    cut_text(f.fonts.bold, f.theme.ink,
             fmt::format("{} on {}, job {}: {}", donor.part, donor.board, donor.job, word(donor.state)),
             width - 140);
    ImGui::SetCursorPos({at.x + width - 130, at.y});
    if (button(f, "taken", "It is taken", "", {126, 30})) f.action = app::TakePart{donor.job, donor.part};
    ImGui::SetCursorPos({at.x, at.y + 32});
    wrapped(f.fonts.note, f.theme.ink2,
            fmt::format("{}{}{}", donor.value, donor.value.empty() ? "" : "; ", donor.why));
    rule(f);
    ImGui::PopID();
  }
}

void draw_shelf_row(Frame& f, const app::ShelfDesk::Row& row, float width) {
  const store::Shelved& one = row.shelved;
  ImGui::PushID(static_cast<int>(one.job));
  const ImVec2 at = ImGui::GetCursorPos();
  ImGui::SetCursorPosY(at.y + 6);
  cut_text(f.fonts.bold, f.theme.ink,
           fmt::format("job {} on {}{}{}", one.job, row.board, row.title.empty() ? "" : ": ", row.title),
           width - 130);
  ImGui::SetCursorPos({at.x + width - 120, at.y});
  if (button(f, "off", "Off the shelf", "", {116, 30})) f.action = app::ShelveJob{one.job, false, ""};
  ImGui::SetCursorPos({at.x, at.y + 34});
  wrapped(f.fonts.note, f.theme.ink2,
          fmt::format("there since {}{}{}", one.at.substr(0, 10), one.note.empty() ? "" : "; ", one.note));
  for (const std::string& part : one.taken) {
    if (button(f, part.c_str(), part + " is gone: put it back", "", {220, 28}))
      f.action = app::TakePart{one.job, part, false};
  }
  const float top = ImGui::GetCursorPosY();
  const float left = ImGui::GetCursorPosX();
  ImGui::SetCursorPosY(top + 6);
  text(f.fonts.note, f.theme.ink2, "part taken off");
  ImGui::SetCursorPos({left + 100, top});
  if (const auto typed = kept_field(f, fmt::format("part of {}", one.job), "U2", "", 110); typed)
    f.action = app::TakePart{one.job, *typed};
  rule(f);
  ImGui::PopID();
}

void draw_boards(Frame& f, float width) {
  const app::ShelfDesk& desk = *f.session.shelf;
  caption(f, "ON THE SHELF", std::to_string(desk.rows.size()));
  if (desk.rows.empty())
    wrapped(
        f.fonts.body, f.theme.ink2,
        "No board yet. One that does not pay still has parts: put its job here, and they are found by value "
        "whenever another job wants one.");
  for (const app::ShelfDesk::Row& row : desk.rows) draw_shelf_row(f, row, width);
  const Job* job = chosen_job(f);
  if (job == nullptr) return;
  const bool there = std::any_of(desk.rows.begin(), desk.rows.end(),
                                 [&](const app::ShelfDesk::Row& row) { return row.shelved.job == job->id; });
  if (there) return;
  text(f.fonts.note, f.theme.ink2, "a line on it");
  field(f, "##note", "lower left corner gone", f.state.shelf_note, std::min(300.0F, width - 8));
  f.state.caret = f.state.caret || ImGui::IsItemActive();
  const std::string label = fmt::format("Job {} onto the shelf", job->id);
  if (button(f, "onto", label, "", {std::min(260.0F, width - 8), 32}, true)) {
    f.action = app::ShelveJob{job->id, true, f.state.shelf_note};
    f.state.shelf_note.clear();
  }
}

// Said against came: a dot a band, its interval as a bar, the line where both are the same.
void draw_chart(Frame& f, const rework::record::Tally& tally, float width) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float side = std::min(260.0F, width - 60);
  const scene::P low{at.x + 44.0, at.y + 8.0 + side};
  scene::Canvas canvas(f.theme.stroke);
  const auto place = [&](double said, double came) {
    return scene::P{low.x + said * side, low.y - came * side};
  };
  for (int i = 0; i <= 4; ++i) {
    const double share = i / 4.0;
    canvas.line(place(0, share), place(1, share), 1, i == 0 ? f.theme.ink : f.theme.rule);
    canvas.line(place(share, 0), place(share, 1), 1, i == 0 ? f.theme.ink : f.theme.rule);
    canvas.label({low.x - 6, place(0, share).y}, fmt::format("{} %", i * 25), 13, scene::Typeface::kPlain,
                 scene::Align::kRight, f.theme.ink2);
    if (i > 0)
      canvas.label({place(share, 0).x, low.y + 12}, fmt::format("{} %", i * 25), 13, scene::Typeface::kPlain,
                   scene::Align::kMiddle, f.theme.ink2);
  }
  canvas.line(place(0, 0), place(1, 1), 1, f.theme.ink2);
  for (const rework::record::Band& band : tally.bands) {
    if (band.jobs == 0) continue;
    const double came = static_cast<double>(band.worked) / band.jobs;
    canvas.line(place(band.said, band.low), place(band.said, band.high), 2, f.theme.ink);
    for (const double end : {band.low, band.high}) {
      const scene::P middle = place(band.said, end);
      canvas.line(middle - scene::P{4, 0}, middle + scene::P{4, 0}, 2, f.theme.ink);
    }
    canvas.disc(place(band.said, came), 5, f.theme.ink);
  }
  draw(f, canvas);
  ImGui::Dummy({side + 44, side + 28});
  wrapped(f.fonts.note, f.theme.ink2, "across: chance said; up: share that worked, with its 95 % interval");
}

// What was predicted and what came, a row a month or quarter.
void draw_money(Frame& f) {
  const rework::record::Money& money = f.session.shelf->money;
  ImGui::Dummy({0, 12});
  text(f.fonts.bold, f.theme.ink2, "IN MONEY, OVER TIME");
  wrapped(f.fonts.body, f.theme.ink, money.says);
  if (money.periods.empty()) return;
  // Right edges of the columns, so that the figures stand under each other.
  constexpr std::array<float, 6> kRight{82, 124, 182, 262, 328, 416};
  const float narrower = std::min(1.0F, (ImGui::GetContentRegionAvail().x - 4) / kRight.back());
  const auto whole = [](double sum) {
    return fmt::format("{}{:.0f}", sum >= 0.5 ? "+" : sum <= -0.5 ? "\u2212" : "", std::abs(sum));
  };
  const auto line = [&](const std::array<std::string, 6>& cells, ImFont* font, scene::Colour ink) {
    const ImVec2 at = ImGui::GetCursorPos();
    for (std::size_t i = 0; i < cells.size(); ++i) {
      ImGui::SetCursorPos({i == 0 ? at.x : at.x + kRight[i] * narrower - width_of(font, cells[i]), at.y});
      text(font, ink, cells[i]);
    }
    ImGui::SetCursorPosX(at.x);
  };
  line({money.span == rework::record::Span::kQuarter ? "quarter" : "month", "jobs", "known", "predicted",
        "came", "sum so far"},
       f.fonts.note, f.theme.ink2);
  for (const rework::record::Period& period : money.periods)
    line({period.name, std::to_string(period.jobs), std::to_string(period.known), whole(period.said_of),
          whole(period.came), whole(period.running)},
         f.fonts.body, f.theme.ink);
  wrapped(f.fonts.note, f.theme.ink2,
          "known: jobs whose outcome is noted; predicted: of these; sum so far: of what came");
}

void draw_tally(Frame& f, float width) {
  const rework::record::Tally& tally = f.session.shelf->tally;
  text(f.fonts.bold, f.theme.ink2, "HOW PAST VERDICTS FARED");
  wrapped(f.fonts.body, f.theme.ink,
          tally.jobs == 0 ? std::string("No job has an outcome yet.") : tally.says);
  if (tally.jobs == 0) {
    return wrapped(f.fonts.note, f.theme.ink2,
                   "A job counts once what came of it as a whole is noted, on its Verdict's page. What the "
                   "verdict had said of it then stands beside it here.");
  }
  draw_chart(f, tally, width);
  for (const rework::record::Band& band : tally.bands) {
    if (band.jobs == 0) continue;
    wrapped(f.fonts.body, f.theme.ink,
            fmt::format("said {:.0f} to {:.0f} %: {} of {} worked ({:.0f} to {:.0f} %)", band.from * 100,
                        band.to * 100, band.worked, band.jobs, band.low * 100, band.high * 100));
  }
  if (tally.jobs > 0)
    wrapped(f.fonts.note, f.theme.ink2,
            fmt::format("Brier score {:.3f}; one who always says the mean gets {:.3f}; 0 is best.",
                        tally.brier, tally.brier_mean));
  draw_money(f);
}

}  // namespace

void draw_shelf(Frame& f, scene::Rect area) {
  if (!f.session.shelf) return;
  const bool wide = area.width >= 980;
  const double left = wide ? area.width * 0.62 : area.width;
  {
    const Pane pane("shelf", {area.x, area.y, left, area.height}, f.theme.sheet, true);
    const float width = ImGui::GetContentRegionAvail().x;
    draw_finding(f, width);
    draw_boards(f, width);
    if (!wide) {
      ImGui::Dummy({0, 12});
      rule(f);
      draw_tally(f, width);
    }
  }
  if (!wide) return;
  const Pane pane("tally", {area.x + left, area.y, area.width - left, area.height}, f.theme.ground, true);
  draw_tally(f, ImGui::GetContentRegionAvail().x);
}

}  // namespace landfall::ui
