// Debian's kicad-demos: each board gives as many pads, nets, tracks, vias and zones as a plain count of the
// file's own lists, made here without the importer.
#include <algorithm>
#include <iostream>

#include <doctest/doctest.h>

#include "importers/kicad_board/kicad_board.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

// The whole text of each list with that name, wherever it stands; quoted text is stepped over.
std::vector<std::string> lists(const std::string& text, const std::string& name) {
  std::vector<std::string> found;
  std::vector<std::pair<std::size_t, bool>> open;  // where it began, and whether it is wanted
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '"') {
      for (++i; i < text.size() && text[i] != '"'; ++i) {
        if (text[i] == '\\') ++i;
      }
    } else if (text[i] == '(') {
      const bool wanted =
          text.compare(i + 1, name.size(), name) == 0 &&
          std::string_view(" \n\r\t()").find(text[i + 1 + name.size()]) != std::string_view::npos;
      open.emplace_back(i, wanted);
    } else if (text[i] == ')' && !open.empty()) {
      if (open.back().second) found.push_back(text.substr(open.back().first, i - open.back().first + 1));
      open.pop_back();
    }
  }
  return found;
}

std::string inner(const std::string& list, const std::string& name) {
  const auto found = lists(list.substr(1), name);
  return found.empty() ? std::string() : found.front();
}

double number_after(const std::string& list, std::size_t at) {
  return at < list.size() ? std::strtod(list.c_str() + at, nullptr) : 0;
}

struct Counts {
  std::size_t pads = 0, nets = 0, tracks = 0, vias = 0, zones = 0;
};

Counts plain_count(const std::string& text) {
  Counts counts;
  for (const std::string& pad : lists(text, "pad")) {
    const bool copper = inner(pad, "layers").find("Cu") != std::string::npos;
    const std::string drill = inner(pad, "drill");
    const std::string size = inner(pad, "size");
    const bool bare = pad.find("np_thru_hole") != std::string::npos &&
                      number_after(size, 6) <= number_after(drill, drill.find_first_of("0123456789"));
    if (copper && !bare) ++counts.pads;
  }
  for (const std::string& track : lists(text, "segment")) {
    const std::string start = inner(track, "start");
    const std::string end = inner(track, "end");
    if (start.substr(6) != end.substr(4)) ++counts.tracks;  // stubs of no length carry nothing
  }
  counts.vias = lists(text, "via").size();
  counts.zones = lists(text, "zone").size();
  // The table of nets stands before the first footprint; net 0 is none.
  const std::string head = text.substr(0, std::min(text.find("(module"), text.find("(footprint")));
  counts.nets = std::max<std::size_t>(lists(head, "net").size(), 1) - 1;
  return counts;
}

}  // namespace

TEST_CASE("every board of Debian's kicad-demos gives what a plain count of its lists gives") {
  const std::filesystem::path folder = "/usr/share/kicad/demos";
  if (!std::filesystem::is_directory(folder)) {
    std::cout << "SKIPPED: the package kicad-demos is not installed\n";
    return;
  }
  std::size_t boards = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
    if (entry.path().extension() != ".kicad_pcb") continue;
    ++boards;
    INFO(entry.path().filename().string());
    const std::string text = testing::read_file(entry.path());
    Diagnostics log;
    const auto design = importers::read_kicad_board(text, log);
    REQUIRE(design.has_value());
    const Counts counts = plain_count(text);
    CHECK(design->board.lands.size() == counts.pads);
    CHECK(design->board.nets.size() == counts.nets);
    CHECK(design->board.tracks.size() == counts.tracks);
    CHECK(design->board.vias.size() == counts.vias);
    CHECK(design->board.zones.size() == counts.zones);
  }
  CHECK(boards >= 10);
}

TEST_CASE(
    "small files cut at every byte, and with each byte flipped, give a board or one error with a place") {
  for (const auto& seed : {std::pair<const char*, const char*>{"small.kicad_pcb", "kicad_board"},
                           {"small.net", "kicad_netlist"},
                           {"small.xml", "kicad_netlist_xml"},
                           {"small.ipc", "ipc_d_356"},
                           {"small.xml", "ipc_2581"},
                           {"packages.csv", "ball_list"},
                           {"small.bsd", "bsdl"},
                           {"small.ibs", "ibis"},
                           {"small.kicad_sym", "kicad_symbols"},
                           {"small.lib", "kicad_old_symbols"},
                           {"small.kicad_mod", "kicad_footprint"}}) {
    const char* name = seed.first;
    const std::string whole =
        testing::read_file(testing::data_file("seeds/" + std::string(seed.second) + "/" + name));
    const auto check = [&](const std::string& bytes) {
      Diagnostics log;
      const std::string own(bytes.data(),
                            bytes.size());  // its own allocation: a sanitizer sees one byte too far
      const auto design = importers::read_design(own, name, log);
      if (!design.ok()) {
        const ErrorCode code = design.error().code;
        CHECK((code == ErrorCode::kInput || code == ErrorCode::kChoice));
        CHECK(design.error().message.find('\n') == std::string::npos);
      }
    };
    for (std::size_t n = 0; n <= whole.size(); ++n) check(whole.substr(0, n));
    for (std::size_t i = 0; i < whole.size(); ++i) {
      std::string flipped = whole;
      flipped[i] = static_cast<char>(flipped[i] ^ 0x11);
      check(flipped);
    }
  }
}

TEST_CASE("hostile shapes are refused in one line: deep nesting, a huge word, numbers beyond range") {
  const auto refused = [](const std::string& text) {
    Diagnostics log;
    const auto design = importers::read_design(text, "x", log);
    return design.ok() ? std::string() : design.error().message;
  };
  CHECK(refused("(kicad_pcb " + std::string(100'000, '(')).find("256 deep") != std::string::npos);
  CHECK(refused("(kicad_pcb (version " + std::string(2'000'000, 'x') + "))").find("1 MB") !=
        std::string::npos);
  CHECK(refused("(kicad_pcb (version 4)").find("x:1:1: ") == 0);
  Diagnostics log;
  const std::string text =
      "(kicad_pcb (version 4) (layers (0 F.Cu signal) (31 B.Cu signal)) (segment (start 99999999999999 0) "
      "(end nan inf) (width 1) "
      "(layer F.Cu) (net 0)))";
  const auto far = importers::read_kicad_board(text, log);
  REQUIRE(far.has_value());
  CHECK(far->board.tracks.empty());
  CHECK(log.count("number") == 1);
  CHECK(log.entries().front().column == text.find("(segment") + 1);
}

TEST_CASE("a conductor's coordinate beyond every board is refused, and the rest of the file is kept") {
  Diagnostics log;
  const auto design = importers::read_design(
      "P  UNITS CUST 0\n327GND              U1    -A1         A01X+009750Y-009750X0150Y0000R090 S1\n"
      "378GND            L01 X0050 X9223372036854775807Y1 X2\n999\n",
      "x.ipc", log);
  REQUIRE(design.ok());
  CHECK(design->board.pins.size() == 1);
  CHECK(log.count("conductor") == 1);
}
