// The free truth: on a finished board every routed net is one island and no two nets touch. What an
// independent reading of the copper (polygons in floating point) found on these boards stands in
// ../shared/boards and in the issue that asked for this check: no split on 14 of 17; the others ship with
// unfilled zones or unfinished.
#include <filesystem>

#include <doctest/doctest.h>

#include "netdb/rework/copper/check.hpp"
#include "tests/support/files.hpp"
#include "tests/support/made_board.hpp"

using namespace landfall;

namespace {

struct Known {
  const char* file;
  std::size_t splits, unknown, touches;
};

std::string name_of(const Board& board, Index net) {
  return net == kNone ? "" : board.nets[net].name;
}

}  // namespace

TEST_CASE("splits, unknown nets and touches of the real boards are those that are known") {
  if (!testing::have_shared()) return;
  // Touches, each looked at: TERES: GND and GNDA are tied by a track; diode-complex: its fill runs over a
  // track; A64: a jumper closed by a drawn line
  // without a net, against a land and a track at each end; UPduino: seven solder jumpers closed by drawn
  // copper without a net, two pads each; opsis: an unfinished layout.
  const Known boards[] = {
      {"A64-OLinuXino_Rev_A", 0, 0, 4}, {"PocketBeagle", 0, 0, 0},
      {"TERES-PCB2-IO_Rev.B", 0, 0, 0}, {"TERES_PCB1-A64-MAIN_Rev.C", 0, 6, 1},
      {"TinyFPGA-BX", 0, 0, 0},         {"UPduino_v1.0", 0, 0, 14},
      {"basic-ecp5-pcb", 0, 0, 0},      {"diode-complex", 0, 0, 2},
      {"homebrew-ecp5-cm", 0, 0, 0},    {"iCE40HX8K-EVB_Rev_B1", 0, 0, 0},
      {"icepi-zero", 0, 0, 0},          {"lpddr4-testbed_2022-12-29", 0, 0, 0},
      {"opsis_2015-04-08", 30, 1, 11},  {"orangecrab_r0.2.1", 0, 0, 0},
      {"reform2-keyboard", 0, 1, 0},    {"vanille_v2", 0, 0, 0},
      {"wifiwart-comp", 0, 0, 0},
  };
  for (const Known& known : boards) {
    CAPTURE(known.file);
    const Board board = testing::open_design(testing::shared_file(std::string("boards/kicad_pcb/") +
                                                                  known.file + ".kicad_pcb"))
                            .board;
    const rework::CopperCheck check = rework::check_copper(rework::Copper(board));
    CHECK(check.splits.size() == known.splits);
    CHECK(check.unknown.size() == known.unknown);
    CHECK(check.touches.size() == known.touches);
    for (const auto& touch : check.touches) {
      CAPTURE(name_of(board, touch.first));
      CHECK(touch.first != touch.second);
    }
  }
}

TEST_CASE("a gap of one micrometre parts a net, an overlap of one joins it or touches") {
  testing::MadeBoard made;
  const Index line = made.net("LINE");
  const Index other = made.net("OTHER");
  const Index r1 = made.part("R1", 1, 5, 0);
  const Index r2 = made.part("R2", 1, 9, 0);
  const Index r3 = made.part("R3", 1, 7, 2);
  made.pin(r1, 1, line);
  made.pin(r2, 1, line);
  made.pin(r3, 1, other);
  made.track(line, 5, 0, 6.95, 0);   // its round end reaches 7.000
  made.track(line, 7.051, 0, 9, 0);  // from 7.001
  CHECK(rework::check_copper(rework::Copper(made.board)).splits.size() == 1);
  made.board.tracks.back().from.x -= 2000;
  CHECK(rework::check_copper(rework::Copper(made.board)).splits.empty());
  CHECK(rework::check_copper(rework::Copper(made.board)).touches.empty());
  made.track(other, 7, 2, 6, 0.098);  // its round end overlaps the line's edge by 0.001
  CHECK(rework::check_copper(rework::Copper(made.board)).touches.size() == 1);
}

TEST_CASE("a ring that is slit around a hole does not fill the hole") {
  testing::MadeBoard made;
  const Index plane = made.net("PLANE");
  const Index hole = made.net("HOLE");
  Fill fill;
  fill.net = plane;
  fill.layer = 1;
  using testing::mm;
  fill.ring = {{mm(0), mm(-9)}, {mm(9), mm(-9)}, {mm(9), mm(0)},  {mm(5), mm(0)},
               {mm(5), mm(-3)}, {mm(7), mm(-3)}, {mm(7), mm(-6)}, {mm(3), mm(-6)},
               {mm(3), mm(-3)}, {mm(5), mm(-3)}, {mm(5), mm(0)},  {mm(0), mm(0)}};
  made.board.fills.push_back(fill);
  made.via(hole, 5, -4.5);
  CHECK(rework::check_copper(rework::Copper(made.board)).touches.empty());
  made.via(hole, 2.9, -4.5);
  CHECK(rework::check_copper(rework::Copper(made.board)).touches.size() == 1);
}

TEST_CASE("the open demonstration boards that Debian carries have no split net and no two nets that touch") {
  const std::filesystem::path demos = "/usr/share/kicad/demos";
  if (!std::filesystem::is_directory(demos)) {
    MESSAGE("SKIPPED: kicad-demos is not installed");
    return;
  }
  std::size_t boards = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(demos)) {
    if (entry.path().extension() != ".kicad_pcb") continue;
    CAPTURE(entry.path().string());
    const Board board = testing::open_design(entry.path()).board;
    const rework::CopperCheck check = rework::check_copper(rework::Copper(board));
    CHECK(check.splits.empty());
    CHECK(check.unknown.empty());
    CHECK(check.touches.empty());
    ++boards;
  }
  CHECK(boards >= 14);
}

TEST_CASE("the seams that hold a custom land's pieces together are no copper") {
  // Two prongs of one land, drawn as one polygon with a seam; another net's track runs between them.
  testing::MadeBoard made;
  using testing::mm;
  const Index prongs = made.net("PRONGS");
  const Index between = made.net("BETWEEN");
  const Index r1 = made.part("R1", 1, 0, 5);
  made.pin(r1, 1, prongs);
  made.board.lands.back().shape = LandShape::kCustom;
  made.board.lands.back()
      .outline = {{mm(-1), mm(4)}, {mm(1), mm(4)},  {mm(1), mm(6)},
                  {mm(-1), mm(6)}, {mm(-1), mm(4)},  // home, then along the seam to the second prong
                  {mm(4), mm(4)},  {mm(6), mm(4)},  {mm(6), mm(6)},
                  {mm(4), mm(6)},  {mm(4), mm(4)},  {mm(-1), mm(4)}};
  made.track(between, 2.5, 3, 2.5, 10);
  CHECK(rework::check_copper(rework::Copper(made.board)).touches.empty());
  made.track(between, 2.5, 5, 4.2, 5);
  CHECK(rework::check_copper(rework::Copper(made.board)).touches.size() == 1);
}
