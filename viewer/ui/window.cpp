#include "viewer/ui/window.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <imgui_stdlib.h>

#include "netdb/signals/signals.hpp"
#include "viewer/scene/signs.hpp"

namespace landfall::ui {
namespace {

constexpr float kHead = 48;
constexpr float kGauge = 208;
constexpr float kSheet = 344;
constexpr float kMessage = 28;
constexpr float kMapHead = 44;
constexpr float kReading = 36;
constexpr ImGuiWindowFlags kFixed = ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize |
                                    ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoCollapse |
                                    ImGuiWindowFlags_NoBringToFrontOnFocus |
                                    ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoFocusOnAppearing;

// A fixed part of the window on its own ground.
class Pane {
 public:
  Pane(const char* name, float x, float y, float width, float height, scene::Colour ground,
       bool scrolls = false) {
    ImGui::SetNextWindowPos({x, y});
    ImGui::SetNextWindowSize({width, height});
    ImGui::PushStyleColor(ImGuiCol_WindowBg, packed(ground));
    ImGui::Begin(
        name, nullptr,
        scrolls ? kFixed : kFixed | ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_NoScrollWithMouse);
  }
  ~Pane() {
    ImGui::End();
    ImGui::PopStyleColor();
  }
  Pane(const Pane&) = delete;
  Pane& operator=(const Pane&) = delete;
  Pane(Pane&&) = delete;
  Pane& operator=(Pane&&) = delete;
};

struct Frame {
  const app::Session& session;
  WindowState& state;
  const Fonts& fonts;
  const scene::Theme& theme;
  float width, height;
  std::optional<app::Action> action;
};

void text(const Frame& f, ImFont* font, scene::Colour colour, const std::string& what) {
  (void)f;
  ImGui::PushFont(font);
  ImGui::PushStyleColor(ImGuiCol_Text, packed(colour));
  ImGui::TextUnformatted(scene::clean_text(what).c_str());
  ImGui::PopStyleColor();
  ImGui::PopFont();
}

void wrapped(const Frame& f, ImFont* font, scene::Colour colour, const std::string& what) {
  ImGui::PushTextWrapPos(0);
  text(f, font, colour, what);
  ImGui::PopTextWrapPos();
}

void caption(const Frame& f, const char* what) {
  text(f, f.fonts.bold, f.theme.ink2, what);
}

// A scene drawn where the cursor is, so wide and high.
void draw_sign(const Frame& f, float width, float height, auto draw) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  scene::Canvas canvas(f.theme.stroke);
  draw(canvas, scene::P{at.x + width / 2, at.y + height / 2});
  paint(*ImGui::GetWindowDrawList(), f.fonts, canvas.shapes());
  ImGui::Dummy({width, height});
}

void draw_head(Frame& f) {
  const Pane pane("head", 0, 0, f.width, kHead, f.theme.ground);
  std::string title = "Landfall";
  if (f.session.board) {
    title = fmt::format("{} on {}", f.session.board->board().parts[f.session.package.part].reference,
                        f.session.board->info().name);
    if (f.session.job)
      title += fmt::format(", job {}{}", f.session.job->id,
                           f.session.job->title.empty() ? "" : ": " + f.session.job->title);
  }
  text(f, f.fonts.bold, f.theme.ink, title);
  if (!f.session.board) return;
  ImGui::SameLine(std::max(380.0F, f.width / 2 - 200));
  ImGui::SetCursorPosY(8);
  ImGui::SetNextItemWidth(420);
  if (f.state.focus_find) ImGui::SetKeyboardFocusHere();
  f.state.focus_find = false;
  const bool entered = ImGui::InputTextWithHint("##find", "/  find a net, ball or part", &f.state.typed,
                                                ImGuiInputTextFlags_EnterReturnsTrue);
  if (entered && !f.session.hits.empty()) {
    f.action = app::GoToHit{0};
    f.state.typed.clear();
  } else if (f.state.typed != f.session.find_text) {
    f.action = app::FindText{f.state.typed};
  }
}

void draw_hits(Frame& f) {
  if (f.session.find_text.empty()) return;
  const float rows = static_cast<float>(f.session.hits.size()) + 1;
  const Pane pane("hits", std::max(380.0F, f.width / 2 - 200), kHead, 480, rows * 30 + 30, f.theme.field);
  if (f.session.hits.empty()) {
    return wrapped(f, f.fonts.body, f.theme.ink,
                   fmt::format("No net, ball, part or function has \"{}\".", f.session.find_text));
  }
  for (std::size_t i = 0; i < f.session.hits.size(); ++i) {
    const app::Hit& hit = f.session.hits[i];
    std::string where;
    if (hit.kind == app::HitKind::kFunction) where = "  " + f.session.board->index().pin_text(hit.item);
    const std::string line =
        scene::clean_text(fmt::format("{:<9} {}{}##{}", word(hit.kind), hit.name, where, i));
    if (ImGui::Selectable(line.c_str(), i == 0, 0, {0, 26})) {
      f.action = app::GoToHit{i};
      f.state.typed.clear();
    }
  }
  if (f.session.hits_total > f.session.hits.size()) {
    text(f, f.fonts.body, f.theme.ink2,
         fmt::format("and {} more: type on", f.session.hits_total - f.session.hits.size()));
  }
}

void draw_channels(Frame& f) {
  caption(f, "EFFECT");
  const Signals& signals = f.session.board->signals();
  std::size_t rest = 0;
  std::size_t shown = 0;
  for (const auto& group : f.session.assessment.channels) {
    const Channel& channel = signals.channels[group.group];
    if ((group.state == rework::State::kUp && channel.kind != InterfaceKind::kMemory) || shown >= 5) {
      ++rest;
      continue;
    }
    ++shown;
    draw_sign(f, 22, 24,
              [&](scene::Canvas& canvas, scene::P at) { draw_state(canvas, group.state, at, 13, f.theme); });
    ImGui::SameLine();
    scene::Colour colour = f.theme.ok;
    if (group.state == rework::State::kDegraded) colour = f.theme.warn;
    if (group.state == rework::State::kDown) colour = f.theme.bad;
    if (group.state == rework::State::kUnknown) colour = f.theme.ink2;
    text(f, f.fonts.bold, f.theme.ink, channel.name);
    ImGui::SameLine();
    text(f, f.fonts.bold, colour, std::string(word(group.state)));
    wrapped(f, f.fonts.mono, f.theme.ink2, group.because);
  }
  if (rest > 0) text(f, f.fonts.body, f.theme.ink2, fmt::format("{} others up", rest));
}

void draw_counts(Frame& f) {
  const rework::Assessment& a = f.session.assessment;
  ImGui::Dummy({0, 6});
  caption(f, "WIRES   at most");
  text(f, f.fonts.figure, f.theme.ink, std::to_string(a.wires));
  ImGui::SameLine();
  ImGui::BeginGroup();
  text(f, f.fonts.bold, f.theme.ink, fmt::format("{} rebuild{}", a.rebuilds, a.rebuilds == 1 ? "" : "s"));
  text(f, f.fonts.bold, f.theme.ink, fmt::format("{} cannot", a.cannot));
  ImGui::EndGroup();
  text(f, f.fonts.body, f.theme.ink2, fmt::format("{} optional, {} none", a.optional, a.none));
  ImGui::Dummy({0, 6});
  caption(f, "MARK");
  text(f, f.fonts.body, f.theme.ink2,
       fmt::format("{} marks, {} sound", a.sites.size() + a.strays.size(), a.sound));
  text(f, f.fonts.body, f.theme.ink2, fmt::format("{} not inspected", a.not_inspected));
}

// The seven kinds, laid out as the number pad, which are keys and buttons.
void draw_mark_keys(Frame& f) {
  for (const int row : {4, 1, 0}) {
    for (int i = row; i < (row == 0 ? 1 : row + 3); ++i) {
      const auto kind = static_cast<MarkKind>(i);
      if (i > row) ImGui::SameLine(0, 4);
      const ImVec2 at = ImGui::GetCursorScreenPos();
      if (ImGui::Button(fmt::format("##mark{}", i).c_str(), {56, 44})) {
        f.state.same_again = kind;
        f.action = app::MarkPin{f.session.selected, kind};
      }
      ImDrawList& list = *ImGui::GetWindowDrawList();
      list.AddRect(at, {at.x + 56, at.y + 44}, packed(f.theme.line));
      scene::Canvas canvas(f.theme.stroke);
      if (kind == MarkKind::kSound) {
        draw_sound_corner(canvas, {at.x + 10, at.y + 6}, 8, f.theme.mark);
      } else {
        draw_mark(canvas, kind, {at.x + 15, at.y + 14}, 8, f.theme.mark, f.theme.sheet);
      }
      canvas.label({at.x + 28, at.y + 33}, std::string(word(kind)), 12, scene::Typeface::kPlain,
                   scene::Align::kMiddle, f.theme.ink);
      paint(list, f.fonts, canvas.shapes());
    }
  }
  ImGui::SameLine(0, 4);
  if (ImGui::Button("off  X", {116, 44})) f.action = app::MarkPin{f.session.selected, std::nullopt};
}

void draw_safety(Frame& f) {
  ImGui::Dummy({0, 6});
  if (f.session.job->safety_critical == SafetyAnswer::kYes) {
    wrapped(f, f.fonts.bold, f.theme.bad,
            "Safety-critical: this board goes to the maker's authorised repair.");
  } else if (f.session.job->safety_critical == SafetyAnswer::kNotAsked) {
    wrapped(f, f.fonts.body, f.theme.ink,
            "Safety-critical board (medical, vehicles, aviation, rail, alarms, protective)?");
    if (ImGui::Button("Yes", {60, 32})) f.action = app::AnswerSafety{true};
    ImGui::SameLine();
    if (ImGui::Button("No", {60, 32})) f.action = app::AnswerSafety{false};
  }
}

void draw_gauge(Frame& f) {
  const Pane pane("gauge", 0, kHead, kGauge, f.height - kHead - kMessage, f.theme.ground, true);
  if (!f.session.job) {
    wrapped(f, f.fonts.body, f.theme.ink, "No job. Marks need one.");
    if (ImGui::Button("New job", {120, 32})) f.action = app::NewJob{};
    ImGui::Dummy({0, 8});
    return wrapped(f, f.fonts.body, f.theme.ink2,
                   "Battery out and capacitors down before heat. Mind hot boards, fumes and static.");
  }
  draw_channels(f);
  draw_counts(f);
  draw_mark_keys(f);
  draw_safety(f);
}

void draw_pin(Frame& f, const app::PinOnNet& pin) {
  std::string line = pin.name;
  if (!pin.function.empty()) line += " " + pin.function;
  if (pin.from_here) line += fmt::format("  {} mm", mm_text(*pin.from_here, 1));
  ImGui::PushFont(f.fonts.mono);
  const std::string label = scene::clean_text(line) + "##" + std::to_string(pin.pin);
  const bool here = f.session.board->board().pins[pin.pin].part == f.session.package.part;
  if (ImGui::Selectable(label.c_str(), false, 0, {0, 22}) && here) f.action = app::SelectPin{pin.pin};
  ImGui::PopFont();
}

void draw_sheet_body(Frame& f, const app::AboutBall& about) {
  const Signals& signals = f.session.board->signals();
  const Board& board = f.session.board->board();
  text(f, f.fonts.figure, f.theme.ink, board.pins[about.pin].number);
  if (!about.function.empty()) text(f, f.fonts.body, f.theme.ink2, "the chip calls it " + about.function);
  for (const auto& site : f.session.assessment.sites) {
    if (site.pin != about.pin) continue;
    text(f, f.fonts.bold, f.theme.mark, std::string(word(site.mark)));
    ImGui::SameLine();
    text(f, f.fonts.bold, f.theme.ink, "needs: " + std::string(word(site.need)));
    wrapped(f, f.fonts.body, f.theme.ink2, site.reason);
  }
  if (about.net == kNone) return text(f, f.fonts.body, f.theme.ink, "on no net");
  const NetSignal& signal = signals.nets[about.net];
  wrapped(f, f.fonts.mono_bold, f.theme.ink, board.nets[about.net].name);
  text(f, f.fonts.bold, f.theme.ink, std::string(word(signal.signal_class)));
  if (!signal.why.empty()) wrapped(f, f.fonts.body, f.theme.ink2, signal.why.front().source);
  const std::string group = signals::groups_text(signals, about.net);
  if (!group.empty()) text(f, f.fonts.italic, f.theme.ink, group);
  ImGui::Dummy({0, 4});
  caption(f, fmt::format("ON THE NET   {} other pins", about.on_net.pins.size()).c_str());
  for (std::size_t i = 0; i < about.on_net.pins.size() && i < 10; ++i) draw_pin(f, about.on_net.pins[i]);
  if (about.on_net.pins.size() > 10)
    text(f, f.fonts.body, f.theme.ink2, fmt::format("and {} more", about.on_net.pins.size() - 10));
  for (const auto& beyond : about.on_net.beyond) {
    wrapped(f, f.fonts.body, f.theme.ink,
            fmt::format("beyond {}: {}", beyond.through, board.nets[beyond.net].name));
    for (std::size_t i = 0; i < beyond.pins.size() && i < 4; ++i) draw_pin(f, beyond.pins[i]);
  }
  std::string neighbours;
  for (const std::string& name : about.neighbours) neighbours += name + " ";
  caption(f, "TEST AGAINST");
  wrapped(f, f.fonts.mono, f.theme.ink, neighbours);
}

void draw_sheet(Frame& f, float height) {
  const Pane pane("sheet", f.width - kSheet, kHead, kSheet, height, f.theme.sheet, true);
  if (f.session.about) {
    draw_sheet_body(f, *f.session.about);
  } else {
    wrapped(f, f.fonts.body, f.theme.ink, "Click a ball to see what is on it.");
    ImGui::Dummy({0, 6});
    for (const KeyInfo& key : keys()) {
      text(f, f.fonts.bold, f.theme.ink, key.keys);
      wrapped(f, f.fonts.body, f.theme.ink2, key.does);
    }
  }
}

void draw_marks(Frame& f, float top) {
  const Pane pane("marks", f.width - kSheet, top, kSheet, f.height - top - kMessage, f.theme.sheet, true);
  caption(f, fmt::format("MARKS   {}", f.session.assessment.sites.size()).c_str());
  if (f.session.assessment.sites.empty()) {
    return wrapped(f, f.fonts.body, f.theme.ink,
                   f.session.job ? "No marks yet. Select a ball, press 0 to 6." : "No job. Marks need one.");
  }
  const Board& board = f.session.board->board();
  const auto& sites = f.session.assessment.sites;
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(sites.size()), 32);
  while (clipper.Step()) {
    for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i) {
      const auto& site = sites[static_cast<std::size_t>(i)];
      const Pin& pin = board.pins[site.pin];
      const ImVec2 at = ImGui::GetCursorScreenPos();
      if (ImGui::Selectable(fmt::format("##row{}", i).c_str(), site.pin == f.session.selected, 0, {0, 28}))
        f.action = app::SelectPin{site.pin};
      scene::Canvas canvas(f.theme.stroke);
      draw_mark(canvas, site.mark, {at.x + 12, at.y + 14}, 8, f.theme.mark, f.theme.sheet);
      canvas.label({at.x + 30, at.y + 14}, pin.number, 15, scene::Typeface::kMonoBold, scene::Align::kLeft,
                   f.theme.ink);
      const std::string net = pin.net == kNone ? "" : std::string(leaf_name(board.nets[pin.net].name));
      canvas.label({at.x + 88, at.y + 14}, net.substr(0, 17), 13, scene::Typeface::kMono, scene::Align::kLeft,
                   f.theme.ink);
      draw_need(canvas, site.need, {at.x + 246, at.y + 14}, 6, f.theme.ink);
      canvas.label({at.x + 258, at.y + 14}, std::string(word(site.need)), 13, scene::Typeface::kPlain,
                   scene::Align::kLeft, f.theme.ink);
      paint(*ImGui::GetWindowDrawList(), f.fonts, canvas.shapes());
    }
  }
}

scene::MapInput map_input(const Frame& f) {
  scene::MapInput in;
  in.board = f.session.board.get();
  in.package = &f.session.package;
  if (f.session.job) {
    in.job = &*f.session.job;
    in.assessment = &f.session.assessment;
  }
  in.theme = static_cast<scene::ThemeName>(f.session.theme);
  in.face = f.session.balls_face ? scene::Face::kBalls : scene::Face::kLands;
  in.turn = f.session.turn;
  in.selected = f.session.selected;
  in.pointed = f.state.pointed;
  in.inspection = f.session.inspection;
  in.zoom = f.state.zoom;
  in.pan = f.state.pan;
  return in;
}

void draw_map_head(Frame& f) {
  const bool lands = !f.session.balls_face;
  text(f, f.fonts.bold, f.theme.ink, lands ? "LANDS" : "BALLS");
  ImGui::SameLine();
  std::string words = lands ? "looking down on the board" : "chip seen from below, mirrored";
  if (f.session.turn != 0) words += fmt::format(", turned {:g}\u00B0 clockwise", f.session.turn);
  text(f, f.fonts.body, f.theme.ink2, words);
  ImGui::SameLine(std::max(300.0F, ImGui::GetWindowWidth() - 382));
  ImGui::SetCursorPosY(6);
  if (ImGui::Button("Board  B", {84, 32})) f.action = app::ShowBoard{};
  ImGui::SameLine();
  if (ImGui::Button("Turn  E", {84, 32})) f.action = app::TurnBy{90};
  ImGui::SameLine();
  if (ImGui::Button("Face  F", {84, 32})) f.action = app::OtherFace{};
  ImGui::SameLine();
  if (ImGui::Button("Whole  Z", {90, 32})) {
    f.state.zoom = 1;
    f.state.pan = {};
  }
}

// What is under the pointer, or selected, in one line below the map.
void draw_reading(const Frame& f) {
  const Index pin = f.state.pointed != kNone ? f.state.pointed : f.session.selected;
  std::string line = fmt::format("{} balls, pitch {} mm", f.session.package.sites.size(),
                                 mm_text(f.session.package.pitch_x));
  if (pin != kNone) {
    const Pin& p = f.session.board->board().pins[pin];
    const Signals& signals = f.session.board->signals();
    line = p.number + "  ";
    if (p.net == kNone) {
      line += "on no net";
    } else {
      const std::string group = signals::groups_text(signals, p.net);
      line += fmt::format("{}  {}{}", f.session.board->board().nets[p.net].name,
                          word(signals.nets[p.net].signal_class), group.empty() ? "" : " of " + group);
    }
  }
  text(f, f.fonts.mono_bold, f.theme.ink, line);
}

void take_keys(Frame& f, const scene::MapView* map) {
  const ImGuiIO& io = ImGui::GetIO();
  if (f.action || io.WantTextInput) return;
  for (int key = 0; key < 512; ++key) {
    if (!ImGui::IsKeyPressed(key)) continue;
    f.action = key_action(f.session, f.state, map, key, io.KeyCtrl, io.KeyShift);
    break;
  }
}

void draw_board_pane(Frame& f) {
  const scene::Rect area{kGauge, kHead, f.width - kGauge - kSheet, f.height - kHead - kMessage};
  const Pane pane("board", kGauge, kHead, static_cast<float>(area.width), static_cast<float>(area.height),
                  f.theme.sheet);
  if (auto action = draw_board(f.session, f.state.board, f.fonts, area)) f.action = std::move(action);
  take_keys(f, nullptr);
}

void draw_map_pane(Frame& f) {
  const float width = f.width - kGauge - kSheet;
  const float height = f.height - kHead - kMessage;
  const Pane pane("map", kGauge, kHead, width, height, f.theme.sheet);
  draw_map_head(f);
  const scene::MapInput in = map_input(f);
  const scene::Rect area{kGauge + 8.0, kHead + static_cast<double>(kMapHead), width - 16.0,
                         height - static_cast<double>(kMapHead) - static_cast<double>(kReading)};
  const scene::MapView map(in, area);
  scene::Canvas canvas(f.theme.stroke);
  map.draw(canvas);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.PushClipRect({static_cast<float>(area.x), static_cast<float>(area.y)},
                    {static_cast<float>(area.x + area.width), static_cast<float>(area.y + area.height)},
                    true);
  paint(list, f.fonts, canvas.shapes());
  list.PopClipRect();
  ImGui::SetCursorScreenPos({static_cast<float>(area.x), static_cast<float>(area.y)});
  ImGui::InvisibleButton("area", {static_cast<float>(area.width), static_cast<float>(area.height)},
                         ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight);
  const ImGuiIO& io = ImGui::GetIO();
  f.state.pointed = kNone;
  if (ImGui::IsItemHovered()) {
    const auto site = map.site_at({io.MousePos.x, io.MousePos.y});
    if (site) f.state.pointed = f.session.package.sites[*site].pin;
    if (io.MouseWheel != 0)
      f.state.zoom = std::clamp(f.state.zoom * (io.MouseWheel > 0 ? 1.25 : 0.8), 0.5, 12.0);
    if (ImGui::IsMouseClicked(0)) f.action = app::SelectPin{f.state.pointed};
  }
  if (ImGui::IsItemActive() && ImGui::IsMouseDragging(1))
    f.state.pan = f.state.pan + scene::P{io.MouseDelta.x, io.MouseDelta.y};
  ImGui::SetCursorScreenPos({static_cast<float>(area.x), static_cast<float>(area.y + area.height) + 8});
  draw_reading(f);
  take_keys(f, &map);
}

void draw_start(Frame& f) {
  const Pane pane("start", 0, kHead, f.width, f.height - kHead - kMessage, f.theme.lands, true);
  if (f.session.boards.empty()) {
    text(f, f.fonts.bold, f.theme.ink, "No boards yet.");
    wrapped(f, f.fonts.body, f.theme.ink, "Read a design file first, in a terminal:");
    text(f, f.fonts.mono, f.theme.ink, "landfall import BOARD.kicad_pcb [NETLIST.net] [TEST.ipc]");
    wrapped(f, f.fonts.body, f.theme.ink2,
            "With nothing but the chip in the hand: landfall board new NAME --package 22x22 --pitch 0.8");
    return;
  }
  for (const auto& board : f.session.boards) {
    text(f, f.fonts.bold, f.theme.ink, board.name);
    ImGui::SameLine();
    text(f, f.fonts.body, f.theme.ink2,
         fmt::format("{} parts, {} pins, {} nets", board.parts, board.pins, board.nets));
    if (ImGui::Button(fmt::format("Open board##{}", board.id).c_str(), {140, 32}))
      f.action = app::OpenPart{board.id, ""};
    for (const Job& job : f.session.jobs) {
      if (job.board != board.id) continue;
      const auto sound = static_cast<std::size_t>(std::count_if(
          job.marks.begin(), job.marks.end(), [](const Mark& m) { return m.kind == MarkKind::kSound; }));
      if (ImGui::Button(fmt::format("Open job {}##job{}", job.id, job.id).c_str(), {140, 32}))
        f.action = app::OpenJob{job.id};
      ImGui::SameLine();
      text(f, f.fonts.body, f.theme.ink,
           fmt::format("{}  {} marks, {} sound, {}, kept {}", job.title, job.marks.size() - sound, sound,
                       job.closed ? "closed" : "open", job.kept));
    }
    ImGui::Dummy({0, 8});
  }
}

void draw_message(const Frame& f) {
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2{16, 5});
  {
    const Pane pane("message", 0, f.height - kMessage, f.width, kMessage, f.theme.ground);
    text(f, f.session.message_is_error ? f.fonts.bold : f.fonts.body,
         f.session.message_is_error ? f.theme.bad : f.theme.ink, f.session.message);
    if (!f.session.kept.empty() && f.session.job) {
      ImGui::SameLine(f.width - 260);
      text(f, f.fonts.body, f.theme.ink2, "kept " + f.session.kept);
    }
  }
  ImGui::PopStyleVar();
}

}  // namespace

std::optional<app::Action> draw_window(const app::Session& session, WindowState& state, const Fonts& fonts,
                                       float width, float height) {
  const scene::Theme& theme = scene::theme(static_cast<scene::ThemeName>(session.theme));
  Frame f{session, state, fonts, theme, width, height, std::nullopt};
  ImGui::PushFont(fonts.body);
  draw_head(f);
  if (!session.board) {
    draw_start(f);
  } else {
    draw_gauge(f);
    if (session.board_view) {
      draw_board_pane(f);
    } else {
      draw_map_pane(f);
    }
    const float sheet = (height - kHead - kMessage) * 0.6F;
    draw_sheet(f, sheet);
    draw_marks(f, kHead + sheet);
    draw_hits(f);
  }
  draw_message(f);
  const ImGuiIO& io = ImGui::GetIO();
  if (io.WantTextInput && ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape))) {
    state.typed.clear();
    f.action = app::Leave{};
  }
  ImGui::PopFont();
  return f.action;
}

}  // namespace landfall::ui
