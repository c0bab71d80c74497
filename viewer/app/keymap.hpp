// Which key does what: one table for the window, its list of keys and the file in which they can be changed.
// Keys are named by their place on the keyboard (USB HID usage numbers, which SDL's scancodes are).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/diagnostics.hpp"

namespace landfall::app {

enum class Command {
  kUp,
  kDown,
  kLeft,
  kRight,
  kUpMark,
  kDownMark,
  kLeftMark,
  kRightMark,
  kSound,
  kMask,
  kLoose,
  kMissing,
  kTorn,
  kBarrel,
  kChip,
  kOff,
  kAgain,
  kOnAndAgain,
  kType,
  kNote,
  kAlongRow,
  kBackAlongRow,
  kNextBare,
  kNextMark,
  kPreviousMark,
  kInspection,
  kUndo,
  kRedo,
  kTurnOn,
  kTurnBack,
  kTurnOnABit,
  kTurnBackABit,
  kFace,
  kWhole,
  kNearer,
  kFarther,
  kTrueScale,
  kGroup,
  kLegend,
  kFind,
  kFindWide,
  kCopy,
  kBack,
  kForward,
  kOrder,
  kLeave,
  kOpen,
  kBare,
  kPaste,
  kShape,
  kNewJob,
  kKeys,
  kBench,
  kMap,
  kBoard,
  kPlan,
  kVerdict,
  kDropTrial,
  kPhotos,
  kPhotoUnder,
  kPhotoAlone,
  kFainter,
  kStronger,
  kTakeBackMatch,
  kNextProposal,
  kPreviousProposal,
  kIntake,
  kSuspects,
  kDark,
  kGood,
  kReadings,
  kReadingStage,
  kReadingMode,
  kTakeBackReading,
  kKnownGood,
  kCloseJob,
  kShelf,
  kSharing,
  kSheets,
  kNames,
  kMessages,
  kTheme,
  kFullScreen,
  kLarger,
  kSmaller,
  kUnits,
};
inline constexpr std::size_t kCommands = static_cast<std::size_t>(Command::kUnits) + 1;

struct KeyPress {
  int place = 0;  // USB HID usage number
  bool ctrl = false, shift = false;
  friend bool operator==(const KeyPress&, const KeyPress&) = default;
};

// "Ctrl+Shift+Z", "Keypad 7", "F9". Nothing for a name that is no key.
std::optional<KeyPress> key_press(std::string_view text);
std::string key_text(KeyPress press);

struct CommandInfo {
  Command command;
  const char* name;   // in the file: "turn-on"
  const char* does;   // in the list of keys
  const char* group;  // heading in the list
  const char* keys;   // standard: "E" or "W, Up"
};
const std::vector<CommandInfo>& commands();

class Keymap {
 public:
  Keymap();  // the standard keys
  // Lines "NAME = KEY, KEY"; '#' begins a comment; a command that is named gets just these keys, and a key
  // that another command had goes over to it. Codes: "form", "command", "key".
  void read(std::string_view text, Diagnostics& log);

  [[nodiscard]] std::optional<Command> command_of(KeyPress press) const;
  // The number pad as it is without NumLock.
  [[nodiscard]] static std::optional<Command> pad_without_numlock(int place);
  // "W, Up"; empty when it has no key.
  [[nodiscard]] std::string keys_of(Command command) const;
  // The table as a file that read() understands: what a user starts from.
  [[nodiscard]] std::string as_file() const;

 private:
  struct Binding {
    KeyPress press;
    Command command;
  };
  std::vector<Binding> bindings_;
};

// The mark that a command sets: kSound to kChip.
std::optional<int> mark_of(Command command);

}  // namespace landfall::app
