#include "sample-boards/generator/product.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <string_view>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"

namespace landfall::sample {
namespace {

constexpr int kPitch = 4;       // 0.8 mm
constexpr int kSocSize = 22;    // rows and columns of the processor
constexpr Cell kSoc{250, 170};  // its middle; even grids have their middle between balls
constexpr const char* kGround = "GND";
constexpr const char* kCore = "P1V1_CORE";
constexpr const char* kRam = "P1V35_RAM";
constexpr const char* kIo = "P3V3";

// The standard 96-ball DDR3 x16 map, lands view: columns 1 2 3 7 8 9. TRADE.md T6.
constexpr std::array<std::string_view, 16> kMemory{
    "VDDQ DQ13 DQ15 DQ12 VDDQ VSS", "VSSQ VDD VSS UDQS# DQ14 VSSQ", "VDDQ DQ11 DQ9 UDQS DQ10 VDDQ",
    "VSSQ VDDQ UDM DQ8 VSSQ VDD",   "VSS VSSQ DQ0 LDM VSSQ VDDQ",   "VDDQ DQ2 LDQS DQ1 DQ3 VSSQ",
    "VSSQ DQ6 LDQS# VDD VSS VSSQ",  "VREFDQ VDDQ DQ4 DQ7 DQ5 VDDQ", "NC VSS RAS# CK VSS NC",
    "ODT VDD CAS# CK# VDD CKE",     "NC CS# WE# A10/AP ZQ NC",      "VSS BA0 BA2 NC VREFCA VSS",
    "VDD A3 A0 A12/BC# BA1 VDD",    "VSS A5 A2 A1 A4 VSS",          "VDD A7 A9 A11 A6 VDD",
    "VSS RESET# A13 NC A8 VSS"};
constexpr std::array<int, 6> kMemoryColumns{1, 2, 3, 7, 8, 9};

std::vector<std::string> split(std::string_view text) {
  std::vector<std::string> words;
  while (!text.empty()) {
    const auto end = text.find(' ');
    words.emplace_back(text.substr(0, end));
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return words;
}

// A signal that leaves the processor: its net, the chip's own word, and where it wants to go.
struct Signal {
  std::string net, function, type;
  Cell target;
};

class Maker {
 public:
  Product make() {
    add_memory(0, "U2", {120, 94});
    add_memory(1, "U3", {120, 246});
    add_storage();
    add_card_slot();
    add_display();
    add_network();
    add_flash_and_debug();
    add_usb();
    add_supplies();
    add_processor();
    product_.planes = {{kGround, 1, {8, 8}, {492, 340}},
                       {kRam, 4, {8, 8}, {228, 340}},
                       {kCore, 4, {232, 120}, {272, 220}},
                       {kIo, 4, {276, 8}, {492, 340}}};
    product_.holes = {{15, 15}, {485, 15}, {15, 335}, {485, 335}};
    return std::move(product_);
  }

 private:
  Component& add(std::string reference, std::string value, std::string footprint, std::string symbol, Cell at,
                 bool bottom = false) {
    product_.components.push_back(
        {std::move(reference), std::move(value), std::move(footprint), std::move(symbol), at, bottom, {}});
    return product_.components.back();
  }

  static void pad(Component& part, std::string number, std::string function, std::string type,
                  std::string net, Cell offset, std::int64_t width, std::int64_t height) {
    part.terminals.push_back({std::move(number),
                              std::move(function),
                              std::move(type),
                              std::move(net),
                              {part.at.x + offset.x, part.at.y + offset.y},
                              width,
                              height,
                              false});
  }

  static void ball(Component& part, Site site, Cell at, std::string function, std::string type,
                   std::string net) {
    part.terminals.push_back(
        {ball_text(site), std::move(function), std::move(type), std::move(net), at, 400'000, 400'000, true});
  }

  // A chip resistor or capacitor, its two ends 1.2 mm apart.
  void two_ended(const std::string& reference, const std::string& value, Cell at, const std::string& a,
                 const std::string& b, bool bottom = false) {
    const char kind = reference[0];
    Component& part = add(reference, value, kind == 'R' ? "skua:R0402" : "skua:C0402",
                          kind == 'R' ? "skua:R" : "skua:C", at, bottom);
    pad(part, "1", "", "passive", a, {-3, 0}, 500'000, 500'000);
    pad(part, "2", "", "passive", b, {3, 0}, 500'000, 500'000);
  }

  void resistor(const std::string& value, Cell at, const std::string& a, const std::string& b) {
    two_ended(fmt::format("R{}", ++resistors_), value, at, a, b);
  }
  void capacitor(const std::string& value, Cell at, const std::string& a, const std::string& b,
                 bool bottom = false) {
    two_ended(fmt::format("C{}", ++capacitors_), value, at, a, b, bottom);
  }

  void test_point(const std::string& net, Cell at) {
    const std::string reference = fmt::format("TP{}", ++test_points_);
    Component& part = add(reference, net, "skua:TestPad", "skua:TestPoint", at);
    part.terminals.push_back({"1", "", "passive", net, at, 800'000, 800'000, true});
  }

  // ---- memories -------------------------------------------------------------------------------------------

  void add_memory(int channel, const std::string& reference, Cell at) {
    Component& part = add(reference, "256M x 16, 1.35 V", "skua:BGA96", "skua:RAM16", at);
    const std::string prefix = fmt::format("RAM{}_", channel);
    std::array<int, 2> next_bit{0, 0};
    for (int row = 1; row <= 16; ++row) {
      const auto words = split(kMemory[static_cast<std::size_t>(row - 1)]);
      for (std::size_t c = 0; c < kMemoryColumns.size(); ++c) {
        const int column = kMemoryColumns[c];
        const Cell place{at.x + (column - 5) * kPitch, at.y + (2 * row - 17) * kPitch / 2};
        const std::string& function = words[c];
        std::string chip;
        const std::string net = memory_net(prefix, function, next_bit, chip);
        const bool supply = function.starts_with("V");
        std::string type = supply ? "power_in" : "input";
        if (function.starts_with("DQ") || function.find("DQS") != std::string::npos) type = "bidirectional";
        if (function == "NC") type = "no_connect";
        if (function == "ZQ") type = "passive";
        ball(part, {row, column}, place, function, type, net);
        if (!chip.empty())
          memory_signals_[static_cast<std::size_t>(channel)].push_back(
              {net, fmt::format("CH{}_{}", channel, chip), type == "input" ? "output" : type, place});
      }
    }
    const std::string reference_net = prefix + "VREF";
    resistor("240R", {at.x + 32, at.y + 30}, prefix + "ZQ", kGround);
    resistor("10k", {at.x - 32, at.y - 30}, kRam, reference_net);
    resistor("10k", {at.x - 32, at.y - 18}, reference_net, kGround);
    capacitor("100n", {at.x - 32, at.y - 6}, reference_net, kGround);
    for (int i = 0; i < 4; ++i) capacitor("100n", {at.x - 32, at.y + 6 + 10 * i}, kRam, kGround);
    test_point(prefix + "CK_P", {at.x + 36, at.y + 44});
    test_point(prefix + "RESET_N", {at.x - 36, at.y + 46});
  }

  // The net of a memory's pin, and the chip's own word for it. The bits of a lane are numbered as they come,
  // so that they differ at the two ends, as on real boards.
  static std::string memory_net(const std::string& prefix, const std::string& function,
                                std::array<int, 2>& next_bit, std::string& chip) {
    if (function.starts_with("VSS")) return kGround;
    if (function.starts_with("VDD")) return kRam;
    if (function.starts_with("VREF")) return prefix + "VREF";
    if (function == "NC") return {};
    if (function == "ZQ") return prefix + "ZQ";
    if (function.starts_with("DQ")) {
      const std::size_t lane = std::stoi(function.substr(2)) >= 8 ? 1 : 0;
      chip = fmt::format("D{}", lane * 8 + static_cast<std::size_t>(next_bit[lane]++));
      return prefix + chip;
    }
    const bool upper = function[0] == 'U';
    if (function.find("DQS") != std::string::npos) {
      chip = fmt::format("DQS{}_{}", upper ? 1 : 0, function.ends_with('#') ? "N" : "P");
    } else if (function == "UDM" || function == "LDM") {
      chip = fmt::format("DM{}", upper ? 1 : 0);
    } else if (function == "CK" || function == "CK#") {
      chip = function == "CK" ? "CK_P" : "CK_N";
    } else {
      chip = function.substr(0, function.find('/'));
      if (chip.ends_with('#')) chip = chip.substr(0, chip.size() - 1) + "_N";
    }
    return prefix + chip;
  }

  // ---- everything else ------------------------------------------------------------------------------------

  // A column of contacts, 0.8 mm apart; nets are named from the top.
  Component& contacts(const std::string& reference, const std::string& value, const std::string& symbol,
                      Cell at, const std::vector<std::pair<std::string, std::string>>& pins, bool upright) {
    Component& part = add(reference, value, fmt::format("skua:Row{}", pins.size()), symbol, at);
    const int n = static_cast<int>(pins.size());
    for (int i = 0; i < n; ++i) {
      const int along = (2 * i - n + 1) * kPitch / 2;
      const Cell offset = upright ? Cell{0, along} : Cell{along, 0};
      pad(part, std::to_string(i + 1), pins[static_cast<std::size_t>(i)].first,
          pins[static_cast<std::size_t>(i)].second == kGround ? "power_in" : "passive",
          pins[static_cast<std::size_t>(i)].second, offset, upright ? 1'200'000 : 400'000,
          upright ? 400'000 : 1'200'000);
    }
    return part;
  }

  enum class Edge { kTop, kRight, kBottom };
  void from_chip(Edge edge, std::string net, std::string function, std::string type, Cell target) {
    edge_signals_[edge].push_back({std::move(net), std::move(function), std::move(type), target});
  }

  void add_storage() {
    const Cell at{418, 94};
    std::vector<std::pair<std::string, std::string>> pins{{"CMD", "EMMC_CMD"}, {"CLK", "EMMC_CLK"}};
    for (int i = 0; i < 8; ++i) pins.emplace_back(fmt::format("DAT{}", i), fmt::format("EMMC_D{}", i));
    pins.insert(pins.end(), {{"RST", "EMMC_RST_N"}, {"VCC", kIo}, {"VSS", kGround}});
    contacts("U4", "32 GB storage", "skua:Storage", at, pins, true);
    for (std::size_t i = 0; i < pins.size(); ++i) {
      if (!pins[i].second.starts_with("EMMC")) continue;
      from_chip(Edge::kRight, pins[i].second, pins[i].second, i == 1 ? "output" : "bidirectional",
                {at.x, at.y - 26 + 4 * static_cast<int>(i)});
    }
    capacitor("100n", {at.x + 20, at.y - 20}, kIo, kGround);
    capacitor("1u", {at.x + 20, at.y + 20}, kIo, kGround);
  }

  void add_card_slot() {
    const Cell at{466, 186};
    const std::array<const char*, 6> names{"CLK", "CMD", "D0", "D1", "D2", "D3"};
    std::vector<std::pair<std::string, std::string>> pins;
    for (const char* name : names) pins.emplace_back(name, fmt::format("CARD_{}_S", name));
    pins.insert(pins.end(), {{"DET", "CARD_DET"}, {"VDD", kIo}, {"VSS", kGround}});
    contacts("J1", "chart card slot", "skua:CardSlot", at, pins, true);
    for (int i = 0; i < 6; ++i) {
      const Cell place{430, 150 + 12 * i};
      const std::string net = fmt::format("CARD_{}", names[static_cast<std::size_t>(i)]);
      resistor("22R", place, net, net + "_S");
      from_chip(Edge::kRight, net, net, i == 0 ? "output" : "bidirectional", place);
    }
    from_chip(Edge::kRight, "CARD_DET", "CARD_DET", "input", {430, 226});
  }

  void add_display() {
    const Cell at{250, 24};
    std::vector<std::pair<std::string, std::string>> pins;
    for (int i = 0; i < 4; ++i) {
      pins.emplace_back(fmt::format("L{}P", i), fmt::format("LVDS{}_P", i));
      pins.emplace_back(fmt::format("L{}N", i), fmt::format("LVDS{}_N", i));
    }
    pins.insert(pins.end(), {{"CKP", "LVDS_CLK_P"},
                             {"CKN", "LVDS_CLK_N"},
                             {"BL", "DISPLAY_BACKLIGHT_EN"},
                             {"VDD", kIo},
                             {"VSS", kGround}});
    contacts("J2", "display", "skua:Display", at, pins, false);
    for (std::size_t i = 0; i < 11; ++i) {
      from_chip(Edge::kTop, pins[i].second, pins[i].second, "output",
                {at.x - 24 + 4 * static_cast<int>(i), at.y});
    }
  }

  void add_network() {
    const Cell at{360, 40};
    std::vector<std::pair<std::string, std::string>> pins;
    for (int i = 0; i < 4; ++i) pins.emplace_back(fmt::format("TXD{}", i), fmt::format("ETH_TXD{}", i));
    pins.insert(pins.end(), {{"TXC", "ETH_TXC"}, {"TXCTL", "ETH_TXCTL"}});
    for (int i = 0; i < 4; ++i) pins.emplace_back(fmt::format("RXD{}", i), fmt::format("ETH_RXD{}", i));
    pins.insert(pins.end(), {{"RXC", "ETH_RXC"},
                             {"RXCTL", "ETH_RXCTL"},
                             {"MDC", "ETH_MDC"},
                             {"MDIO", "ETH_MDIO"},
                             {"VDD", kIo},
                             {"VSS", kGround}});
    contacts("U5", "network interface", "skua:Network", at, pins, false);
    for (std::size_t i = 0; i < 14; ++i) {
      from_chip(Edge::kTop, pins[i].second, pins[i].second, i < 6 || i == 12 ? "output" : "bidirectional",
                {at.x - 30 + 4 * static_cast<int>(i), at.y});
    }
    capacitor("100n", {at.x, at.y - 14}, kIo, kGround);
  }

  void add_flash_and_debug() {
    const Cell flash{200, 310};
    contacts("U6", "start-up flash", "skua:Flash", flash,
             {{"CS", "SPI_CS_N"},
              {"MISO", "SPI_MISO"},
              {"MOSI", "SPI_MOSI"},
              {"SCK", "SPI_SCK"},
              {"VCC", kIo},
              {"VSS", kGround}},
             false);
    int i = 0;
    for (const char* name : {"SPI_CS_N", "SPI_MISO", "SPI_MOSI", "SPI_SCK"}) {
      from_chip(Edge::kBottom, name, name, i == 1 ? "input" : "output", {flash.x - 10 + 4 * i, flash.y});
      ++i;
    }
    const Cell debug{260, 316};
    contacts("J3", "debug", "skua:Debug", debug,
             {{"TCK", "JTAG_TCK"},
              {"TMS", "JTAG_TMS"},
              {"TDI", "JTAG_TDI"},
              {"TDO", "JTAG_TDO"},
              {"TRST", "JTAG_TRST_N"},
              {"VSS", kGround}},
             false);
    i = 0;
    for (const char* name : {"JTAG_TCK", "JTAG_TMS", "JTAG_TDI", "JTAG_TDO", "JTAG_TRST_N"}) {
      from_chip(Edge::kBottom, name, name, i == 3 ? "output" : "input", {debug.x - 10 + 4 * i, debug.y});
      test_point(name, {debug.x - 24 + 12 * i, debug.y + 16});
      ++i;
    }
    const Cell sensor{310, 310};
    contacts("U9", "heading sensor", "skua:Sensor", sensor,
             {{"SCL", "SENSOR_SCL"}, {"SDA", "SENSOR_SDA"}, {"VDD", kIo}, {"VSS", kGround}}, false);
    from_chip(Edge::kBottom, "SENSOR_SCL", "I2C0_SCL", "open_collector", {304, 310});
    from_chip(Edge::kBottom, "SENSOR_SDA", "I2C0_SDA", "open_collector", {308, 310});
    resistor("4k7", {310, 290}, "SENSOR_SCL", kIo);
    resistor("4k7", {326, 290}, "SENSOR_SDA", kIo);
    for (int strap = 0; strap < 3; ++strap) {
      const std::string net = fmt::format("BOOT{}", strap);
      resistor("10k", {350 + 16 * strap, 300}, net, strap == 1 ? kGround : kIo);
      from_chip(Edge::kBottom, net, fmt::format("BOOT_MODE{}", strap), "input", {347 + 16 * strap, 300});
    }
    resistor("10k", {400, 300}, "RESET_N", kIo);
    test_point("RESET_N", {400, 316});
    from_chip(Edge::kBottom, "RESET_N", "RESET_N", "input", {397, 300});
  }

  void add_usb() {
    const Cell at{470, 268};
    contacts("J4", "service port", "skua:ServicePort", at,
             {{"D+", "USB_D_P"},
              {"D-", "USB_D_N"},
              {"TX+", "SS_TX_C_P"},
              {"TX-", "SS_TX_C_N"},
              {"RX+", "SS_RX_P"},
              {"RX-", "SS_RX_N"},
              {"GND", kGround}},
             true);
    from_chip(Edge::kRight, "USB_D_P", "USB_DP", "bidirectional", {430, 250});
    from_chip(Edge::kRight, "USB_D_N", "USB_DM", "bidirectional", {430, 254});
    // Coupling capacitors in the fast pair.
    capacitor("100n", {436, 264}, "SS_TX_P", "SS_TX_C_P");
    capacitor("100n", {436, 272}, "SS_TX_N", "SS_TX_C_N");
    from_chip(Edge::kRight, "SS_TX_P", "SS_TXP", "output", {430, 264});
    from_chip(Edge::kRight, "SS_TX_N", "SS_TXN", "output", {430, 272});
    from_chip(Edge::kRight, "SS_RX_P", "SS_RXP", "input", {430, 280});
    from_chip(Edge::kRight, "SS_RX_N", "SS_RXN", "input", {430, 284});
  }

  void add_supplies() {
    contacts("U7", "core regulator", "skua:Regulator", {250, 258},
             {{"OUT1", kCore},
              {"OUT2", kCore},
              {"GND", kGround},
              {"GND2", kGround},
              {"IN", kIo},
              {"FB", "CORE_FB"}},
             false);
    resistor("10k", {230, 276}, kCore, "CORE_FB");
    resistor("10k", {270, 276}, "CORE_FB", kGround);
    contacts(
        "U8", "memory regulator", "skua:Regulator", {180, 170},
        {{"OUT1", kRam}, {"OUT2", kRam}, {"GND", kGround}, {"GND2", kGround}, {"IN", kIo}, {"FB", "RAM_FB"}},
        true);
    resistor("12k", {160, 150}, kRam, "RAM_FB");
    resistor("10k", {160, 186}, "RAM_FB", kGround);
    contacts("J5", "power", "skua:Power", {470, 60},
             {{"V", kIo}, {"V2", kIo}, {"G", kGround}, {"G2", kGround}}, true);
    // Decoupling on the board's underside, below the processor's empty ring.
    int n = 0;
    for (const int y : {154, 170, 186}) {
      for (const int x : {242, 258}) capacitor(n++ % 2 == 0 ? "100n" : "1u", {x, y}, kCore, kGround, true);
    }
    for (int i = 0; i < 3; ++i) capacitor("100n", {330, 130 + 30 * i}, kIo, kGround);
  }

  // ---- the processor --------------------------------------------------------------------------------------

  static Cell soc_place(Site site) {
    return {kSoc.x + (2 * site.column - kSocSize - 1) * kPitch / 2,
            kSoc.y + (2 * site.row - kSocSize - 1) * kPitch / 2};
  }

  static bool present(Site site) {
    const bool ring = site.row >= 7 && site.row <= 16 && site.column >= 7 && site.column <= 16;
    const bool core = site.row >= 9 && site.row <= 14 && site.column >= 9 && site.column <= 14;
    return !ring || core;
  }

  static bool corner(Site site) {
    const int row = std::min(site.row, kSocSize + 1 - site.row);
    const int column = std::min(site.column, kSocSize + 1 - site.column);
    return row + column <= 3;
  }

  // Puts signals on slots in the same order, evenly spread.
  void spread(const std::vector<Signal>& signals, const std::vector<Site>& slots) {
    for (std::size_t i = 0; i < signals.size(); ++i)
      chosen_[slots[i * slots.size() / signals.size()]] = &signals[i];
  }

  void place_signals() {
    for (std::size_t channel = 0; channel < 2; ++channel) {
      auto& signals = memory_signals_[channel];
      std::stable_sort(signals.begin(), signals.end(),
                       [](const Signal& a, const Signal& b) { return a.target.y < b.target.y; });
      std::vector<Site> slots;
      const int first = channel == 0 ? 1 : 12;
      for (int row = first; row < first + 11; ++row) {
        for (int column = 1; column <= 6; ++column) {
          const Site site{row, column};
          // Each row keeps one or two sites for supplies.
          if (!corner(site) && column != (row % 2 == 0 ? 4 : 5)) slots.push_back(site);
        }
      }
      spread(signals, slots);
    }
    for (auto& [edge, signals] : edge_signals_) {
      const bool upright = edge == Edge::kRight;
      std::stable_sort(signals.begin(), signals.end(), [upright](const Signal& a, const Signal& b) {
        return upright ? a.target.y < b.target.y : a.target.x < b.target.x;
      });
      std::vector<Site> slots;
      for (int along = upright ? 3 : 7; along <= 20; ++along) {
        for (const int deep : {0, 1}) {
          const int outer = edge == Edge::kTop ? 1 + deep : kSocSize - deep;
          const Site site = upright ? Site{along, outer} : Site{outer, along};
          if (present(site) && !corner(site) && !(upright && (along > 20))) slots.push_back(site);
        }
      }
      spread(signals, slots);
    }
  }

  void add_processor() {
    place_signals();
    Component& soc = add("U1", "SKUA processor", "skua:BGA420", "skua:Processor", kSoc);
    std::map<std::string, int> numbers;
    const auto supply = [&](Site site) -> std::pair<std::string, std::string> {
      const bool middle = site.row >= 9 && site.row <= 14 && site.column >= 9 && site.column <= 14;
      const bool even = (site.row + site.column) % 2 == 0;
      if (even) return {"VSS", kGround};
      if (middle) return {"VDD_CORE", kCore};
      if (site.column <= 6) return {site.row <= 11 ? "VDD_CH0" : "VDD_CH1", kRam};
      if (site.column >= 18) return {"VDD_IO", kIo};
      return {"VSS", kGround};
    };
    for (int row = 1; row <= kSocSize; ++row) {
      for (int column = 1; column <= kSocSize; ++column) {
        const Site site{row, column};
        if (!present(site)) continue;
        const Cell at = soc_place(site);
        const auto found = chosen_.find(site);
        if (corner(site)) {
          ball(soc, site, at, "NC", "no_connect", "");
        } else if (found != chosen_.end()) {
          ball(soc, site, at, found->second->function, found->second->type, found->second->net);
        } else {
          const auto [function, net] = supply(site);
          ball(soc, site, at, function, "power_in", net);
        }
      }
    }
  }

  Product product_;
  int resistors_ = 0, capacitors_ = 0, test_points_ = 0;
  std::array<std::vector<Signal>, 2> memory_signals_;
  std::map<Edge, std::vector<Signal>> edge_signals_;
  std::map<Site, const Signal*> chosen_;
};

}  // namespace

Span plane_span(const Plane& plane, int y) {
  constexpr int kNotch = 36;
  const bool corner_row = y < kNotch || y > kBoardHeight - kNotch;
  if (!corner_row) return {plane.low.x, plane.high.x};
  return {std::max(plane.low.x, kNotch), std::min(plane.high.x, kBoardWidth - kNotch)};
}

Product skua4() {
  return Maker().make();
}

}  // namespace landfall::sample
