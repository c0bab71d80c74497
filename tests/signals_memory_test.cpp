// Memory interfaces of real boards: which net belongs to which lane and channel. The truth is written by hand
// from the memories' pin functions (TRADE.md T6: ball E3 is DQ0, F3 LDQS, C7 UDQS ...) and the nets on them.
#include <map>
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/model/board_index.hpp"
#include "netdb/signals/memory_maps.hpp"
#include "netdb/signals/memory_role.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

using Nets = std::set<std::string>;

Nets numbered(const std::string& pattern, int first, int last) {
  Nets nets;
  for (int i = first; i <= last; ++i) nets.insert(fmt::format(fmt::runtime(pattern), i));
  return nets;
}

Nets operator+(Nets a, const Nets& b) {
  a.insert(b.begin(), b.end());
  return a;
}

struct Truth {
  const char* file;
  std::vector<Nets> lanes;
  Nets shared;  // address, command, clock and control by name
};

Nets s0s_shared(int most_address) {
  return numbered("/S0SA{}", 0, most_address) + numbered("/S0SBA{}", 0, 2) +
         Nets{"/S0SCAS", "/S0SRAS", "/S0SWE", "/S0SCK_P", "/S0SCK_N"};
}

std::vector<Nets> s0s_lanes() {
  std::vector<Nets> lanes;
  for (int lane = 0; lane < 4; ++lane) {
    lanes.push_back(numbered("/S0SDQ{}", 8 * lane, 8 * lane + 7) + Nets{fmt::format("/S0SDQM{}", lane),
                                                                        fmt::format("/S0SDQS{}_P", lane),
                                                                        fmt::format("/S0SDQS{}_N", lane)});
  }
  return lanes;
}

std::vector<Nets> minnow_lanes() {
  std::vector<Nets> lanes;
  for (int lane = 0; lane < 8; ++lane) {
    lanes.push_back(numbered("M_DATA_A{}", 8 * lane, 8 * lane + 7) + Nets{fmt::format("M_DM_A{}", lane),
                                                                          fmt::format("M_DQS_A_P{}", lane),
                                                                          fmt::format("M_DQS_A_N{}", lane)});
  }
  return lanes;
}

std::vector<Truth> truths() {
  const Nets ram_shared = numbered("RAM_A{}", 0, 15) + numbered("RAM_BA{}", 0, 2) +
                          Nets{"RAM_CAS#", "RAM_RAS#", "RAM_WE#", "RAM_CK+",   "RAM_CK-",
                               "RAM_CKE",  "RAM_CS#",  "RAM_ODT", "RAM_RESET#"};
  return {
      {"kicad_pcb/A64-OLinuXino_Rev_A.kicad_pcb", s0s_lanes(), s0s_shared(13)},
      {"kicad_pcb/TERES_PCB1-A64-MAIN_Rev.C.kicad_pcb", s0s_lanes(), s0s_shared(13)},
      {"netlist/STMP157-OLinuXino-LIME2_Rev_B1.net", s0s_lanes(), s0s_shared(14)},
      // Bytes are swapped whole here: the lines called D0 to D7 sit on the upper byte's balls, with its
      // strobe.
      {"kicad_pcb/orangecrab_r0.2.1.kicad_pcb",
       {numbered("RAM_D{}", 0, 7) + Nets{"RAM_LDM", "RAM_UDQS+", "RAM_UDQS-"},
        numbered("RAM_D{}", 8, 15) + Nets{"RAM_UDM", "RAM_LDQS+", "RAM_LDQS-"}},
       ram_shared},
      {"kicad_pcb/wifiwart-comp.kicad_pcb",
       {numbered("d{}", 0, 7) + Nets{"/ram/LDM", "/ram/LDQS", "/ram/!LDQS"},
        numbered("d{}", 8, 15) + Nets{"/ram/UDM", "/ram/UDQS", "/ram/!UDQS"}},
       numbered("adr{}", 0, 15) + numbered("dba{}", 0, 2) +
           Nets{"/ram/!CAS", "/ram/!RAS", "/ram/!WE", "/ram/CK", "/ram/!CK", "/ram/!CKE", "/ram/!CS",
                "/ram/ODT", "/ram/!RST"}},
      {"kicad_pcb/opsis_2015-04-08.kicad_pcb",
       {numbered("/DDR3/DDR0_DQ{}", 0, 7) + Nets{"/DDR3/DDR0_LDM", "/DDR3/DDR0_LDQS_P", "/DDR3/DDR0_LDQS_N"},
        numbered("/DDR3/DDR0_DQ{}", 8, 15) +
            Nets{"/DDR3/DDR0_UDM", "/DDR3/DDR0_UDQS_P", "/DDR3/DDR0_UDQS_N"}},
       numbered("/DDR3/DDR0_A{}", 0, 13) + numbered("/DDR3/DDR0_BA{}", 0, 2) +
           Nets{"/DDR3/DDR0_CAS_N", "/DDR3/DDR0_RAS_N", "/DDR3/DDR0_WE_N", "/DDR3/DDR0_CK_P",
                "/DDR3/DDR0_CK_N", "/DDR3/DDR0_CKE", "/DDR3/DDR0_ODT", "/DDR3/DDR0_RESET_N"}},
      // A package of two channels, of which one is wired: TRADE.md T10, T13.
      {"kicad_pcb/lpddr4-testbed_2022-12-29.kicad_pcb",
       {numbered("DQ0{}_A", 0, 7) + Nets{"DMI_0A", "DQ_S0_TA", "DQ_S0_CA"},
        Nets{"DQ08_A", "DQ09_A"} + numbered("DQ{}_A", 10, 15) + Nets{"DMI_1A", "DQ_S1_TA", "DQ_S1_CA"}},
       numbered("CA{}_A", 0, 5) + Nets{"CK_T_A", "CK_C_A", "CS0_A", "CKE0_A", "ODT_CA_A", "RESET_N"}},
      {"d356/minnowmax-A1.ipc", minnow_lanes(),
       numbered("M_MA_A{}", 0, 14) + numbered("M_BS_A{}", 0, 1) +
           Nets{"M_CAS_A_L", "M_RAS_A_L", "M_WE_A_L", "M_CLK_A_P0", "M_CLK_A_N0", "M_CKE_A0", "M_CS_A_L0",
                "M_ODT_A0"}},
  };
}

// Names of the board's own made-up nets and termination differ by design; only named nets are compared.
Nets named_nets_of(const Board& board, const Signals& signals, Index lane, Index channel, bool in_lane) {
  Nets nets;
  for (std::size_t n = 0; n < signals.nets.size(); ++n) {
    const NetSignal& s = signals.nets[n];
    if (board.nets[n].automatic || s.channel != channel) continue;
    if (in_lane ? s.lane == lane : s.lane == kNone && s.signal_class != SignalClass::kAnalogue)
      nets.insert(board.nets[n].name);
  }
  return nets;
}

}  // namespace

TEST_CASE("memory interfaces come out with the right channel and lanes, precision and recall 1") {
  if (!testing::have_shared()) return;
  for (const Truth& truth : truths()) {
    INFO(std::string(truth.file));
    const auto design = testing::open_design(testing::shared_file(std::string("boards/") + truth.file));
    const BoardIndex index(design.board);
    const Signals signals = signals::analyse(index, {});
    std::vector<Index> memory;
    for (Index c = 0; c < signals.channels.size(); ++c) {
      if (signals.channels[c].kind == InterfaceKind::kMemory) memory.push_back(c);
    }
    REQUIRE(memory.size() == 1);
    std::set<Nets> expected(truth.lanes.begin(), truth.lanes.end());
    std::set<Nets> found;
    for (Index lane = 0; lane < signals.lanes.size(); ++lane) {
      if (signals.lanes[lane].channel == memory[0])
        found.insert(named_nets_of(design.board, signals, lane, memory[0], true));
    }
    // Equal sets of nets lane by lane: nothing missing (recall 1), nothing over (precision 1).
    CHECK(found == expected);
    const Nets shared = named_nets_of(design.board, signals, kNone, memory[0], false);
    for (const std::string& net : truth.shared) CHECK_MESSAGE(shared.contains(net), net);
    // What is there beyond the list is the chip select, clock enable, reset and the like of the same names.
    for (const std::string& net : shared) {
      if (truth.shared.contains(net)) continue;
      INFO(net);
      CHECK((net.find("S0S") != std::string::npos || net.find("M_") == 0 ||
             net.find("DDR0_") != std::string::npos));
    }
  }
}

TEST_CASE(
    "the standard 96-ball DDR3 map has the counts of TRADE T6, and a corner is one VDDQ and three VSS: T11") {
  const auto& map = signals::memory_maps()[0];
  std::map<std::string, int> counts;
  for (const auto& [ball, function] : map.function_by_ball)
    ++counts[function.starts_with("DQ") ? "DQ" : function.substr(0, function.find('/'))];
  CHECK(map.function_by_ball.size() == 96);
  CHECK(counts["VDD"] == 9);
  CHECK(counts["VSS"] == 12);
  CHECK(counts["VDDQ"] == 9);
  CHECK(counts["VSSQ"] == 9);
  CHECK(counts["DQ"] == 16);
  CHECK(counts["NC"] == 6);
  std::multiset<std::string> corners;
  for (const char* ball : {"A1", "A9", "T1", "T9"}) corners.insert(map.function_by_ball.at(ball));
  CHECK(corners == std::multiset<std::string>{"VDDQ", "VSS", "VSS", "VSS"});
  CHECK(map.function_by_ball.at("E3") == "DQ0");
  // T7, T8, T10.
  CHECK(signals::memory_maps()[1].function_by_ball.size() == 96);
  CHECK(signals::memory_maps()[2].function_by_ball.size() == 78);
  CHECK(signals::memory_maps()[3].function_by_ball.size() == 200);
}

TEST_CASE("a memory's own words are understood as makers write them") {
  struct Word {
    const char* function;
    SignalClass c;
    int byte;
    char polarity;
  };
  for (const Word& w : {Word{"DQ13", SignalClass::kData, 1, 0},
                        {"DQL3", SignalClass::kData, 0, 0},
                        {"DQU0", SignalClass::kData, 1, 0},
                        {"UDQS#", SignalClass::kStrobe, 1, 'N'},
                        {"#DQSL", SignalClass::kStrobe, 0, 'N'},
                        {"~{LDQS}", SignalClass::kStrobe, 0, 'N'},
                        {"DQS0_t_A", SignalClass::kStrobe, 0, 'P'},
                        {"LDM_n/LDBI_n", SignalClass::kMask, 0, 'N'},
                        {"DMI1_B", SignalClass::kMask, 1, 0},
                        {"CK_c", SignalClass::kClock, -1, 'N'},
                        {"A12/BC#", SignalClass::kAddress, -1, 0},
                        {"NC/A15", SignalClass::kAddress, -1, 0},
                        {"RAS_n/A16", SignalClass::kCommand, -1, 'N'},
                        {"CKE", SignalClass::kControl, -1, 0},
                        {"VDDQ", SignalClass::kPower, -1, 0},
                        {"VSSQ", SignalClass::kGround, -1, 0},
                        {"DNU", SignalClass::kUnconnected, -1, 0},
                        {"VREFDQ", SignalClass::kAnalogue, -1, 0}}) {
    INFO(std::string(w.function));
    const auto role = signals::memory_role(w.function);
    REQUIRE(role.has_value());
    CHECK(role->signal_class == w.c);
    CHECK(role->byte == w.byte);
    if (w.polarity != 0) CHECK(role->polarity == w.polarity);
  }
  for (const char* other : {"GPIO4", "USB_DP", "", "SDQ5", "PA0"})
    CHECK_FALSE(signals::memory_role(other).has_value());
}

TEST_CASE("a user's rule stands above everything, and says so") {
  Board board;
  for (const char* name : {"RAM0_D5", "GND"}) board.nets.push_back({name, false, {}});
  const BoardIndex index(board);
  NameRule rule;
  rule.id = 7;
  rule.pattern = "ram?_d*";
  rule.signal_class = SignalClass::kControl;
  rule.channel = "mine";
  const Signals signals = signals::analyse(index, {rule});
  CHECK(signals.nets[0].signal_class == SignalClass::kControl);
  CHECK(signals.channels[signals.nets[0].channel].name == "mine");
  CHECK(signals.nets[0].why.front().source.find("rule 7") == 0);
  CHECK(signals.nets[1].signal_class == SignalClass::kGround);
}
