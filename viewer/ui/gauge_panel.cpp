#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/facts.hpp"
#include "viewer/scene/look.hpp"
#include "viewer/scene/rose.hpp"
#include "viewer/scene/signs.hpp"
#include "viewer/ui/panel.hpp"

// The gauge: effect, wires, mark keys, rose. The first thing seen when the eye leaves the eyepiece.

namespace landfall::ui {

scene::Colour state_colour(const Frame& f, rework::State state) {
  switch (state) {
    case rework::State::kUp:
      return f.theme.ok;
    case rework::State::kDegraded:
      return f.theme.warn;
    case rework::State::kDown:
      return f.theme.bad;
    case rework::State::kUnknown:
      return f.theme.ink2;
  }
  return f.theme.ink;
}

namespace {

// "3 lost: Y2, AA3, AB3", else why it stands so.
std::string why_so(const Frame& f, const rework::GroupAnswer& group) {
  if (group.lost.empty()) return group.because;
  constexpr std::size_t kNamed = 6;  // more have no room
  std::string balls;
  for (std::size_t i = 0; i < group.lost.size() && i < kNamed; ++i)
    balls += (i == 0 ? "" : ", ") + f.session.board->board().pins[group.lost[i]].number;
  if (group.lost.size() > kNamed) balls += " \u2026";
  return fmt::format("{} lost: {}", group.lost.size(), balls);
}

constexpr std::size_t kMostChannels = 5;
constexpr std::size_t kStripChannels = 3;

// The channels to show: what is hurt, then memories that stay up.
std::vector<const rework::GroupAnswer*> shown_channels(const Frame& f, std::size_t most) {
  std::vector<const rework::GroupAnswer*> shown;
  const Signals& signals = f.session.board->signals();
  for (const bool hurt : {true, false}) {
    for (const auto& group : f.session.assessment.channels) {
      const bool up = group.state == rework::State::kUp;
      if (up == hurt || shown.size() >= most) continue;
      if (up && signals.channels[group.group].kind != InterfaceKind::kMemory) continue;
      shown.push_back(&group);
    }
  }
  return shown;
}

void draw_channels(Frame& f) {
  text(f.fonts.bold, f.theme.ink2, "EFFECT");
  const Signals& signals = f.session.board->signals();
  const auto shown = shown_channels(f, kMostChannels);
  for (const auto* group : shown) {
    const Channel& channel = signals.channels[group->group];
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float width = ImGui::GetContentRegionAvail().x;
    if (ImGui::InvisibleButton(channel.name.c_str(), {width, f.height < 760 ? 24.0F : 42.0F}))
      f.action = app::Follow{{app::TopicKind::kChannel, group->group}};
    if (ImGui::IsItemHovered())
      ImGui::GetWindowDrawList()->AddRectFilled(ImGui::GetItemRectMin(), ImGui::GetItemRectMax(),
                                                packed(f.theme.pick));
    scene::Canvas canvas(f.theme.stroke);
    draw_state(canvas, group->state, {at.x + 9, at.y + 13}, 13, f.theme);
    const std::string state(word(group->state));
    canvas.label({at.x + 28, at.y + 12}, cut(f.fonts.bold, channel.name, width - 110), 15,
                 scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
    canvas.label({at.x + width, at.y + 12}, state, 15, scene::Typeface::kBold, scene::Align::kRight,
                 state_colour(f, group->state));
    if (f.height >= 760)
      canvas.label({at.x + 28, at.y + 31}, cut(f.fonts.note, why_so(f, *group), width - 28), 13,
                   scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink2);
    draw(f, canvas);
  }
  const std::size_t rest = f.session.assessment.channels.size() - shown.size();
  if (rest > 0) text(f.fonts.note, f.theme.ink2, count_of(rest, "other") + " up");
  if (f.session.assessment.channels.empty()) text(f.fonts.note, f.theme.ink2, "no channels known");
}

void draw_need_count(const Frame& f, rework::Need need, const std::string& words) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  scene::Canvas canvas(f.theme.stroke);
  draw_need(canvas, need, {at.x + 7, at.y + 10}, 5.5, f.theme.ink);
  canvas.label({at.x + 20, at.y + 10}, words, 15, scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
  draw(f, canvas);
  ImGui::Dummy({scene::text_width(words, 15, scene::Typeface::kBold) > 0 ? 110.0F : 0.0F, 21});
}

// Of a plan whose wires do not all get out from under the chip; a thinner wire with which they do.
void draw_way_out(Frame& f) {
  if (!f.session.plan || app::shown_plan(f.session)->plan.fits) return;
  const rework::Plan& plan = app::shown_plan(f.session)->plan;
  for (const rework::EscapeAnswer& answer : plan.escapes) {
    if (answer.escape.fits) continue;
    wrapped(f.fonts.bold, f.theme.bad,
            fmt::format("{} of {} {}", answer.escape.found, answer.escape.asked,
                        answer.escape.may_fit ? "found a way out" : "can leave"));
  }
  const auto thinner = std::find_if(plan.sizes.rbegin(), plan.sizes.rend(),
                                    [](const rework::WireSizeAnswer& size) { return size.fits; });
  if (thinner != plan.sizes.rend())
    wrapped(f.fonts.note, f.theme.ink2, fmt::format("with {} all {}", thinner->wire, thinner->asked));
}

void draw_counts(Frame& f) {
  const rework::Assessment& a = f.session.assessment;
  const bool copper = f.session.board->copper().known();
  caption(f, "WIRES", a.bound ? "at most" : (copper ? "exact, from copper" : ""));
  const ImVec2 at = ImGui::GetCursorPos();
  text(f.fonts.figure, f.theme.ink, std::to_string(a.wires));
  ImGui::SetCursorPos({at.x + (a.wires < 100 ? 62.0F : 78.0F), at.y});
  ImGui::BeginGroup();
  draw_need_count(f, rework::Need::kRebuild, count_of(a.rebuilds, "rebuild"));
  draw_need_count(f, rework::Need::kCannot, fmt::format("{} cannot", a.cannot));
  ImGui::EndGroup();
  text(f.fonts.note, f.theme.ink2, fmt::format("{} optional, {} none", a.optional, a.none));
  draw_way_out(f);
}

// What came of the plan so far.
void draw_plan_counts(Frame& f) {
  const app::PlanCounts counts = app::count_lines(f.session.lines);
  caption(f, "PLAN");
  const auto row = [&](scene::WireState state, const char* what, const std::string& count, scene::Colour c) {
    const ImVec2 at = ImGui::GetCursorScreenPos();
    scene::Canvas canvas(f.theme.stroke);
    if (state == scene::WireState::kToDo) {
      canvas.dashes({at.x, at.y + 11}, {at.x + 38, at.y + 11}, {7, 4}, 1.8, c);
    } else {
      canvas.line({at.x, at.y + 11}, {at.x + 38, at.y + 11}, 2, c);
    }
    if (state == scene::WireState::kFailed) {
      canvas.line({at.x + 14, at.y + 6}, {at.x + 24, at.y + 16}, 1.8, c);
      canvas.line({at.x + 14, at.y + 16}, {at.x + 24, at.y + 6}, 1.8, c);
    }
    canvas.label({at.x + 52, at.y + 11}, what, 15, scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink);
    canvas.label({at.x + ImGui::GetContentRegionAvail().x, at.y + 11}, count, 15, scene::Typeface::kBold,
                 scene::Align::kRight, f.theme.ink);
    draw(f, canvas);
    ImGui::Dummy({1, 23});
  };
  if (counts.rebuilds > 0) {
    draw_need_count(f, rework::Need::kRebuild,
                    fmt::format("{} of {} rebuilt", counts.rebuilt, counts.rebuilds));
  }
  row(scene::WireState::kDone, "done", fmt::format("{} of {}", counts.done, counts.wires), f.theme.ok);
  const app::PlanAnswer* plan = app::shown_plan(f.session);
  const std::size_t failed = plan == nullptr ? 0 : std::max(counts.failed, plan->failed.size());
  row(scene::WireState::kFailed, "failed", std::to_string(failed), f.theme.bad);
  row(scene::WireState::kToDo, "to do", std::to_string(counts.to_do), f.theme.ink);
  const float width = ImGui::GetContentRegionAvail().x;
  const bool tried = app::tried_wire(f.session).has_value();
  if (button(f, "wire", tried ? "Wire, tried" : "Another wire", key_of(f, app::Command::kGroup), {width, 32}))
    f.action = app::TryWire{};
  if (!tried || plan == nullptr) return;
  wrapped(f.fonts.note, f.theme.ink, fmt::format("{}, kept nowhere", plan->plan.wire));
  if (button(f, "keep wire", "Keep", "", {width / 2 - 4, 32})) f.action = app::KeepFigure{"wire.bare"};
  ImGui::SameLine(0, 8);
  if (button(f, "drop wire", "Drop", key_of(f, app::Command::kDropTrial), {width / 2 - 4, 32}))
    f.action = app::DropTrial{};
}

void draw_safety(Frame& f) {
  if (f.session.job->safety_critical == SafetyAnswer::kNo) return;
  rule(f);
  if (f.session.job->safety_critical == SafetyAnswer::kYes) {
    wrapped(f.fonts.bold, f.theme.bad, "Safety-critical: this board goes to the maker's authorised repair.");
    return;
  }
  wrapped(f.fonts.note, f.theme.ink,
          "Safety-critical (medical, vehicles, aviation, rail, alarms, protective)?");
  if (button(f, "yes", "Yes", "", {72, 32})) f.action = app::AnswerSafety{true};
  ImGui::SameLine();
  if (button(f, "no", "No", "", {72, 32})) f.action = app::AnswerSafety{false};
}

std::array<std::size_t, kMarkKinds> count_marks(const Job& job) {
  std::array<std::size_t, kMarkKinds> counts{};
  for (const Mark& mark : job.marks) ++counts[static_cast<std::size_t>(mark.kind)];
  return counts;
}

void mark_key(Frame& f, MarkKind kind, std::size_t count, ImVec2 size) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const std::string name(word(kind));
  if (ImGui::InvisibleButton(name.c_str(), size)) {
    f.state.same_again = kind;
    f.action = app::MarkMany{app::acted_on(f.session), kind};
  }
  const bool held = f.state.held && f.state.held->kind == kind;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImVec2 end{at.x + size.x, at.y + size.y};
  list.AddRectFilled(at, end, packed(ImGui::IsItemHovered() || held ? f.theme.pick : f.theme.sheet));
  outline(list, at, end, packed(held ? f.theme.ink : f.theme.line), held ? 2.0F : 1.0F);
  scene::Canvas canvas(f.theme.stroke);
  if (kind == MarkKind::kSound) {
    draw_sound_corner(canvas, {at.x + 10, at.y + 8}, 11, f.theme.mark);
    canvas.label({at.x + 14, at.y + 13}, "0", 11, scene::Typeface::kBold, scene::Align::kMiddle,
                 f.theme.mark);
  } else {
    draw_mark(canvas, kind, {at.x + 16, at.y + 14}, 8, f.theme.mark, f.theme.sheet);
  }
  if (count > 0)
    canvas.label({end.x - 6, at.y + 13}, std::to_string(count), count < 100 ? 15 : 12, scene::Typeface::kBold,
                 scene::Align::kRight, f.theme.ink);
  canvas.label({at.x + 5, at.y + size.y - 11}, name, 13, scene::Typeface::kPlain, scene::Align::kLeft,
               f.theme.ink);
  draw(f, canvas);
}

void off_key(Frame& f, ImVec2 size) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  if (ImGui::InvisibleButton("off", size)) f.action = app::MarkMany{app::acted_on(f.session), std::nullopt};
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImVec2 end{at.x + size.x, at.y + size.y};
  list.AddRectFilled(at, end, packed(ImGui::IsItemHovered() ? f.theme.pick : f.theme.sheet));
  outline(list, at, end, packed(f.theme.line));
  outline(list, {at.x + 6, at.y + 4}, {at.x + 26, at.y + 23}, packed(f.theme.line));
  scene::Canvas canvas(f.theme.stroke);
  canvas.label({at.x + 16, at.y + 13}, cut(f.fonts.mono, key_of(f, app::Command::kOff), 20), 13,
               scene::Typeface::kMono, scene::Align::kMiddle, f.theme.ink2);
  canvas.label({at.x + 5, at.y + size.y - 11}, "off", 13, scene::Typeface::kPlain, scene::Align::kLeft,
               f.theme.ink);
  draw(f, canvas);
}

}  // namespace

// The seven kinds, laid out as the number pad, which are keys and buttons.
void draw_mark_keys(Frame& f, float width) {
  if (f.session.job->closed) return draw_closed(f, width);
  const float gap = 4;
  const ImVec2 size{(width - 2 * gap) / 3, 44};
  const auto counts = count_marks(*f.session.job);
  for (const int row : {4, 1}) {
    for (int i = row; i < row + 3; ++i) {
      if (i > row) ImGui::SameLine(0, gap);
      mark_key(f, static_cast<MarkKind>(i), counts[static_cast<std::size_t>(i)], size);
    }
  }
  mark_key(f, MarkKind::kSound, counts[0], {2 * size.x + gap, 44});
  ImGui::SameLine(0, gap);
  off_key(f, size);
}

// A click is a quarter turn, a drag any angle.
void draw_rose_panel(Frame& f, float radius) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const scene::P middle{at.x + width / 2, at.y + radius + 2};
  ImGui::InvisibleButton("rose", {width, 2 * radius + 6});
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  if (ImGui::IsItemActive() && ImGui::IsMouseDragging(0, 6)) {
    f.state.turning = true;
    app::Look look = f.session.look;
    look.turn = scene::rose_turn(middle, {mouse.x, mouse.y});
    if (look.turn != f.session.look.turn) {
      MapFlags flags;
      f.action = app::SetLook{
          scene::keeping_place(map_input(f.session, flags), f.state.map_area, f.session.look, look)};
    }
  } else if (ImGui::IsItemDeactivated()) {
    if (!f.state.turning) f.action = run_command(f.session, f.state, app::Command::kTurnOn);
    f.state.turning = false;
  }
  scene::Canvas canvas(f.theme.stroke);
  const scene::Face face = f.session.look.balls ? scene::Face::kBalls : scene::Face::kLands;
  draw_rose(canvas, middle, radius, face, f.session.look.turn, f.theme);
  canvas.label({middle.x, middle.y + radius + 16}, f.session.look.balls ? "BALLS, mirrored" : "LANDS", 15,
               scene::Typeface::kBold, scene::Align::kMiddle, f.theme.ink);
  canvas.label({middle.x, middle.y + radius + 35}, scene::turn_words(f.session.look.turn), 13,
               scene::Typeface::kPlain, scene::Align::kMiddle, f.theme.ink2);
  draw(f, canvas);
  ImGui::Dummy({width, 42});
}

void draw_gauge(Frame& f, scene::Rect area) {
  const Pane pane("gauge", area, f.theme.ground, true);
  const float width = ImGui::GetContentRegionAvail().x;
  if (!f.session.job) {
    wrapped(f.fonts.body, f.theme.ink, "No job. Marks need one.");
    if (button(f, "new job", "New job", key_of(f, app::Command::kNewJob), {width, 36}, true))
      open_form(f.state, Form::kNewJob);
    ImGui::Dummy({0, 8});
    wrapped(f.fonts.note, f.theme.ink2,
            "Battery out and capacitors down before heat. Mind hot boards, fumes and static.");
  } else {
    draw_channels(f);
    draw_counts(f);
    if (f.session.plan_page) draw_plan_counts(f);
    const std::size_t marks = f.session.job->marks.size() - f.session.assessment.sound;
    caption(f, "MARK", fmt::format("{}, {} sound", count_of(marks, "mark"), f.session.assessment.sound));
    text(f.fonts.note, f.theme.ink2,
         fmt::format("{} not inspected  ({})", f.session.assessment.not_inspected,
                     key_of(f, app::Command::kInspection)));
    if (f.session.end && !f.session.job->closed)
      wrapped(
          f.fonts.bold, f.theme.warn,
          fmt::format("end noted: {}, {}", app::word_of(*f.session.end), f.session.end->at.substr(0, 10)));
    if (f.session.job->closed || (!f.session.plan_page && !f.session.verdict_page)) draw_mark_keys(f, width);
    draw_safety(f);
  }
  // The rose stands at the foot, where there is room; else the map's head says the same in words.
  const float left = ImGui::GetContentRegionAvail().y;
  if (left < 124) return;
  const float radius = std::min(52.0F, (left - 64) / 2);
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + left - 2 * radius - 58);
  draw_rose_panel(f, radius);
}

// Under 1160 pixels: the same in one line under the head.
void draw_strip(Frame& f, scene::Rect area) {
  const Pane pane("strip", area, f.theme.ground);
  const ImVec2 at = ImGui::GetWindowPos();
  scene::Canvas canvas(f.theme.stroke);
  canvas.rect({area.x, area.y + area.height - 1, area.width, 1}, f.theme.ink);
  if (!f.session.job) {
    draw(f, canvas);
    ImGui::SetCursorPos({16, 12});
    if (button(f, "new job", "New job", key_of(f, app::Command::kNewJob), {150, 36}, true))
      open_form(f.state, Form::kNewJob);
    ImGui::SameLine(0, 16);
    ImGui::SetCursorPosY(20);
    return text(f.fonts.body, f.theme.ink, "No job. Marks need one.");
  }
  const rework::Assessment& a = f.session.assessment;
  double x = at.x + 16;
  const double y = at.y;
  const Signals& signals = f.session.board->signals();
  const double figures = 250;
  for (const auto* group : shown_channels(f, kStripChannels)) {
    if (x + 112 > at.x + area.width - figures) break;
    draw_state(canvas, group->state, {x + 8, y + 28}, 13, f.theme);
    canvas.label({x + 26, y + 20}, cut(f.fonts.bold, signals.channels[group->group].name, 84), 15,
                 scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
    canvas.label({x + 26, y + 40}, std::string(word(group->state)), 15, scene::Typeface::kBold,
                 scene::Align::kLeft, state_colour(f, group->state));
    x += 116;
  }
  x = std::min(x + 8, at.x + area.width - figures);
  canvas.label({x, y + 29}, std::to_string(a.wires), 32, scene::Typeface::kMonoBold, scene::Align::kLeft,
               f.theme.ink);
  canvas.label({x + 64, y + 18}, noun_of(a.wires, "wire") + (a.bound ? " at most" : ""), 13,
               scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink2);
  canvas.label({x + 64, y + 39}, fmt::format("{}, {} cannot", count_of(a.rebuilds, "rebuild"), a.cannot), 15,
               scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
  draw(f, canvas);
}

}  // namespace landfall::ui
