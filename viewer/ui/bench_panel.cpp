#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/scene/look.hpp"
#include "viewer/scene/rose.hpp"
#include "viewer/scene/signs.hpp"
#include "viewer/ui/panel.hpp"

// The bench page: boards as bands with their jobs below; the ways in where there is nothing yet.

namespace landfall::ui {
namespace {

constexpr float kBand = 36;
constexpr float kJob = 57;
constexpr float kButtons = 56;

// Newest first: what was kept last is most likely wanted.
std::vector<const Job*> jobs_of(const app::Session& session, std::int64_t board) {
  std::vector<const Job*> jobs;
  for (const Job& job : session.jobs) {
    if (job.board == board) jobs.push_back(&job);
  }
  std::stable_sort(jobs.begin(), jobs.end(), [](const Job* a, const Job* b) { return a->kept > b->kept; });
  return jobs;
}

std::string damage_words(const Job& job) {
  std::array<int, kMarkKinds> counts{};
  for (const Mark& mark : job.marks) ++counts[static_cast<std::size_t>(mark.kind)];
  std::string words;
  for (int kind = kMarkKinds - 1; kind > 0; --kind) {
    if (const int n = counts[static_cast<std::size_t>(kind)]; n > 0)
      words += fmt::format("{}{} {}", words.empty() ? "" : ", ", n, word(static_cast<MarkKind>(kind)));
  }
  return words.empty() ? "no damage marked" : words;
}

std::string joined(const std::vector<std::string>& words, const char* between) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : between) + word;
  return text;
}

void draw_board_band(Frame& f, const store::BoardInfo& board) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const bool own = f.state.chosen_job == 0 && f.state.chosen_board == board.id;
  ImGui::GetWindowDrawList()->AddRectFilled(at, {at.x + width, at.y + kBand}, packed(f.theme.ground));
  row_ground(f, at, {at.x + width, at.y + kBand}, own, false);
  straight_line(*ImGui::GetWindowDrawList(), at, {at.x + width, at.y}, 1, packed(f.theme.ink));
  scene::Canvas canvas(f.theme.stroke);
  canvas.label({at.x + 12, at.y + 18}, cut(f.fonts.bold, board.name, width * 0.3F), 15,
               scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
  const float buttons = 382;
  canvas.label({at.x + 24 + width * 0.3, at.y + 18},
               cut(f.fonts.note,
                   fmt::format("{}, {}; {}", count_of(board.parts, "part"), count_of(board.nets, "net"),
                               board.formats.empty() ? "bare package" : joined(board.formats, ", ")),
                   std::max(10.0F, width * 0.7F - buttons - 40)),
               13, scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink2);
  draw(f, canvas);
  const ImVec2 local = ImGui::GetCursorPos();
  ImGui::PushID(static_cast<int>(board.id));
  ImGui::SetCursorPos({local.x + width - buttons, local.y + 2});
  if (button(f, "open", "Open", own ? key_of(f, app::Command::kOnAndAgain) : "", {128, 32}, own))
    f.action = app::OpenPart{board.id, ""};
  ImGui::SameLine(0, 6);
  if (button(f, "job", "New job", own ? key_of(f, app::Command::kNewJob) : "", {116, 32})) {
    open_form(f.state, Form::kNewJob);
    f.state.board = board.id;
  }
  ImGui::SameLine(0, 6);
  if (button(f, "warnings", "Warnings", "", {112, 32})) f.action = app::ReadWarnings{board.id};
  ImGui::PopID();
  ImGui::SetCursorPos({local.x, local.y + kBand + 2});
}

// What the job comes to: channels that are hurt; wires and the decision. Nothing while it is being judged.
void draw_summary(Frame& f, scene::Canvas& canvas, const Job& job, ImVec2 at, float effect, float to_do,
                  float end) {
  const auto found = f.session.summaries.find(job.id);
  if (found == f.session.summaries.end()) return;
  const app::JobSummary& summary = found->second;
  const auto plain = [&](float x, float y, const std::string& words, float room) {
    canvas.label({x, y}, cut(f.fonts.note, words, room), 13, scene::Typeface::kPlain, scene::Align::kLeft,
                 f.theme.ink2);
  };
  const float first = at.x + effect;
  const float second = at.x + to_do;
  if (!summary.why_not.empty()) return plain(first, at.y + 18, summary.why_not, end - effect - 12);
  if (summary.hurt.empty()) {
    const std::string all =
        summary.channels == 0 ? "no channels known" : fmt::format("all {} up", summary.channels);
    plain(first, at.y + 18, all, to_do - effect - 12);
  }
  float y = at.y + 18;
  for (const auto& [name, state] : summary.hurt) {
    draw_state(canvas, state, {first + 6, y}, 11, f.theme);
    const std::string words(word(state));
    const float room = to_do - effect - 30;
    const std::string label = cut(f.fonts.bold, name, room - width_of(f.fonts.bold, words) - 10);
    canvas.label({first + 18, y}, label, 15, scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
    canvas.label({first + 26 + width_of(f.fonts.bold, label), y}, words, 15, scene::Typeface::kBold,
                 scene::Align::kLeft, state_colour(f, state));
    y += 20;
  }
  const float room = end - to_do - 12;
  std::string work = (summary.bound ? "at most " : "") + count_of(summary.wires, "wire");
  if (summary.cannot > 0) {
    work += fmt::format(", {} cannot", summary.cannot);
  } else if (summary.rebuilds > 0) {
    work += ", " + count_of(summary.rebuilds, "rebuild");
  }
  if (job.marks.empty()) work = "no marks yet";
  canvas.label({second, at.y + 18}, cut(f.fonts.body, work, room), 15, scene::Typeface::kPlain,
               scene::Align::kLeft, f.theme.ink);
  std::string decision = summary.decision;
  if (summary.margin) decision += fmt::format(", margin {:.0f}", *summary.margin);
  plain(second, at.y + 38, decision, room);
}

// How many are marked, by kind where there is room.
void draw_damage(Frame& f, scene::Canvas& canvas, const Job& job, ImVec2 at, float room) {
  const auto sound = std::count_if(job.marks.begin(), job.marks.end(),
                                   [](const Mark& m) { return m.kind == MarkKind::kSound; });
  const bool narrow = room < 240;
  const auto damaged = static_cast<std::ptrdiff_t>(job.marks.size()) - sound;
  canvas.label({at.x, at.y + 18},
               cut(f.fonts.body, narrow ? count_of(damaged, "mark") : damage_words(job), room), 15,
               scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink);
  canvas.label({at.x, at.y + 38},
               cut(f.fonts.note,
                   narrow ? fmt::format("{} sound", sound)
                          : fmt::format("{} sound, kept {} {}", sound, job.kept.substr(0, 10),
                                        app::clock_text(job.kept)),
                   room),
               13, scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink2);
}

void draw_job(Frame& f, const Job& job) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const ImVec2 local = ImGui::GetCursorPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const bool own = f.state.chosen_job == job.id;
  ImGui::PushID(static_cast<int>(job.id));
  if (ImGui::InvisibleButton("row", {width - 258, kJob - 2})) {
    if (own) f.action = app::OpenJob{job.id};
    f.state.chosen_job = job.id;
    f.state.chosen_board = job.board;
  }
  row_ground(f, at, {at.x + width, at.y + kJob - 2}, own, ImGui::IsItemHovered());
  scene::Canvas canvas(f.theme.stroke);
  canvas.label({at.x + 14, at.y + 18}, std::to_string(job.id), 15, scene::Typeface::kBold,
               scene::Align::kLeft, f.theme.ink);
  canvas.label({at.x + 14, at.y + 38}, job.closed ? "closed" : "open", 13, scene::Typeface::kPlain,
               scene::Align::kLeft, f.theme.ink);
  const float end = width - 258;  // the buttons stand there
  const bool wide = width >= 1000;
  const float effect = width * 0.22F;
  const float to_do = width * 0.39F;
  const float damage = wide ? width * 0.57F : width * 0.42F;
  const float second = wide ? effect : damage;
  canvas.label({at.x + 72, at.y + 18},
               cut(f.fonts.bold, job.title.empty() ? "no title" : job.title, second - 84), 15,
               scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
  std::string lifted = job.lifted.empty() ? "nothing lifted" : joined(job.lifted, ", ") + " lifted";
  if (job.safety_critical == SafetyAnswer::kYes) lifted += ", safety-critical";
  if (job.safety_critical == SafetyAnswer::kNotAsked) lifted += ", safety not asked";
  canvas.label({at.x + 72, at.y + 38}, cut(f.fonts.note, lifted, second - 84), 13, scene::Typeface::kPlain,
               scene::Align::kLeft, job.safety_critical == SafetyAnswer::kYes ? f.theme.bad : f.theme.ink2);
  if (wide) draw_summary(f, canvas, job, at, effect, to_do, damage);
  if (end - damage >= 70) draw_damage(f, canvas, job, {at.x + damage, at.y}, end - damage - 12);
  canvas.rect({at.x + 10, at.y + kJob - 2, width - 20.0, 1}, f.theme.rule);
  draw(f, canvas);
  ImGui::SetCursorPos({local.x + width - 254, local.y + 11});
  if (button(f, "open", "Open job", own ? key_of(f, app::Command::kOnAndAgain) : "", {150, 32}, own))
    f.action = app::OpenJob{job.id};
  ImGui::SameLine(0, 6);
  if (button(f, "close", job.closed ? "Reopen" : "Close", "", {92, 32}))
    f.action = app::CloseJob{job.id, !job.closed};
  ImGui::PopID();
  ImGui::SetCursorPos({local.x, local.y + kJob});
}

// The row that the keys have come to, once.
void bring_into_view(Frame& f, BenchRow row) {
  const std::pair own{row.board, row.job};
  if (own != std::pair{f.state.chosen_board, f.state.chosen_job} || own == f.state.brought_job) return;
  const float at = ImGui::GetCursorPosY() - ImGui::GetScrollY();
  if (at < 0 || at > ImGui::GetWindowHeight() - kJob) ImGui::SetScrollHereY();
}

void draw_ways_in(Frame& f, float width) {
  const bool narrow = width < 700;
  const float wide = narrow ? (width - 16) / 3 : 190;
  if (button(f, "files", "Open files", key_of(f, app::Command::kOpen), {wide, 36}, f.session.boards.empty()))
    f.action = run_command(f.session, f.state, app::Command::kOpen);
  ImGui::SameLine(0, 8);
  if (button(f, "bare", "Bare package", key_of(f, app::Command::kBare), {wide, 36}))
    f.action = run_command(f.session, f.state, app::Command::kBare);
  ImGui::SameLine(0, 8);
  if (button(f, "paste", "Paste a table", key_of(f, app::Command::kPaste), {wide, 36}))
    f.action = run_command(f.session, f.state, app::Command::kPaste);
}

void draw_empty(Frame& f) {
  const ImVec2 at = ImGui::GetWindowPos();
  const ImVec2 size = ImGui::GetWindowSize();
  const bool wide = size.x > 900;
  if (wide) {
    scene::Canvas canvas(f.theme.stroke);
    const scene::Rect chart{at.x + 24.0, at.y + 24.0, size.x * 0.4, size.y - 48.0};
    canvas.rect(chart, f.theme.lands);
    canvas.path({{chart.x, chart.y},
                 {chart.x + chart.width, chart.y},
                 {chart.x + chart.width, chart.y + chart.height},
                 {chart.x, chart.y + chart.height},
                 {chart.x, chart.y}},
                1, f.theme.ink);
    const scene::P middle = chart.middle();
    draw_rose(canvas, {middle.x, middle.y - 40}, std::min(118.0, chart.height / 4), scene::Face::kLands, 0,
              f.theme);
    canvas.label({middle.x, middle.y + 118}, "Drop a design file here", 20, scene::Typeface::kBold,
                 scene::Align::kMiddle, f.theme.ink);
    canvas.label({middle.x, middle.y + 146}, "several files may describe one board", 15,
                 scene::Typeface::kPlain, scene::Align::kMiddle, f.theme.ink2);
    draw(f, canvas);
  }
  const float left = wide ? size.x * 0.4F + 56 : 20;
  ImGui::SetCursorPos({left, 30});
  ImGui::BeginGroup();
  text(f.fonts.title, f.theme.ink, "Nothing on the bench yet");
  ImGui::Dummy({0, 8});
  draw_ways_in(f, size.x - left - 20);
  ImGui::Dummy({0, 12});
  text(f.fonts.bold, f.theme.ink2, "WHAT YOU HAVE, AND WHAT IT CAN TELL");
  static constexpr std::array<std::array<const char*, 2>, 5> kKnown{{
      {"the package alone", "places: corners, neighbours"},
      {"a ball table, pasted", "names, supplies, buses"},
      {"a netlist", "nets, what lies beyond series parts"},
      {"a test netlist with places", "lengths, sides, vias"},
      {"a board file", "the copper too"},
  }};
  for (const auto& [what, gives] : kKnown) {
    text(f.fonts.body, f.theme.ink, what);
    ImGui::SameLine(std::min(240.0F, (size.x - left) * 0.5F));
    cut_text(f.fonts.body, f.theme.ink2, gives, size.x - ImGui::GetCursorPosX() - 8);
  }
  ImGui::Dummy({0, 12});
  text(f.fonts.note, f.theme.ink2,
       "Everything stays in one file on this computer. Nothing is sent anywhere.");
  ImGui::EndGroup();
}

// What is most likely wanted: the job that was kept last, else the board that was read last.
void choose_a_row(Frame& f) {
  const std::vector<BenchRow> rows = bench_rows(f.session);
  const bool chosen = std::any_of(rows.begin(), rows.end(), [&](const BenchRow& row) {
    return row.board == f.state.chosen_board && row.job == f.state.chosen_job;
  });
  if (chosen || rows.empty()) return;
  f.state.chosen_board = std::max_element(rows.begin(), rows.end(), [](const BenchRow& a, const BenchRow& b) {
                           return a.board < b.board;
                         })->board;
  f.state.chosen_job = 0;
  const Job* last = nullptr;
  for (const Job& job : f.session.jobs) {
    if (!job.closed && (last == nullptr || job.kept > last->kept)) last = &job;
  }
  if (last == nullptr) return;
  f.state.chosen_board = last->board;
  f.state.chosen_job = last->id;
}

}  // namespace

std::vector<BenchRow> bench_rows(const app::Session& session) {
  std::vector<BenchRow> rows;
  for (const store::BoardInfo& board : session.boards) {
    rows.push_back({board.id, 0});
    for (const Job* job : jobs_of(session, board.id)) rows.push_back({board.id, job->id});
  }
  return rows;
}

void draw_bench(Frame& f, scene::Rect area) {
  if (f.session.boards.empty()) {
    const Pane pane("bench", area, f.theme.sheet, true);
    return draw_empty(f);
  }
  choose_a_row(f);
  draw_pages_row(f, {area.x, area.y, area.width, kPagesRow});
  area.y += kPagesRow;
  area.height -= kPagesRow;
  {
    const Pane pane("bench", {area.x, area.y, area.width, area.height - kButtons}, f.theme.sheet, true);
    for (const store::BoardInfo& board : f.session.boards) {
      bring_into_view(f, {board.id, 0});
      draw_board_band(f, board);
      for (const Job* job : jobs_of(f.session, board.id)) {
        bring_into_view(f, {board.id, job->id});
        draw_job(f, *job);
      }
    }
    f.state.brought_job = {f.state.chosen_board, f.state.chosen_job};
  }
  const Pane foot("bench foot", {area.x, area.y + area.height - kButtons, area.width, kButtons},
                  f.theme.sheet);
  ImGui::SetCursorPos({16, 8});
  draw_ways_in(f, static_cast<float>(area.width) - 32);
  if (area.width > 960) {
    ImGui::SameLine(0, 16);
    ImGui::SetCursorPosY(18);
    text(f.fonts.note, f.theme.ink2, "A design file can be dropped anywhere on this window.");
  }
}

}  // namespace landfall::ui
