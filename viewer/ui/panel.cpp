#include "viewer/ui/panel.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <imgui_internal.h>  // where a wrapped line ends
#include <imgui_stdlib.h>

namespace landfall::ui {
namespace {

constexpr ImGuiWindowFlags kFixed = ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize |
                                    ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoCollapse |
                                    ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoFocusOnAppearing;

}  // namespace

float width_of(ImFont* font, const std::string& what) {
  const float size = font->FontSize * ImGui::GetIO().FontGlobalScale;
  return font->CalcTextSizeA(size, FLT_MAX, 0, what.c_str()).x;
}

Pane::Pane(const char* name, scene::Rect area, scene::Colour ground, bool scrolls, bool above) {
  ImGui::SetNextWindowPos({static_cast<float>(area.x), static_cast<float>(area.y)});
  ImGui::SetNextWindowSize({static_cast<float>(area.width), static_cast<float>(area.height)});
  ImGui::PushStyleColor(ImGuiCol_WindowBg, packed(ground));
  ImGuiWindowFlags flags = kFixed;
  if (!scrolls) flags |= ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_NoScrollWithMouse;
  if (!above) flags |= ImGuiWindowFlags_NoBringToFrontOnFocus;
  ImGui::Begin(name, nullptr, flags);
  // Frames and bands reach to the pane's edge, beyond the padding that text keeps.
  const ImVec2 at = ImGui::GetWindowPos();
  const ImVec2 size = ImGui::GetWindowSize();
  ImGui::PushClipRect(at, {at.x + size.x, at.y + size.y}, false);
}

Pane::~Pane() {
  ImGui::PopClipRect();
  ImGui::End();
  ImGui::PopStyleColor();
}

// In lines of at most that width, broken at blanks alone: ImGui's own breaks come behind any '.' and ',', in
// the middle of a figure too.
static std::string broken(ImFont* font, const std::string& what, float width) {
  std::string lines;
  std::size_t line = 0;  // where the present one begins
  for (std::size_t at = 0; at < what.size();) {
    const std::size_t end = std::min(what.find_first_of(" \n", at), what.size());
    const std::string word = what.substr(at, end - at);
    const bool begins = lines.size() == line;
    if (!begins && width_of(font, lines.substr(line) + word) > width) {
      if (lines.back() == ' ') lines.pop_back();
      lines += '\n';
      line = lines.size();
    }
    lines += word;
    if (end < what.size()) lines += what[end];
    if (end < what.size() && what[end] == '\n') line = lines.size();
    at = end + 1;
  }
  return lines;
}

void text(ImFont* font, scene::Colour colour, const std::string& what) {
  std::string shown = scene::clean_text(what);
  if (const float wrap = ImGui::GetCurrentWindow()->DC.TextWrapPos; wrap >= 0)
    shown = broken(font, shown, ImGui::CalcWrapWidthForPos(ImGui::GetCursorScreenPos(), wrap));
  ImGui::PushFont(font);
  ImGui::PushStyleColor(ImGuiCol_Text, packed(colour));
  ImGui::TextUnformatted(shown.c_str());
  ImGui::PopStyleColor();
  ImGui::PopFont();
}

void wrapped(ImFont* font, scene::Colour colour, const std::string& what) {
  ImGui::PushTextWrapPos(0);
  text(font, colour, what);
  ImGui::PopTextWrapPos();
}

std::string cut(ImFont* font, const std::string& what, float width) {
  std::string clean = scene::clean_text(what);
  if (width_of(font, clean) <= width) return clean;
  while (!clean.empty()) {
    // Whole letters: the bytes that go on one are 10xxxxxx.
    while (!clean.empty() && (static_cast<unsigned char>(clean.back()) & 0xC0U) == 0x80U) clean.pop_back();
    if (!clean.empty()) clean.pop_back();
    if (width_of(font, clean + "\u2026") <= width) break;
  }
  return clean + "\u2026";
}

void cut_text(ImFont* font, scene::Colour colour, const std::string& what, float width) {
  text(font, colour, cut(font, what, width));
}

void right_text(ImFont* font, scene::Colour colour, const std::string& what, float right) {
  ImGui::SameLine();
  ImGui::SetCursorPosX(std::max(0.0F, right - width_of(font, what)));
  text(font, colour, what);
}

void rule(const Frame& f) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  straight_line(*ImGui::GetWindowDrawList(), {at.x, at.y + 3}, {at.x + width, at.y + 3}, 1,
                packed(f.theme.rule));
  ImGui::Dummy({0, 6});
}

void caption(const Frame& f, const std::string& what, const std::string& right, bool line) {
  if (line) rule(f);
  text(f.fonts.bold, f.theme.ink2, what);
  if (right.empty()) return;
  const float width = ImGui::GetContentRegionAvail().x;
  right_text(f.fonts.note, f.theme.ink2, cut(f.fonts.note, right, width - width_of(f.fonts.bold, what) - 4),
             ImGui::GetCursorPosX() + width);
}

void draw(const Frame& f, scene::Canvas& canvas) {
  paint(*ImGui::GetWindowDrawList(), f.fonts, canvas.shapes());
}

bool button(const Frame& f, const char* name, const std::string& label, const std::string& key, ImVec2 size,
            bool main) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::PushID(name);
  const bool pressed = ImGui::InvisibleButton("button", size);
  const bool hovered = ImGui::IsItemHovered();
  ImGui::PopID();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImVec2 end{at.x + size.x, at.y + size.y};
  scene::Colour ground = f.theme.sheet;
  if (hovered) ground = f.theme.pick;
  if (main) ground = f.theme.ink;
  list.AddRectFilled(at, end, packed(ground));
  outline(list, at, end, packed(main ? f.theme.ink : f.theme.line));
  const scene::Colour ink = main ? f.theme.invert : f.theme.ink;
  const float middle = at.y + size.y / 2;
  // Where both have no room the word goes before its key.
  float box = key.empty() ? 0 : width_of(f.fonts.mono, key) + 12;
  if (box > 0 && width_of(f.fonts.body, scene::clean_text(label)) > size.x - 18 - box) box = 0;
  const float room = size.x - 12 - (box > 0 ? box + 6 : 0);
  const std::string shown = cut(f.fonts.body, label, room);
  const float wide = width_of(f.fonts.body, shown) + (box > 0 ? box + 8 : 0);
  const float left = at.x + std::max(6.0F, (size.x - wide) / 2);
  scene::Canvas canvas(f.theme.stroke);
  canvas.label({left, middle}, shown, 15, scene::Typeface::kPlain, scene::Align::kLeft, ink);
  if (box > 0) {
    const float x = left + wide - box;
    outline(list, {x, middle - 10}, {x + box, middle + 10}, packed(main ? f.theme.invert : f.theme.line));
    canvas.label({x + box / 2, middle}, key, 13, scene::Typeface::kMono, scene::Align::kMiddle,
                 main ? f.theme.invert : f.theme.ink2);
  }
  draw(f, canvas);
  return pressed;
}

void row_ground(const Frame& f, ImVec2 low, ImVec2 high, bool chosen, bool hovered) {
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (chosen) list.AddRectFilled(low, high, packed(f.theme.pick));
  if (chosen) list.AddRectFilled(low, {low.x + 5, high.y}, packed(f.theme.ink));
  if (hovered && !chosen) outline(list, low, high, packed(f.theme.line));
}

std::string key_of(const Frame& f, app::Command command) {
  const std::string keys = f.state.keys.keys_of(command);
  return keys.substr(0, keys.find(','));
}

bool field(Frame& f, const char* name, const char* hint, std::string& value, float width, bool first) {
  ImGui::SetNextItemWidth(width);
  if (first && f.state.focus_field) {
    ImGui::SetKeyboardFocusHere();
    f.state.focus_field = false;
  }
  const bool entered = ImGui::InputTextWithHint(name, hint, &value, ImGuiInputTextFlags_EnterReturnsTrue);
  const ImVec2 low = ImGui::GetItemRectMin();
  const ImVec2 high = ImGui::GetItemRectMax();
  straight_line(*ImGui::GetWindowDrawList(), {low.x, high.y}, {high.x, high.y}, 1, packed(f.theme.ink));
  return entered;
}

std::optional<std::string> kept_field(Frame& f, const std::string& name, const char* hint,
                                      const std::string& kept, float width, bool first) {
  KeptField& own = f.state.kept_field;
  if (own.name == name && own.sent) {
    own.sent = false;
    if (!f.session.message_is_error) own.name.clear();
  }
  std::string value = own.name == name ? own.typed : kept;
  const bool entered = field(f, ("##" + name).c_str(), hint, value, width, first);
  const bool active = ImGui::IsItemActive();
  const bool left = ImGui::IsItemDeactivatedAfterEdit();
  const bool escaped = left && ImGui::IsKeyPressed(41, false);  // Esc: as it was
  f.state.caret = f.state.caret || active;
  if (active) {
    own.name = name;
    own.typed = value;
  } else if (own.name == name && (value == kept || escaped)) {
    own.name.clear();
  }
  if (!(entered || left) || escaped || value == kept || f.action) return std::nullopt;
  own.name = name;
  own.typed = value;
  own.sent = true;
  return value;
}

void draw_caution(scene::Canvas& canvas, scene::P at, scene::Colour colour) {
  canvas.path({{at.x, at.y - 8}, {at.x + 9, at.y + 7}, {at.x - 9, at.y + 7}, {at.x, at.y - 8}}, 1.6, colour);
  canvas.line({at.x, at.y - 3}, {at.x, at.y + 2}, 1.8, colour);
  canvas.disc({at.x, at.y + 4.6}, 1.1, colour);
}

void caution(Frame& f, const std::string& says) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  scene::Canvas canvas(f.theme.stroke);
  draw_caution(canvas, {at.x + 9, at.y + 9}, f.theme.warn);
  draw(f, canvas);
  ImGui::SetCursorPosX(ImGui::GetCursorPosX() + 26);
  wrapped(f.fonts.body, f.theme.warn, says);
}

// All in one line: the gravest, and where the rest is read.
static std::string low_caution(const Frame& f, const std::vector<std::string>& lines, float room) {
  if (lines.size() == 1 && width_of(f.fonts.bold, lines.front()) <= room) return lines.front();
  const std::string rest = lines.size() > 1 ? fmt::format(" {} more: see the intake.", lines.size() - 1)
                                            : std::string(" See the intake.");
  return cut(f.fonts.bold, lines.front(), room - width_of(f.fonts.bold, rest)) + rest;
}

void draw_power_cautions(Frame& f, scene::Rect& area, bool low) {
  if (!f.session.intake || f.session.intake->power.empty()) return;
  constexpr float kPad = 6;
  std::vector<std::string> lines = f.session.intake->power;
  const float room = static_cast<float>(area.width) - 58;
  if (low) lines = {low_caution(f, lines, room)};
  const float size = f.fonts.bold->FontSize * ImGui::GetIO().FontGlobalScale;
  float height = 2 * kPad;
  for (const std::string& says : lines)
    height += (low ? size : f.fonts.bold->CalcTextSizeA(size, FLT_MAX, room, says.c_str()).y) + 4;
  const Pane pane("power cautions", {area.x, area.y, area.width, height}, f.theme.ground);
  ImGui::SetCursorPos({12, kPad});
  for (const std::string& says : lines) {
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const ImVec2 local = ImGui::GetCursorPos();
    scene::Canvas canvas(f.theme.stroke);
    draw_caution(canvas, {at.x + 9, at.y + 9}, f.theme.warn);
    draw(f, canvas);
    ImGui::SetCursorPos({local.x + 26, local.y});
    if (low) {
      cut_text(f.fonts.bold, f.theme.warn, says, room);
    } else {
      ImGui::PushTextWrapPos(local.x + 26 + room);
      text(f.fonts.bold, f.theme.warn, says);
      ImGui::PopTextWrapPos();
    }
    ImGui::SetCursorPosX(local.x);
  }
  const ImVec2 corner = ImGui::GetWindowPos();
  straight_line(*ImGui::GetWindowDrawList(), {corner.x, corner.y + height - 1},
                {corner.x + static_cast<float>(area.width), corner.y + height - 1}, 1, packed(f.theme.ink));
  area.y += height;
  area.height -= height;
}

void draw_closed(Frame& f, float width) {
  ImGui::BeginGroup();
  ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + width);
  text(f.fonts.bold, f.theme.ink, "This job is closed.");
  text(f.fonts.note, f.theme.ink2, "It takes no marks, answers, readings or outcomes.");
  ImGui::PopTextWrapPos();
  if (button(f, "reopen", "Open it again", key_of(f, app::Command::kCloseJob), {std::min(width, 220.0F), 36},
             true))
    f.action = app::CloseJob{f.session.job->id, false};
  ImGui::EndGroup();
}

void open_form(WindowState& state, Form form) {
  state.form = form;
  state.focus_field = true;
  state.line_sent = false;
  state.field.clear();
  state.field2.clear();
  state.field3.clear();
  state.field4.clear();
  state.picked.clear();
  state.safety.reset();
  state.into.reset();
  state.board = 0;
}

}  // namespace landfall::ui
