// KiCad symbols and footprints: small texts, and Debian's kicad-footprints.
#include <algorithm>
#include <iostream>
#include <set>

#include <doctest/doctest.h>

#include "importers/kicad_library/kicad_library.hpp"
#include "importers/kicad_library/symbols.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

const Pin* pin_of(const Board& board, const std::string& number) {
  for (const Pin& pin : board.pins) {
    if (pin.number == number) return &pin;
  }
  return nullptr;
}

std::string pin_text(const std::string& type, const std::string& name, const std::string& number) {
  return "(pin " + type + " line (at 0 0 0) (length 2.54) (name \"" + name + "\" (effects)) (number \"" +
         number + "\" (effects)))";
}

const std::string kLibrary =
    "(kicad_symbol_lib (version 20211014) (generator kicad_symbol_editor)\n"
    "(symbol \"RAM\" (property \"Reference\" \"U\" (id 0)) (property \"Footprint\" \"Package_BGA:X\" (id "
    "2))\n"
    "(symbol \"RAM_0_1\" (rectangle (start 0 0) (end 1 1)))\n(symbol \"RAM_1_1\" " +
    pin_text("bidirectional", "DQ0", "A1") + pin_text("input", "~{CS}", "A2") + ")\n(symbol \"RAM_1_2\" " +
    pin_text("bidirectional", "DQ0", "A1") + pin_text("passive", "X", "Z9") + ")\n(symbol \"RAM_2_1\" " +
    pin_text("power_in", "VDD", "B1") + pin_text("power_in", "VDD", "[3-5,7]") +
    pin_text("no_connect", "NC", "C1") + pin_text("power_in", "VDD", "B1") +
    "))\n"
    "(symbol \"RAM-2\" (extends \"RAM\") (property \"Footprint\" \"Package_BGA:Y\" (id 2)))\n"
    "(symbol \"LOOP\" (extends \"LOOP2\"))\n(symbol \"LOOP2\" (extends \"LOOP\"))\n)\n";

std::optional<importers::Design> read(const std::string& package, Diagnostics& log,
                                      const std::string& text = kLibrary) {
  importers::ReadOptions options;
  options.package = package;
  return importers::is_kicad_old_symbols(text) ? importers::read_kicad_old_symbols(text, log, options)
                                               : importers::read_kicad_symbols(text, log, options);
}

std::string error_of(const std::string& package, const std::string& text = kLibrary) {
  Diagnostics log;
  if (read(package, log, text)) return "";
  return log.entries().empty() ? "nothing was said"
                               : log.entries().back().code + ": " + log.entries().back().message;
}

}  // namespace

TEST_CASE("a symbol's pins are those of all units, the second body style left out, stacked numbers apart") {
  Diagnostics log;
  const auto design = read("RAM", log);
  REQUIRE(design.has_value());
  CHECK(design->format == "kicad-symbol");
  CHECK(design->version == "20211014");
  std::set<std::string> numbers;
  for (const Pin& pin : design->board.pins) numbers.insert(pin.number);
  CHECK(numbers == std::set<std::string>{"A1", "A2", "B1", "3", "4", "5", "7", "C1"});
  CHECK(pin_of(design->board, "A2")->function == "~{CS}");
  CHECK(pin_of(design->board, "A2")->type == PinType::kInput);
  CHECK(pin_of(design->board, "4")->net == pin_of(design->board, "B1")->net);
  CHECK(pin_of(design->board, "C1")->net == kNone);
  CHECK(design->board.parts.at(0).footprint == "Package_BGA:X");
  CHECK(log.entries().empty());
}

TEST_CASE("a symbol that extends another has its pins and its own footprint, a circle is refused") {
  Diagnostics log;
  const auto design = read("ram-2", log);
  REQUIRE(design.has_value());
  CHECK(design->board.pins.size() == 8);
  CHECK(design->board.parts.at(0).value == "RAM-2");
  CHECK(design->board.parts.at(0).footprint == "Package_BGA:Y");
  CHECK(error_of("LOOP").starts_with("extends: "));
  CHECK(error_of("") ==
        "choice: the library has several symbols, --package picks one: RAM, RAM-2, LOOP, LOOP2");
  CHECK(error_of("oop") == "choice: --package oop is none of the symbols; like it are: LOOP, LOOP2");
  CHECK(error_of("", kLibrary.substr(0, 400)).starts_with("text: "));
}

TEST_CASE("the old form: units, alias, hidden name, letters of the pin types") {
  const std::string text =
      "EESchema-LIBRARY Version 2.4\n#encoding utf-8\nDEF ~RAM U 0 40 Y Y 2 F N\nF0 \"U\" 0 0 50 H V C CNN\n"
      "F1 \"RAM\" 0 0 50 H V C CNN\nF2 \"Package_BGA:X\" 0 0 50 H I C CNN\nALIAS RAM-2\nDRAW\nS 0 0 1 1 0 1 "
      "0 N\n"
      "X DQ0 A1 0 0 100 R 50 50 1 1 B\nX DQ0 A1 0 0 100 R 50 50 1 2 B\nX ~ A2 0 0 100 R 50 50 1 1 I I\n"
      "X VDD B1 0 0 100 R 50 50 0 0 W N\nX bad\nENDDRAW\nENDDEF\n#\n#End Library\n";
  Diagnostics log;
  const auto design = read("RAM-2", log, text);
  REQUIRE(design.has_value());
  CHECK(design->version == "2.4");
  CHECK(design->board.pins.size() == 3);
  CHECK(pin_of(design->board, "A2")->function.empty());
  CHECK(pin_of(design->board, "A2")->type == PinType::kInput);
  CHECK(pin_of(design->board, "B1")->type == PinType::kPowerIn);
  CHECK(design->board.parts.at(0).footprint == "Package_BGA:X");
  CHECK(log.count("pin") == 1);
  CHECK(error_of("RAM", text.substr(0, text.find("ENDDEF"))) ==
        "text: symbol RAM is not closed: the file is cut off");
}

TEST_CASE("each of Debian's BGA footprints has the pins that a plain count of its pads finds") {
  const std::filesystem::path folder = "/usr/share/kicad/footprints/Package_BGA.pretty";
  if (!std::filesystem::is_directory(folder)) {
    std::cout << "SKIPPED: the package kicad-footprints is not installed\n";
    return;
  }
  std::size_t files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() != ".kicad_mod") continue;
    ++files;
    INFO(entry.path().filename().string());
    const std::string text = testing::read_file(entry.path());
    std::set<std::string> numbers;
    for (std::size_t at = text.find("(pad "); at != std::string::npos; at = text.find("(pad ", at + 1)) {
      std::string number = text.substr(at + 5, text.find(' ', at + 5) - at - 5);
      number.erase(std::remove(number.begin(), number.end(), '"'), number.end());
      if (!number.empty()) numbers.insert(number);
    }
    const auto design = testing::open_design(entry.path());
    CHECK(design.format == "kicad-footprint");
    CHECK(design.board.pins.size() == numbers.size());
    CHECK(design.board.lands.size() >= numbers.size());
  }
  CHECK(files == 159);  // FORMATS.md section 7: Debian's 6.0 libraries
}

TEST_CASE("a footprint's fault is reported at its own place, not at the board's around it") {
  Diagnostics log;
  CHECK_FALSE(importers::read_kicad_footprint("(footprint \"X\" (layer \"F.Cu\")", log).has_value());
  REQUIRE(log.entries().size() == 1);
  CHECK(log.entries()[0].line == 1);
  CHECK(log.entries()[0].column <= 31);
  Diagnostics two;
  CHECK_FALSE(
      importers::read_kicad_footprint("(module A (layer F.Cu)) (module B (layer F.Cu))", two).has_value());
}
