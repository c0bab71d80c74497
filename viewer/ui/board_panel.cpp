#include "viewer/ui/board_panel.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/signals/signals.hpp"
#include "viewer/ui/panel.hpp"

namespace landfall::ui {
namespace {

constexpr double kHead = 44;
constexpr double kReading = 36;
constexpr double kLeastZoom = 0.5;
constexpr double kMostZoom = 60;
constexpr double kStep = 1.25;
constexpr double kNearZoom = 6;
constexpr float kStill = 4;  // pixels: a press that moved less is a click, not a drag

void words(ImFont* font, scene::Colour colour, const std::string& what) {
  ImGui::PushFont(font);
  ImGui::PushStyleColor(ImGuiCol_Text, packed(colour));
  ImGui::TextUnformatted(scene::clean_text(what).c_str());
  ImGui::PopStyleColor();
  ImGui::PopFont();
}

ImVec2 corner(double x, double y) {
  return {static_cast<float>(x), static_cast<float>(y)};
}

void zoom_by(BoardPanelState& state, double factor) {
  state.zoom = std::clamp(state.zoom * factor, kLeastZoom, kMostZoom);
}

void take_wires(const app::Session& session, BoardPanelState& state) {
  state.wires.clear();
  if (!session.plan) return;
  for (const rework::PlannedWire& wire : app::shown_plan(session)->plan.wires)
    state.wires.push_back({wire.route, wire.number, wire_state(session, wire)});
}

scene::BoardInput board_input(const app::Session& session, const BoardPanelState& state) {
  scene::BoardInput in;
  in.board = session.board.get();
  if (session.job) in.job = &*session.job;
  in.theme = static_cast<scene::ThemeName>(session.preferences.theme);
  in.side = session.bottom_side ? Side::kBottom : Side::kTop;
  in.pin = session.selected;
  in.wires = state.wires;
  in.part = state.part != kNone ? state.part : session.package.part;
  in.net = state.net;
  in.every_track = state.every_track;
  in.zoom = state.zoom;
  in.pan = state.pan;
  return in;
}

std::optional<app::Action> draw_head(const app::Session& session, BoardPanelState& state, const Fonts& fonts,
                                     const scene::Theme& theme, const scene::Rect& area) {
  std::optional<app::Action> action;
  ImGui::SetCursorScreenPos(corner(area.x + 8, area.y + 12));
  words(fonts.bold, theme.ink, session.bottom_side ? "BOTTOM SIDE" : "TOP SIDE");
  ImGui::SameLine();
  const float buttons = state.beside ? 190.0F : (area.width > 640 ? 440.0F : 316.0F);
  words(fonts.body, theme.ink2,
        cut(fonts.body, session.bottom_side ? "mirrored" : "seen from above",
            static_cast<float>(area.width) - 110 - buttons));
  auto button = [&, x = area.x + area.width](const char* label, double width) mutable {
    x -= width + 8;
    ImGui::SetCursorScreenPos(corner(x, area.y + 6));
    const bool pressed = ImGui::Button(label, corner(width, 32));
    ImGui::GetWindowDrawList()->AddRect(corner(x, area.y + 6), corner(x + width, area.y + 38),
                                        packed(theme.line));
    return pressed;
  };
  if (state.beside) {
    if (button("Whole", 70)) state.near_or_whole = true;
    if (button("Other side", 96)) action = app::OtherSide{};
    return action;
  }
  if (button("Map  B", 76)) action = app::ShowBoard{};
  if (button("Whole  Z", 90)) state.near_or_whole = true;
  if (button("Other side  F", 118)) action = app::OtherSide{};
  if (area.width > 640 && button(state.every_track ? "One net  C" : "All copper  C", 118))
    state.every_track = !state.every_track;
  return action;
}

// Near: the selected ball, or the part, in the middle.
void go_near_or_whole(const app::Session& session, BoardPanelState& state, const scene::Rect& map) {
  state.near_or_whole = false;
  const bool whole = state.zoom == 1 && state.pan.x == 0 && state.pan.y == 0;
  state.zoom = 1;
  state.pan = {};
  if (!whole) return;
  const scene::BoardInput in = board_input(session, state);
  const scene::BoardView view(in, map);
  std::optional<scene::P> place;
  if (in.part != kNone && !view.boxes()[in.part].corners.empty()) place = view.boxes()[in.part].middle;
  if (session.selected != kNone) {
    const auto lands = session.board->index().lands_of_pin(session.selected);
    if (!lands.empty()) place = scene::place_of(session.board->board().lands[lands.front()].at);
  }
  if (!place) return;
  state.pan = (view.inner().middle() - view.to_screen(*place)) * kNearZoom;
  state.zoom = kNearZoom;
}

// The wires of the plan, once the page opens: then the hand may move the board away.
void bring_wires(const app::Session& session, BoardPanelState& state, const scene::Rect& map) {
  constexpr double kMargin = 1.35;
  constexpr double kMostNear = 14;
  if (!state.beside || state.near || state.wires.empty()) return;
  state.near = true;
  state.zoom = 1;
  state.pan = {};
  const scene::BoardInput in = board_input(session, state);
  const scene::BoardView view(in, map);
  scene::P low{1e9, 1e9};
  scene::P high{-1e9, -1e9};
  for (const scene::BoardWire& wire : state.wires) {
    for (const Point place : wire.points) {
      const scene::P at = view.to_screen(scene::place_of(place));
      low = {std::min(low.x, at.x), std::min(low.y, at.y)};
      high = {std::max(high.x, at.x), std::max(high.y, at.y)};
    }
  }
  if (high.x < low.x) return;
  const scene::Rect room = view.inner();
  const double fit = std::min(room.width / std::max(1.0, (high.x - low.x) * kMargin),
                              room.height / std::max(1.0, (high.y - low.y) * kMargin));
  state.zoom = std::clamp(fit, 1.0, kMostNear);
  state.pan = (room.middle() - (low + high) * 0.5) * state.zoom;
}

std::optional<app::Action> click(const app::Session& session, BoardPanelState& state,
                                 const std::optional<scene::BoardHit>& hit, bool twice) {
  const Index part = hit ? hit->part : kNone;
  if (twice && part != kNone) {
    // The first click of the two has selected already.
    const auto pins = session.board->index().pins_of_part(part);
    if (!pins.empty()) return app::GoToPin{hit->pin != kNone ? hit->pin : pins.front()};
  }
  const bool copper = hit && hit->land == kNone && hit->part == kNone;
  state.part = part;
  state.net = copper || (hit && hit->pin == kNone) ? hit->net : kNone;
  // Copper of the net of the selected ball: it stays selected.
  if (copper && session.selected != kNone && session.board->board().pins[session.selected].net == hit->net)
    return std::nullopt;
  return app::SelectPin{hit ? hit->pin : kNone};
}

}  // namespace

scene::WireState wire_state(const app::Session& session, const rework::PlannedWire& wire) {
  if (session.plan_page && session.line < session.lines.size()) {
    const app::PlanLine& line = session.lines[session.line];
    if (!line.rebuild && line.number == wire.number) return scene::WireState::kPresent;
  }
  for (const app::PlanLine& line : session.lines) {
    if (line.rebuild || line.number != wire.number) continue;
    if (line.state == app::LineState::kDone) return scene::WireState::kDone;
    if (line.state == app::LineState::kFailed) return scene::WireState::kFailed;
  }
  return scene::WireState::kToDo;
}

std::string board_reading(const app::OpenBoard& board, const std::optional<scene::BoardHit>& hit) {
  const Board& b = board.board();
  if (!hit) {
    return fmt::format("{}, {}, {}", count_of(b.parts.size(), "part"), count_of(b.nets.size(), "net"),
                       count_of(b.layers.size(), "copper layer"));
  }
  std::string line;
  if (hit->pin != kNone) {
    line = board.index().pin_text(hit->pin);
    if (!b.pins[hit->pin].function.empty()) line += " " + b.pins[hit->pin].function;
  } else if (hit->part != kNone) {
    const Part& part = b.parts[hit->part];
    line = part.reference;
    if (!part.value.empty()) line += "  " + part.value;
    if (!part.fitted) line += "  not fitted";
    line += "  " + count_of(board.index().pins_of_part(hit->part).size(), "pin");
    if (hit->land == kNone) return line;
  }
  if (hit->net == kNone) return line + "  on no net";
  const std::string group = signals::groups_text(board.signals(), hit->net);
  return fmt::format("{}{}{}  {}{}", line, line.empty() ? "" : "  ", b.nets[hit->net].name,
                     word(board.signals().nets[hit->net].signal_class), group.empty() ? "" : " of " + group);
}

std::optional<app::Action> draw_board(const app::Session& session, BoardPanelState& state, const Fonts& fonts,
                                      scene::Rect area) {
  if (state.board.lock() != session.board) {
    state = {};
    state.board = session.board;
  }
  const scene::Theme& theme = scene::theme(static_cast<scene::ThemeName>(session.preferences.theme));
  std::optional<app::Action> action = draw_head(session, state, fonts, theme, area);
  const scene::Rect map{area.x + 8, area.y + kHead, area.width - 16, area.height - kHead - kReading};
  take_wires(session, state);
  bring_wires(session, state, map);
  if (state.near_or_whole) go_near_or_whole(session, state, map);
  scene::BoardInput in = board_input(session, state);
  const scene::BoardView view(in, map);
  ImGui::SetCursorScreenPos(corner(map.x, map.y));
  ImGui::InvisibleButton("board", corner(map.width, map.height),
                         ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight);
  const ImGuiIO& io = ImGui::GetIO();
  const scene::P pointer{io.MousePos.x, io.MousePos.y};
  std::optional<scene::BoardHit> hit;
  if (ImGui::IsItemHovered()) {
    hit = view.hit(pointer);
    if (hit) in.pointed = hit->land;
  }
  scene::Canvas canvas(theme.stroke);
  view.draw(canvas);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.PushClipRect(corner(map.x, map.y), corner(map.x + map.width + 1, map.y + map.height + 1), true);
  paint(list, fonts, canvas.shapes());
  list.PopClipRect();

  // What follows changes the next frame.
  if (ImGui::IsItemHovered() && io.MouseWheel != 0) {
    const double before = state.zoom;
    zoom_by(state, io.MouseWheel > 0 ? kStep : 1 / kStep);
    state.pan = view.pan_about(pointer, state.zoom / before);
  }
  const bool dragging = ImGui::IsMouseDragging(0, kStill) || ImGui::IsMouseDragging(1, kStill);
  if (ImGui::IsItemActive() && dragging) state.pan = state.pan + scene::P{io.MouseDelta.x, io.MouseDelta.y};
  if (ImGui::IsItemHovered() && ImGui::IsMouseDoubleClicked(0)) {
    action = click(session, state, hit, true);
  } else if (ImGui::IsItemHovered() && ImGui::IsMouseReleased(0) &&
             io.MouseDragMaxDistanceSqr[0] < kStill * kStill) {
    action = click(session, state, hit, false);
  }
  if (!hit && session.selected != kNone) {
    const Pin& pin = session.board->board().pins[session.selected];
    hit = scene::BoardHit{kNone, pin.part, session.selected, pin.net};
  } else if (!hit && state.part != kNone) {
    hit = scene::BoardHit{kNone, state.part, kNone, kNone};
  }
  ImGui::SetCursorScreenPos(corner(map.x, map.y + map.height + 8));
  words(fonts.mono_bold, theme.ink,
        cut(fonts.mono_bold, board_reading(*session.board, hit), static_cast<float>(map.width) - 8));
  return action;
}

// USB HID usage numbers, which SDL's scancodes are.
namespace {
enum Scancode : int { kC = 6, kF = 9, kZ = 29, kMinus = 45, kEquals = 46 };
}  // namespace

bool is_board_key(int scancode) {
  return scancode == kC || scancode == kF || scancode == kZ || scancode == kMinus || scancode == kEquals;
}

std::optional<app::Action> board_key(BoardPanelState& state, int scancode) {
  switch (scancode) {
    case kF:
      return app::OtherSide{};
    case kC:
      state.every_track = !state.every_track;
      return std::nullopt;
    case kZ:
      state.near_or_whole = true;
      return std::nullopt;
    case kEquals:
    case kMinus: {
      // About the middle of the frame.
      const double before = state.zoom;
      zoom_by(state, scancode == kEquals ? kStep : 1 / kStep);
      state.pan = state.pan * (state.zoom / before);
      return std::nullopt;
    }
    default:
      return std::nullopt;
  }
}

}  // namespace landfall::ui
