#include <cmath>

#include "viewer/ui/window.hpp"

// Keys by place, so that they are where the hand expects them on any layout.

namespace landfall::ui {
namespace {

// USB HID usage numbers, which SDL's scancodes are.
enum Scancode : int {
  kA = 4,
  kB = 5,
  kD = 7,
  kE = 8,
  kF = 9,
  kI = 12,
  kQ = 20,
  kS = 22,
  kW = 26,
  kX = 27,
  kZ = 29,
  k1 = 30,
  k9 = 38,
  k0 = 39,
  kEnter = 40,
  kEscape = 41,
  kSpace = 44,
  kMinus = 45,
  kEquals = 46,
  kGrave = 53,
  kSlash = 56,
  kF9 = 66,
  kRight = 79,
  kLeft = 80,
  kDown = 81,
  kUp = 82,
  kPad1 = 89,
  kPad9 = 97,
  kPad0 = 98
};

std::optional<MarkKind> kind_of(int scancode) {
  if (scancode == k0 || scancode == kPad0 || scancode == kGrave) return MarkKind::kSound;
  if (scancode >= k1 && scancode <= k1 + 5) return static_cast<MarkKind>(scancode - k1 + 1);
  if (scancode >= kPad1 && scancode <= kPad1 + 5) return static_cast<MarkKind>(scancode - kPad1 + 1);
  return std::nullopt;
}

// The nearest site that way on the screen: along it, and as little aside as can be.
Index next_site(const app::Session& session, const scene::MapView& map, double dx, double dy) {
  const auto& sites = session.package.sites;
  std::size_t from = sites.size();
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if (sites[i].pin == session.selected) from = i;
  }
  if (from == sites.size()) return sites.empty() ? kNone : sites.front().pin;
  Index best = session.selected;
  double least = 1e18;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const scene::P by = map.place(i) - map.place(from);
    const double along = by.x * dx + by.y * dy;
    const double aside = std::abs(by.x * dy - by.y * dx);
    if (along < map.pitch() * 0.3 || aside > along) continue;
    const double cost = along + 3 * aside;
    if (cost >= least) continue;
    least = cost;
    best = sites[i].pin;
  }
  return best;
}

}  // namespace

const std::vector<KeyInfo>& keys() {
  static const std::vector<KeyInfo> all{
      {"W A S D, arrows", "next site as the screen shows it"},
      {"0 to 6, number pad", "mark the selected site: sound, mask, loose, missing, torn, barrel, chip"},
      {"X", "take the mark off"},
      {"Space", "the same mark again"},
      {"I", "what is not inspected"},
      {"F", "the other face"},
      {"Q, E", "a quarter turn back, on"},
      {"+, -, wheel", "nearer, farther"},
      {"Z", "the whole package; on the board near or whole"},
      {"B", "the whole board, and back; there F is the other side, C all copper"},
      {"/", "find"},
      {"Ctrl Z, Ctrl Shift Z", "undo, redo"},
      {"F9", "theme: day, night, strong"},
      {"Esc", "one step back"},
  };
  return all;
}

std::optional<app::Action> key_action(const app::Session& session, WindowState& state,
                                      const scene::MapView* map, int scancode, bool ctrl, bool shift) {
  if (scancode == kEscape) {
    state.typed.clear();
    return app::Leave{};
  }
  if (scancode == kF9) return app::NextTheme{};
  if (ctrl && scancode == kZ) {
    if (shift) return app::Redo{};
    return app::Undo{};
  }
  if (ctrl && scancode == kF) {
    state.focus_find = true;
    return std::nullopt;
  }
  if (!session.board || ctrl) return std::nullopt;
  if (scancode == kB) return app::ShowBoard{};
  if (session.board_view) return board_key(state.board, scancode);
  if (map == nullptr) return std::nullopt;
  if (const auto kind = kind_of(scancode)) {
    state.same_again = kind;
    return app::MarkPin{session.selected, kind};
  }
  switch (scancode) {
    case kW:
    case kUp:
      return app::SelectPin{next_site(session, *map, 0, -1)};
    case kS:
    case kDown:
      return app::SelectPin{next_site(session, *map, 0, 1)};
    case kA:
    case kLeft:
      return app::SelectPin{next_site(session, *map, -1, 0)};
    case kD:
    case kRight:
      return app::SelectPin{next_site(session, *map, 1, 0)};
    case kX:
      return app::MarkPin{session.selected, std::nullopt};
    case kSpace:
      if (state.same_again) return app::MarkPin{session.selected, state.same_again};
      return std::nullopt;
    case kI:
      return app::ToggleInspection{};
    case kF:
      return app::OtherFace{};
    case kQ:
      return app::TurnBy{-90};
    case kE:
      return app::TurnBy{90};
    case kEquals:
      state.zoom = std::min(state.zoom * 1.25, 12.0);
      return std::nullopt;
    case kMinus:
      state.zoom = std::max(state.zoom / 1.25, 0.5);
      return std::nullopt;
    case kZ:
      state.zoom = 1;
      state.pan = {};
      return std::nullopt;
    case kSlash:
      state.focus_find = true;
      return std::nullopt;
    default:
      return std::nullopt;
  }
}

}  // namespace landfall::ui
