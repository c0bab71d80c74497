// Interfaces and their speed: how long a unit interval is, how fast an edge, and what makers ask for.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "netdb/model/signal.hpp"

namespace landfall::rework::physics {

enum class Coupling {
  kParallel,    // lines judged against a strobe or clock beside them
  kPair,        // a differential pair with a clock of its own kind beside it: delay and skew count
  kSelfClocked  // a differential pair that carries its own clock: only the skew of its legs counts
};

struct Grade {
  std::string_view name;  // "DDR3-1600"
  double mbps = 0;        // million symbols a second on one line (MT/s for memories)
};

struct InterfaceInfo {
  std::string_view id;    // "ddr3"; what a setting or a command is given
  std::string_view name;  // "DDR3 memory"
  Coupling coupling = Coupling::kParallel;
  std::span<const Grade> grades;  // slowest first; none for "slow"
  // The setting "speed.ID" has the same default where there is more than one grade.
  double usual_mbps = 0;         // the grade taken where nobody says which; 0 for "slow"
  double address_intervals = 1;  // how many unit intervals of data an address or command lasts
  double rise_ps = 0;            // an edge's rise, 10-90; see rise_of for fast grades
  std::string_view rise_source;
  std::string_view matching;          // the makers' matching rule in one sentence
  std::optional<double> matching_ps;  // its figure: skew to the strobe, or between a pair's legs
  std::string_view matching_source;
  [[nodiscard]] bool slow() const { return grades.empty(); }
};

// All of them: DDR2 ... DDR5, LPDDR2 ... LPDDR5, USB, PCIe, SATA, HDMI, DisplayPort, LVDS, MIPI, RGMII, RMII,
// SGMII, QSGMII, Ethernet, eMMC, SD, quad SPI, and "slow". Sources stand in each row.
std::span<const InterfaceInfo> interfaces();
// By id; nothing when there is none.
const InterfaceInfo* find_interface(std::string_view id);

// Name of the grade with this rate, else "DDR3 memory at 1700 MT/s".
std::string grade_name(const InterfaceInfo& info, double mbps);

// Default rise time at a rate: the row's own, at most 0.3 of the unit interval (common practice, no source).
double rise_of(const InterfaceInfo& info, double mbps);

// What a line is used for, which decides what it is judged against.
enum class LineUse {
  kData,       // data, strobe, mask, clock, a pair's leg: one unit interval
  kAddress,    // address, command, control of a memory: `address_intervals` of them
  kSlow,       // resets, enables, I2C, JTAG ...: nothing to judge
  kReference,  // reference voltages and biases: they stand still, and bear no noise
  kSteady,     // calibration and termination: they stand still
  kSupply,     // power, ground
  kUnknown,    // nobody can say: not judged
};

struct InterfaceChoice {
  std::string id;   // empty: not known
  double mbps = 0;  // its usual grade; 0 when slow, unknown or a supply
  LineUse use = LineUse::kUnknown;
  std::string why;  // one sentence: from what it was taken
};

// The default for a net, from what its channel is ("DDR3 memory, 32 data lines", "USB", "MIPI CSI") and the
// words in the channel's and the net's name. A guess that a shop or user may replace; the rate is always the
// table's usual one. `net` is an index into signals.nets. Pure; O(1).
InterfaceChoice default_interface(const Signals& signals, Index net, std::string_view net_name);

// The voltage that a supply's name states: "+1V8" 1.8, "VDD_1V35" 1.35, "3.3V" 3.3, "P5V0" 5, "+12V" 12.
// Nothing when it states none, or one above 60 V.
std::optional<double> rail_volt(std::string_view net_name);

}  // namespace landfall::rework::physics
