// Interfaces, their grades, and which one a net belongs to. C and T numbers are those of the trade reference
// that the formulas cite; the outside source stands beside each.
#include <array>
#include <cmath>
#include <set>
#include <string_view>

#include <doctest/doctest.h>

#include "netdb/rework/physics/interfaces.hpp"
#include "netdb/rework/physics/line.hpp"
#include "tests/support/near.hpp"

using namespace landfall;
using namespace landfall::rework::physics;
using landfall::testing::near;

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
    signals.nets[3].steady = Steady::kReference;
    CHECK(default_interface(signals, 3, "VREF").use == LineUse::kReference);
    signals.nets[3].steady = Steady::kCalibration;
    CHECK(default_interface(signals, 3, "ZQ").use == LineUse::kSteady);
    signals.nets[3].steady = Steady::kTermination;
    CHECK(default_interface(signals, 3, "").use == LineUse::kSteady);
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
