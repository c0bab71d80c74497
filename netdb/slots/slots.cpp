#include "netdb/slots/slots.hpp"

#include <algorithm>
#include <array>

namespace landfall::slots {
namespace {

struct Table {
  std::string_view name, text;
};
constexpr std::array kTables = std::to_array<Table>({
#include "slot_tables.inc"
});

struct Words {
  std::string_view name, standard, source;
};
constexpr std::array kWords = std::to_array<Words>({
    {"arm-cortex-10", "ARM Cortex debug connector, 10 pins",
     "KiCad symbol; a web page naming ARM's document"},
    {"arm-jtag-20", "ARM 20-pin JTAG header",
     "KiCad symbol; a web page naming a JTAG interface specification"},
    {"ddr3-sodimm-204", "JEDEC 204-pin DDR3 SO-DIMM (JESD21-C 4.20.18)",
     "two makers' data sheets, two symbols"},
    {"ddr4-sodimm-260", "JEDEC 260-pin DDR4 SO-DIMM (JESD21-C 4.20.25)",
     "a board's schematic, a public pin table"},
    {"ddr4-udimm-288", "JEDEC 288-pin DDR4 UDIMM (JESD21-C 4.20.26)",
     "two public pin tables, an RDIMM symbol"},
    {"displayport-20", "VESA DisplayPort, source side", "a board's symbol, a real board's nets"},
    {"hdmi-a-19", "HDMI type A", "KiCad symbols, a board's library, a real board's nets"},
    {"m2-key-e-75", "PCI Express M.2, socket 1, key E", "KiCad symbol, two boards' symbols"},
    {"m2-key-m-75", "PCI Express M.2, socket 3, key M",
     "KiCad symbol, two boards' symbols, a real board's nets"},
    {"microsd-8", "SD Association, microSD", "KiCad symbol, two real boards' nets"},
    {"pcie-mini-card-52", "PCI Express Mini Card", "KiCad symbol, a real board's nets"},
    {"sata-7", "Serial ATA, signal segment", "a book, a manual, a real board's nets"},
    {"sata-power-15", "Serial ATA, power segment", "a book, an encyclopedia, a manual"},
    {"usb-c-24", "USB Type-C receptacle", "KiCad symbol, a board's symbol"},
    {"usb3-a-9", "USB 3 Standard-A", "KiCad symbol, a board's symbol, a real board's nets"},
});

std::size_t rows(std::string_view text) {
  const auto lines = static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
  const bool open = !text.empty() && text.back() != '\n';
  return lines + (open ? 1 : 0) - 1;
}

}  // namespace

const std::vector<Slot>& all() {
  static const std::vector<Slot> slots = [] {
    std::vector<Slot> made;
    for (const Table& table : kTables) {
      Slot slot{table.name, table.text, {}, {}, rows(table.text)};
      for (const Words& words : kWords) {
        if (words.name != table.name) continue;
        slot.standard = words.standard;
        slot.source = words.source;
      }
      made.push_back(slot);
    }
    return made;
  }();
  return slots;
}

const Slot* named(std::string_view name) {
  const Slot* found = nullptr;
  for (const Slot& slot : all()) {
    if (slot.name == name) return &slot;
    if (name.empty() || !slot.name.starts_with(name)) continue;
    if (found != nullptr) return nullptr;
    found = &slot;
  }
  return found;
}

}  // namespace landfall::slots
