#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/signals/signals.hpp"
#include "viewer/scene/legend.hpp"
#include "viewer/scene/look.hpp"
#include "viewer/scene/map_wires.hpp"
#include "viewer/scene/rose.hpp"
#include "viewer/ui/panel.hpp"
#include "viewer/ui/photo_layer.hpp"

// The map with its head, legend and reading line; what the mouse does on it.

namespace landfall::ui {
namespace {

constexpr double kMapHead = 44;
constexpr double kReading = 36;
constexpr double kLeastClick = 24;  // below this pitch a click never marks, so that gloves do no harm
constexpr float kDragStarts = 5;

void draw_map_head(Frame& f, double width) {
  const bool lands = !f.session.look.balls;
  const bool wide = width > 820;
  const float buttons = wide ? 366.0F : (width > 660 ? 276.0F : 252.0F);
  ImGui::SetCursorPos({12, 9});
  text(f.fonts.title, f.theme.ink, lands ? "LANDS" : "BALLS");
  std::string words = lands ? "looking down on the board" : "chip seen from below, mirrored";
  std::string more = f.session.look.turn == 0 ? std::string() : scene::turn_words(f.session.look.turn);
  if (f.session.look.true_scale) more += more.empty() ? "true scale" : ", true scale";
  const float room = static_cast<float>(width) - 92 - buttons - 12;
  if (width_of(f.fonts.note, words) > room) words = lands ? "from above" : "mirrored";
  // The face is never cut: working on the mirror site is the costliest error there is.
  ImGui::SetCursorPos({92, more.empty() ? 14.0F : 5.0F});
  text(width_of(f.fonts.body, words) <= room ? f.fonts.body : f.fonts.note, f.theme.ink2, words);
  if (!more.empty()) {
    ImGui::SetCursorPos({92, 25});
    cut_text(f.fonts.note, f.theme.ink, more, room);
  }
  ImGui::SetCursorPos({static_cast<float>(width) - buttons - 8, 6});
  const auto command = [&](const char* label, app::Command what, float wide_by) {
    if (button(f, label, label, key_of(f, what), {wide_by, 32}))
      f.action = run_command(f.session, f.state, what);
    ImGui::SameLine(0, 6);
  };
  const float each = width > 660 ? 84 : 76;
  command("Turn", app::Command::kTurnOn, each);
  command("Face", app::Command::kFace, each);
  if (wide) command("Scale", app::Command::kTrueScale, 84);
  command(f.session.look.zoom > 1.0001 ? "Whole" : "Near", app::Command::kWhole, width > 660 ? 96 : 88);
}

// What is under the pointer, else selected, in one line below the map.
void draw_reading(Frame& f, double width) {
  // A pointer that rests where it was left says nothing of what a key has chosen since.
  const bool pointing = f.state.pointed != kNone && f.state.read_for == f.session.selected;
  const Index pin = pointing ? f.state.pointed : f.session.selected;
  const Package& package = f.session.package;
  std::string right =
      fmt::format("{} {}", package.sites.size(), package.kind == PackageKind::kAreaArray ? "balls" : "pins");
  if (package.pitch_x > 0)
    right += ", pitch " + app::length_text(package.pitch_x, f.session.preferences.mils);
  const float all = static_cast<float>(width) - 24;
  const float rest = all - (f.session.photo_under ? 330.0F : 210.0F);
  if (!f.session.chosen.empty()) {
    cut_text(f.fonts.bold, f.theme.ink,
             count_of(f.session.chosen.size(), "site") + " chosen: press 0 to 6 to mark, X to take marks off",
             all);
    return;
  }
  if (pin == kNone) {
    text(f.fonts.body, f.theme.ink2, "");
  } else {
    const Pin& p = f.session.board->board().pins[pin];
    text(f.fonts.mono_bold, f.theme.ink, p.number);
    ImGui::SameLine(0, 12);
    if (p.net == kNone) {
      text(f.fonts.body, f.theme.ink, "on no net");
    } else {
      const Signals& signals = f.session.board->signals();
      const std::string group = signals::groups_text(signals, p.net);
      cut_text(f.fonts.mono, f.theme.ink, f.session.board->board().nets[p.net].name, rest * 0.55F);
      ImGui::SameLine(0, 12);
      const float used = ImGui::GetCursorPosX();
      cut_text(
          f.fonts.italic, f.theme.ink2,
          fmt::format("{}{}", word(signals.nets[p.net].signal_class), group.empty() ? "" : " of " + group),
          std::max(20.0F, rest - used));
    }
    if (f.session.job) {
      const std::string& part = f.session.board->board().parts[p.part].reference;
      const auto mark = std::find_if(f.session.job->marks.begin(), f.session.job->marks.end(),
                                     [&](const Mark& m) { return m.part == part && m.ball == p.number; });
      ImGui::SameLine(0, 12);
      if (mark != f.session.job->marks.end()) {
        text(f.fonts.bold, f.theme.mark, std::string(word(mark->kind)));
      } else {
        text(f.fonts.note, f.theme.ink2, "no mark");
      }
    }
  }
  if (!f.session.photo_under) {
    ImGui::SameLine();
    if (ImGui::GetCursorPosX() + width_of(f.fonts.note, right) < all)
      right_text(f.fonts.note, f.theme.ink2, right, all);
    return;
  }
  ImGui::SameLine();
  const bool wide = width > 640;
  ImGui::SetCursorPosX(static_cast<float>(width) - (wide ? 330.0F : 212.0F));
  if (wide) text(f.fonts.note, f.theme.ink2, "map over it");
  if (wide) ImGui::SameLine(0, 8);
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() - 6);
  draw_strength(f, wide ? 110 : 76);
}

void draw_legend_strip(Frame& f, const scene::Legend& legend) {
  for (const scene::LegendEntry& entry : legend.entries) {
    ImGui::SetCursorScreenPos({static_cast<float>(entry.place.x), static_cast<float>(entry.place.y)});
    ImGui::PushID(static_cast<int>(entry.topic.kind));
    ImGui::PushID(static_cast<int>(entry.topic.item));
    if (ImGui::InvisibleButton(
            "entry", {static_cast<float>(entry.place.width), static_cast<float>(entry.place.height)}))
      f.action = app::SingleOut{entry.topic};
    if (ImGui::IsItemHovered())
      ImGui::GetWindowDrawList()->AddRectFilled(ImGui::GetItemRectMin(), ImGui::GetItemRectMax(),
                                                packed(f.theme.pick));
    ImGui::PopID();
    ImGui::PopID();
  }
  scene::Canvas canvas(f.theme.stroke);
  scene::draw_legend(canvas, legend, f.session.single_out, f.theme);
  draw(f, canvas);
}

std::vector<Index> pins_of(const Frame& f, const std::vector<std::size_t>& sites) {
  std::vector<Index> pins;
  for (const std::size_t site : sites) pins.push_back(f.session.package.sites[site].pin);
  return pins;
}

void stroke_to(Frame& f, const scene::MapView& map, scene::P to) {
  const scene::P from = f.state.drag_to.value_or(to);
  for (const Index pin : pins_of(f, map.sites_along(from, to))) {
    if (std::find(f.state.stroke.begin(), f.state.stroke.end(), pin) == f.state.stroke.end())
      f.state.stroke.push_back(pin);
  }
}

// Let go: what the stroke or the rectangle covered.
void end_drag(Frame& f, const scene::MapView& map) {
  const bool far = f.state.drag_from && f.state.drag_to &&
                   std::hypot(f.state.drag_to->x - f.state.drag_from->x,
                              f.state.drag_to->y - f.state.drag_from->y) > static_cast<double>(kDragStarts);
  if (f.state.held && !f.state.stroke.empty()) {
    f.state.held->used = true;
    f.state.same_again = f.state.held->kind;
    f.action = app::MarkMany{f.state.stroke, f.state.held->kind};
  } else if (far && f.session.shaping) {
    drag_shape(f, map, *f.state.drag_from, *f.state.drag_to);
  } else if (f.session.shaping) {
    click_shape(f, map, *f.state.drag_to);
  } else if (far) {
    f.action = app::ChooseSites{pins_of(f, map.sites_in(*f.state.drag_from, *f.state.drag_to))};
  } else {
    f.action = app::SelectPin{f.state.pointed};
  }
  f.state.drag_from.reset();
  f.state.drag_to.reset();
  f.state.stroke.clear();
}

bool paints(const Frame& f, const scene::MapView& map) {
  return f.state.held && map.pitch() >= kLeastClick;
}

void begin_drag(Frame& f, const scene::MapView& map, scene::P at) {
  f.state.drag_from = f.state.drag_to = at;
  f.state.stroke.clear();
  if (!f.state.held) return;
  f.state.held->used = true;
  if (paints(f, map)) {
    stroke_to(f, map, at);
  } else {
    f.action = app::Complain{"Too small to mark by a click: press Z to come near."};
  }
}

void take_mouse(Frame& f, const scene::MapInput& in, const scene::MapView& map, scene::Rect area) {
  const ImGuiIO& io = ImGui::GetIO();
  const scene::P at{io.MousePos.x, io.MousePos.y};
  f.state.pointed = kNone;
  const bool hovered = ImGui::IsItemHovered();
  if (io.MouseDelta.x != 0 || io.MouseDelta.y != 0) f.state.read_for = f.session.selected;
  if (hovered || ImGui::IsItemActive()) {
    if (const auto site = map.site_at(at)) f.state.pointed = f.session.package.sites[*site].pin;
  }
  if (hovered && io.MouseWheel != 0)
    f.action = app::SetLook{zoomed(in, area, f.session.look, at, io.MouseWheel > 0 ? 1.25 : 0.8)};
  const bool pan = ImGui::IsMouseDragging(1, 2) || ImGui::IsMouseDragging(2, 2);
  if (ImGui::IsItemActive() && pan && (io.MouseDelta.x != 0 || io.MouseDelta.y != 0))
    f.action = app::SetLook{panned(in, area, f.session.look, {io.MouseDelta.x, io.MouseDelta.y})};
  if (hovered && ImGui::IsMouseClicked(0)) {
    begin_drag(f, map, at);
  } else if (f.state.drag_from && ImGui::IsMouseDown(0)) {
    if (paints(f, map)) stroke_to(f, map, at);
    f.state.drag_to = at;
  } else if (f.state.drag_from) {
    // On a slow screen the release may come in the very next frame.
    if (paints(f, map)) stroke_to(f, map, at);
    f.state.drag_to = at;
    end_drag(f, map);
  }
}

// A selection by key, list or find is brought into view once; then the hand may move the map away.
void bring_selection(Frame& f, const scene::MapInput& in, scene::Rect area) {
  if (f.action || f.session.selected == f.state.brought) return;
  f.state.brought = f.session.selected;
  const auto& sites = f.session.package.sites;
  const auto site = std::find_if(sites.begin(), sites.end(),
                                 [&](const PackageSite& s) { return s.pin == f.session.selected; });
  if (f.session.selected == kNone || site == sites.end()) return;
  const app::Look look = showing(in, area, f.session.look, static_cast<std::size_t>(site - sites.begin()));
  if (look != f.session.look) f.action = app::SetLook{look};
}

void draw_overlay(const Frame& f, const scene::MapView& map) {
  scene::Canvas canvas(f.theme.stroke);
  const auto& sites = f.session.package.sites;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const bool painted =
        std::find(f.state.stroke.begin(), f.state.stroke.end(), sites[i].pin) != f.state.stroke.end();
    const bool pointed = sites[i].pin == f.state.pointed && sites[i].pin != f.session.selected &&
                         f.state.read_for == f.session.selected;
    if ((painted || pointed) && map.inner().contains(map.place(i))) map.draw_pointed(canvas, i);
    if (painted) canvas.disc(map.place(i), std::max(2.0, map.radius() * 0.3), f.theme.mark);
  }
  if (f.state.drag_from && f.state.drag_to && f.state.stroke.empty()) {
    const scene::P a = *f.state.drag_from;
    const scene::P b = *f.state.drag_to;
    if (std::hypot(a.x - b.x, a.y - b.y) > static_cast<double>(kDragStarts))
      canvas.path({a, {b.x, a.y}, b, {a.x, b.y}, a}, 1.6, f.theme.ink);
  }
  draw(f, canvas);
}

// The map, or its ground with the photo and then the rest of it as strong as the slider says.
void paint_map(Frame& f, const scene::MapView& map, ImDrawList& list) {
  const app::LaidPhoto* laid =
      f.session.photo_under && f.session.photos ? f.session.photos->shown() : nullptr;
  const bool other_face = f.session.look.balls;
  std::optional<photo::Matrix> to_screen;
  if (laid != nullptr && laid->fit && f.state.photo.texture != nullptr && !other_face)
    to_screen = board_to_screen(*f.session.board, f.session.package, map, laid->photo.side);
  if (!to_screen || f.state.drawn.empty()) return paint(list, f.fonts, f.state.drawn);
  paint(list, f.fonts, {f.state.drawn.front()});
  const scene::Rect inner = map.inner();
  list.PushClipRect({static_cast<float>(inner.x), static_cast<float>(inner.y)},
                    {static_cast<float>(inner.x + inner.width), static_cast<float>(inner.y + inner.height)},
                    true);
  paint_photo_under(list, f.state.photo.texture, *laid, *to_screen);
  list.PopClipRect();
  paint(list, f.fonts, faded(f.state.drawn, 1, f.state.photo.alone ? 0 : f.state.photo.strength, inner));
}

// Its line was taken, and the form is done; one that was refused stays to be corrected.
bool line_form_open(Frame& f) {
  if (f.state.form != Form::kNote && f.state.form != Form::kType) return false;
  if (f.state.line_sent && !f.session.message_is_error) f.state.form = Form::kNone;
  if (f.state.line_sent) f.state.focus_field = true;
  f.state.line_sent = false;
  return f.state.form != Form::kNone;
}

// The field that stands in place of the reading line while a note or sites are typed.
void draw_line_form(Frame& f, double width) {
  const bool note = f.state.form == Form::kNote;
  const std::string what =
      note ? fmt::format("note on {}", f.session.selected == kNone
                                           ? std::string("?")
                                           : f.session.board->board().pins[f.session.selected].number)
           : std::string("mark or fact");
  text(f.fonts.bold, f.theme.ink, what);
  ImGui::SameLine(0, 12);
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() - 7);
  const float left = static_cast<float>(width) - ImGui::GetCursorPosX() - 130;
  if (field(f, "##line", note ? "Enter keeps it" : "AB14 AB16..AB20 torn; or joined AB3 U3.T3", f.state.field,
            left, true)) {
    if (note) {
      f.action = app::NoteMark{f.session.selected, f.state.field};
    } else {
      f.action = app::TypeMarks{f.state.field};
    }
    f.state.line_sent = true;
  }
  ImGui::SameLine(0, 8);
  if (button(f, "cancel", "Leave", "Esc", {104, 32})) f.state.form = Form::kNone;
}

}  // namespace

scene::MapInput map_input(const app::Session& session, MapFlags& flags) {
  scene::MapInput in;
  in.board = session.board.get();
  in.package = &session.package;
  if (session.job) {
    in.job = &*session.job;
    in.assessment = &session.assessment;
  }
  in.theme = static_cast<scene::ThemeName>(session.preferences.theme);
  in.selected = session.selected;
  in.inspection = session.inspection;
  set_look(in, session.look);
  if (session.single_out) {
    flags.single_out = sites_of(*session.board, session.package, *session.single_out);
    in.single_out = &flags.single_out;
  }
  // What the sheet is about lights up; a selected ball has rings of its own.
  const bool supply = session.topic && session.topic->kind == app::TopicKind::kClass;
  if (session.topic && session.selected == kNone && !supply) {
    flags.lit = sites_of(*session.board, session.package, *session.topic);
    in.lit = &flags.lit;
  } else if (session.topic && supply && !session.single_out) {
    flags.single_out = sites_of(*session.board, session.package, *session.topic);
    in.single_out = &flags.single_out;
  }
  if (!session.chosen.empty()) {
    flags.chosen.assign(session.package.sites.size(), false);
    for (std::size_t i = 0; i < session.package.sites.size(); ++i)
      flags.chosen[i] = std::find(session.chosen.begin(), session.chosen.end(),
                                  session.package.sites[i].pin) != session.chosen.end();
    in.chosen = &flags.chosen;
  }
  return in;
}

void draw_map_panel(Frame& f, scene::Rect place) {
  const Pane pane("map", place, f.theme.sheet);
  draw_map_head(f, place.width);
  scene::Legend legend;
  if (f.state.legend && place.height > 500 && !f.session.plan_page) {
    legend = scene::lay_legend(*f.session.board, f.session.package, f.session.single_out, {place.x + 8, 0},
                               place.width - 16);
    const double top = place.y + place.height - legend.height - 4;
    for (scene::LegendEntry& entry : legend.entries) entry.place.y += top;
  }
  const scene::Rect area{place.x + 8, place.y + kMapHead, place.width - 16,
                         place.height - kMapHead - kReading - legend.height};
  f.state.map_area = area;
  MapFlags flags;
  const scene::MapInput in = map_input(f.session, flags);
  const scene::MapView map(in, area);
  const scene::Rect& last = f.state.drawn_area;
  const bool same = f.state.drawn_revision == f.session.revision && !f.state.drawn.empty() &&
                    last.x == area.x && last.y == area.y && last.width == area.width &&
                    last.height == area.height;
  if (!same) {
    scene::Canvas canvas(f.theme.stroke);
    if (f.session.plan) {
      scene::WiresOnMap wires{f.session.board->index(), f.session.package, map,
                              app::shown_plan(f.session)->plan,
                              f.session.look.balls ? f.theme.balls : f.theme.lands};
      for (const rework::PlannedWire& wire : wires.plan.wires)
        wires.states.push_back(wire_state(f.session, wire));
      map.draw(canvas, [&](scene::Canvas& c) { scene::draw_shut_in(c, f.theme, wires); });
      scene::draw_wires(canvas, f.theme, wires);
      // The colours are the trial's, not those of the plan that is kept.
      if (app::tried_wire(f.session))
        canvas.label({area.x + 4, area.y + 12}, fmt::format("tried: wire {}, kept nowhere", wires.plan.wire),
                     15, scene::Typeface::kBold, scene::Align::kLeft, f.theme.ink);
    } else {
      map.draw(canvas);
    }
    f.state.drawn = std::move(canvas.shapes());
    f.state.drawn_revision = f.session.revision;
    f.state.drawn_area = area;
  }
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.PushClipRect({static_cast<float>(area.x), static_cast<float>(area.y)},
                    {static_cast<float>(area.x + area.width), static_cast<float>(area.y + area.height)},
                    true);
  paint_map(f, map, list);
  draw_overlay(f, map);
  list.PopClipRect();
  ImGui::SetCursorScreenPos({static_cast<float>(area.x), static_cast<float>(area.y)});
  ImGui::InvisibleButton("area", {static_cast<float>(area.width), static_cast<float>(area.height)},
                         ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
                             ImGuiButtonFlags_MouseButtonMiddle);
  take_mouse(f, in, map, area);
  bring_selection(f, in, area);
  ImGui::SetCursorScreenPos({static_cast<float>(area.x) + 4, static_cast<float>(area.y + area.height) + 9});
  if (f.session.shaping) {
    draw_shape_line(f, place.width);
  } else if (line_form_open(f)) {
    draw_line_form(f, place.width);
  } else {
    draw_reading(f, place.width);
  }
  draw_legend_strip(f, legend);
}

}  // namespace landfall::ui
