// Wire physics and the room between the joints. C and T numbers are those of the trade reference that the
// formulas cite; the outside source stands beside each.
#include <array>
#include <cmath>
#include <set>

#include <doctest/doctest.h>

#include "netdb/rework/escape_gap.hpp"
#include "netdb/rework/physics/interfaces.hpp"
#include "netdb/rework/physics/judge.hpp"
#include "netdb/rework/physics/line.hpp"
#include "netdb/rework/physics/wire.hpp"

using namespace landfall;
using namespace landfall::rework;
using namespace landfall::rework::physics;

namespace {

bool near(double got, double wanted, double tolerance) {
  CAPTURE(got);
  CAPTURE(wanted);
  return std::abs(got - wanted) <= tolerance;
}

constexpr Nm kMm = kNmPerMm;

WireCase on_ddr3(double length_mm) {
  WireCase wire;
  wire.length = std::llround(length_mm * 1e6);
  wire.use = LineUse::kData;
  wire.interface_id = "ddr3";
  wire.mbps = 1600;
  return wire;
}

}  // namespace

TEST_SUITE("rework/physics") {
  TEST_CASE("AWG diameters: C23, C24 (ASTM B258, from memory)") {
    CHECK(near(awg_diameter_mm(30), 0.2546, 1e-4));
    CHECK(near(awg_diameter_mm(32), 0.2019, 1e-4));
    CHECK(near(awg_diameter_mm(36), 0.1270, 1e-4));
    CHECK(near(awg_diameter_mm(38), 0.1007, 1e-4));
    CHECK(near(awg_diameter_mm(40), 0.0799, 1e-4));
    CHECK(near(awg_diameter_mm(42), 0.0633, 1e-4));
  }

  TEST_CASE("AWG sizes of the T23 table: diameter, ohm a metre, Preece's current") {
    struct Row {
      double diameter, ohm_per_m, preece;
    };
    const std::array<Row, 7> rows{{{0.0633, 5.472, 1.28},
                                   {0.0799, 3.441, 1.81},
                                   {0.1007, 2.164, 2.56},
                                   {0.1270, 1.361, 3.62},
                                   {0.1601, 0.856, 5.13},
                                   {0.2019, 0.538, 7.26},
                                   {0.2546, 0.339, 10.28}}};
    REQUIRE(awg_wires().size() == rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const double diameter = static_cast<double>(awg_wires()[i].bare) * 1e-6;
      CAPTURE(diameter);
      CHECK(near(diameter, rows[i].diameter, 1e-4));
      CHECK(near(resistance_ohm(1000, diameter), rows[i].ohm_per_m, 0.001));
      CHECK(near(preece_a(diameter), rows[i].preece, 0.006));
    }
  }

  TEST_CASE("published wire equivalents of 2 oz tracks lose no copper: T21d (Circuit Technology Center)") {
    struct Row {
      double width, wire;
    };
    for (const Row& row : std::array<Row, 6>{
             {{0.25, 0.15}, {0.38, 0.20}, {0.50, 0.23}, {0.78, 0.28}, {2.08, 0.46}, {3.18, 0.58}}}) {
      CAPTURE(row.width);
      CHECK(diameter_for_track_mm(row.width, 0.07) <= row.wire);
      CHECK(diameter_for_track_mm(row.width, 0.07) > row.wire * 0.85);  // and none is much too thick
    }
  }

  TEST_CASE("resistance and drop: C25 to C30 (IEC 60028 and IACS, from memory)") {
    CHECK(near(resistance_ohm(1000, awg_diameter_mm(30)), 0.339, 0.002));
    CHECK(near(resistance_ohm(1000, awg_diameter_mm(36)), 1.361, 0.002));
    CHECK(near(resistance_ohm(1000, awg_diameter_mm(40)), 3.441, 0.002));
    CHECK(near(resistance_ohm(10, 0.1) * 1e3, 21.95, 0.01));
    CHECK(near(resistance_ohm(10, 0.05) * 1e3, 87.81, 0.01));
    CHECK(near(resistance_ohm(10, 0.02) * 1e3, 548.80, 0.1));
    CHECK(near(resistance_ohm(15, 0.1) * 0.5 * 1e3, 16.46, 0.01));
    CHECK(near(resistance_ohm(10, 0.1, 80) * 1e3, 27.13, 0.05));
    CHECK(near(current_for_drop_a(0.01646, 15, 0.1), 0.5, 0.001));
  }

  TEST_CASE("fusing currents: C31, C32 (Preece and Onderdonk, through Brooks)") {
    CHECK(near(preece_a(0.1), 2.53, 0.0253));
    CHECK(near(preece_a(0.05), 0.894, 0.00894));
    CHECK(near(onderdonk_a(0.1, 1, 25), 2.27, 0.0227));
  }

  TEST_CASE("what heats a short wire: C33 to C36 (T23e, T23f, derived there)") {
    CHECK(near(middle_rise_k(1, 10, 0.1), 8.96, 0.05));
    CHECK(near(middle_rise_k(1, 30, 0.1), 80.6, 0.2));
    CHECK(near(current_for_rise_a(20, 10, 0.05), 0.374, 0.002));
    CHECK(near(middle_rise_cooled_k(1, 30, 0.1, 100), 40.7, 0.2));
  }

  TEST_CASE("the cooled wire is never hotter, and comes to the same without cooling") {
    for (const double length : {2.0, 10.0, 30.0, 60.0}) {
      CHECK(middle_rise_cooled_k(1, length, 0.1, 100) < middle_rise_k(1, length, 0.1));
      CHECK(middle_rise_cooled_k(1, length, 0.1, 1e-3) ==
            doctest::Approx(middle_rise_k(1, length, 0.1)).epsilon(1e-3));
    }
  }

  TEST_CASE("amperes for 20 K at 10, 20 and 30 mm: the table of T23") {
    struct Row {
      double diameter, at10, at20, at30;
    };
    const std::array<Row, 4> rows{{{0.2, 5.98, 2.99, 1.99},
                                   {0.1, 1.49, 0.747, 0.498},
                                   {0.05, 0.374, 0.187, 0.125},
                                   {0.02, 0.0598, 0.0299, 0.0199}}};
    for (const Row& row : rows) {
      CAPTURE(row.diameter);
      CHECK(current_for_rise_a(20, 10, row.diameter) == doctest::Approx(row.at10).epsilon(0.005));
      CHECK(current_for_rise_a(20, 20, row.diameter) == doctest::Approx(row.at20).epsilon(0.005));
      CHECK(current_for_rise_a(20, 30, row.diameter) == doctest::Approx(row.at30).epsilon(0.005));
    }
  }

  TEST_CASE("T23g takes the least of rise, a fifth of Preece beyond 30 mm, and the drop") {
    const auto by_drop = current_limits(10, 0.1, 20, 0.012);  // 1 % of 1.2 V
    CHECK(by_drop.decided_by == "the drop");
    CHECK(by_drop.allowed_a == doctest::Approx(0.012 / 0.02195).epsilon(0.001));
    CHECK_FALSE(by_drop.preece_fifth_a);
    const auto by_rise = current_limits(30, 0.1, 20, std::nullopt);
    CHECK(by_rise.decided_by == "the rise");
    CHECK(by_rise.allowed_a == doctest::Approx(0.498).epsilon(0.005));
    const auto hot = current_limits(31, 0.1, 80, std::nullopt);  // a rise allowed so high that Preece decides
    CHECK(hot.decided_by == "a fifth of the melting current");
    CHECK(hot.allowed_a == doctest::Approx(2.53 / 5).epsilon(0.01));
  }

  TEST_CASE("enamelled wires: overall diameters of T23h, thinnest first, all above the bare one") {
    REQUIRE(enamelled_wire(100'000) != nullptr);
    CHECK(enamelled_wire(100'000)->overall_most == 117'000);
    CHECK(enamelled_wire(50'000)->overall_most == 60'000);
    CHECK(enamelled_wire(30'000)->overall_most == 37'000);
    CHECK(enamelled_wire(20'000)->overall_most == 24'000);
    CHECK(enamelled_wire(123) == nullptr);
    Nm last = 0;
    for (const WireSize& size : enamelled_wires()) {
      CHECK(size.bare > last);
      CHECK(size.overall_least > size.bare);
      CHECK(size.overall_most > size.overall_least);
      last = size.bare;
    }
  }

  TEST_CASE("delay: C37 (exact), C38, C39 (Intel AN 958 and its companion), C40 (T24), C49 (TI SPRSP09B)") {
    CHECK(near(delay_ps_per_mm(Medium::kAir, 4.3), 3.3356, 1e-4));
    CHECK(near(delay_ps_per_mm(Medium::kMicrostrip, 4.3), 5.51, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kStripline, 4.3), 6.94, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kMicrostrip, 4.5), 5.61, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kStripline, 4.5), 7.10, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kLyingWire, 4.3), 5.43, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kStripline, 4.3) * 0.635, 4.41, 0.01));
  }

  TEST_CASE("inductance and impedance: C41 to C44 (Rosa 1908, Grover, Wadell)") {
    CHECK(near(inductance_free_nh(10, 0.1, false), 10.48, 0.01));
    CHECK(near(inductance_free_nh(10, 0.1), 9.98, 0.01));
    CHECK(near(inductance_free_nh(5, 0.1, false), 4.55, 0.01));
    CHECK(near(inductance_over_plane_nh(10, 0.1, 0.2), 4.13, 0.01));
    CHECK(near(impedance_over_plane_ohm(0.1, 0.2, 1), 123.8, 0.1));
    CHECK(near(impedance_over_plane_ohm(0.1, 0.2, 2.65), 76.1, 0.1));
    CHECK(inductance_free_nh(0.01, 0.1) == 0);  // shorter than thick: never negative
  }

  TEST_CASE("unit interval, edge, skin: C45 to C48 (1/rate; Johnson and Graham), C51") {
    CHECK(near(unit_interval_ps(1600), 625.0, 0.1));
    CHECK(near(unit_interval_ps(3200), 312.5, 0.1));
    CHECK(near(unit_interval_ps(4266.67), 234.4, 0.1));
    CHECK(near(unit_interval_ps(480), 2083.3, 0.1));
    CHECK(near(unit_interval_ps(2500), 400.0, 0.1));
    CHECK(near(unit_interval_ps(8000), 125.0, 0.1));
    CHECK(near(critical_length_mm(100, delay_ps_per_mm(Medium::kMicrostrip, 4.3)), 3.02, 0.01));
    CHECK(near(knee_ghz(100), 5.0, 1e-9));
    CHECK(near(skin_depth_um(800e6), 2.34, 0.01));
  }

  TEST_CASE("net added delay: C50 (T28)") {
    const double added = net_added_delay_ps(12, delay_ps_per_mm(Medium::kLyingWire, 4.3), 8,
                                            delay_ps_per_mm(Medium::kStripline, 4.3));
    CHECK(near(added, 9.65, 0.05));
    CHECK(near(added / 625 * 100, 1.54, 0.01));
  }

  TEST_CASE("a piece of the lines' own impedance only delays; a high one comes to its inductance") {
    const Step same = step_of_piece(50, 50, 50);
    CHECK(same.centre_ps == doctest::Approx(50));
    CHECK(same.rise_ps == doctest::Approx(0));
    // 0.5 ps of 1000 ohm is 0.5 nH: L = Z T (lossless line).
    const Step high = step_of_piece(0.5, 1000, 10);
    const Step lump = step_of_inductance(0.5, 10);
    CHECK(high.centre_ps == doctest::Approx(lump.centre_ps).epsilon(0.001));
    CHECK(high.rise_ps == doctest::Approx(lump.rise_ps).epsilon(0.001));
    CHECK(lump.centre_ps == doctest::Approx(25));  // L / (2 Z0), by hand
  }
}

TEST_SUITE("rework/interfaces") {
  TEST_CASE("5 % of a unit interval in mm of lying wire: the table of T27") {
    struct Row {
      const char* id;
      double mbps, interval_ps, mm;
    };
    const std::array<Row, 17> rows{{{"ddr2", 800, 1250.0, 11.5},
                                    {"ddr3", 1066.67, 937.5, 8.6},
                                    {"ddr3", 1333.33, 750.0, 6.9},
                                    {"ddr3", 1600, 625.0, 5.8},
                                    {"ddr3", 1866.67, 535.7, 4.9},
                                    {"ddr4", 2133.33, 468.8, 4.3},
                                    {"ddr4", 2400, 416.7, 3.8},
                                    {"ddr4", 2666.67, 375.0, 3.5},
                                    {"ddr4", 2933.33, 340.9, 3.1},
                                    {"lpddr4", 3200, 312.5, 2.9},
                                    {"lpddr4", 4266.67, 234.4, 2.2},
                                    {"usb2", 480, 2083.3, 19.2},
                                    {"pcie", 2500, 400.0, 3.7},
                                    {"usb3", 5000, 200.0, 1.8},
                                    {"pcie", 8000, 125.0, 1.2},
                                    {"hdmi", 3400, 294.1, 2.7},
                                    {"dp", 5400, 185.2, 1.7}}};
    for (const Row& row : rows) {
      CAPTURE(row.id);
      CAPTURE(row.mbps);
      const InterfaceInfo* info = find_interface(row.id);
      REQUIRE(info != nullptr);
      // The grade is in the table under its own name, not "... at N MT/s".
      bool listed = false;
      for (const Grade& grade : info->grades) listed = listed || std::abs(grade.mbps - row.mbps) < 0.01;
      CHECK(listed);
      CHECK(near(unit_interval_ps(row.mbps), row.interval_ps, 0.1));
      CHECK(near(0.05 * unit_interval_ps(row.mbps) / delay_ps_per_mm(Medium::kLyingWire, 4.3), row.mm, 0.06));
    }
  }

  TEST_CASE("every interface has sorted grades, a usual one among them, and a source for each figure") {
    std::set<std::string_view> ids;
    for (const InterfaceInfo& info : interfaces()) {
      CAPTURE(info.id);
      CHECK(ids.insert(info.id).second);
      CHECK(info.rise_ps > 0);
      CHECK_FALSE(info.rise_source.empty());
      CHECK_FALSE(info.matching_source.empty());
      bool usual = info.slow();
      double last = 0;
      for (const Grade& grade : info.grades) {
        CHECK(grade.mbps > last);
        last = grade.mbps;
        usual = usual || grade.mbps == info.usual_mbps;
        CHECK(rise_of(info, grade.mbps) <= 0.3 * unit_interval_ps(grade.mbps) + 1e-9);
        CHECK(grade_name(info, grade.mbps) == grade.name);
      }
      CHECK(usual);
    }
    CHECK(find_interface("nothing") == nullptr);
    CHECK(rise_of(*find_interface("pcie"), 16000) == doctest::Approx(18.75));  // 0.3 of 62.5 ps
    CHECK(rise_of(*find_interface("usb2"), 480) == 500);
    CHECK(grade_name(*find_interface("ddr3"), 1600) == "DDR3-1600");
    CHECK(grade_name(*find_interface("ddr3"), 1066) == "DDR3-1066");
    CHECK(grade_name(*find_interface("ddr3"), 1700) == "DDR3 memory at 1700 MT/s");
  }

  TEST_CASE("the default interface is read from what the channel is and from names") {
    struct Row {
      InterfaceKind kind;
      const char* channel;
      const char* what;
      SignalClass signal_class;
      const char* net;
      const char* id;
      LineUse use;
    };
    constexpr auto kMem = InterfaceKind::kMemory;
    constexpr auto kLink = InterfaceKind::kLink;
    constexpr auto kBus = InterfaceKind::kBus;
    const std::array<Row, 20> rows{{
        {kMem, "RAM0", "DDR3 memory, 32 data lines", SignalClass::kData, "RAM0_DQ3", "ddr3", LineUse::kData},
        {kMem, "RAM0", "DDR3 memory, 32 data lines", SignalClass::kAddress, "RAM0_A3", "ddr3",
         LineUse::kAddress},
        {kMem, "RAM0", "DDR3 memory, 32 data lines", SignalClass::kControl, "RAM_RESET#", "slow",
         LineUse::kSlow},
        {kMem, "RAM0", "LPDDR4 memory, 32 data lines", SignalClass::kStrobe, "DQS0", "lpddr4",
         LineUse::kData},
        {kMem, "M", "SDRAM memory, 16 data lines", SignalClass::kData, "D0", "sdram", LineUse::kData},
        {kMem, "DDR4_A", "memory by its nets' names, 64 data lines", SignalClass::kData, "DDR4_A_DQ1", "ddr4",
         LineUse::kData},
        {kMem, "DDR0", "memory by its nets' names, 64 data lines", SignalClass::kData, "DDR0_DQ1", "",
         LineUse::kUnknown},
        {kLink, "USB1", "USB", SignalClass::kDifferential, "USB1_DP", "usb2", LineUse::kData},
        {kLink, "USB3_0", "USB", SignalClass::kDifferential, "USB3_0_TXP", "usb3", LineUse::kData},
        {kLink, "USB", "USB", SignalClass::kDifferential, "USB_SSTXP1", "usb3", LineUse::kData},
        {kLink, "PCIE", "PCIe", SignalClass::kDifferential, "PCIE_TX0_P", "pcie", LineUse::kData},
        {kLink, "PCIE", "PCIe", SignalClass::kDifferential, "PCIE_REFCLK_P", "refclk", LineUse::kData},
        {kLink, "CSI0", "MIPI CSI", SignalClass::kDifferential, "CSI0_D0_P", "mipi", LineUse::kData},
        {kLink, "EDP", "DisplayPort", SignalClass::kDifferential, "EDP_TX0_P", "dp", LineUse::kData},
        {kLink, "LINK", "serial link", SignalClass::kDifferential, "SERDES0_P", "", LineUse::kUnknown},
        {kBus, "ETH0", "Ethernet, parallel", SignalClass::kData, "ETH0_TXD0", "rgmii", LineUse::kData},
        {kBus, "SD0", "eMMC or SD", SignalClass::kData, "SD0_D1", "sd", LineUse::kData},
        {kBus, "MMC1", "eMMC or SD", SignalClass::kData, "MMC1_D1", "emmc", LineUse::kData},
        {kBus, "I2C1", "I2C", SignalClass::kClock, "I2C1_SCL", "slow", LineUse::kSlow},
        {kBus, "FLASH", "SPI of four data lines", SignalClass::kData, "FLASH_IO0", "qspi", LineUse::kData},
    }};
    for (const Row& row : rows) {
      CAPTURE(row.what);
      CAPTURE(row.net);
      Signals signals;
      signals.channels.push_back({row.channel, row.what, row.kind, false, {}});
      NetSignal net;
      net.signal_class = row.signal_class;
      net.channel = 0;
      signals.nets.push_back(net);
      const InterfaceChoice choice = default_interface(signals, 0, row.net);
      CHECK(choice.id == row.id);
      CHECK(choice.use == row.use);
      CHECK_FALSE(choice.why.empty());
      CHECK((choice.mbps > 0) == (row.use == LineUse::kData || row.use == LineUse::kAddress));
    }
  }

  TEST_CASE("without a channel: supplies, enables and lines of which nobody knows anything") {
    Signals signals;
    signals.nets.resize(4);
    signals.nets[0].signal_class = SignalClass::kGround;
    signals.nets[1].signal_class = SignalClass::kControl;
    signals.nets[2].signal_class = SignalClass::kData;
    signals.nets[3].signal_class = SignalClass::kAnalogue;
    CHECK(default_interface(signals, 0, "GND").use == LineUse::kSupply);
    CHECK(default_interface(signals, 1, "EN_5V").use == LineUse::kSlow);
    CHECK(default_interface(signals, 2, "D7").use == LineUse::kUnknown);
    CHECK(default_interface(signals, 3, "VREF").use == LineUse::kUnknown);
    CHECK(default_interface(signals, 9, "X").use == LineUse::kUnknown);
  }

  TEST_CASE("a rail's voltage is read from its name, and not from other numbers") {
    CHECK(rail_volt("+1V8").value_or(0) == doctest::Approx(1.8));
    CHECK(rail_volt("VDD_1V35").value_or(0) == doctest::Approx(1.35));
    CHECK(rail_volt("3.3V").value_or(0) == doctest::Approx(3.3));
    CHECK(rail_volt("/power/+3V3_SYS").value_or(0) == doctest::Approx(3.3));
    CHECK(rail_volt("P5V0").value_or(0) == doctest::Approx(5));
    CHECK(rail_volt("+12V").value_or(0) == doctest::Approx(12));
    CHECK(rail_volt("0V9").value_or(0) == doctest::Approx(0.9));
    for (const char* none : {"VDD", "GND", "VDDQ2", "DDR3VREF", "+400V", "VDD_3.3", "", "9", "2VREF"}) {
      CAPTURE(none);
      CHECK_FALSE(rail_volt(none));
    }
  }
}

TEST_SUITE("rework/judge") {
  TEST_CASE("up to 5 % of the unit interval is fine, up to 30 % risky, beyond it will not work") {
    // DDR3-1600: 625 ps, 5.43 ps/mm of lying wire (C40): 5 % is 5.75 mm, 30 % 34.5 mm.
    CHECK(judge_wire(on_ddr3(5.7)).word == Word::kFine);
    CHECK(judge_wire(on_ddr3(5.8)).word == Word::kRisky);
    CHECK(judge_wire(on_ddr3(34.5)).word == Word::kRisky);
    CHECK(judge_wire(on_ddr3(34.6)).word == Word::kWillNotWork);
    const WireJudgement bound = judge_wire(on_ddr3(10));
    CHECK(bound.bound);
    CHECK(bound.delay_ps == doctest::Approx(54.3).epsilon(0.001));
    CHECK(bound.why.find("at most") != std::string::npos);
    CHECK(bound.ohm == doctest::Approx(0.02195).epsilon(0.001));
    CHECK(bound.inductance_nh == doctest::Approx(9.98).epsilon(0.001));  // C41
    CHECK(bound.inductance_bound);
    // The middle by hand: (L / Z0 + C Z0) / 2 with C = T^2 / L: (9.98 / 50 + 0.2953 x 0.050) / 2 ns.
    CHECK(*bound.middle_late_ps == doctest::Approx(107.2).epsilon(0.002));
    // r = 183.8 / 50, m = 1.974, rise 2.2 x 54.3 x sqrt(m^2 - 1) = 203.4 ps on an edge of 150.
    CHECK(*bound.rise_ps == 150);
    CHECK(*bound.rise_after_ps == doctest::Approx(std::hypot(150, 203.4)).epsilon(0.002));
    CHECK(*bound.critical_mm == doctest::Approx(150 / (6 * 5.43)).epsilon(0.001));
    CHECK(bound.edge.find("10.0 nH") != std::string::npos);
  }

  TEST_CASE("the lost track counts: C50's 12 mm for 8 mm of stripline is 1.54 % of DDR3-1600, fine") {
    WireCase wire = on_ddr3(12);
    CHECK(judge_wire(wire).word == Word::kRisky);
    wire.lost_track = 8 * kMm;
    wire.lost_medium = Medium::kStripline;
    const WireJudgement known = judge_wire(wire);
    CHECK_FALSE(known.bound);
    CHECK(known.delay_ps == doctest::Approx(9.65).epsilon(0.005));
    CHECK(*known.share == doctest::Approx(0.0154).epsilon(0.01));
    CHECK(known.word == Word::kFine);
    CHECK(known.within_matching == false);  // 9.65 ps against T30d's 5 ps: fine by the share, yet outside
    CHECK(known.why.find("later than the lost track") != std::string::npos);
    wire.lost_track = 60 * kMm;  // a wire that is much too early fails as one that is too late
    CHECK(judge_wire(wire).word == Word::kWillNotWork);
    CHECK(judge_wire(wire).why.find("earlier") != std::string::npos);
  }

  TEST_CASE("an address lasts two intervals of data on DDR3 and DDR4, one on LPDDR3 (JEDEC, from memory)") {
    WireCase wire = on_ddr3(10);
    wire.use = LineUse::kAddress;
    CHECK(*judge_wire(wire).unit_interval_ps == doctest::Approx(1250));
    CHECK(judge_wire(wire).word == Word::kFine);
    wire.interface_id = "lpddr3";
    CHECK(*judge_wire(wire).unit_interval_ps == doctest::Approx(625));
    CHECK(judge_wire(wire).word == Word::kRisky);
  }

  TEST_CASE("the word never gets better with a longer wire or a faster grade") {
    for (const InterfaceInfo& info : interfaces()) {
      if (info.slow()) continue;
      CAPTURE(info.id);
      for (const double length : {1.0, 4.0, 12.0, 50.0}) {
        Word last = Word::kFine;
        for (const Grade& grade : info.grades) {
          WireCase wire = on_ddr3(length);
          wire.interface_id = std::string(info.id);
          wire.mbps = grade.mbps;
          const Word now = judge_wire(wire).word;
          CHECK(now >= last);
          last = now;
          wire.length *= 2;
          CHECK(judge_wire(wire).word >= now);
        }
      }
    }
  }

  TEST_CASE("slow lines are fine at any length; an unknown line is not judged") {
    WireCase wire = on_ddr3(150);
    wire.use = LineUse::kSlow;
    CHECK(judge_wire(wire).word == Word::kFine);
    wire.use = LineUse::kUnknown;
    CHECK(judge_wire(wire).word == Word::kNotJudged);
    wire.use = LineUse::kData;
    wire.interface_id = "no such thing";
    CHECK(judge_wire(wire).word == Word::kNotJudged);
    CHECK_FALSE(judge_wire(wire).share);
    wire = on_ddr3(0);
    CHECK(judge_wire(wire).word == Word::kNotJudged);
  }

  TEST_CASE("a supply is judged by its drop and rise, and only by a current that somebody knows") {
    WireCase wire;
    wire.length = 10 * kMm;
    wire.use = LineUse::kSupply;
    wire.rail_volt = 1.2;
    const WireJudgement unknown = judge_wire(wire);
    CHECK(unknown.word == Word::kNotJudged);
    CHECK(unknown.current.allowed_a == doctest::Approx(0.547).epsilon(0.002));  // 12 mV over C26's 21.95 mohm
    CHECK(unknown.current.decided_by == "the drop");
    CHECK(unknown.why.find("0.55 A") != std::string::npos);
    wire.current_a = 0.5;
    CHECK(judge_wire(wire).word == Word::kFine);
    wire.current_a = 1.0;
    CHECK(judge_wire(wire).word == Word::kRisky);
    wire.current_a = 1.2;
    CHECK(judge_wire(wire).word == Word::kWillNotWork);
    wire.rail_volt.reset();  // ground: the rise alone, 1.49 A (T23)
    CHECK(judge_wire(wire).word == Word::kFine);
    CHECK(judge_wire(wire).current.decided_by == "the rise");
  }

  TEST_CASE("a plane at a known height takes the place of free space: C43") {
    WireCase wire = on_ddr3(10);
    wire.height = 200'000;
    const WireJudgement over = judge_wire(wire);
    CHECK_FALSE(over.inductance_bound);
    CHECK(over.inductance_nh == doctest::Approx(4.13).epsilon(0.002));
    wire.height = 10'000;  // a plane inside the wire is none
    CHECK(judge_wire(wire).inductance_bound);
  }

  TEST_CASE("a pair is judged by its skew, and both legs alike take it away") {
    WireCase leg = on_ddr3(9);
    leg.interface_id = "pcie";
    leg.mbps = 2500;
    const PairJudgement one = judge_pair({leg, std::nullopt});
    CHECK(one.bound);
    CHECK(one.skew_ps == doctest::Approx(9 * 5.43).epsilon(0.001));
    CHECK(one.word == Word::kRisky);  // 12 % of 400 ps
    CHECK(one.alike_length == 9 * kMm);
    CHECK(one.offer.find("9.0 mm each") != std::string::npos);
    const PairJudgement both = judge_pair({leg, leg});
    CHECK(both.skew_ps == 0);
    CHECK_FALSE(both.bound);
    CHECK(both.word == Word::kFine);
    CHECK(both.offer.empty());
    WireCase longer = leg;
    longer.length = 10 * kMm;
    const PairJudgement uneven = judge_pair({leg, longer});
    CHECK(uneven.skew_ps == doctest::Approx(5.43).epsilon(0.001));
    CHECK(uneven.word == Word::kFine);       // 1.4 %
    CHECK(uneven.within_matching == false);  // 0.9 ps
    CHECK(uneven.alike_length == 10 * kMm);
    CHECK(judge_pair({}).word == Word::kNotJudged);
    // Known tracks count: the longer wire replaces a track that was 1 mm longer too.
    leg.lost_track = 4 * kMm;
    longer.lost_track = 5 * kMm;
    const PairJudgement known = judge_pair({leg, longer});
    CHECK(known.skew_ps == doctest::Approx(5.51 - 5.43).epsilon(0.15));
    CHECK(known.within_matching == true);
  }

  TEST_CASE("a strobe pair is also judged against the lines beside it, a self-clocked one is not") {
    const WireCase leg = on_ddr3(20);  // 108.6 ps
    const PairJudgement strobe = judge_pair({leg, leg});
    CHECK(strobe.skew_ps == 0);
    CHECK(strobe.word == Word::kRisky);  // 17 % of 625 ps
    CHECK(strobe.why.find("lines beside it") != std::string::npos);
    WireCase link = leg;
    link.interface_id = "sata";
    link.mbps = 6000;
    CHECK(judge_pair({link, link}).word == Word::kFine);
    WireCase slow = leg;
    slow.use = LineUse::kSlow;
    CHECK(judge_pair({slow, slow}).word == Word::kFine);
    WireCase unknown = leg;
    unknown.use = LineUse::kUnknown;
    CHECK(judge_pair({unknown, std::nullopt}).word == Word::kNotJudged);
  }
}

TEST_SUITE("rework/escape_gap") {
  Gap gap(double pitch, double joint, double spacing = 0) {
    return {std::llround(pitch * 1e6), std::llround(joint * 1e6), 50'000, std::llround(spacing * 1e6)};
  }

  TEST_CASE("wires per gap: C52 to C55 (T31, derived there)") {
    CHECK(wires_through(gap(0.80, 0.50), 117'000).value() == 1);
    CHECK(wires_through(gap(1.00, 0.50), 117'000).value() == 3);
    CHECK(wires_through_diagonal(gap(0.80, 0.50), 800'000, 117'000).value() == 4);
    CHECK(diagonal_gap(gap(0.80, 0.50), 800'000) == 631'370);
    CHECK(wires_through(gap(0.65, 0.40), 50'000).value() == 3);
  }

  TEST_CASE("the whole table of section 8") {
    struct Row {
      double pitch, joint;
      int w117, w60, w24;
      double diagonal;
      int diagonal117;
    };
    const std::array<Row, 8> rows{{{1.27, 0.75, 3, 7, 17, 1.046, 8},
                                   {1.00, 0.60, 2, 5, 12, 0.814, 6},
                                   {1.00, 0.50, 3, 6, 16, 0.914, 6},
                                   {0.80, 0.50, 1, 3, 8, 0.631, 4},
                                   {0.80, 0.45, 2, 4, 10, 0.681, 4},
                                   {0.65, 0.40, 1, 2, 6, 0.519, 3},
                                   {0.50, 0.30, 0, 1, 4, 0.407, 2},
                                   {0.40, 0.25, 0, 0, 2, 0.316, 1}}};
    for (const Row& row : rows) {
      CAPTURE(row.pitch);
      CAPTURE(row.joint);
      const Gap g = gap(row.pitch, row.joint);
      CHECK(wires_through(g, 117'000).value() == row.w117);
      CHECK(wires_through(g, 60'000).value() == row.w60);
      CHECK(wires_through(g, 24'000).value() == row.w24);
      CHECK(near(static_cast<double>(diagonal_gap(g, g.pitch)) * 1e-6, row.diagonal, 0.0006));
      CHECK(wires_through_diagonal(g, g.pitch, 117'000).value() == row.diagonal117);
    }
  }

  TEST_CASE("spacing between wires costs room, and an exact fit counts") {
    // 0.30 - 0.10 = 0.20 free: two of 0.06 with 0.08 between fit exactly, one nanometre more does not.
    CHECK(wires_through(gap(0.80, 0.50, 0.08), 60'000).value() == 2);
    CHECK(wires_through(gap(0.80, 0.50, 0.080001), 60'000).value() == 1);
    CHECK(usable_width(gap(0.80, 0.50)) == 200'000);
    CHECK(usable_width({800'000, 790'000, 50'000, 0}) == 0);
    CHECK(wires_through({800'000, 790'000, 50'000, 0}, 24'000).value() == 0);
  }

  TEST_CASE("what breaks the bounds is an error, not a number") {
    CHECK_FALSE(wires_through(gap(0.80, 0.50), 0).ok());
    CHECK_FALSE(wires_through(gap(0.80, 0.80), 60'000).ok());
    CHECK_FALSE(wires_through({800'000, 500'000, -1, 0}, 60'000).ok());
    CHECK_FALSE(wires_through({200 * kMm, 500'000, 0, 0}, 60'000).ok());
    CHECK_FALSE(wires_through_diagonal(gap(0.80, 0.50), 100'000, 60'000).ok());
  }

  TEST_CASE("the joint's default diameter: T32, T33 and the table") {
    CHECK(joint_after_soldering(800'000)->diameter == 500'000);
    CHECK(joint_after_soldering(1'270'000)->diameter == 750'000);
    CHECK(joint_after_soldering(500'000)->diameter == 300'000);
    CHECK(joint_after_soldering(650'000)->diameter == 400'000);
    CHECK(joint_after_soldering(800'000, 400'000)->diameter == 500'000);    // T32: land 0.40, 0.50 after
    CHECK(joint_after_soldering(1'000'000, 450'000)->diameter == 600'000);  // T33: 0.60 -> 0.45
    CHECK(joint_after_soldering(500'000, 250'000)->diameter == 300'000);    // T33: 0.30 -> 0.25
    CHECK(joint_after_soldering(800'000, 350'000)->diameter == 450'000);    // T33: 0.45 -> 0.35 (from memory)
    CHECK_FALSE(joint_after_soldering(0));
    for (Nm pitch = 200'000; pitch <= 2'000'000; pitch += 10'000) {
      for (Nm land = 100'000; land < pitch * 9 / 10; land += 50'000) {
        const Nm joint = joint_after_soldering(pitch, land)->diameter;
        CHECK(joint >= land);
        CHECK(joint < pitch);
      }
      CHECK(joint_after_soldering(pitch)->diameter < pitch);
    }
    CHECK(joint_height(800'000) == 250'000);
    CHECK(joint_height(1'270'000) == 250'000);
    CHECK(joint_height(400'000) == 125'000);
  }
}
