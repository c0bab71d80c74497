// The project's pin tables of slots: counts, and grounds against real boards (sources:
// netdb/slots/README.md).
#include <algorithm>
#include <map>
#include <set>
#include <sstream>

#include <doctest/doctest.h>

#include "tests/support/files.hpp"

using namespace landfall;

namespace {

std::filesystem::path slot_file(const std::string& name) {
  return testing::data_file("../../netdb/slots/" + name + ".csv");
}

struct SlotRow {
  std::string pin, name, kind, note;
};

std::vector<SlotRow> rows_of(const std::string& name) {
  std::istringstream in(testing::read_file(slot_file(name)));
  std::vector<SlotRow> rows;
  std::string line;
  std::getline(in, line);
  CHECK(line == "pin,name,class,note");
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    SlotRow row;
    std::getline(cells, row.pin, ',');
    std::getline(cells, row.name, ',');
    std::getline(cells, row.kind, ',');
    std::getline(cells, row.note);
    rows.push_back(row);
  }
  return rows;
}

std::size_t of_kind(const std::vector<SlotRow>& rows, const std::string& kind) {
  return static_cast<std::size_t>(
      std::count_if(rows.begin(), rows.end(), [&](const SlotRow& r) { return r.kind == kind; }));
}

}  // namespace

TEST_CASE(
    "the slots have the rows, grounds, supplies and pairs that their README counts, and read as parts") {
  struct Truth {
    const char* name;
    std::size_t rows, ground, supply, paired;
  };
  for (const Truth& truth :
       {Truth{"ddr3-sodimm-204", 204, 52, 21, 20}, Truth{"ddr4-sodimm-260", 260, 94, 23, 22},
        Truth{"ddr4-udimm-288", 288, 94, 34, 22}, Truth{"pcie-mini-card-52", 52, 14, 9, 8},
        Truth{"m2-key-m-75", 75, 14, 9, 18}, Truth{"m2-key-e-75", 75, 11, 4, 14}, Truth{"sata-7", 7, 3, 0, 4},
        Truth{"sata-power-15", 15, 5, 9, 0}, Truth{"usb-c-24", 24, 4, 4, 12}, Truth{"usb3-a-9", 9, 2, 1, 6},
        Truth{"hdmi-a-19", 19, 5, 1, 8}, Truth{"displayport-20", 20, 5, 1, 10},
        Truth{"microsd-8", 8, 1, 1, 0}, Truth{"arm-jtag-20", 20, 9, 2, 0},
        Truth{"arm-cortex-10", 10, 2, 1, 0}}) {
    INFO(std::string(truth.name));
    const auto rows = rows_of(truth.name);
    CHECK(rows.size() == truth.rows);
    CHECK(of_kind(rows, "ground") == truth.ground);
    CHECK(of_kind(rows, "supply") == truth.supply);
    std::map<std::string, std::string> partner;
    for (const SlotRow& row : rows) {
      const auto at = row.note.find("pair with ");
      if (at != std::string::npos)
        partner[row.pin] = row.note.substr(at + 10, row.note.find_first_of("; \"", at + 10) - at - 10);
    }
    CHECK(partner.size() == truth.paired);
    for (const auto& entry : partner) CHECK(partner[entry.second] == entry.first);  // it stands on both pins
    const auto design = testing::open_design(slot_file(truth.name));
    CHECK(design.format == "ball-list");
    REQUIRE(design.board.pins.size() == rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
      CHECK(design.board.pins[i].number == rows[i].pin);
      CHECK(design.board.pins[i].function == rows[i].name);
    }
  }
}

TEST_CASE("each memory slot has DQ0 to DQ63 once") {
  for (const char* name : {"ddr3-sodimm-204", "ddr4-sodimm-260", "ddr4-udimm-288"}) {
    std::multiset<std::string> names;
    for (const SlotRow& row : rows_of(name)) names.insert(row.name);
    for (int bit = 0; bit < 64; ++bit) CHECK(names.count("DQ" + std::to_string(bit)) == 1);
  }
}

TEST_CASE(
    "the grounds of a slot's table lie on one net of a real board that has the slot, and its pairs on none") {
  if (!testing::have_shared()) return;
  struct Use {
    const char *slot, *board, *part;
  };
  for (const Use& use : {Use{"pcie-mini-card-52", "netlist/reform2-motherboard.net", "U11"},
                         Use{"m2-key-m-75", "netlist/reform2-motherboard.net", "J10"},
                         Use{"hdmi-a-19", "kicad_pcb/opsis_2015-04-08.kicad_pcb", "J2"},
                         Use{"displayport-20", "kicad_pcb/opsis_2015-04-08.kicad_pcb", "J8"}}) {
    INFO(std::string(use.slot));
    const auto design = testing::open_design(testing::shared_file(std::string("boards/") + use.board));
    std::map<std::string, Index> nets;
    for (const Pin& pin : design.board.pins) {
      if (design.board.parts[pin.part].reference == use.part) nets[pin.number] = pin.net;
    }
    std::set<Index> grounds;
    std::size_t found = 0;
    for (const SlotRow& row : rows_of(use.slot)) {
      if (row.kind != "ground" || !nets.contains(row.pin)) continue;
      ++found;
      grounds.insert(nets[row.pin]);
    }
    CHECK(found == of_kind(rows_of(use.slot), "ground"));
    REQUIRE(grounds.size() == 1);
    CHECK(*grounds.begin() != kNone);
    for (const SlotRow& row : rows_of(use.slot)) {
      if (row.kind == "pair" && nets.contains(row.pin)) CHECK_FALSE(grounds.contains(nets[row.pin]));
    }
  }
}
