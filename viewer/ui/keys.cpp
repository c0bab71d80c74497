#include "viewer/ui/panel.hpp"

// From keys to commands. Keys go by place, so that they are where the hand expects them on any layout.

namespace landfall::ui {
namespace {

// With these a pasted table goes on waiting; all else would drop it.
bool keeps_table(app::Command command) {
  switch (command) {
    case app::Command::kLeave:
    case app::Command::kPaste:
    case app::Command::kKeys:
    case app::Command::kMessages:
    case app::Command::kTheme:
    case app::Command::kFullScreen:
    case app::Command::kLarger:
    case app::Command::kSmaller:
    case app::Command::kUnits:
      return true;
    default:
      return false;
  }
}

using app::Command;

constexpr int kPlaces = 128;
constexpr int kEsc = 41;
constexpr int kPadFirst = 89, kPadLast = 98;

// Works while a field has the caret.
bool works_in_fields(app::KeyPress press, Command command) {
  if (command == Command::kUndo || command == Command::kRedo || command == Command::kCopy ||
      command == Command::kPaste)
    return false;
  return press.ctrl || command == Command::kLeave || (press.place >= 58 && press.place <= 69);
}

bool repeats(Command command) {
  return command <= Command::kPreviousMark ? command <= Command::kRightMark || command >= Command::kAlongRow
                                           : command == Command::kNearer || command == Command::kFarther;
}

// A mark key went down: it marks when it is let go, unless the mouse was used meanwhile.
void hold(Frame& f, int place, MarkKind kind) {
  if (f.state.held && f.state.held->place == place) return;  // the key repeats
  if (f.state.held && !f.state.held->used) {
    f.state.same_again = f.state.held->kind;
    f.action = app::MarkMany{f.state.held->pins, f.state.held->kind};
  }
  f.state.held = HeldKey{place, kind, acted_on(f.session), false};
}

void let_go(Frame& f) {
  if (!f.state.held || ImGui::IsKeyDown(f.state.held->place)) return;
  const HeldKey held = *f.state.held;
  const bool dragging = f.state.drag_from.has_value();
  if (dragging) return;  // the stroke ends with the mouse
  f.state.held.reset();
  if (held.used) return;
  f.state.same_again = held.kind;
  f.action = app::MarkMany{held.pins, held.kind};
}

bool board_shows(const Frame& f) {
  return f.session.board && !f.session.bench_page && f.session.board_view && f.state.form == Form::kNone;
}

std::optional<Command> command_of(const Frame& f, app::KeyPress press) {
  if (!f.state.num_lock && !press.ctrl && press.place >= kPadFirst && press.place <= kPadLast)
    return app::Keymap::pad_without_numlock(press.place);
  return f.state.keys.command_of(press);
}

}  // namespace

void take_keys(Frame& f) {
  const ImGuiIO& io = ImGui::GetIO();
  if (f.action) return;
  let_go(f);
  if (f.action) return;
  for (int place = 1; place < kPlaces; ++place) {
    if (!ImGui::IsKeyPressed(place)) continue;
    const app::KeyPress press{place, io.KeyCtrl, io.KeyShift};
    if (!io.KeyCtrl && ImGui::IsKeyPressed(place, false) && take_new_job_key(f, place)) return;
    if (!io.KeyCtrl && take_paste_key(f, place)) return;
    // Esc that lets a field's caret go does no more.
    if (place == kEsc && f.state.had_caret) return;
    if (take_reading_key(f, place) || take_intake_key(f, place)) return;
    if (board_shows(f) && !io.KeyCtrl && !io.WantTextInput && is_board_key(place)) {
      f.action = board_key(f.state.board_panel, place);
      return;
    }
    const auto command = command_of(f, press);
    // Only going about repeats while the key is down: on a slow screen Ctrl may be up again by then.
    if (command && !repeats(*command) && !ImGui::IsKeyPressed(place, false)) continue;
    if (!command || (io.WantTextInput && !works_in_fields(press, *command))) continue;
    if (f.session.pasted && f.session.bench_page && !keeps_table(*command)) {
      f.action = app::Complain{"A table waits: Enter accepts it, Esc keeps nothing of it."};
      return;
    }
    if (const auto kind = app::mark_of(*command)) {
      if (f.session.shaping && !f.session.bench_page) {
        f.action = app::Complain{"Marks wait while the package is being shaped: Esc, then mark."};
        return;
      }
      if (hides_map(f.session)) {
        f.action = marks_wait(f.state);
        return;
      }
      if (f.session.board && !f.session.bench_page) hold(f, place, static_cast<MarkKind>(*kind));
    } else {
      f.action = run_command(f.session, f.state, *command);
    }
    return;
  }
}

}  // namespace landfall::ui
