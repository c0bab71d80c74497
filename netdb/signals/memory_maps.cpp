#include "netdb/signals/memory_maps.hpp"

#include <set>

#include "netdb/signals/memory_role.hpp"
#include "netdb/signals/text.hpp"

namespace landfall::signals {
namespace {

// First line: the columns that have balls. Then a row a line, its letter first. Lands view. TRADE.md T6, T7,
// T8, T10 with their sources there; M7 and T7 of DDR3 serve as A15 and A14 on larger dies (T6).
constexpr std::string_view kDdr3x16 =
    "1 2 3 7 8 9\n"
    "A VDDQ DQ13 DQ15 DQ12 VDDQ VSS\n"
    "B VSSQ VDD VSS UDQS# DQ14 VSSQ\n"
    "C VDDQ DQ11 DQ9 UDQS DQ10 VDDQ\n"
    "D VSSQ VDDQ UDM DQ8 VSSQ VDD\n"
    "E VSS VSSQ DQ0 LDM VSSQ VDDQ\n"
    "F VDDQ DQ2 LDQS DQ1 DQ3 VSSQ\n"
    "G VSSQ DQ6 LDQS# VDD VSS VSSQ\n"
    "H VREFDQ VDDQ DQ4 DQ7 DQ5 VDDQ\n"
    "J NC VSS RAS# CK VSS NC\n"
    "K ODT VDD CAS# CK# VDD CKE\n"
    "L NC CS# WE# A10/AP ZQ NC\n"
    "M VSS BA0 BA2 NC/A15 VREFCA VSS\n"
    "N VDD A3 A0 A12/BC# BA1 VDD\n"
    "P VSS A5 A2 A1 A4 VSS\n"
    "R VDD A7 A9 A11 A6 VDD\n"
    "T VSS RESET# A13 NC/A14 A8 VSS\n";

constexpr std::string_view kDdr4x16 =
    "1 2 3 7 8 9\n"
    "A VDDQ VSSQ DQ8 UDQS_c VSSQ VDDQ\n"
    "B VPP VSS VDD UDQS_t DQ9 VDD\n"
    "C VDDQ DQ12 DQ10 DQ11 DQ13 VSSQ\n"
    "D VDD VSSQ DQ14 DQ15 VSSQ VDDQ\n"
    "E VSS UDM_n/UDBI_n VSSQ LDM_n/LDBI_n VSSQ VSS\n"
    "F VSSQ VDDQ LDQS_c DQ1 VDDQ ZQ\n"
    "G VDDQ DQ0 LDQS_t VDD VSS VDDQ\n"
    "H VSSQ DQ4 DQ2 DQ3 DQ5 VSSQ\n"
    "J VDD VDDQ DQ6 DQ7 VDDQ VDD\n"
    "K VSS CKE ODT CK_t CK_c VSS\n"
    "L VDD WE_n/A14 ACT_n CS_n RAS_n/A16 VDD\n"
    "M VREFCA BG0 A10/AP A12/BC_n CAS_n/A15 VSS\n"
    "N VSS BA0 A4 A3 BA1 TEN\n"
    "P RESET_n A6 A0 A1 A5 ALERT_n\n"
    "R VDD A8 A2 A9 A7 VPP\n"
    "T VSS A11 PAR NC A13 VDD\n";

constexpr std::string_view kDdr4x8 =
    "1 2 3 7 8 9\n"
    "A VDD VSSQ TDQS_c DM_n/DBI_n/TDQS_t VSSQ VSS\n"
    "B VPP VDDQ DQS_c DQ1 VDDQ ZQ\n"
    "C VDDQ DQ0 DQS_t VDD VSS VDDQ\n"
    "D VSSQ DQ4 DQ2 DQ3 DQ5 VSSQ\n"
    "E VSS VDDQ DQ6 DQ7 VDDQ VSS\n"
    "F VDD NC/C2/ODT1 ODT CK_t CK_c VDD\n"
    "G VSS NC/C0/CKE1 CKE CS_n NC/C1/CS1_n TEN\n"
    "H VDD WE_n/A14 ACT_n CAS_n/A15 RAS_n/A16 VSS\n"
    "J VREFCA BG0 A10/AP A12/BC_n BG1 VDD\n"
    "K VSS BA0 A4 A3 BA1 VSS\n"
    "L RESET_n A6 A0 A1 A5 ALERT_n\n"
    "M VDD A8 A2 A9 A7 VPP\n"
    "N VSS A11 PAR A17/NC A13 VDD\n";

constexpr std::string_view kLpddr4 =
    "1 2 3 4 5 8 9 10 11 12\n"
    "A DNU DNU VSS VDD2 ZQ0 NC VDD2 VSS DNU DNU\n"
    "B DNU DQ0_A VDDQ DQ7_A VDDQ VDDQ DQ15_A VDDQ DQ8_A DNU\n"
    "C VSS DQ1_A DMI0_A DQ6_A VSS VSS DQ14_A DMI1_A DQ9_A VSS\n"
    "D VDDQ VSS DQS0_t_A VSS VDDQ VDDQ VSS DQS1_t_A VSS VDDQ\n"
    "E VSS DQ2_A DQS0_c_A DQ5_A VSS VSS DQ13_A DQS1_c_A DQ10_A VSS\n"
    "F VDD1 DQ3_A VDDQ DQ4_A VDD2 VDD2 DQ12_A VDDQ DQ11_A VDD1\n"
    "G VSS ODT_CA_A VSS VDD1 VSS VSS VDD1 VSS NC VSS\n"
    "H VDD2 CA0_A NC CS0_A VDD2 VDD2 CA2_A CA3_A CA4_A VDD2\n"
    "J VSS CA1_A VSS CKE0_A NC CK_t_A CK_c_A VSS CA5_A VSS\n"
    "K VDD2 VSS VDD2 VSS NC NC VSS VDD2 VSS VDD2\n"
    "N VDD2 VSS VDD2 VSS NC NC VSS VDD2 VSS VDD2\n"
    "P VSS CA1_B VSS CKE0_B NC CK_t_B CK_c_B VSS CA5_B VSS\n"
    "R VDD2 CA0_B NC CS0_B VDD2 VDD2 CA2_B CA3_B CA4_B VDD2\n"
    "T VSS ODT_CA_B VSS VDD1 VSS VSS VDD1 VSS RESET_n VSS\n"
    "U VDD1 DQ3_B VDDQ DQ4_B VDD2 VDD2 DQ12_B VDDQ DQ11_B VDD1\n"
    "V VSS DQ2_B DQS0_c_B DQ5_B VSS VSS DQ13_B DQS1_c_B DQ10_B VSS\n"
    "W VDDQ VSS DQS0_t_B VSS VDDQ VDDQ VSS DQS1_t_B VSS VDDQ\n"
    "Y VSS DQ1_B DMI0_B DQ6_B VSS VSS DQ14_B DMI1_B DQ9_B VSS\n"
    "AA DNU DQ0_B VDDQ DQ7_B VDDQ VDDQ DQ15_B VDDQ DQ8_B DNU\n"
    "AB DNU DNU VSS VDD2 VSS VSS VDD2 VSS DNU DNU\n";

std::vector<std::string> split(std::string_view text, char by) {
  std::vector<std::string> parts;
  while (!text.empty()) {
    const auto end = text.find(by);
    if (end != 0) parts.emplace_back(text.substr(0, end));
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return parts;
}

MemoryMap map_of(std::string_view title, std::string_view memory, std::string_view source,
                 std::string_view table) {
  MemoryMap map{title, memory, source, {}};
  const std::vector<std::string> lines = split(table, '\n');
  const std::vector<std::string> columns = split(lines.front(), ' ');
  for (std::size_t i = 1; i < lines.size(); ++i) {
    const std::vector<std::string> row = split(lines[i], ' ');
    for (std::size_t c = 0; c < columns.size(); ++c) map.function_by_ball[row[0] + columns[c]] = row[c + 1];
  }
  return map;
}

// What a part's nets say about a map that its balls fit.
bool supplies_agree(const BoardIndex& index, Index part, const MemoryMap& map) {
  std::map<Index, std::size_t> ground;
  std::size_t grounds = 0;
  std::set<Index> data;
  std::size_t datas = 0;
  std::map<Index, std::size_t> power;
  std::size_t powers = 0;
  for (const Index pin : index.pins_of_part(part)) {
    const Pin& p = index.board().pins[pin];
    const auto found = map.function_by_ball.find(p.number);
    if (found == map.function_by_ball.end()) continue;
    const auto role = memory_role(found->second);
    if (!role) continue;
    if (role->signal_class == SignalClass::kGround) {
      ++grounds;
      ++ground[p.net];
    } else if (role->signal_class == SignalClass::kPower) {
      ++powers;
      ++power[p.net];
    } else if (role->signal_class == SignalClass::kData && p.net != kNone) {
      ++datas;
      data.insert(p.net);
    }
  }
  Index earth = kNone;
  std::size_t most = 0;
  for (const auto& [net, count] : ground) {
    if (net == kNone || count <= most) continue;
    most = count;
    earth = net;
  }
  if (earth == kNone || most * 10 < grounds * 9) return false;
  const std::size_t shorted = power.contains(earth) ? power[earth] : 0;
  if (shorted * 20 > powers || power.size() > 6) return false;
  // Half of a package may be left unwired (LPDDR4's second channel), or strapped to ground.
  return !data.empty() && data.size() * 10 >= datas * 8;
}

}  // namespace

const std::vector<MemoryMap>& memory_maps() {
  static const std::vector<MemoryMap> maps{
      map_of("96-ball DDR3 x16", "DDR3", "JESD79-3", kDdr3x16),
      map_of("96-ball DDR4 x16", "DDR4", "JESD79-4", kDdr4x16),
      map_of("78-ball DDR4 x8", "DDR4", "JESD79-4", kDdr4x8),
      map_of("200-ball LPDDR4", "LPDDR4", "JESD209-4", kLpddr4),
  };
  return maps;
}

const MemoryMap* recognised_map(const BoardIndex& index, Index part) {
  const auto pins = index.pins_of_part(part);
  for (const MemoryMap& map : memory_maps()) {
    const std::size_t balls = map.function_by_ball.size();
    if (pins.size() * 20 < balls * 17 || pins.size() > balls + 12) continue;
    std::size_t known = 0;
    for (const Index pin : pins) known += map.function_by_ball.count(index.board().pins[pin].number);
    if (known * 20 >= balls * 17 && supplies_agree(index, part, map)) return &map;
  }
  return nullptr;
}

}  // namespace landfall::signals
