#include <algorithm>

#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include "netdb/model/counted.hpp"
#include "viewer/ui/panel.hpp"

// The find field in the head, and the list of finds under it: those on the open board, then those on others.

namespace landfall::ui {
namespace {

constexpr float kRow = 36;
constexpr float kFoot = 34;

int hits_of(const app::Session& s) {
  return static_cast<int>(s.hits.size() + s.far_hits.size());
}

void go_to_hit(Frame& f, int hit) {
  f.action = app::GoToHit{static_cast<std::size_t>(hit)};
  f.state.typed.clear();
  f.state.hit = 0;
}

struct Row {
  std::string kind, name, where;
};

Row row_of(const app::Session& s, std::size_t i) {
  if (i >= s.hits.size()) {
    const app::FarHit& far = s.far_hits[i - s.hits.size()];
    const bool pin_tells = far.hit.kind == app::HitKind::kFunction;
    return {
        std::string(word(far.hit.kind)), far.hit.name,
        pin_tells ? fmt::format("{} on {}", far.pin, far.board_name) : fmt::format("on {}", far.board_name)};
  }
  const app::Hit& hit = s.hits[i];
  std::string where;
  if (hit.kind == app::HitKind::kFunction) where = s.board->index().pin_text(hit.item);
  if (hit.kind == app::HitKind::kNet)
    where = std::string(word(s.board->signals().nets[hit.item].signal_class));
  return {std::string(word(hit.kind)), hit.name, where};
}

void draw_row(Frame& f, int i, double width) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::PushID(i);
  if (ImGui::InvisibleButton("hit", {static_cast<float>(width) - 24, kRow - 4})) go_to_hit(f, i);
  ImGui::PopID();
  row_ground(f, {at.x - 8, at.y - 2}, {at.x + static_cast<float>(width) - 24, at.y + kRow - 2},
             i == f.state.hit, ImGui::IsItemHovered());
  const Row row = row_of(f.session, static_cast<std::size_t>(i));
  const float where_room = static_cast<float>(width) * 0.42F;
  const std::string where = cut(f.fonts.note, row.where, where_room);
  const float name_room = static_cast<float>(width) - 74 - 44 - 16 - width_of(f.fonts.note, where);
  scene::Canvas canvas(f.theme.stroke);
  const double middle = at.y + 16;
  canvas.label({at.x + 4, middle}, row.kind, 13, scene::Typeface::kPlain, scene::Align::kLeft, f.theme.ink2);
  canvas.label({at.x + 74, middle}, cut(f.fonts.mono_bold, row.name, name_room), 15,
               scene::Typeface::kMonoBold, scene::Align::kLeft, f.theme.ink);
  canvas.label({at.x + width - 44, middle}, where, 13, scene::Typeface::kPlain, scene::Align::kRight,
               f.theme.ink2);
  draw(f, canvas);
}

// Other boards: how many are read, and the way there and back.
void draw_reach(Frame& f, float width) {
  const app::Session& s = f.session;
  const std::size_t others = s.boards.size() - (s.board ? 1 : 0);
  if (others == 0) return;
  if (s.reading_names)
    text(f.fonts.note, f.theme.ink2,
         fmt::format("reading names: {} of {}", s.names.size(), count_of(others, "board")));
  if (!s.board) return;
  const std::string label = s.find_wide   ? "This board alone"
                            : others == 1 ? std::string("The other board too")
                                          : fmt::format("The other {} boards too", others);
  if (button(f, "wide", label, key_of(f, app::Command::kFindWide), {width - 34, 30})) {
    f.action = app::FindWide{!s.find_wide};
    f.state.focus_find = true;
  }
}

// As many of its words as the field has room for.
std::string find_hint(const Frame& f, float room) {
  const std::string key = key_of(f, app::Command::kFind);
  const bool wide = app::finds_wide(f.session);
  for (const char* words : {wide ? "find a net, ball or part on any board" : "find a net, ball or part",
                            wide ? "find on any board" : "find net, ball, part"}) {
    std::string hint = fmt::format("{}  {}", key, words);
    if (width_of(f.fonts.body, hint) <= room) return hint;
  }
  return fmt::format("{}  find", key);
}

}  // namespace

void draw_find(Frame& f, const HeadPlaces& at) {
  ImGui::SetCursorPos({at.find, 8});
  ImGui::SetNextItemWidth(at.find_width);
  if (f.state.focus_find) ImGui::SetKeyboardFocusHere();
  f.state.focus_find = false;
  const std::string hint = find_hint(f, at.find_width - 2 * ImGui::GetStyle().FramePadding.x);
  const bool entered =
      ImGui::InputTextWithHint("##find", hint.c_str(), &f.state.typed, ImGuiInputTextFlags_EnterReturnsTrue);
  const int hits = hits_of(f.session);
  if (ImGui::IsItemActive()) f.state.list_away = false;
  if (ImGui::IsItemActive() && hits > 0) {
    const ImGuiIO& io = ImGui::GetIO();
    if (ImGui::IsKeyPressed(io.KeyMap[ImGuiKey_DownArrow])) ++f.state.hit;
    if (ImGui::IsKeyPressed(io.KeyMap[ImGuiKey_UpArrow])) --f.state.hit;
  }
  f.state.hit = std::clamp(f.state.hit, 0, std::max(0, hits - 1));
  if (entered && hits == 0) f.state.focus_find = true;  // to type on
  if (entered && hits > 0) {
    go_to_hit(f, f.state.hit);
  } else if (f.state.typed != f.session.find_text) {
    f.action = app::FindText{f.state.typed};
    f.state.hit = 0;
  }
}

void draw_hits(Frame& f) {
  const app::Session& s = f.session;
  if (s.find_text.empty() || f.state.list_away) return;
  const HeadPlaces at = head_places(f);
  const int hits = hits_of(s);
  const std::size_t total = s.hits_total + s.far_total;
  const bool more = total > static_cast<std::size_t>(hits);
  const bool others = s.boards.size() > (s.board ? 1U : 0U);
  const double width = std::min(520.0, f.width - at.find - 8.0);
  const double height = (hits == 0 ? 64 : hits * static_cast<double>(kRow) + 24) +
                        (more && hits > 0 ? 26 : 0) + (others && s.board ? kFoot + 8 : 0) +
                        (s.reading_names ? 22 : 0);
  const Pane pane("hits", {at.find, kHeadHeight, width, std::min(height, f.height - 80.0)}, f.theme.field,
                  true, true);
  const ImVec2 corner = ImGui::GetWindowPos();
  const ImVec2 size = ImGui::GetWindowSize();
  outline(*ImGui::GetWindowDrawList(), corner, {corner.x + size.x, corner.y + size.y}, packed(f.theme.ink));
  if (hits == 0 && !s.reading_names) {
    wrapped(f.fonts.body, f.theme.ink,
            fmt::format("No net, ball, part or function has \"{}\"{}.", s.find_text,
                        app::finds_wide(s) ? " on any board" : ""));
  }
  for (int i = 0; i < hits; ++i) draw_row(f, i, width);
  if (more && hits > 0)
    text(f.fonts.body, f.theme.ink2,
         fmt::format("and {} more: type on", total - static_cast<std::size_t>(hits)));
  draw_reach(f, static_cast<float>(width));
  // A click elsewhere puts the list away, so that it never lies over what is worked on. What was typed stays
  // in the field for the next time.
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const bool inside = mouse.y < kHeadHeight || (mouse.x >= corner.x && mouse.x <= corner.x + size.x &&
                                                mouse.y >= corner.y && mouse.y <= corner.y + size.y);
  if (ImGui::IsMouseClicked(0) && !inside) f.state.list_away = true;
}

}  // namespace landfall::ui
