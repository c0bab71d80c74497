#include "netdb/rework/physics/interfaces.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/rework/physics/line.hpp"

namespace landfall::rework::physics {
namespace {

constexpr std::array<Grade, 3> kSdram{{{"SDRAM-100", 100}, {"SDRAM-133", 133.33}, {"SDRAM-166", 166.67}}};
constexpr std::array<Grade, 4> kDdr{
    {{"DDR-200", 200}, {"DDR-266", 266.67}, {"DDR-333", 333.33}, {"DDR-400", 400}}};
constexpr std::array<Grade, 5> kDdr2{{{"DDR2-400", 400},
                                      {"DDR2-533", 533.33},
                                      {"DDR2-667", 666.67},
                                      {"DDR2-800", 800},
                                      {"DDR2-1066", 1066.67}}};
constexpr std::array<Grade, 6> kDdr3{{{"DDR3-800", 800},
                                      {"DDR3-1066", 1066.67},
                                      {"DDR3-1333", 1333.33},
                                      {"DDR3-1600", 1600},
                                      {"DDR3-1866", 1866.67},
                                      {"DDR3-2133", 2133.33}}};
constexpr std::array<Grade, 7> kDdr4{{{"DDR4-1600", 1600},
                                      {"DDR4-1866", 1866.67},
                                      {"DDR4-2133", 2133.33},
                                      {"DDR4-2400", 2400},
                                      {"DDR4-2666", 2666.67},
                                      {"DDR4-2933", 2933.33},
                                      {"DDR4-3200", 3200}}};
constexpr std::array<Grade, 7> kDdr5{{{"DDR5-3200", 3200},
                                      {"DDR5-4000", 4000},
                                      {"DDR5-4400", 4400},
                                      {"DDR5-4800", 4800},
                                      {"DDR5-5200", 5200},
                                      {"DDR5-5600", 5600},
                                      {"DDR5-6400", 6400}}};
constexpr std::array<Grade, 4> kLpddr2{
    {{"LPDDR2-400", 400}, {"LPDDR2-667", 666.67}, {"LPDDR2-800", 800}, {"LPDDR2-1066", 1066.67}}};
constexpr std::array<Grade, 4> kLpddr3{
    {{"LPDDR3-1333", 1333.33}, {"LPDDR3-1600", 1600}, {"LPDDR3-1866", 1866.67}, {"LPDDR3-2133", 2133.33}}};
constexpr std::array<Grade, 5> kLpddr4{{{"LPDDR4-1600", 1600},
                                        {"LPDDR4-2400", 2400},
                                        {"LPDDR4-3200", 3200},
                                        {"LPDDR4-3733", 3733.33},
                                        {"LPDDR4-4266", 4266.67}}};
constexpr std::array<Grade, 3> kLpddr5{{{"LPDDR5-3200", 3200}, {"LPDDR5-5500", 5500}, {"LPDDR5-6400", 6400}}};
constexpr std::array<Grade, 2> kUsb2{{{"USB full speed", 12}, {"USB 2.0 high speed", 480}}};
constexpr std::array<Grade, 2> kUsb3{{{"USB 3 at 5 Gb/s", 5000}, {"USB 3 at 10 Gb/s", 10000}}};
constexpr std::array<Grade, 4> kPcie{
    {{"PCIe 1", 2500}, {"PCIe 2", 5000}, {"PCIe 3", 8000}, {"PCIe 4", 16000}}};
constexpr std::array<Grade, 1> kRefclk{{{"a 100 MHz reference clock", 200}}};
constexpr std::array<Grade, 3> kSata{{{"SATA 1", 1500}, {"SATA 2", 3000}, {"SATA 3", 6000}}};
constexpr std::array<Grade, 4> kHdmi{{{"HDMI at 1080p60", 1485},
                                      {"HDMI at 165 MHz", 1650},
                                      {"HDMI 1.4 at its most", 3400},
                                      {"HDMI 2.0", 6000}}};
constexpr std::array<Grade, 4> kDp{{{"DisplayPort RBR", 1620},
                                    {"DisplayPort HBR", 2700},
                                    {"DisplayPort HBR2", 5400},
                                    {"DisplayPort HBR3", 8100}}};
constexpr std::array<Grade, 2> kLvds{{{"LVDS at 85 MHz", 595}, {"LVDS at 135 MHz", 945}}};
constexpr std::array<Grade, 4> kMipi{{{"MIPI D-PHY at 500 Mb/s", 500},
                                      {"MIPI D-PHY at 1 Gb/s", 1000},
                                      {"MIPI D-PHY at 1.5 Gb/s", 1500},
                                      {"MIPI D-PHY at 2.5 Gb/s", 2500}}};
constexpr std::array<Grade, 1> kRgmii{{{"RGMII", 250}}};
constexpr std::array<Grade, 1> kRmii{{{"RMII", 50}}};
constexpr std::array<Grade, 1> kSgmii{{{"SGMII", 1250}}};
constexpr std::array<Grade, 1> kQsgmii{{{"QSGMII", 5000}}};
constexpr std::array<Grade, 1> kEthernet{{{"Ethernet at 125 MBd", 125}}};
constexpr std::array<Grade, 4> kEmmc{
    {{"eMMC at 52 MHz", 52}, {"eMMC DDR52", 104}, {"eMMC HS200", 200}, {"eMMC HS400", 400}}};
constexpr std::array<Grade, 4> kSd{
    {{"SD at 25 MHz", 25}, {"SD high speed", 50}, {"SD DDR50", 100}, {"SD SDR104", 208}}};
constexpr std::array<Grade, 2> kQspi{{{"quad SPI at 50 MHz", 50}, {"quad SPI at 104 MHz", 104}}};

constexpr std::string_view kCp = "common practice, no source";
constexpr std::string_view kFiveMil = "legs of a pair within 5 mil (about 0.9 ps)";
constexpr std::string_view kFiveMilSource = "TI SLLA414 (quoted on the maker's forum, e2e 862159)";

constexpr auto kParallel = Coupling::kParallel;
constexpr auto kPair = Coupling::kPair;
constexpr auto kSelf = Coupling::kSelfClocked;

// Addresses: one clock long on SDRAM (1 interval), DDR to DDR5 and LPDDR4 (2); both edges of the clock on
// LPDDR2 and 3 (1); both edges of a clock a quarter as fast as the data clock on LPDDR5 (4). JEDEC standards,
// from memory.
constexpr std::array<InterfaceInfo, 28> kInterfaces{{
    {"sdram", "SDR memory", kParallel, kSdram, 133.33, 1, 1000, kCp, "lines within 500 ps of the clock",
     500.0, kCp},
    {"ddr", "DDR memory", kParallel, kDdr, 400, 2, 500, kCp, "data within 25 ps of its strobe", 25.0, kCp},
    {"ddr2", "DDR2 memory", kParallel, kDdr2, 800, 2, 250, kCp, "data within 10 ps of its strobe", 10.0, kCp},
    {"ddr3", "DDR3 memory", kParallel, kDdr3, 1600, 2, 150, kCp,
     "data within 5 ps of its strobe, address within 10 ps of the clock; a board that broke this is known to "
     "work",
     5.0, "TRADE.md T30d (S13, quoted); T30b, T30c differ"},
    {"ddr4", "DDR4 memory", kParallel, kDdr4, 2400, 2, 100, kCp,
     "data within 3.5 ps of its strobe, address within 20 ps of the clock; ordinary designs bear far more",
     3.5, "TRADE.md T30a (S10), T30e (S9)"},
    {"ddr5", "DDR5 memory", kParallel, kDdr5, 4800, 2, 60, kCp,
     "data within 3.5 ps of its strobe, as for DDR4", 3.5, kCp},
    {"lpddr2", "LPDDR2 memory", kParallel, kLpddr2, 800, 1, 250, kCp, "data within 10 ps of its strobe", 10.0,
     kCp},
    {"lpddr3", "LPDDR3 memory", kParallel, kLpddr3, 1600, 1, 150, kCp, "data within 5 ps of its strobe", 5.0,
     kCp},
    {"lpddr4", "LPDDR4 memory", kParallel, kLpddr4, 3200, 2, 75, kCp,
     "data within 3.5 ps of its strobe, as for DDR4", 3.5, kCp},
    {"lpddr5", "LPDDR5 memory", kParallel, kLpddr5, 6400, 4, 45, kCp, "data within 2 ps of its data clock",
     2.0, kCp},
    {"usb2", "USB 2.0", kSelf, kUsb2, 480, 1, 500, "USB 2.0, high-speed rise at least 500 ps (from memory)",
     "legs of a pair within 150 mil (about 25 ps)", 25.0, kCp},
    {"usb3", "USB 3", kSelf, kUsb3, 5000, 1, 60, kCp, kFiveMil, 0.9, kFiveMilSource},
    {"pcie", "PCIe", kSelf, kPcie, 5000, 1, 50, kCp, kFiveMil, 0.9, kFiveMilSource},
    {"refclk", "reference clock", kSelf, kRefclk, 200, 1, 300, kCp, kFiveMil, 0.9, kFiveMilSource},
    {"sata", "SATA", kSelf, kSata, 6000, 1, 50, kCp, kFiveMil, 0.9, kFiveMilSource},
    {"hdmi", "HDMI", kSelf, kHdmi, 3400, 1, 75, "HDMI 1.4, rise at least 75 ps (from memory)",
     "legs of a pair within 0.15 of a bit, about 44 ps at 3.4 Gb/s", 44.0,
     "HDMI (quoted on a maker's forum, e2e 862159)"},
    {"dp", "DisplayPort", kSelf, kDp, 5400, 1, 50, kCp, "legs of a pair within 20 ps", 20.0,
     "TI SLLA414 section 2.4 (quoted on the maker's forum, e2e 862159)"},
    {"lvds", "LVDS", kPair, kLvds, 595, 1, 300, kCp, "legs of a pair within 25 ps, pairs within 100 ps", 25.0,
     kCp},
    {"mipi", "MIPI D-PHY", kPair, kMipi, 1000, 1, 150, kCp,
     "data and clock within 20 mil (about 3.5 ps in stripline)", 3.5,
     "Microchip PolarFire board guide, section 3.1"},
    {"rgmii", "RGMII", kParallel, kRgmii, 250, 1, 750, "RGMII 1.3, rise at most 750 ps (from memory)",
     "lines within 500 ps of their clock", 500.0, "RGMII 1.3, skew at the transmitter (from memory)"},
    {"rmii", "RMII", kParallel, kRmii, 50, 1, 1500, kCp, "lines within 1000 ps of the clock", 1000.0, kCp},
    {"sgmii", "SGMII", kSelf, kSgmii, 1250, 1, 150, kCp, "legs of a pair within 20 ps", 20.0, kCp},
    {"qsgmii", "QSGMII", kSelf, kQsgmii, 5000, 1, 50, kCp, kFiveMil, 0.9, kFiveMilSource},
    {"ethernet", "Ethernet", kSelf, kEthernet, 125, 1, 3000, kCp, "legs of a pair within 50 mil (about 9 ps)",
     9.0, kCp},
    {"emmc", "eMMC", kParallel, kEmmc, 200, 1, 1000, kCp, "lines within 50 ps of the clock", 50.0, kCp},
    {"sd", "SD card", kParallel, kSd, 50, 1, 2000, kCp, "lines within 100 ps of the clock", 100.0, kCp},
    {"qspi", "quad SPI", kParallel, kQspi, 104, 1, 1500, kCp, "lines within 250 ps of the clock", 250.0, kCp},
    {"slow", "a slow line", kParallel, {}, 0, 1, 3000, kCp, "none", std::nullopt, kCp},
}};

}  // namespace

std::span<const InterfaceInfo> interfaces() {
  return kInterfaces;
}

const InterfaceInfo* find_interface(std::string_view id) {
  for (const InterfaceInfo& info : interfaces()) {
    if (info.id == id) return &info;
  }
  return nullptr;
}

std::string grade_name(const InterfaceInfo& info, double mbps) {
  for (const Grade& grade : info.grades) {
    // Grades are spoken of rounded: 1066 is 1066.67, and both are meant.
    if (mbps > grade.mbps - 1 && mbps < grade.mbps + 1) return std::string(grade.name);
  }
  if (info.slow()) return std::string(info.name);
  return fmt::format("{} at {:.0f} MT/s", info.name, mbps);
}

double rise_of(const InterfaceInfo& info, double mbps) {
  constexpr double kOfInterval = 0.3;
  if (mbps <= 0) return info.rise_ps;
  return std::min(info.rise_ps, kOfInterval * unit_interval_ps(mbps));
}

}  // namespace landfall::rework::physics
