// Two files of one board agree on every pin: ../shared/boards/INDEX.md, "Pairs of the same revision".
#include <doctest/doctest.h>

#include "netdb/join/join.hpp"
#include "netdb/join/names.hpp"
#include "netdb/model/board_index.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

Board small_board(const std::string& a1, const std::string& a2, const std::string& b1) {
  Board board;
  for (const char* name : {"GND", "SIG", "PWR"}) board.nets.push_back({name, false, {}});
  for (const char* name : {"U1", "R1"}) {
    Part part;
    part.reference = name;
    board.parts.push_back(part);
  }
  const auto net = [&](const std::string& name) -> Index {
    for (Index i = 0; i < board.nets.size(); ++i) {
      if (board.nets[i].name == name) return i;
    }
    return kNone;
  };
  board.pins = {{0, "A1", "", PinType::kUnknown, net(a1)},    {0, "A2", "", PinType::kUnknown, net(a2)},
                {1, "1", "", PinType::kUnknown, net(b1)},     {1, "2", "", PinType::kUnknown, net("GND")},
                {0, "A3", "", PinType::kUnknown, net("GND")}, {0, "A4", "", PinType::kUnknown, net("PWR")},
                {0, "A5", "", PinType::kUnknown, net("PWR")}};
  return board;
}

}  // namespace

TEST_CASE("every pair of files of one revision divides the shared pins into the same nets") {
  if (!testing::have_shared()) return;
  struct Pair {
    const char *a, *b;
    std::size_t compared, same_name;
    bool folded;
  };
  for (const Pair& pair :
       {Pair{"kicad_pcb/A64-OLinuXino_Rev_A.kicad_pcb", "netlist/A64-OLinuXino_Rev_A.net", 1883, 1883, false},
        Pair{"kicad_pcb/iCE40HX8K-EVB_Rev_B1.kicad_pcb", "netlist/iCE40HX8K-EVB_Rev_B1.net", 700, 700, false},
        Pair{"kicad_pcb/TinyFPGA-BX.kicad_pcb", "netlist/TinyFPGA-BX.net", 224, 224, false},
        Pair{"kicad_pcb/opsis_2015-04-08.kicad_pcb", "netlist/opsis_2015-04-08.net", 2205, 2205, false},
        Pair{"kicad_pcb/icepi-zero.kicad_pcb", "d356/icepi-zero.ipc", 703, 601, true},
        Pair{"kicad_pcb/homebrew-ecp5-cm.kicad_pcb", "d356/homebrew-ecp5-cm.d356", 864, 724, true},
        Pair{"kicad_pcb/UPduino_v1.0.kicad_pcb", "d356/UPduino_v1.0.d356", 374, 368, true},
        Pair{"kicad_pcb/reform2-keyboard.kicad_pcb", "netlist/reform2-keyboard.net", 652, 652, false},
        Pair{"kicad_pcb/reform2-keyboard.kicad_pcb", "netlist/reform2-keyboard.xml", 652, 652, false},
        Pair{"kicad_pcb/diode-complex.kicad_pcb", "netlist/diode-complex.net", 8, 8, false}}) {
    INFO(std::string(pair.b));
    const auto a = testing::open_design(testing::shared_file(std::string("boards/") + pair.a));
    const auto b = testing::open_design(testing::shared_file(std::string("boards/") + pair.b));
    const join::Agreement agreement = join::agreement(a.board, b.board, pair.folded);
    CHECK(agreement.compared == pair.compared);
    CHECK(agreement.same_split == agreement.compared);
    CHECK(agreement.same_name == pair.same_name);
    CHECK(agreement.same_name + agreement.cut_name == agreement.compared);
  }
}

TEST_CASE(
    "a pin that a stale netlist has on another net is listed with both sides, and the board's word stands") {
  const Board fresh = small_board("SIG", "GND", "SIG");
  const Board stale = small_board("PWR", "GND", "SIG");
  Board with_copper = fresh;
  with_copper.tracks.push_back({{0, 0}, {1, 1}, 1, 0, 0});
  const join::Joined joined =
      join::join({{"stale.net", "kicad-netlist", stale}, {"fresh.kicad_pcb", "kicad-board", with_copper}});
  REQUIRE(joined.disagreements.size() == 1);
  CHECK(joined.disagreements[0].what == "U1.A1");
  CHECK(joined.disagreements[0].says == "fresh.kicad_pcb: SIG; stale.net: PWR");
  CHECK(joined.board.nets[joined.board.pins[0].net].name == "SIG");
}

TEST_CASE("the order in which files are given does not matter") {
  if (!testing::have_shared()) return;
  const auto board = testing::shared_file("boards/kicad_pcb/icepi-zero.kicad_pcb");
  const auto list = testing::shared_file("boards/d356/icepi-zero.ipc");
  CHECK(testing::open_board({board, list}) == testing::open_board({list, board}));
}

TEST_CASE("a netlist's functions reach the board's pins, and a full name replaces a cut one") {
  Board board = small_board("SIG", "GND", "SIG");
  board.nets[1].name = "A_RATHER_LONG_NAME";
  Board test = board;
  test.nets[1].name = "THER_LONG_NAME";
  board.pins[0].function = "DQ5";
  test.lands.push_back({});
  const join::Joined joined = join::join({{"a.net", "kicad-netlist", board}, {"b.ipc", "ipc-d-356", test}});
  CHECK(joined.board.pins[0].function == "DQ5");
  CHECK(joined.disagreements.empty());
}

TEST_CASE("names fold as IPC-D-356 writers fold them: FORMATS 3.5") {
  CHECK(join::folded_net("/MEM/STROBE_LONG_P") == "/STROBE_LONG_P");
  CHECK(join::folded_net("abc") == "ABC");
  CHECK(join::folded_net("\xC3\xA4") == "?");
  CHECK(join::is_cut_of("/STROBE_LONG_P", "/MEM/STROBE_LONG_P"));
  CHECK_FALSE(join::is_cut_of("SD3_CD", "/MEM/STROBE_LONG_P"));
  CHECK(join::same_net_name("/Sig", "SIG"));
}
