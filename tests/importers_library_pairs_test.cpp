// Debian's kicad-symbols against kicad-footprints (6.0): a symbol's pins and the lands of its footprint are
// two lists of one package, made by different hands. And the makers' BSDL files against the symbols of those
// parts.
#include <algorithm>
#include <iostream>
#include <map>
#include <set>

#include <doctest/doctest.h>

#include "importers/bsdl/bsdl.hpp"
#include "importers/kicad_library/kicad_library.hpp"
#include "importers/kicad_library/symbols.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
namespace fs = std::filesystem;
using importers::kicad_library::Library;

namespace {

using Numbers = std::set<std::string>;

const fs::path kSymbols = "/usr/share/kicad/symbols";
const fs::path kFootprints = "/usr/share/kicad/footprints";

bool have_libraries() {
  if (fs::is_directory(kSymbols) && fs::is_directory(kFootprints)) return true;
  std::cout << "SKIPPED: the packages kicad-symbols and kicad-footprints are not both installed\n";
  return false;
}

Library open_library(const fs::path& file) {
  Diagnostics log;
  auto library = importers::kicad_library::read_symbol_library(testing::read_file(file), log);
  REQUIRE(library.has_value());
  return std::move(*library);
}

std::optional<importers::Design> part_of(const Library& library, const std::string& symbol) {
  Diagnostics log;
  importers::ReadOptions options;
  options.package = symbol;
  return importers::kicad_library::part_of(library, log, options);
}

Numbers numbers_of(const Board& board) {
  Numbers numbers;
  for (const Pin& pin : board.pins) numbers.insert(pin.number);
  return numbers;
}

bool holds(const Numbers& all, const Numbers& some) {
  return std::includes(all.begin(), all.end(), some.begin(), some.end());
}

std::string list(const Numbers& all, const Numbers& less) {
  std::string text;
  for (const std::string& one : all) {
    if (!less.contains(one)) text += (text.empty() ? "" : " ") + one;
  }
  return text;
}

// Rows lettered A to L with an I among them, as they are once the I is left out: JEDEC Publication 95 letters
// no row I. Empty where no land stands in a row I.
Numbers without_row_i(const Numbers& lands) {
  Numbers out;
  bool any = false;
  for (std::string land : lands) {
    any = any || land.front() == 'I';
    if (land.front() >= 'I') land.front() = static_cast<char>(land.front() + 1);
    out.insert(land);
  }
  return any ? out : Numbers{};
}

enum class Kind { kSame, kUnlisted, kRowI, kStray };

Kind kind_of(const Numbers& pins, const Numbers& lands) {
  if (pins == lands) return Kind::kSame;
  if (holds(lands, pins)) return Kind::kUnlisted;
  if (const Numbers relabelled = without_row_i(lands); !relabelled.empty() && holds(relabelled, pins))
    return Kind::kRowI;
  return Kind::kStray;
}

const char* word(Kind kind) {
  switch (kind) {
    case Kind::kSame:
      return "the same";
    case Kind::kUnlisted:
      return "the symbol leaves balls out";
    case Kind::kRowI:
      return "the footprint letters a row I";
    case Kind::kStray:
      break;
  }
  return "the symbol has a pin that the package has not";
}

// Each symbol that differs, with how many pins stand in the symbol alone and how many lands in the footprint
// alone.
using Differing = std::map<std::string, std::string>;

// The five debug pins go by their own names in ST's BSDL and by the port that they share in the symbols: ST's
// reference manuals RM0316 and RM0386, "SWJ debug port pins" (from memory). All three packages bear it out.
const std::map<std::string, std::string> kDebugPorts{
    {"JTMS", "PA13"}, {"JTCK", "PA14"}, {"JTDI", "PA15"}, {"JTDO", "PB3"}, {"JTRST", "PB4"}};

// What the BSDL language cannot write: it has no sign in a name, and ST puts underscores and the oscillator
// in.
std::string plain_port(std::string name) {
  if (const auto found = kDebugPorts.find(name); found != kDebugPorts.end()) return found->second;
  const auto cut = [&name](const std::string& end, const std::string& instead) {
    if (name.ends_with(end)) name.replace(name.size() - end.size(), end.size(), instead);
  };
  name = name.substr(0, name.find('('));  // VDD(3), a member of a vector
  cut("_PLUS", "+");
  cut("_MINUS", "-");
  for (const char* end : {"_OSC32IN", "_OSC32OUT", "_OSCIN", "_OSCOUT"}) cut(end, "");
  name.erase(std::remove(name.begin(), name.end(), '_'), name.end());
  return name;
}

}  // namespace

TEST_CASE(
    "the pins of 419 of the 456 BGA symbols in Debian are their footprint's lands, the rest has reasons") {
  if (!have_libraries()) return;
  std::map<Kind, Differing> found;
  std::map<std::string, Numbers> lands_of;
  std::set<fs::path> files;
  for (const auto& entry : fs::directory_iterator(kSymbols)) {
    if (entry.path().extension() == ".kicad_sym") files.insert(entry.path());
  }
  for (const fs::path& file : files) {
    const Library library = open_library(file);
    for (const auto& symbol : library.symbols) {
      if (!symbol.footprint.empty() && !symbol.footprint.starts_with("Package_BGA:")) continue;
      const auto part = part_of(library, symbol.name);
      REQUIRE(part.has_value());
      const std::string footprint = part->board.parts.at(0).footprint;
      if (!footprint.starts_with("Package_BGA:")) continue;
      CAPTURE(symbol.name);
      if (!lands_of.contains(footprint)) {
        const auto land_file = kFootprints / "Package_BGA.pretty" / (footprint.substr(12) + ".kicad_mod");
        lands_of[footprint] = numbers_of(testing::open_design(land_file).board);
      }
      const Numbers& lands = lands_of.at(footprint);
      const Numbers pins = numbers_of(part->board);
      found[kind_of(pins, lands)][symbol.name] =
          "symbol alone: [" + list(pins, lands) + "], footprint alone: [" + list(lands, pins) + "]";
    }
  }
  std::size_t all = 0;
  for (const auto& [kind, symbols] : found) {
    all += symbols.size();
    std::cout << symbols.size() << " symbols: " << word(kind) << "\n";
    if (kind == Kind::kSame) continue;
    for (const auto& [name, how] : symbols) std::cout << "  " << name << ": " << how << "\n";
  }
  // FORMATS.md section 7: 419 of 456, with another reader.
  CHECK(all == 456);
  CHECK(found[Kind::kSame].size() == 419);
  const auto names = [&found](Kind kind) {
    std::set<std::string> out;
    for (const auto& [name, how] : found[kind]) out.insert(name);
    return out;
  };
  // Balls that the symbols' authors left out: FORMATS.md section 7 takes them for unlisted NC balls. Not
  // checked against the makers' data sheets.
  CHECK(names(Kind::kUnlisted) == std::set<std::string>{"AD9891", "EPM570F256", "EPM570M256", "EPM570ZM256",
                                                        "LTM4637xY", "MSP430F2330IYFF", "MSP430F2350IYFF",
                                                        "MSP430F2370IYFF", "MSP430F5308IZQE",
                                                        "MSP430F5309IZQE", "MSP430F5310IZQE", "STM32H743XIHx",
                                                        "STM32H750XBHx", "STM32H753XIHx"});
  // One footprint of 113 lands, Texas_MicroStar_Junior_BGA-113, whose rows run A to L with an I, while all
  // its symbols run A to M without one.
  CHECK(names(Kind::kRowI) == std::set<std::string>{"MSP430F2618-EP", "MSP430F5333IZQW", "MSP430F5335IZQW",
                                                    "MSP430F5336IZQW", "MSP430F5338IZQW", "MSP430F5358IZQW",
                                                    "MSP430F5359IZQW", "MSP430F5630IZQW", "MSP430F5631IZQW",
                                                    "MSP430F5632IZQW", "MSP430F5633IZQW", "MSP430F5634IZQW",
                                                    "MSP430F5635IZQW", "MSP430F5636IZQW", "MSP430F5637IZQW",
                                                    "MSP430F5638IZQW", "MSP430F5658IZQW", "MSP430F5659IZQW"});
  // A ball J7 in a package of rows A to H, whose E6 has no pin; a pin '5' beside the nine of a 3 x 3 package.
  CHECK(names(Kind::kStray) == std::set<std::string>{"LM4990ITL", "MSP430F5217IYFF", "MSP430F5219IYFF",
                                                     "MSP430F5227IYFF", "MSP430F5229IYFF"});
  CHECK(found[Kind::kStray]["LM4990ITL"] == "symbol alone: [5], footprint alone: []");
  CHECK(found[Kind::kStray]["MSP430F5217IYFF"] == "symbol alone: [J7], footprint alone: [E6]");
}

TEST_CASE(
    "the makers' BSDL pin maps have the symbol's name at every ball, three packages of the STM32F3 and F4") {
  if (!testing::have_shared() || !have_libraries()) return;
  struct Same {
    const char *bsdl, *library, *symbol;
    std::size_t balls;                        // that both name
    std::size_t as_written;                   // of these with the very same name
    std::map<std::string, std::string> over;  // balls that the symbol alone has
  };
  for (const Same& same :
       {Same{"STM32F302_F303_D_E_UFBGA100.bsd", "MCU_ST_STM32F3", "STM32F302VDHx", 100, 90, {}},
        Same{"STM32F302_F303_D_E_UFBGA100.bsd", "MCU_ST_STM32F3", "STM32F303VEHx", 100, 90, {}},
        // boards/INDEX.md: E9 and F8 are not in this map.
        Same{"STM32F469_F479_TFBGA216.bsd",
             "MCU_ST_STM32F4",
             "STM32F469NIHx",
             214,
             198,
             {{"E9", "VDD"}, {"F8", "VSS"}}},
        Same{"STM32F469_F479_TFBGA216.bsd",
             "MCU_ST_STM32F4",
             "STM32F479NGHx",
             214,
             198,
             {{"E9", "VDD"}, {"F8", "VSS"}}},
        Same{"STM32F469_F479_WLCSP168.bsd", "MCU_ST_STM32F4", "STM32F469AIYx", 168, 156, {}},
        Same{"STM32F469_F479_WLCSP168.bsd", "MCU_ST_STM32F4", "STM32F479AGYx", 168, 156, {}}}) {
    CAPTURE(std::string(same.bsdl));
    CAPTURE(std::string(same.symbol));
    const auto part =
        part_of(open_library(kSymbols / (std::string(same.library) + ".kicad_sym")), same.symbol);
    REQUIRE(part.has_value());
    const auto map = testing::open_design(testing::shared_file(std::string("boards/bsdl/") + same.bsdl));
    std::map<std::string, std::string> balls;
    for (const Pin& pin : map.board.pins) balls[pin.number] = pin.function;
    std::map<std::string, std::string> over;
    std::size_t compared = 0, as_written = 0;
    for (const Pin& pin : part->board.pins) {
      const auto ball = balls.find(pin.number);
      if (ball == balls.end()) {
        over[pin.number] = pin.function;
        continue;
      }
      ++compared;
      if (ball->second.substr(0, ball->second.find('(')) == pin.function) ++as_written;
      CHECK_MESSAGE(plain_port(ball->second) == plain_port(pin.function), pin.number);
    }
    CHECK(compared == same.balls);
    CHECK(compared == balls.size());
    CHECK(as_written == same.as_written);
    CHECK(over == same.over);
  }
}
