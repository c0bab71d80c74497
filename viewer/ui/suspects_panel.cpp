#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/ui/panel.hpp"

// The suspects: what is dark and what works, the places where that meets, the next test.

namespace landfall::ui {
namespace {

constexpr std::size_t kMostNames = 14;  // then only how many more

std::string names_of(const Board& board, const std::vector<Index>& nets, const char* between) {
  std::string names;
  for (const Index net : nets) names += (names.empty() ? "" : between) + board.nets[net].name;
  return names;
}

std::string some_names(const Board& board, std::vector<Index> nets) {
  const std::size_t all = nets.size();
  if (all > kMostNames) nets.resize(kMostNames);
  std::string names = names_of(board, nets, ", ");
  if (all > kMostNames) names += fmt::format(" and {} more", all - kMostNames);
  return names;
}

void draw_symptoms(Frame& f, float width) {
  const Board& board = f.session.board->board();
  const rework::Symptoms& told = f.session.suspects->symptoms;
  const bool wide = width >= 560;
  for (const bool good : {false, true}) {
    const auto& nets = good ? told.good : told.dark;
    const float left = ImGui::GetCursorPosX();
    const float top = ImGui::GetCursorPosY();
    ImGui::SetCursorPosY(top + 6);
    text(f.fonts.bold, f.theme.ink2, good ? "WORKING" : "DARK");
    ImGui::SetCursorPos({left + 92, top});
    const float button_width = wide ? 226 : 0;
    const float room = width - 92 - (wide ? button_width + 8 : 0) - 8;
    if (const auto typed = kept_field(f, good ? "nets seen to work" : "dark nets",
                                      good ? "else all others of their channels" : "RAM1_D8 RAM1_D9",
                                      names_of(board, nets, " "), room))
      f.action = app::TypeSymptoms{*typed, good};
    if (!wide) continue;
    ImGui::SameLine(0, 8);
    const app::Command command = good ? app::Command::kGood : app::Command::kDark;
    if (button(f, good ? "this works" : "this is dark", good ? "The chosen work" : "The chosen are dark",
               key_of(f, command), {button_width, 32}))
      f.action = run_command(f.session, f.state, command);
  }
  wrapped(
      f.fonts.note, f.theme.ink2,
      fmt::format("Names apart by blanks, Enter keeps them with the intake. Or choose balls on the map and "
                  "press {} (dark) or {} (works).",
                  key_of(f, app::Command::kDark), key_of(f, app::Command::kGood)));
}

void evidence(Frame& f, const char* label, const std::string& what, float left, float width) {
  const float top = ImGui::GetCursorPosY();
  ImGui::SetCursorPosX(left);
  text(f.fonts.note, f.theme.ink2, label);
  ImGui::SetCursorPos({left + 66, top});
  ImGui::PushTextWrapPos(left + width);
  text(f.fonts.note, f.theme.ink, what);
  ImGui::PopTextWrapPos();
}

void draw_suspect(Frame& f, std::size_t n, float width) {
  const app::SuspectDesk& desk = *f.session.suspects;
  const rework::Suspect& one = desk.answer.suspects[n];
  const Board& board = f.session.board->board();
  const bool own = desk.at == n;
  const ImVec2 start = ImGui::GetCursorPos();
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  ImGui::PushID(static_cast<int>(n));
  ImGui::BeginGroup();
  const float left = start.x + 38;
  const float room = width - 46;
  const bool wide = width >= 560;
  ImGui::SetCursorPos({start.x + 12, start.y + 6});
  text(f.fonts.bold, f.theme.ink, std::to_string(n + 1));
  ImGui::SetCursorPos({left, start.y + 6});
  cut_text(f.fonts.bold, f.theme.ink, one.where, wide ? room - 214 : room);
  if (wide) {
    ImGui::SetCursorPos({start.x + width - 208, start.y});
  } else {
    ImGui::SetCursorPos({left, start.y + 28});
  }
  if (button(f, "show", "Show on the map", own ? key_of(f, app::Command::kOnAndAgain) : "", {206, 30}, own))
    f.action = app::GoToSuspect{n};
  ImGui::SetCursorPos({left, start.y + (wide ? 34.0F : 62.0F)});
  ImGui::PushTextWrapPos(left + room);
  text(f.fonts.italic, f.theme.ink,
       fmt::format("by chance {}; {} of {} dark lines", app::chance_text(one.by_chance), one.dark.size(),
                   one.dark.size() + one.missed.size()));
  ImGui::PopTextWrapPos();
  if (!one.dark.empty()) evidence(f, "for", some_names(board, one.dark) + " meet here", left, room);
  if (!one.good.empty())
    evidence(f, "against", some_names(board, one.good) + ": good, and here too", left, room);
  if (!one.missed.empty())
    evidence(f, "against", some_names(board, one.missed) + ": dark, and not here", left, room);
  ImGui::EndGroup();
  if (own) {
    scene::Canvas canvas(f.theme.stroke);
    canvas.rect({corner.x, corner.y + 2, 5, ImGui::GetItemRectMax().y - corner.y - 4.0}, f.theme.ink);
    draw(f, canvas);
  }
  rule(f);
  ImGui::PopID();
}

}  // namespace

std::optional<app::Action> suspect_command(const app::Session& session, WindowState& /*state*/,
                                           app::Command command, bool& taken) {
  taken = session.suspects && (command == app::Command::kUp || command == app::Command::kDown ||
                               command == app::Command::kOnAndAgain);
  if (!taken) return std::nullopt;
  if (command == app::Command::kOnAndAgain) return app::GoToSuspect{session.suspects->at};
  return app::StepSuspect{command == app::Command::kUp};
}

void draw_suspects(Frame& f, scene::Rect area) {
  const Pane pane("suspects", area, f.theme.sheet, true);
  if (!f.session.suspects) return;
  const float width = ImGui::GetContentRegionAvail().x;
  draw_symptoms(f, width);
  const app::SuspectDesk& desk = *f.session.suspects;
  if (desk.symptoms.dark.empty()) {
    rule(f);
    text(f.fonts.bold, f.theme.ink, "No net is dark yet.");
    wrapped(
        f.fonts.body, f.theme.ink2,
        "Dark lines of a slot tester, a rail that is missing, readings that are off: name their nets, and "
        "the "
        "places where they meet are listed here before any heat, with the reading that tells the best two "
        "apart.");
    return;
  }
  caption(f, "SUSPECTS", count_of(desk.answer.lines, "line") + " looked at");
  wrapped(f.fonts.bold, f.theme.ink, desk.answer.says + ".");
  ImGui::Dummy({0, 4});
  for (std::size_t n = 0; n < desk.answer.suspects.size(); ++n) draw_suspect(f, n, width);
  if (!desk.answer.no_test.empty()) {
    caption(f, "NEXT TEST", "", false);
    wrapped(f.fonts.body, f.theme.ink, "None: " + desk.answer.no_test + ".");
  }
  if (desk.answer.next.empty()) return;
  caption(f, "NEXT TEST", "gain between the best two", false);
  for (const rework::NextTest& test : desk.answer.next) {
    const float top = ImGui::GetCursorPosY();
    const float left = ImGui::GetCursorPosX();
    text(f.fonts.bold, f.theme.ink, fmt::format("{:.2f} bit", test.bits));
    ImGui::SetCursorPos({left + 76, top});
    wrapped(f.fonts.body, f.theme.ink, test.says);
  }
}

}  // namespace landfall::ui
