#include "viewer/app/keymap.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "viewer/app/desk.hpp"

namespace landfall::app {
namespace {

struct KeyName {
  int place;
  const char* name;
};

// USB HID Usage Tables 1.12, page 0x07 (from memory; SDL_scancode.h has the same numbers).
constexpr std::array<KeyName, 61> kNames{{
    {4, "A"},          {5, "B"},         {6, "C"},         {7, "D"},
    {8, "E"},          {9, "F"},         {10, "G"},        {11, "H"},
    {12, "I"},         {13, "J"},        {14, "K"},        {15, "L"},
    {16, "M"},         {17, "N"},        {18, "O"},        {19, "P"},
    {20, "Q"},         {21, "R"},        {22, "S"},        {23, "T"},
    {24, "U"},         {25, "V"},        {26, "W"},        {27, "X"},
    {28, "Y"},         {29, "Z"},        {40, "Enter"},    {41, "Esc"},
    {42, "Backspace"}, {43, "Tab"},      {44, "Space"},    {45, "-"},
    {46, "="},         {47, "["},        {48, "]"},        {49, "\\"},
    {51, ";"},         {53, "`"},        {54, "Comma"},    {55, "."},
    {56, "/"},         {74, "Home"},     {75, "PageUp"},   {76, "Delete"},
    {77, "End"},       {78, "PageDown"}, {79, "Right"},    {80, "Left"},
    {81, "Down"},      {82, "Up"},       {83, "NumLock"},  {84, "Keypad /"},
    {85, "Keypad *"},  {86, "Keypad -"}, {87, "Keypad +"}, {88, "Keypad Enter"},
    {99, "Keypad ."},  {73, "Insert"},   {39, "0"},        {98, "Keypad 0"},
    {52, "'"},
}};

std::string place_name(int place) {
  if (place >= 30 && place <= 38) return std::to_string(place - 29);
  if (place >= 58 && place <= 69) return fmt::format("F{}", place - 57);
  if (place >= 89 && place <= 97) return fmt::format("Keypad {}", place - 88);
  for (const KeyName& key : kNames) {
    if (key.place == place) return key.name;
  }
  return {};
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t' || text.back() == '\r'))
    text.remove_suffix(1);
  return text;
}

// Calls f with each piece between commas, blanks off.
template <class F>
void each_piece(std::string_view text, F f) {
  while (!text.empty()) {
    const auto comma = std::min(text.find(','), text.size());
    f(trimmed(text.substr(0, comma)));
    text.remove_prefix(std::min(comma + 1, text.size()));
  }
}

}  // namespace

std::optional<KeyPress> key_press(std::string_view text) {
  KeyPress press;
  text = trimmed(text);
  const auto take = [&](std::string_view modifier) {
    if (text.size() <= modifier.size() || !lower(text).starts_with(modifier)) return false;
    text = trimmed(text.substr(modifier.size()));
    return true;
  };
  for (bool more = true; more;) {
    more = false;
    if (take("ctrl+")) press.ctrl = more = true;
    if (take("shift+")) press.shift = more = true;
  }
  const std::string wanted = lower(text);
  for (int place = 1; place < 128; ++place) {
    const std::string name = place_name(place);
    if (name.empty() || lower(name) != wanted) continue;
    press.place = place;
    return press;
  }
  return std::nullopt;
}

std::string key_text(KeyPress press) {
  return fmt::format("{}{}{}", press.ctrl ? "Ctrl+" : "", press.shift ? "Shift+" : "",
                     place_name(press.place));
}

const std::vector<CommandInfo>& commands() {
  static const std::vector<CommandInfo> all{
      {Command::kUp, "up", "next site up, as the screen shows it", "Go", "W, Up"},
      {Command::kDown, "down", "next site down", "Go", "S, Down"},
      {Command::kLeft, "left", "next site left", "Go", "A, Left"},
      {Command::kRight, "right", "next site right", "Go", "D, Right"},
      {Command::kUpMark, "up-mark", "next mark that way", "Go", "Shift+W, Shift+Up"},
      {Command::kDownMark, "down-mark", "", "Go", "Shift+S, Shift+Down"},
      {Command::kLeftMark, "left-mark", "", "Go", "Shift+A, Shift+Left"},
      {Command::kRightMark, "right-mark", "", "Go", "Shift+D, Shift+Right"},
      {Command::kAlongRow, "along-row", "one on along the row, at its end to the next", "Go", "Keypad +"},
      {Command::kBackAlongRow, "back-along-row", "one back along the row", "Go", "Keypad -"},
      {Command::kNextBare, "next-bare", "to the next site not inspected", "Go", "Keypad 9, End"},
      {Command::kNextMark, "next-mark", "next mark in the list", "Go", "Tab"},
      {Command::kPreviousMark, "previous-mark", "previous mark in the list", "Go", "Shift+Tab"},
      {Command::kFind, "find", "find a net, ball, part or function", "Go", "/, Ctrl+F"},
      {Command::kFindWide, "find-wide", "find on all boards, or on this one alone", "Go", "Ctrl+Shift+F"},
      {Command::kBack, "back", "back to what the sheet showed before", "Go", "Backspace, ["},
      {Command::kForward, "forward", "forward again", "Go", "Shift+Backspace, ]"},
      {Command::kLeave, "leave", "one step back", "Go", "Esc"},
      {Command::kSound, "sound", "sound: looked at, and good", "Mark", "0, `, Keypad 0"},
      {Command::kMask, "mask", "mask damaged, copper whole", "Mark", "1, Keypad 1"},
      {Command::kLoose, "loose", "land loose", "Mark", "2, Keypad 2"},
      {Command::kMissing, "missing", "land missing", "Mark", "3, Keypad 3"},
      {Command::kTorn, "torn", "land torn off with its conductor", "Mark", "4, Keypad 4"},
      {Command::kBarrel, "barrel", "the via pulled too", "Mark", "5, Keypad 5"},
      {Command::kChip, "chip", "the chip's own land", "Mark", "6, Keypad 6"},
      {Command::kOff, "off", "take the mark off", "Mark", "X, Delete, Keypad 7"},
      {Command::kAgain, "again", "the same mark again", "Mark", "Space"},
      {Command::kOnAndAgain, "on-and-again", "one on, and the same mark again", "Mark",
       "Enter, Keypad Enter"},
      {Command::kType, "type", "type sites and a mark: AB14 AB16..AB20 torn", "Mark", "M"},
      {Command::kNote, "note", "a note on the mark", "Mark", "N"},
      {Command::kUndo, "undo", "undo", "Mark", "Ctrl+Z, Keypad 8"},
      {Command::kRedo, "redo", "redo", "Mark", "Ctrl+Shift+Z, Ctrl+Y"},
      {Command::kInspection, "inspection", "inspected against not inspected", "Mark", "I"},
      {Command::kOrder, "order", "order of the list of marks", "Mark", "O"},
      {Command::kTurnOn, "turn-on", "a quarter turn on, clockwise", "Map", "E"},
      {Command::kTurnBack, "turn-back", "a quarter turn back", "Map", "Q"},
      {Command::kTurnOnABit, "turn-on-a-bit", "five degrees on", "Map", "Shift+E"},
      {Command::kTurnBackABit, "turn-back-a-bit", "five degrees back", "Map", "Shift+Q"},
      {Command::kFace, "face", "the other face: lands, balls; on the board the other side", "Map", "F"},
      {Command::kBoard, "board", "the whole board, and back; there C shows all copper", "Map", "B, F4"},
      {Command::kPlan, "plan", "the plan, and back; there Space: done, X: failed", "Map", "P, F5"},
      {Command::kVerdict, "verdict", "the verdict, and back", "Map", "Shift+P, F6"},
      {Command::kDropTrial, "drop-trial", "on the plan: drop what is tried", "Map", "Shift+X"},
      {Command::kWhole, "whole", "near, or the whole package", "Map", "Z"},
      {Command::kNearer, "nearer", "nearer (also the wheel)", "Map", "="},
      {Command::kFarther, "farther", "farther", "Map", "-"},
      {Command::kTrueScale, "true-scale", "true scale or schematic", "Map", "T"},
      {Command::kGroup, "group", "single out the ball's lane, bus, channel, class; on the plan: another wire",
       "Map", "G"},
      {Command::kLegend, "legend", "legend below the map, or none", "Map", "K"},
      {Command::kIntake, "intake", "the intake's questions, and back", "Job", "Shift+J, F10"},
      {Command::kSuspects, "suspects", "where the symptoms meet, and back", "Job", "Shift+F"},
      {Command::kDark, "dark", "the chosen balls' nets are dark, or not", "Job", ";"},
      {Command::kGood, "good", "the chosen balls' nets work, or not", "Job", "'"},
      {Command::kReadings, "readings", "the job's readings, and back", "Job", "V"},
      {Command::kReadingStage, "reading-stage", "readings before, or after the repair", "Job", "Ctrl+B"},
      {Command::kReadingMode, "reading-mode", "diode mode, or ohm", "Job", "Ctrl+D"},
      {Command::kTakeBackReading, "take-back-reading", "take the row's reading back", "Job", "Ctrl+Delete"},
      {Command::kKnownGood, "known-good", "this board is known good, or not", "Job", "Ctrl+G"},
      {Command::kCloseJob, "close-job", "close the job, or open it again: closed, it takes no more", "Job",
       "Ctrl+J"},
      {Command::kPhotos, "photos", "the job's photos, and back", "Photo", "F7"},
      {Command::kPhotoUnder, "photo-under", "the photo under the lands on the map, or not", "Photo", "L"},
      {Command::kPhotoAlone, "photo-alone", "while held: the photo without the map, to compare", "Photo",
       "H"},
      {Command::kFainter, "fainter", "the map over the photo fainter", "Photo", "Comma"},
      {Command::kStronger, "stronger", "the map over the photo stronger", "Photo", "."},
      {Command::kTakeBackMatch, "take-back-match", "take the last matched land back", "Photo", "Shift+R"},
      {Command::kNextProposal, "next-proposal", "pass on to the next proposed land", "Photo", "Y"},
      {Command::kPreviousProposal, "previous-proposal", "back to the one before", "Photo", "Shift+Y"},
      {Command::kCopy, "copy", "copy the sheet as text", "Sheet", "C, Ctrl+C"},
      {Command::kUnits, "units", "millimetres or mils", "Sheet", "U"},
      {Command::kBench, "bench", "the bench: boards and jobs", "Window", "F2"},
      {Command::kMap, "map", "the map", "Window", "F3"},
      {Command::kOpen, "open", "open design files", "Window", "Ctrl+O"},
      {Command::kBare, "bare", "begin with the bare package", "Window", "Ctrl+N"},
      {Command::kPaste, "paste", "paste a ball table: look, then accept", "Window", "Ctrl+V"},
      {Command::kShape, "shape", "bare package: rub out sites, name balls; and back", "Window", "R"},
      {Command::kNewJob, "new-job", "new job", "Window", "J"},
      {Command::kKeys, "keys", "all keys, on one page", "Window", "F1"},
      {Command::kShelf, "shelf", "the shelf of donors, and how verdicts fared", "Window", "Shift+L"},
      {Command::kSheets, "sheets", "the job's sheets, on paper or as a file", "Window", "Ctrl+P"},
      {Command::kSharing, "sharing", "hand a job over, take one in", "Window", "Shift+H"},
      {Command::kNames, "names", "which names of two lists are one signal", "Window", "Shift+N"},
      {Command::kMessages, "messages", "earlier messages", "Window", "F8"},
      {Command::kTheme, "theme", "theme: day, night, strong", "Window", "F9"},
      {Command::kFullScreen, "full-screen", "full screen", "Window", "F11"},
      {Command::kLarger, "larger", "larger text", "Window", "Ctrl+=, Ctrl+Keypad +"},
      {Command::kSmaller, "smaller", "smaller text", "Window", "Ctrl+-, Ctrl+Keypad -"},
  };
  return all;
}

Keymap::Keymap() {
  for (const CommandInfo& info : commands()) {
    each_piece(info.keys, [&](std::string_view key) {
      if (const auto press = key_press(key)) bindings_.push_back({*press, info.command});
    });
  }
}

void Keymap::read(std::string_view text, Diagnostics& log) {
  for (std::size_t number = 1; !text.empty(); ++number) {
    const auto end = std::min(text.find('\n'), text.size());
    const std::string_view line = trimmed(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    if (line.empty() || line.front() == '#') continue;
    // The first '=' that is not a key: names have none.
    const auto equals = line.find('=');
    if (equals == std::string_view::npos) {
      log.error(number, 1, "form", "a line needs COMMAND = KEY");
      continue;
    }
    const std::string name = lower(trimmed(line.substr(0, equals)));
    const auto info = std::find_if(commands().begin(), commands().end(),
                                   [&](const CommandInfo& c) { return name == c.name; });
    if (info == commands().end()) {
      log.error(number, 1, "command", fmt::format("{} is no command; the line is left out", name));
      continue;
    }
    std::vector<KeyPress> presses;
    bool good = true;
    each_piece(line.substr(equals + 1), [&](std::string_view key) {
      const auto press = key_press(key);
      if (press) presses.push_back(*press);
      if (!press && !key.empty()) {
        log.error(number, equals + 2, "key", fmt::format("{} is no key; the line is left out", key));
        good = false;
      }
    });
    if (!good) continue;
    std::erase_if(bindings_, [&](const Binding& b) {
      return b.command == info->command ||
             std::find(presses.begin(), presses.end(), b.press) != presses.end();
    });
    for (const KeyPress press : presses) bindings_.push_back({press, info->command});
  }
}

std::optional<Command> Keymap::command_of(KeyPress press) const {
  for (const Binding& binding : bindings_) {
    if (binding.press == press) return binding.command;
  }
  return std::nullopt;
}

std::optional<Command> Keymap::pad_without_numlock(int place) {
  switch (place) {
    case 89:
      return Command::kPreviousMark;
    case 90:
      return Command::kDown;
    case 91:
      return Command::kNextMark;
    case 92:
      return Command::kLeft;
    case 93:
      return Command::kInspection;
    case 94:
      return Command::kRight;
    case 95:
    case 97:
      return std::nullopt;
    case 96:
      return Command::kUp;
    case 98:
      return Command::kAgain;
    default:
      return std::nullopt;
  }
}

std::string Keymap::keys_of(Command command) const {
  std::string text;
  for (const Binding& binding : bindings_) {
    if (binding.command == command) text += (text.empty() ? "" : ", ") + key_text(binding.press);
  }
  return text;
}

std::string Keymap::as_file() const {
  std::string text = "# Keys of Landfall's window. COMMAND = KEY, KEY\n";
  for (const CommandInfo& info : commands())
    text += fmt::format("{}{} = {}\n", *info.does == '\0' ? "" : fmt::format("# {}\n", info.does), info.name,
                        keys_of(info.command));
  return text;
}

std::optional<int> mark_of(Command command) {
  if (command < Command::kSound || command > Command::kChip) return std::nullopt;
  return static_cast<int>(command) - static_cast<int>(Command::kSound);
}

}  // namespace landfall::app
