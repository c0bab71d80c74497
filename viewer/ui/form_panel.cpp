#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/packages/packages.hpp"
#include "viewer/ui/panel.hpp"

// Forms: open files, bare package, new job. And two pages to read: the keys, earlier messages.

namespace landfall::ui {
namespace {

// "~/a.net ; /tmp/b.ipc" -> two paths.
std::vector<std::filesystem::path> typed_paths(const std::string& text) {
  std::vector<std::filesystem::path> paths;
  std::size_t start = 0;
  while (start <= text.size()) {
    const auto end = std::min(text.find(';', start), text.size());
    if (auto path = typed_path(text.substr(start, end - start)); !path.empty())
      paths.push_back(std::move(path));
    start = end + 1;
  }
  return paths;
}

void draw_open(Frame& f, float width) {
  text(f.fonts.title, f.theme.ink, "Open a design");
  wrapped(
      f.fonts.body, f.theme.ink2,
      "KiCad board, netlist, symbol library or footprint, IPC-D-356, IPC-2581, BSDL, IBIS, a ball table as "
      "text, or a folder or archive of these. Several files that describe one board: separate them with a "
      "semicolon, or drop them together.");
  ImGui::Dummy({0, 8});
  text(f.fonts.note, f.theme.ink2, "path");
  const bool entered = field(f, "##path", "/home/me/board.kicad_pcb", f.state.field, width, true);
  ImGui::Dummy({0, 6});
  const auto info =
      std::find_if(f.session.boards.begin(), f.session.boards.end(),
                   [&](const store::BoardInfo& b) { return f.state.into && b.id == *f.state.into; });
  const std::string into = info == f.session.boards.end() ? "as a new board" : "added to " + info->name;
  if (!f.session.boards.empty() && button(f, "into", into, "", {std::min(width, 420.0F), 32})) {
    // In turn: a new board, then each that is there.
    const auto next = info == f.session.boards.end() ? f.session.boards.begin() : info + 1;
    f.state.into = next == f.session.boards.end() ? std::nullopt : std::optional(next->id);
  }
  ImGui::Dummy({0, 8});
  if (button(f, "read", "Read", "Enter", {150, 36}, true) || entered) {
    f.action = app::ImportFiles{typed_paths(f.state.field), f.state.into};
    if (!f.state.field.empty()) f.state.form = Form::kNone;
  }
  ImGui::SameLine(0, 8);
  if (button(f, "pick", "Choose files", "", {150, 36})) f.state.wants_picker = true;
  ImGui::SameLine(0, 8);
  if (button(f, "leave", "Leave", "Esc", {110, 36})) f.state.form = Form::kNone;
}

void draw_bare(Frame& f, float width) {
  text(f.fonts.title, f.theme.ink, "Begin with the bare package");
  wrapped(f.fonts.body, f.theme.ink2,
          "Enough to mark what you see, ball by ball. Files can be added afterwards.");
  ImGui::Dummy({0, 8});
  const float each = std::min(width, 300.0F);
  bool entered = false;
  const auto one = [&](const char* label, const char* name, const char* hint, std::string& value,
                       bool first) {
    text(f.fonts.note, f.theme.ink2, label);
    entered = field(f, name, hint, value, each, first) || entered;
  };
  one("rows, letters", "##rows", "22", f.state.field, true);
  one("columns, numbers", "##columns", "22", f.state.field2, false);
  one("pitch, mm", "##pitch", "0.8", f.state.field3, false);
  one("name", "##name", "what it is, or leave it empty", f.state.field4, false);
  ImGui::Dummy({0, 8});
  if (button(f, "make", "Make it", "Enter", {150, 36}, true) || entered)
    f.action = app::BareBoard{f.state.field4, f.state.field, f.state.field2, f.state.field3};
  ImGui::SameLine(0, 8);
  if (button(f, "leave", "Leave", "Esc", {110, 36})) f.state.form = Form::kNone;
}

// The board whose parts can be lifted is open, or gets opened first.
bool board_at_hand(Frame& f) {
  if (f.session.board && (f.state.board == 0 || f.session.board->info().id == f.state.board)) return true;
  if (f.state.board != 0) {
    f.action = app::OpenPart{f.state.board, ""};
    return false;
  }
  wrapped(f.fonts.body, f.theme.ink, "Open a board first: a job lifts parts of one.");
  if (button(f, "leave", "Leave", "Esc", {110, 36})) f.state.form = Form::kNone;
  return false;
}

// Letters and digits are keys of the form while its field has not the caret.
bool keys_free() {
  return !ImGui::GetIO().WantTextInput;
}

bool is_picked(const Frame& f, const std::string& part) {
  return std::find(f.state.picked.begin(), f.state.picked.end(), part) != f.state.picked.end();
}

void toggle(Frame& f, const std::string& part) {
  if (is_picked(f, part)) {
    std::erase(f.state.picked, part);
  } else {
    f.state.picked.push_back(part);
  }
}

void begin_job(Frame& f) {
  if (f.state.picked.empty()) {
    f.action = app::Complain{"Choose at least one part that comes off."};
  } else if (!f.state.safety) {
    f.action = app::Complain{"Answer the question: is the board safety-critical? N for no, Y for yes."};
  } else {
    f.action =
        app::NewJob{f.state.picked, f.state.field, *f.state.safety ? SafetyAnswer::kYes : SafetyAnswer::kNo};
    f.state.form = Form::kNone;
  }
}

void draw_parts(Frame& f) {
  const Board& board = f.session.board->board();
  if (f.state.parts.empty()) {
    for (const Index part : packages::area_arrays(f.session.board->index()))
      f.state.parts.push_back(board.parts[part].reference);
    const std::string& shown = board.parts[f.session.package.part].reference;
    if (std::find(f.state.parts.begin(), f.state.parts.end(), shown) == f.state.parts.end())
      f.state.parts.insert(f.state.parts.begin(), shown);
    f.state.picked = {shown};
  }
  for (std::size_t i = 0; i < f.state.parts.size() && i < 12; ++i) {
    const std::string& name = f.state.parts[i];
    const bool picked = is_picked(f, name);
    const Index part = f.session.board->index().part(name);
    if (part == kNone) continue;
    const std::string label = fmt::format("{} {}, {} {}", picked ? "lifted:" : "stays:", name,
                                          count_of(f.session.board->index().pins_of_part(part).size(), "pin"),
                                          board.parts[part].value);
    const std::string key = i < 9 ? std::to_string(i + 1) : "";
    if (button(f, name.c_str(), label, keys_free() ? key.c_str() : "", {420, 32}, picked)) toggle(f, name);
  }
}

void draw_new_job(Frame& f, float width) {
  if (!board_at_hand(f)) return;
  text(f.fonts.title, f.theme.ink, "New job on " + f.session.board->info().name);
  text(f.fonts.note, f.theme.ink2, "what is wrong with it");
  const bool entered =
      field(f, "##title", "no start, back from rain", f.state.field, std::min(width, 480.0F), true);
  ImGui::Dummy({0, 6});
  text(f.fonts.bold, f.theme.ink2, "PARTS THAT COME OFF");
  draw_parts(f);
  ImGui::Dummy({0, 6});
  wrapped(
      f.fonts.body, f.theme.ink,
      "Is the board safety-critical: medical, vehicles, aviation, rail, alarms, protective equipment? If so, "
      "maps and answers are shown, and the repair is referred to the maker.");
  if (button(f, "safe", "No", keys_free() ? "N" : "", {100, 32}, f.state.safety == false))
    f.state.safety = false;
  ImGui::SameLine(0, 8);
  if (button(f, "critical", "Yes", keys_free() ? "Y" : "", {100, 32}, f.state.safety == true))
    f.state.safety = true;
  ImGui::Dummy({0, 8});
  if (button(f, "make", "Begin the job", "Enter", {190, 36}, true) || entered) begin_job(f);
  ImGui::SameLine(0, 8);
  if (button(f, "leave", "Leave", "Esc", {110, 36})) f.state.form = Form::kNone;
}

}  // namespace

std::filesystem::path typed_path(const std::string& text) {
  const auto first = text.find_first_not_of(" \t\"'");
  const auto last = text.find_last_not_of(" \t\"'");
  if (first == std::string::npos) return {};
  const std::string path = text.substr(first, last - first + 1);
  const char* home = path.starts_with("~/") ? std::getenv("HOME") : nullptr;
  return home == nullptr ? path : home + path.substr(1);
}

bool take_new_job_key(Frame& f, int place) {
  constexpr int kN = 17, kY = 28, kOne = 30, kNine = 38, kEnter = 40, kPadEnter = 88;
  if (f.state.form != Form::kNewJob || !keys_free() || !f.session.board) return false;
  if (place == kN || place == kY) {
    f.state.safety = place == kY;
  } else if (place >= kOne && place <= kNine) {
    const auto n = static_cast<std::size_t>(place - kOne);
    if (n < f.state.parts.size()) toggle(f, f.state.parts[n]);
  } else if (place == kEnter || place == kPadEnter) {
    begin_job(f);
  } else {
    return false;
  }
  return true;
}

void draw_form(Frame& f, scene::Rect area) {
  const Pane pane("form", area, f.theme.sheet, true);
  ImGui::SetCursorPos({24, 20});
  ImGui::BeginGroup();
  const float width = static_cast<float>(std::min(area.width - 60, 760.0));
  ImGui::PushTextWrapPos(24 + width);
  if (f.state.form == Form::kOpen) draw_open(f, width);
  if (f.state.form == Form::kBare) draw_bare(f, width);
  if (f.state.form == Form::kNewJob) draw_new_job(f, width);
  ImGui::PopTextWrapPos();
  ImGui::EndGroup();
}

void draw_keys_page(Frame& f, scene::Rect area) {
  const Pane pane("keys", area, f.theme.sheet, true);
  text(f.fonts.title, f.theme.ink, "Keys");
  ImGui::SameLine(0, 16);
  if (button(f, "away", "Done", "F1", {110, 32}, true)) f.state.form = Form::kNone;
  wrapped(f.fonts.note, f.theme.ink2,
          fmt::format(
              "Hold a mark key and click or drag to mark what you pass over. Without NumLock the pad moves. "
              "To change keys, write lines such as \"turn-on = E, Keypad *\" into {}",
              (app::config_folder() / "keys").string()));
  ImGui::Dummy({0, 4});
  const bool two = area.width > 680;
  const float half = static_cast<float>(area.width) / 2 - 16;
  std::size_t rows = 0;
  for (const app::CommandInfo& info : app::commands()) rows += *info.does == '\0' ? 0 : 1;
  std::size_t row = 0;
  const ImVec2 top = ImGui::GetCursorPos();
  const float keys_width = two ? half * 0.42F : 190;
  ImGui::BeginGroup();
  std::string group;
  for (const app::CommandInfo& info : app::commands()) {
    if (*info.does == '\0') continue;
    if (two && row == (rows + 1) / 2) {
      ImGui::EndGroup();
      ImGui::SetCursorPos({top.x + half, top.y});
      ImGui::BeginGroup();
      group.clear();
    }
    ++row;
    if (group != info.group) {
      group = info.group;
      text(f.fonts.bold, f.theme.ink2, group);
    }
    const float right = two ? half : static_cast<float>(area.width) - 40;
    const float left = ImGui::GetCursorPosX();
    const float line = ImGui::GetCursorPosY();
    const auto piece = [&](ImFont* font, const std::string& what, float from, float to) {
      ImGui::SetCursorPos({left + from, line});
      ImGui::PushTextWrapPos(left + to);
      text(font, f.theme.ink, what);
      ImGui::PopTextWrapPos();
      return ImGui::GetCursorPosY();
    };
    const float below = piece(f.fonts.mono, f.state.keys.keys_of(info.command), 0, keys_width - 6);
    const float under = piece(f.fonts.note, info.does, keys_width, right - 8);
    ImGui::SetCursorPos({left, std::max(below, under)});
  }
  ImGui::EndGroup();
}

void draw_messages_page(Frame& f, scene::Rect area) {
  const Pane pane("messages", area, f.theme.sheet, true);
  text(f.fonts.title, f.theme.ink, "Earlier messages");
  ImGui::SameLine(0, 16);
  if (button(f, "away", "Done", "F8", {110, 32}, true)) f.state.form = Form::kNone;
  if (f.session.earlier.empty()) return text(f.fonts.body, f.theme.ink2, "None yet.");
  for (auto message = f.session.earlier.rbegin(); message != f.session.earlier.rend(); ++message) {
    wrapped(f.fonts.body, f.theme.ink, *message);
    rule(f);
  }
}

}  // namespace landfall::ui
