#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/ui/panel.hpp"

// Which names of two lists are one signal: typed in, accepted from what is proposed, taken away.

namespace landfall::ui {
namespace {

std::string shown(const std::string& part, const std::string& name) {
  return part.empty() ? name : part + ":" + name;
}

std::string id_of(const join::NameGroup& group) {
  return shown(group.part, group.pattern) + "=" + shown(group.to_part, group.to_pattern);
}

void draw_adding(Frame& f, float width) {
  caption(f, "ONE NAME IS ANOTHER", "Enter begins to type", false);
  NamesPanelState& own = f.state.names;
  const float left = ImGui::GetCursorPosX();
  const float top = ImGui::GetCursorPosY();
  const float each = std::clamp((width - 140) / 2, 90.0F, 220.0F);
  if (own.sent) {
    own.sent = false;
    if (!f.session.message_is_error) {
      own.from.clear();
      own.to.clear();
    }
  }
  bool send = field(f, "##from", "U1:RAM0_DATA5", own.from, each, true);
  f.state.caret = f.state.caret || ImGui::IsItemActive();
  ImGui::SetCursorPos({left + each + 8, top + 7});
  text(f.fonts.body, f.theme.ink, "is");
  ImGui::SetCursorPos({left + each + 30, top});
  send = field(f, "##to", "J1:DQ5", own.to, each) || send;
  f.state.caret = f.state.caret || ImGui::IsItemActive();
  ImGui::SetCursorPos({left + 2 * each + 40, top + 1});
  send = button(f, "add", "Add", "", {84, 32}, true) || send;
  if (!send || f.action) return;
  own.sent = true;
  f.action = app::AddName{own.from, own.to};
}

void draw_accepted(Frame& f, float width) {
  const app::NamesDesk& desk = *f.session.joining;
  caption(f, "ACCEPTED", count_of(desk.joined, "signal") + " joined by name in all");
  if (desk.aliases.empty())
    wrapped(f.fonts.body, f.theme.ink2,
            "None yet. Equal names of two lists are one signal by themselves; what is called differently is "
            "accepted here.");
  for (const NameAlias& one : desk.aliases) {
    ImGui::PushID(static_cast<int>(one.id));
    const ImVec2 at = ImGui::GetCursorPos();
    ImGui::SetCursorPosY(at.y + 6);
    cut_text(f.fonts.mono_bold, f.theme.ink,
             fmt::format("{} is {}", shown(one.part, one.name), shown(one.to_part, one.to_name)),
             width - 124);
    ImGui::SetCursorPos({at.x + width - 112, at.y});
    if (button(f, "off", "Take away", "", {108, 32})) f.action = app::RemoveNames{one.id};
    ImGui::SetCursorPos({at.x, at.y + 32});
    cut_text(f.fonts.note, f.theme.ink2, one.why, width - 8);
    rule(f);
    ImGui::PopID();
  }
  if (desk.aliases.size() > 1 && button(f, "all off", "Take all away", "", {150, 32}))
    f.action = app::RemoveNames{};
  for (const join::NameConflict& one : desk.conflicts) {
    ImGui::Dummy({0, 4});
    caution(f, one.says);
  }
}

void draw_pairs(Frame& f, const join::NameGroup& group, std::size_t n, float width) {
  for (std::size_t i = 0; i < group.pairs.size(); ++i) {
    ImGui::PushID(static_cast<int>(i));
    const ImVec2 at = ImGui::GetCursorPos();
    ImGui::SetCursorPos({at.x + 20, at.y + 6});
    cut_text(f.fonts.mono, f.theme.ink, fmt::format("{} is {}", group.pairs[i].name, group.pairs[i].to_name),
             width - 180);
    ImGui::SetCursorPos({at.x + width - 134, at.y});
    if (button(f, "one", "Accept this one", "", {130, 32})) f.action = app::AcceptNames{n, i};
    ImGui::SetCursorPos({at.x, at.y + 34});
    ImGui::PopID();
  }
}

void draw_group(Frame& f, std::size_t n, float width) {
  const join::NameGroup& group = f.session.joining->groups[n];
  const std::string id = id_of(group);
  const bool open = f.state.names.open == id;
  ImGui::PushID(id.c_str());
  const ImVec2 at = ImGui::GetCursorPos();
  const bool wide = width >= 560;
  const float buttons = 268;
  ImGui::SetCursorPosY(at.y + 6);
  cut_text(f.fonts.mono_bold, f.theme.ink,
           fmt::format("{} {} {}", shown(group.part, group.pattern), group.pairs.size() == 1 ? "is" : "are",
                       shown(group.to_part, group.to_pattern)),
           wide ? width - buttons - 8 : width);
  if (wide) {
    ImGui::SetCursorPos({at.x + width - buttons, at.y});
  } else {
    ImGui::SetCursorPos({at.x, at.y + 30});
  }
  if (button(f, "see", open ? "Hide the pairs" : "See the pairs", "", {126, 32}))
    f.state.names.open = open ? std::string() : id;
  ImGui::SameLine(0, 6);
  if (button(f, "accept", "Accept " + count_of(group.pairs.size(), "pair"), "", {132, 32}))
    f.action = app::AcceptNames{n, std::nullopt};
  ImGui::SetCursorPos({at.x, at.y + (wide ? 34.0F : 66.0F)});
  wrapped(f.fonts.italic, f.theme.ink2,
          fmt::format("{}; {}; score {:.2f} of 1", group.kind, group.reason, group.score));
  for (const std::string& conflict : group.conflicts) wrapped(f.fonts.note, f.theme.warn, "but " + conflict);
  if (open) draw_pairs(f, group, n, width);
  rule(f);
  ImGui::PopID();
}

void draw_proposed(Frame& f, float width) {
  const app::NamesDesk& desk = *f.session.joining;
  text(f.fonts.bold, f.theme.ink2, "PROPOSED, BY STEM AND INDEX");
  if (desk.groups.empty()) {
    return wrapped(f.fonts.body, f.theme.ink2,
                   "Nothing: no names of two parts known by lists look alike. A processor's ball list and a "
                   "slot's pin table on one board are what is compared here.");
  }
  wrapped(f.fonts.note, f.theme.ink2,
          "Names only: bits and lanes swapped on the board cannot be seen in them. Nothing is joined before "
          "you accept it; Ctrl+Z takes it back.");
  rule(f);
  for (std::size_t n = 0; n < desk.groups.size(); ++n) draw_group(f, n, width);
}

}  // namespace

void draw_names(Frame& f, scene::Rect area) {
  if (!f.session.joining) return;
  const bool wide = area.width >= 980;
  const double left = wide ? std::floor(area.width * 0.54) : area.width;
  {
    const Pane pane("proposed", {area.x, area.y, left, area.height}, f.theme.sheet, true);
    const float width = ImGui::GetContentRegionAvail().x - 8;
    cut_text(f.fonts.title, f.theme.ink, "Names on " + f.session.joining->board.name, width);
    if (!wide) {
      draw_adding(f, width);
      draw_accepted(f, width);
      rule(f);
    }
    draw_proposed(f, width);
  }
  if (!wide) return;
  const Pane pane("accepted", {area.x + left, area.y, area.width - left, area.height}, f.theme.ground, true);
  const float width = ImGui::GetContentRegionAvail().x - 8;
  draw_adding(f, width);
  draw_accepted(f, width);
}

}  // namespace landfall::ui
