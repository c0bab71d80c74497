#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/ui/panel.hpp"

// A pasted table: what was understood, column by column; nothing is kept before Accept.

namespace landfall::ui {
namespace {

using importers::ColumnUse;

constexpr std::size_t kMostColumns = 60;  // that are shown
constexpr std::size_t kMostDoubts = 100;

const char* label_of(ColumnUse use) {
  switch (use) {
    case ColumnUse::kBall:
      return "Balls";
    case ColumnUse::kName:
      return "Names";
    case ColumnUse::kType:
      return "Types";
    case ColumnUse::kSkipped:
      return "Skip";
  }
  return "";
}

std::string cells(const importers::ListColumn& column) {
  std::string all;
  for (const std::string& cell : column.first) all += (all.empty() ? "" : ", ") + cell;
  if (column.balls > 0) all = fmt::format("{}: {}", count_of(column.balls, "ball"), all);
  return all;
}

void draw_column(Frame& f, std::size_t i, float width) {
  const importers::ListColumn& column = f.session.pasted->look.columns[i];
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const bool own = f.state.column == i;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (own) {
    list.AddRectFilled({at.x - 12, at.y - 2}, {at.x + width, at.y + 36}, packed(f.theme.pick));
    list.AddRectFilled({at.x - 12, at.y - 2}, {at.x - 7, at.y + 36}, packed(f.theme.ink));
  }
  ImGui::PushID(static_cast<int>(i));
  constexpr float kButton = 78;
  const float top = ImGui::GetCursorPosY();
  const float left = ImGui::GetCursorPosX();
  for (const ColumnUse use : {ColumnUse::kBall, ColumnUse::kName, ColumnUse::kType, ColumnUse::kSkipped}) {
    if (button(f, label_of(use), label_of(use), "", {kButton, 32}, column.use == use)) {
      f.state.column = i;
      f.action = app::UseColumn{i, use};
    }
    ImGui::SameLine(0, 4);
  }
  const float text_left = left + 4 * (kButton + 4) + 12;
  const float room = std::max(60.0F, width - 4 * (kButton + 4) - 16);
  ImGui::SetCursorPos({text_left, top + 7});
  cut_text(f.fonts.bold, f.theme.ink,
           column.heading.empty() ? fmt::format("column {}", i + 1) : column.heading, room * 0.4F);
  ImGui::SetCursorPos({text_left + room * 0.42F, top + 7});
  cut_text(f.fonts.mono, f.theme.ink2, cells(column), room * 0.56F);
  ImGui::SetCursorPos({left, top + 38});
  ImGui::PopID();
}

void draw_buttons(Frame& f, float width) {
  const float each = std::min(300.0F, (width - 12) / 2);
  const auto info =
      std::find_if(f.session.boards.begin(), f.session.boards.end(),
                   [&](const store::BoardInfo& b) { return f.state.into && b.id == *f.state.into; });
  const bool fresh = info == f.session.boards.end();
  const ImVec2 at = ImGui::GetCursorPos();
  ImGui::BeginGroup();
  text(f.fonts.note, f.theme.ink2, fresh ? "name of the new board" : "goes to");
  if (fresh) {
    field(f, "##pastename", "pasted table", f.state.field, each);
  } else {
    text(f.fonts.bold, f.theme.ink, info->name);
  }
  ImGui::EndGroup();
  ImGui::SetCursorPos({at.x + each + 12, at.y});
  ImGui::BeginGroup();
  text(f.fonts.note, f.theme.ink2, fresh ? "part (U1 if empty)" : "part (the one that it fits, if empty)");
  field(f, "##pastepart", "U1", f.state.field2, each);
  ImGui::EndGroup();
  if (!f.session.boards.empty() &&
      button(f, "into", fresh ? "as a new board" : "added to " + info->name, "", {each, 32})) {
    const auto next = fresh ? f.session.boards.begin() : info + 1;
    f.state.into = next == f.session.boards.end() ? std::nullopt : std::optional(next->id);
  }
  ImGui::Dummy({0, 4});
  if (button(f, "accept", "Accept", "Enter", {150, 36}, f.session.pasted->look.problem.empty()))
    f.action = app::AcceptTable{f.state.field, f.state.field2, f.state.into};
  ImGui::SameLine(0, 8);
  if (button(f, "leave", "Keep nothing", "Esc", {170, 36})) f.action = app::Leave{};
}

void draw_first(Frame& f, const app::TableLook& look) {
  caption(f, "FIRST BALLS", fmt::format("{} of {}", look.first.size(), look.balls));
  const float left = ImGui::GetCursorPosX();
  for (const app::TableBall& ball : look.first) {
    text(f.fonts.mono_bold, f.theme.ink, ball.ball);
    ImGui::SameLine(left + 90);
    cut_text(f.fonts.mono, f.theme.ink, ball.name.empty() ? "no name" : ball.name, 420);
  }
}

void draw_doubts(Frame& f, const app::TableLook& look) {
  caption(f, "NOT UNDERSTOOD, OR DOUBTED", std::to_string(look.doubts.size()));
  if (look.doubts.empty()) text(f.fonts.body, f.theme.ok, "nothing");
  for (std::size_t i = 0; i < look.doubts.size() && i < kMostDoubts; ++i) {
    const Diagnostic& d = look.doubts[i];
    text(f.fonts.bold, f.theme.warn, d.line > 0 ? fmt::format("line {}", d.line) : std::string("all"));
    ImGui::SameLine(0, 12);
    wrapped(f.fonts.body, f.theme.ink, d.message);
  }
  if (look.doubts.size() > kMostDoubts)
    text(f.fonts.note, f.theme.ink2, fmt::format("and {} more", look.doubts.size() - kMostDoubts));
}

}  // namespace

std::string clipboard_text() {
  const char* held = ImGui::GetClipboardText();
  return held == nullptr ? std::string() : std::string(held);
}

void draw_paste(Frame& f, scene::Rect area) {
  const Pane pane("paste", area, f.theme.sheet, true);
  const app::TableLook& look = f.session.pasted->look;
  ImGui::SetCursorPos({24, 16});
  ImGui::BeginGroup();
  const float width = static_cast<float>(std::min(area.width - 60, 1000.0));
  text(f.fonts.title, f.theme.ink,
       look.problem.empty() ? fmt::format("A table of {}, {} on nets", count_of(look.balls, "ball"),
                                          count_of(look.nets, "name"))
                            : std::string("A table that needs your help"));
  if (!look.problem.empty()) text(f.fonts.bold, f.theme.bad, look.problem);
  for (const std::string& note : look.notes) cut_text(f.fonts.note, f.theme.ink2, note, width);
  ImGui::Dummy({0, 4});
  if (!look.columns.empty()) caption(f, "COLUMNS: WHAT EACH IS FOR", std::to_string(look.columns.size()));
  for (std::size_t i = 0; i < look.columns.size() && i < kMostColumns; ++i) draw_column(f, i, width);
  if (look.columns.size() > kMostColumns)
    text(f.fonts.note, f.theme.ink2, fmt::format("and {} more, skipped", look.columns.size() - kMostColumns));
  if (look.is_grid) {
    const bool bottom = f.session.pasted->options.view == "bottom";
    if (button(f, "view", bottom ? "drawn as seen from below" : "drawn as seen from the top", "", {280, 32}))
      f.action = app::SeeTableFrom{!bottom};
  }
  ImGui::Dummy({0, 4});
  draw_buttons(f, width);
  if (!look.first.empty()) draw_first(f, look);
  if (look.problem.empty() || !look.doubts.empty()) draw_doubts(f, look);
  ImGui::EndGroup();
}

bool take_paste_key(Frame& f, int place) {
  constexpr int kEnter = 40, kPadEnter = 88, kRight = 79, kLeft = 80, kDown = 81, kUp = 82;
  if (!f.session.pasted || !f.session.bench_page || f.session.import || f.session.warnings ||
      f.state.form != Form::kNone)
    return false;
  const auto& columns = f.session.pasted->look.columns;
  if (place == kEnter || place == kPadEnter) {
    f.action = app::AcceptTable{f.state.field, f.state.field2, f.state.into};
    return true;
  }
  if (ImGui::GetIO().WantTextInput || columns.empty()) return false;
  const std::size_t last = columns.size() - 1;
  f.state.column = std::min(f.state.column, last);
  if (place == kDown) {
    f.state.column = std::min(f.state.column + 1, last);
  } else if (place == kUp) {
    f.state.column -= std::min<std::size_t>(f.state.column, 1);
  } else if (place == kLeft || place == kRight) {
    // In the order in which the buttons stand: balls, names, types, skip.
    const int at =
        (static_cast<int>(columns[f.state.column].use) + importers::kColumnUses - 1) % importers::kColumnUses;
    const int to = (at + (place == kRight ? 1 : importers::kColumnUses - 1)) % importers::kColumnUses;
    f.action = app::UseColumn{f.state.column, static_cast<ColumnUse>((to + 1) % importers::kColumnUses)};
  } else {
    return false;
  }
  return true;
}

}  // namespace landfall::ui
