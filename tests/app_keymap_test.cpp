// The table of keys: complete, without doubles, changeable by a file.
#include <map>
#include <set>

#include <doctest/doctest.h>

#include "viewer/app/keymap.hpp"

using namespace landfall;
using app::Command;
using app::Keymap;

TEST_CASE("each command stands once in the table, has a key that is one, and no key has two commands") {
  std::set<Command> seen;
  std::set<std::string> names;
  std::map<std::string, std::string> taken;
  for (const app::CommandInfo& info : app::commands()) {
    CHECK(seen.insert(info.command).second);
    CHECK(names.insert(info.name).second);
    const std::string keys = Keymap().keys_of(info.command);
    CHECK_MESSAGE(!keys.empty(), info.name);
    CHECK_MESSAGE(keys == info.keys, info.name);  // every key of the table was understood
    for (std::size_t start = 0; start < keys.size();) {
      const auto end = std::min(keys.find(", ", start), keys.size());
      const std::string key = keys.substr(start, end - start);
      CHECK_MESSAGE(taken.emplace(key, info.name).second, key << " also does " << taken[key]);
      start = end + 2;
    }
  }
  CHECK(seen.size() == app::kCommands);
}

TEST_CASE("a key is named and read back the same") {
  for (int place = 1; place < 128; ++place) {
    const std::string name = app::key_text({place, false, false});
    if (name.empty()) continue;
    CHECK(app::key_press(name) == app::KeyPress{place, false, false});
    CHECK(app::key_press("ctrl+SHIFT+" + name) == app::KeyPress{place, true, true});
  }
  CHECK_FALSE(app::key_press("Hyper"));
  CHECK_FALSE(app::key_press(""));
  CHECK_FALSE(app::key_press("Ctrl+"));
}

TEST_CASE("a file changes keys: the command gets just these, the one that had them loses them") {
  Keymap keys;
  Diagnostics log;
  keys.read("# mine\nturn-on = Y\r\ntorn=T, Keypad 4\n\nundo = Ctrl+U", log);
  CHECK(log.entries().empty());
  CHECK(keys.keys_of(Command::kTurnOn) == "Y");
  CHECK(keys.command_of({23, false, false}) == Command::kTorn);  // T, which was true-scale's
  CHECK(keys.keys_of(Command::kTrueScale).empty());
  CHECK_FALSE(keys.command_of({8, false, false}));  // E
  CHECK(keys.command_of({24, true, false}) == Command::kUndo);
}

TEST_CASE("faults in the file are said with their line, and the rest holds") {
  Keymap keys;
  Diagnostics log;
  keys.read("turn-on\nspin = E\nturn-on = Hyper\nface = G", log);
  REQUIRE(log.entries().size() == 3);
  CHECK(log.count("form") == 1);
  CHECK(log.count("command") == 1);
  CHECK(log.count("key") == 1);
  CHECK(log.entries()[2].line == 3);
  CHECK(keys.keys_of(Command::kTurnOn) == "E");
  CHECK(keys.keys_of(Command::kFace) == "G");
}

TEST_CASE("the table as a file is read without a fault and changes nothing") {
  const Keymap keys;
  Keymap again;
  Diagnostics log;
  again.read(keys.as_file(), log);
  CHECK(log.entries().empty());
  for (const app::CommandInfo& info : app::commands())
    CHECK(again.keys_of(info.command) == keys.keys_of(info.command));
}

TEST_CASE("the number pad marks with NumLock and moves without: the left hand can rest") {
  const Keymap keys;
  for (int digit = 0; digit <= 6; ++digit) {
    const int place = digit == 0 ? 98 : 88 + digit;
    const auto command = keys.command_of({place, false, false});
    REQUIRE(command);
    CHECK(app::mark_of(*command) == digit);
  }
  CHECK(Keymap::pad_without_numlock(96) == Command::kUp);
  CHECK(Keymap::pad_without_numlock(92) == Command::kLeft);
}
