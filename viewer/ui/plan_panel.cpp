#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/facts.hpp"
#include "viewer/scene/signs.hpp"
#include "viewer/ui/panel.hpp"

// The plan: the map and the board with the same numbers, below them the lines in the order of work, at the
// foot all about the chosen one. LOOK section 8, "Plan".

namespace landfall::ui {
namespace {

// "R5.1 (terminal)"; an end that is not known has no kind.
std::string end_text(const app::PlanLine& line) {
  return line.kind.empty() ? line.to : fmt::format("{} ({})", line.to, line.kind);
}

constexpr float kRow = 32;
constexpr float kHeadRow = 44;
constexpr float kColumnsRow = 24;
constexpr double kFoot = 118;
constexpr double kLeastMap = 220;
constexpr double kLeastFoot = 76;

// Right and left edges of the columns; 0: not shown, where there is no room.
struct Columns {
  float state = 60, ball = 170, net = 238, to = 0, kind = 0;
  float length = 0, delay = 0, share = 0;  // right edges
  float word = 0, why = 0;
  bool second_line = false;  // where the wire goes, below

  [[nodiscard]] float row() const { return second_line ? kRow + 20 : kRow; }
};

Columns columns_for(float width) {
  Columns c;
  if (width >= 1240) {
    c.to = 368, c.kind = 476, c.length = 668, c.delay = 738, c.share = 812, c.word = 828, c.why = 956;
  } else if (width >= 1000) {  // the foot says why
    c.to = 392, c.kind = 520, c.length = 752, c.delay = 832, c.share = 914, c.word = 932;
  } else if (width >= 760) {
    c.ball = 160, c.net = 222, c.to = 326, c.kind = 452, c.length = 640, c.share = 708, c.word = 720;
  } else {
    c.state = 52, c.ball = 142, c.net = 196, c.length = width - 116, c.word = width - 104;
    c.second_line = true;
  }
  return c;
}

// Of the repair, for a trial.
bool is_left_out(const app::Session& session, const app::PlanLine& line) {
  const auto& without = session.trial_without;
  return line.number > 0 && !line.rebuild &&
         std::find(without.begin(), without.end(), line.number) != without.end();
}

std::string share_text(const app::PlanLine& line) {
  if (line.share) return fmt::format("{:.1f}\u00A0%", 100 * *line.share);
  if (line.ohm) return fmt::format("{:.3f}\u00A0ohm", *line.ohm);
  return "";
}

std::string ps_text(double ps) {
  return fmt::format("{}{:.0f}\u00A0ps", ps <= -0.5 ? "\u2212" : "", std::abs(ps));
}

std::string length_of(const Frame& f, const app::PlanLine& line) {
  if (line.rebuild || line.state == app::LineState::kCannot) return "";
  return line.length ? app::length_text(*line.length, f.session.preferences.mils) : "?";
}

scene::Colour state_colour(const Frame& f, app::LineState state) {
  switch (state) {
    case app::LineState::kDone:
      return f.theme.ok;
    case app::LineState::kToDo:
      return f.theme.ink2;
    default:
      return f.theme.bad;
  }
}

scene::Colour word_colour(const Frame& f, rework::physics::Word word) {
  switch (word) {
    case rework::physics::Word::kFine:
      return f.theme.ok;
    case rework::physics::Word::kRisky:
      return f.theme.warn;
    case rework::physics::Word::kWillNotWork:
      return f.theme.bad;
    default:
      return f.theme.ink2;
  }
}

// Empty, ticked or crossed.
void draw_box(scene::Canvas& canvas, const Frame& f, scene::P at, app::LineState state) {
  const scene::Colour c = state_colour(f, state);
  canvas.path({{at.x - 9, at.y - 9},
               {at.x + 9, at.y - 9},
               {at.x + 9, at.y + 9},
               {at.x - 9, at.y + 9},
               {at.x - 9, at.y - 9}},
              1.2, state == app::LineState::kToDo ? f.theme.ink : c);
  if (state == app::LineState::kDone) {
    canvas.path({{at.x - 5, at.y}, {at.x - 1, at.y + 5}, {at.x + 6, at.y - 5}}, 2.2, c);
  } else if (state != app::LineState::kToDo) {
    canvas.line({at.x - 5, at.y - 5}, {at.x + 5, at.y + 5}, 2.2, c);
    canvas.line({at.x - 5, at.y + 5}, {at.x + 5, at.y - 5}, 2.2, c);
  }
}

// A pill with the wire's number, full for the chosen one; a rebuild has its sign.
void draw_number(scene::Canvas& canvas, const Frame& f, scene::P at, const app::PlanLine& line, bool chosen) {
  if (line.number == 0) return draw_need(canvas, rework::Need::kCannot, at, 6, f.theme.ink);
  if (line.rebuild) draw_need(canvas, rework::Need::kRebuild, {at.x - 12, at.y}, 6, f.theme.ink);
  const scene::P middle{line.rebuild ? at.x + 8 : at.x, at.y};
  const std::string number = std::to_string(line.number);
  if (!line.rebuild) {
    const auto pill = [&](double grow, scene::Colour c) {
      canvas.disc({middle.x - 3, middle.y}, 9 + grow, c);
      canvas.disc({middle.x + 3, middle.y}, 9 + grow, c);
      canvas.rect({middle.x - 3, middle.y - 8.5 - grow, 6, 17 + 2 * grow}, c);
    };
    pill(0, line.state == app::LineState::kStays ? f.theme.bad : f.theme.ink);
    if (!chosen) pill(-1.4, f.theme.sheet);
  }
  canvas.label(middle, number, 13, scene::Typeface::kBold, scene::Align::kMiddle,
               chosen && !line.rebuild ? f.theme.invert : f.theme.ink);
}

void draw_line(Frame& f, std::size_t i, const Columns& c, float width) {
  const app::PlanLine& line = f.session.lines[i];
  const bool chosen = i == f.session.line;
  const bool out = is_left_out(f.session, line);
  ImGui::PushID(static_cast<int>(i));
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (ImGui::InvisibleButton("row", {width, c.row()})) {
    f.action = app::ChooseLine{i};
    const bool box =
        ImGui::GetIO().MousePos.x > at.x + c.state - 6 && ImGui::GetIO().MousePos.x < at.x + c.state + 26;
    const bool takes = line.state == app::LineState::kToDo || line.state == app::LineState::kDone;
    if (box && takes && line.number > 0) f.action = app::NoteOutcome{line.number, true};
  }
  row_ground(f, at, {at.x + width, at.y + c.row()}, chosen, ImGui::IsItemHovered());
  if (chosen && f.state.brought_line != i) {
    ImGui::SetScrollHereY(0.5F);
    f.state.brought_line = i;
  }
  straight_line(list, {at.x, at.y + c.row()}, {at.x + width, at.y + c.row()}, 1, packed(f.theme.rule));
  scene::Canvas canvas(f.theme.stroke);
  const double y = at.y + kRow / 2;
  const auto label = [&](float x, const std::string& what, scene::Typeface face, scene::Colour colour,
                         float room, double size = 15) {
    if (what.empty() || room <= 12) return;
    ImFont* font = face == scene::Typeface::kBold       ? f.fonts.bold
                   : face == scene::Typeface::kMonoBold ? f.fonts.mono_bold
                   : face == scene::Typeface::kMono     ? f.fonts.mono
                   : size < 14                          ? f.fonts.note
                                                        : f.fonts.body;
    canvas.label({at.x + x, y}, cut(font, what, room), size, face, scene::Align::kLeft, colour);
  };
  const auto figure = [&](float right, const std::string& what) {
    if (right > 0 && !what.empty())
      canvas.label({at.x + right, y}, what, 15, scene::Typeface::kPlain, scene::Align::kRight, f.theme.ink);
  };
  const scene::Colour ink = out ? f.theme.ink2 : f.theme.ink;
  draw_number(canvas, f, {at.x + 28, y}, line, chosen);
  draw_box(canvas, f, {at.x + c.state + 10, y}, line.state);
  label(c.state + 28, out ? "left out" : std::string(word(line.state)),
        line.state == app::LineState::kToDo ? scene::Typeface::kPlain : scene::Typeface::kBold,
        state_colour(f, line.state), c.ball - c.state - 32, line.state == app::LineState::kStays ? 13 : 15);
  label(c.ball, line.ball, scene::Typeface::kMonoBold, ink, c.net - c.ball - 6);
  const std::string net =
      line.net == kNone ? "" : std::string(leaf_name(f.session.board->board().nets[line.net].name));
  label(c.net, net, scene::Typeface::kMono, ink, (c.to > 0 ? c.to : c.length - 76) - c.net - 8, 13);
  const bool cannot = line.number == 0;
  if (c.to > 0 && cannot) label(c.to, line.why, scene::Typeface::kPlain, ink, width - c.to - 8, 13);
  if (c.to > 0 && !cannot) label(c.to, line.to, scene::Typeface::kMono, ink, c.kind - c.to - 8, 13);
  if (c.kind > 0) label(c.kind, line.kind, scene::Typeface::kPlain, f.theme.ink2, c.length - 74 - c.kind, 13);
  figure(c.length, length_of(f, line));
  if (line.delay_ps) figure(c.delay, ps_text(*line.delay_ps));
  if (c.share > 0) figure(c.share, share_text(line));
  const bool judged = line.number > 0 && !line.rebuild;
  const std::string said = judged ? std::string(word(line.word)) : (line.rebuild ? "rebuild" : "");
  label(c.word, said, scene::Typeface::kBold, judged ? word_colour(f, line.word) : ink,
        (c.why > 0 ? c.why : width) - c.word - 6);
  if (c.why > 0 && !cannot)
    label(c.why, line.why, scene::Typeface::kPlain, f.theme.ink2, width - c.why - 6, 13);
  if (c.second_line) {
    const std::string where = line.to.empty() ? line.why : "to " + end_text(line);
    canvas.label({at.x + c.state, y + 20}, cut(f.fonts.note, where, width - c.state - 8), 13,
                 scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink);
  }
  draw(f, canvas);
  ImGui::PopID();
}

void draw_column_names(Frame& f, const Columns& c) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  scene::Canvas canvas(f.theme.stroke);
  const auto left = [&](float x, const char* what) {
    if (x > 0)
      canvas.label({at.x + x, at.y + 10}, what, 13, scene::Typeface::kPlain, scene::Align::kLeft,
                   f.theme.ink2);
  };
  const auto right = [&](float x, const char* what) {
    if (x > 0)
      canvas.label({at.x + x, at.y + 10}, what, 13, scene::Typeface::kPlain, scene::Align::kRight,
                   f.theme.ink2);
  };
  left(14, "no.");
  left(c.state, "state");
  left(c.ball, "ball");
  left(c.net, "net");
  left(c.to, "to");
  left(c.kind, "kind");
  right(c.length, "length");
  right(c.delay, "delay");
  right(c.share, "interval");
  left(c.word, "word");
  left(c.why, "why");
  draw(f, canvas);
  ImGui::Dummy({1, kColumnsRow});
}

// Wires, rebuilds, millimetres in all, wire size; what is done with the chosen line.
void draw_list_head(Frame& f, float width) {
  const auto& plan = app::shown_plan(f.session)->plan;
  Nm all = 0;
  std::size_t unknown = 0;
  for (const auto& wire : plan.wires) {
    all += wire.length;
    unknown += wire.length > 0 ? 0U : 1U;
  }
  const std::string what =
      fmt::format("{}{}, {}, {}{}, wire {}", plan.bound ? "at most " : "",
                  count_of(plan.rebuilds.size(), "rebuild"), count_of(plan.wires.size(), "wire"),
                  unknown > 0 && all == 0 ? "lengths not known"
                                          : app::length_text(all, f.session.preferences.mils) + " in all",
                  unknown > 0 && all > 0 ? fmt::format(", {} of unknown length", unknown) : std::string(),
                  plan.wire + (app::tried_wire(f.session) ? " (tried)" : ""));
  const app::PlanLine* line =
      f.session.line < f.session.lines.size() ? &f.session.lines[f.session.line] : nullptr;
  const bool numbered = line != nullptr && line->number > 0;
  const bool is_done = numbered && line->state == app::LineState::kDone;
  const bool is_failed = numbered && line->state == app::LineState::kFailed;
  const bool wire = line != nullptr && line->number > 0 && !line->rebuild;
  const bool wide = width >= 820;
  const float buttons = 2 * 128.0F + (wide ? 168.0F : 0.0F) + 16;
  ImGui::SetCursorPos({12, 13});
  cut_text(f.fonts.bold, f.theme.ink, what, width - buttons - 24);
  ImGui::SetCursorPos({width - buttons, 6});
  if (button(f, "done", is_done ? "Not done" : "Done", key_of(f, app::Command::kAgain), {120, 32},
             numbered && !is_done) &&
      numbered)
    f.action = app::NoteOutcome{line->number, true};
  ImGui::SameLine(0, 8);
  if (button(f, "failed", is_failed ? "Not failed" : "Failed", key_of(f, app::Command::kOff), {120, 32}) &&
      numbered)
    f.action = app::NoteOutcome{line->number, false};
  if (!wide) return;
  ImGui::SameLine(0, 8);
  const bool out = line != nullptr && is_left_out(f.session, *line);
  if (button(f, "without", out ? "Take it in again" : "What if without", "", {160, 32}, out) && wire)
    f.action = app::LeaveOutWire{line->number, !out};
}

void draw_list(Frame& f, scene::Rect area) {
  const Pane pane("plan", area, f.theme.sheet);
  const float width = static_cast<float>(area.width);
  straight_line(*ImGui::GetWindowDrawList(), {static_cast<float>(area.x), static_cast<float>(area.y)},
                {static_cast<float>(area.x) + width, static_cast<float>(area.y)}, 1, packed(f.theme.ink));
  draw_list_head(f, width);
  const Columns columns = columns_for(width - 14);
  ImGui::SetCursorPos({0, kHeadRow});
  draw_column_names(f, columns);
  ImGui::SetCursorPos({0, kHeadRow + kColumnsRow});
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2{0, 0});
  ImGui::BeginChild("lines", {width, static_cast<float>(area.height) - kHeadRow - kColumnsRow});
  for (std::size_t i = 0; i < f.session.lines.size(); ++i) draw_line(f, i, columns, width - 14);
  if (f.session.lines.empty()) {
    ImGui::SetCursorPos({14, 8});
    text(f.fonts.body, f.theme.ink2, "Nothing needs mending by the marks so far.");
  }
  ImGui::EndChild();
  ImGui::PopStyleVar();
}

// All about the chosen line, and what holds for the whole plan.
void draw_foot(Frame& f, scene::Rect area) {
  const Pane pane("line", area, f.theme.ground, true);
  straight_line(*ImGui::GetWindowDrawList(), {static_cast<float>(area.x), static_cast<float>(area.y)},
                {static_cast<float>(area.x + area.width), static_cast<float>(area.y)}, 1,
                packed(f.theme.ink));
  ImGui::SetCursorPos({14, 8});
  ImGui::BeginGroup();
  ImGui::PushTextWrapPos(static_cast<float>(area.width) - 20);
  const auto& plan = app::shown_plan(f.session)->plan;
  if (f.session.line < f.session.lines.size()) {
    const app::PlanLine& line = f.session.lines[f.session.line];
    const std::string head = line.number == 0 ? fmt::format("{} cannot be mended", line.ball)
                             : line.rebuild
                                 ? fmt::format("{}. A new land at {}", line.number, line.ball)
                                 : fmt::format("{}. {} to {}", line.number, line.ball, end_text(line));
    text(f.fonts.bold, f.theme.ink, fmt::format("{}: {}.", head, line.why));
    if (!line.details.empty()) text(f.fonts.note, f.theme.ink, line.details);
  }
  for (const auto& failed : app::shown_plan(f.session)->failed)
    text(f.fonts.note, f.theme.ink, app::failed_text(failed) + ".");
  for (const auto& escape : plan.escapes)
    text(escape.escape.fits ? f.fonts.note : f.fonts.bold, escape.escape.fits ? f.theme.ink2 : f.theme.bad,
         (escape.escape.fits ? "" : "Between the balls: ") + escape.says + ".");
  for (const std::string& why : plan.because_bound) text(f.fonts.note, f.theme.ink2, "At most: " + why + ".");
  if (!plan.wires.empty()) text(f.fonts.note, f.theme.warn, std::string(rework::kNearEndWarning));
  ImGui::PopTextWrapPos();
  ImGui::EndGroup();
}

void draw_referral(Frame& f, scene::Rect area) {
  const Pane pane("plan", area, f.theme.sheet, true);
  ImGui::SetCursorPos({16, 12});
  ImGui::BeginGroup();
  if (!f.session.plan) {
    text(f.fonts.bold, f.theme.ink, "No plan: open a job first.");
  } else {
    wrapped(f.fonts.bold, f.theme.ink, std::string(rework::verdict::kSafetyReferral));
  }
  ImGui::EndGroup();
}

}  // namespace

// The plan's sites in the middle of the map, as near as they all fit. Nothing when none is on it.
std::optional<app::Look> fitting_look(const Frame& f, scene::Rect map_area) {
  constexpr double kMostPitch = 44;
  MapFlags flags;
  const scene::MapInput in = map_input(f.session, flags);
  const scene::MapView map(in, map_area);
  scene::P low{1e9, 1e9};
  scene::P high{-1e9, -1e9};
  const auto& sites = f.session.package.sites;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const bool planned = std::any_of(f.session.lines.begin(), f.session.lines.end(),
                                     [&](const app::PlanLine& line) { return line.pin == sites[i].pin; });
    if (!planned) continue;
    low = {std::min(low.x, map.place(i).x), std::min(low.y, map.place(i).y)};
    high = {std::max(high.x, map.place(i).x), std::max(high.y, map.place(i).y)};
  }
  if (high.x < low.x) return std::nullopt;
  const double margin = 5 * map.pitch();  // room for the ways out
  const double fit = std::min({map.inner().width / (high.x - low.x + margin),
                               map.inner().height / (high.y - low.y + margin), kMostPitch / map.pitch()});
  app::Look look = f.session.look;
  if (fit <= 1) return std::nullopt;
  const scene::P middle = map.to_unit((low + high) * 0.5);
  look.zoom *= fit;
  look.x = middle.x;
  look.y = middle.y;
  return look;
}

namespace {

// The map at the plan's sites, as near as they all fit, when the page has just opened.
void draw_plan_map(Frame& f, scene::Rect area) {
  draw_map_panel(f, area);
  if (f.state.plan_fitted || f.action) return;
  if (const auto look = fitting_look(f, f.state.map_area)) f.action = app::SetLook{*look};
  f.state.plan_fitted = true;
}

// Where there is room for one alone: the list, the map or the board, and the words to choose by.
void draw_plan_part(Frame& f, scene::Rect area) {
  constexpr double kChoice = 40;
  const bool board = !f.session.board->board().lands.empty();
  if (!board && f.state.plan_part == PlanPart::kBoard) f.state.plan_part = PlanPart::kMap;
  const scene::Rect page{area.x, area.y, area.width, area.height - kChoice};
  if (f.state.plan_part == PlanPart::kList) draw_list(f, page);
  if (f.state.plan_part == PlanPart::kMap) draw_plan_map(f, page);
  if (f.state.plan_part == PlanPart::kBoard) draw_board_beside(f, page);
  const Pane pane("plan choice", {area.x, area.y + page.height, area.width, kChoice}, f.theme.ground);
  ImGui::SetCursorPos({8, 4});
  const float wide = static_cast<float>(area.width - (board ? 32 : 24)) / (board ? 3 : 2);
  const auto choose = [&](const char* label, PlanPart part) {
    if (button(f, label, label, "", {wide, 32}, f.state.plan_part == part)) f.state.plan_part = part;
    ImGui::SameLine(0, 8);
  };
  choose("List", PlanPart::kList);
  choose("On the map", PlanPart::kMap);
  if (board) choose("On the board", PlanPart::kBoard);
}

}  // namespace

void draw_plan(Frame& f, scene::Rect area) {
  if (!f.session.plan || !f.session.plan->verdict) return draw_referral(f, area);
  draw_power_cautions(f, area, area.height < 560);
  double foot = area.height > 420 ? kFoot : 0;
  double list = std::max(area.height * 0.42 - foot * 0.4, 150.0);
  double maps = area.height - list - foot;
  if (maps < kLeastMap && foot > 0) {  // a low window: the map before the words
    foot = kLeastFoot;
    list = 150;
    maps = area.height - list - foot;
  }
  if (maps < kLeastMap) return draw_plan_part(f, area);
  const bool board = area.width >= 860 && !f.session.board->board().lands.empty();
  const double map = board ? std::floor(area.width * 0.5) : area.width;
  draw_plan_map(f, {area.x, area.y, map, maps});
  if (board) draw_board_beside(f, {area.x + map, area.y, area.width - map, maps});
  draw_list(f, {area.x, area.y + maps, area.width, list});
  if (foot > 0) draw_foot(f, {area.x, area.y + maps + list, area.width, foot});
}

std::optional<app::Action> plan_command(const app::Session& session, app::Command command, bool& taken) {
  using app::Command;
  taken = true;
  const std::size_t count = session.lines.size();
  const app::PlanLine* line = session.line < count ? &session.lines[session.line] : nullptr;
  switch (command) {
    case Command::kUp:
    case Command::kPreviousMark:
      if (session.line > 0) return app::ChooseLine{session.line - 1};
      return std::nullopt;
    case Command::kDown:
    case Command::kNextMark:
      if (session.line + 1 < count) return app::ChooseLine{session.line + 1};
      return std::nullopt;
    case Command::kAgain:
    case Command::kOff:
      if (line == nullptr || line->number == 0)
        return app::Complain{"Choose a line that has a number first."};
      return app::NoteOutcome{line->number, command == Command::kAgain};
    case Command::kGroup:
      return app::TryWire{};
    case Command::kOnAndAgain:
      if (line != nullptr && line->pin != kNone) return app::GoToPin{line->pin};
      return std::nullopt;
    default:
      taken = false;
      return std::nullopt;
  }
}

}  // namespace landfall::ui
