#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "viewer/ui/panel.hpp"

// A bare package that is being shaped: the line below the map, clicks and keys.

namespace landfall::ui {
namespace {

constexpr double kLeastClick = 24;  // pitch in pixels below which a click only selects

std::string ball_of(const app::Session& session, Index pin) {
  return pin == kNone ? std::string() : session.board->board().pins[pin].number;
}

void open_name(const app::Session& session, WindowState& state, Index pin) {
  open_form(state, Form::kBallName);
  state.field2 = ball_of(session, pin);
  state.field = session.board->board().pins[pin].function;
}

// The next ball in reading order of the grid, for naming one after the other.
Index next_ball(const app::Session& session, const std::string& ball) {
  const auto& sites = session.package.sites;
  std::vector<std::size_t> order(sites.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return sites[a].site < sites[b].site; });
  for (std::size_t i = 0; i + 1 < order.size(); ++i) {
    if (ball_of(session, sites[order[i]].pin) == ball) return sites[order[i + 1]].pin;
  }
  return kNone;
}

std::vector<std::string> balls_of(const app::Session& session, const std::vector<Index>& pins) {
  std::vector<std::string> balls;
  for (const Index pin : pins) balls.push_back(ball_of(session, pin));
  return balls;
}

void draw_name_field(Frame& f, float width) {
  const std::string ball = f.state.field2;
  text(f.fonts.bold, f.theme.ink, ball + " is");
  ImGui::SameLine(0, 12);
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() - 7);
  const float left = width - ImGui::GetCursorPosX() - 240;
  if (field(f, "##ballname", "as the datasheet says; Enter, and the next", f.state.field, left, true)) {
    f.action = app::NameBall{ball, f.state.field};
    const Index next = next_ball(f.session, ball);
    f.state.form = Form::kNone;
    if (next != kNone) {
      open_name(f.session, f.state, next);
    }
  }
  ImGui::SameLine(0, 8);
  if (button(f, "leave", "Leave", "Esc", {104, 32})) f.state.form = Form::kNone;
}

void draw_typed(Frame& f, float width) {
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() - 7);
  if (field(f, "##typeshape", "C3..F6 out, E5 back, A1=VDD B2=DQ0", f.state.field, width - 150, true)) {
    f.action = app::TypeShape{f.state.field};
    f.state.form = Form::kNone;
  }
  ImGui::SameLine(0, 8);
  if (button(f, "leave", "Leave", "Esc", {104, 32})) f.state.form = Form::kNone;
}

}  // namespace

void click_shape(Frame& f, const scene::MapView& map, scene::P at) {
  if (map.pitch() < kLeastClick) {
    f.action = app::SelectPin{f.state.pointed};
    return;
  }
  const auto cell = map.cell_at(at);
  if (f.state.tool == ShapeTool::kName) {
    if (f.state.pointed == kNone) return;
    open_name(f.session, f.state, f.state.pointed);
    f.action = app::SelectPin{f.state.pointed};
  } else if (f.state.pointed != kNone) {
    f.action = app::RubOut{{ball_of(f.session, f.state.pointed)}};
  } else if (cell) {
    f.action = app::PutBack{{ball_text(*cell)}};
  } else if (f.session.look.true_scale) {
    f.action = app::Complain{"To scale a gap has no place to click: press T for the grid."};
  }
}

void drag_shape(Frame& f, const scene::MapView& map, scene::P from, scene::P to) {
  std::vector<Index> pins;
  for (const std::size_t site : map.sites_in(from, to)) pins.push_back(f.session.package.sites[site].pin);
  const auto a = map.cell_at(from);
  const auto b = map.cell_at(to);
  if (f.state.tool == ShapeTool::kName) {
    f.action = app::ChooseSites{pins};
  } else if (!pins.empty()) {
    f.action = app::RubOut{balls_of(f.session, pins)};
  } else if (a && b) {
    f.action = app::PutBack{{ball_text(*a) + ".." + ball_text(*b)}};
  }
}

void draw_shape_line(Frame& f, double width) {
  const float all = static_cast<float>(width) - 16;
  if (f.state.form == Form::kBallName) return draw_name_field(f, all);
  if (f.state.form == Form::kTypeShape) return draw_typed(f, all);
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() - 7);
  if (button(f, "rub", "Rub out", "", {96, 32}, f.state.tool == ShapeTool::kRub))
    f.state.tool = ShapeTool::kRub;
  ImGui::SameLine(0, 6);
  if (button(f, "name", "Name", "", {80, 32}, f.state.tool == ShapeTool::kName))
    f.state.tool = ShapeTool::kName;
  ImGui::SameLine(0, 6);
  if (button(f, "type", "Type", key_of(f, app::Command::kType), {92, 32}))
    open_form(f.state, Form::kTypeShape);
  ImGui::SameLine(0, 6);
  if (button(f, "done", "Done", "Esc", {92, 32})) f.action = app::ShapePackage{};
  ImGui::SameLine(0, 12);
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + 7);
  const std::string pointed =
      ball_of(f.session, f.state.pointed != kNone ? f.state.pointed : f.session.selected);
  cut_text(f.fonts.body, f.theme.ink,
           (pointed.empty() ? std::string() : pointed + ": ") +
               (f.state.tool == ShapeTool::kRub ? "click a ball: gone; a gap: back; drag: a block"
                                                : "click a ball and type its name"),
           std::max(20.0F, all - ImGui::GetCursorPosX()));
}

std::optional<app::Action> shape_command(const app::Session& session, WindowState& state,
                                         app::Command command, bool& taken) {
  taken = true;
  const std::vector<Index> pins = app::acted_on(session);
  switch (command) {
    case app::Command::kOff:
      if (pins.empty()) return app::Complain{"Choose a ball first, or drag over several."};
      return app::RubOut{balls_of(session, pins)};
    case app::Command::kNote:
    case app::Command::kOnAndAgain:
      if (session.selected == kNone) return app::Complain{"Choose a ball first: W A S D, or click."};
      state.tool = ShapeTool::kName;
      open_name(session, state, session.selected);
      return std::nullopt;
    case app::Command::kType:
      open_form(state, Form::kTypeShape);
      return std::nullopt;
    case app::Command::kAgain:
      return app::Complain{"Marks wait while the package is being shaped: Esc, then mark."};
    default:
      taken = false;
      return std::nullopt;
  }
}

}  // namespace landfall::ui
