// BSDL and IBIS: the sample, the makers' files in ../shared/boards, and small texts.
#include <algorithm>
#include <map>
#include <set>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "importers/bsdl/bsdl.hpp"
#include "importers/ibis/ibis.hpp"
#include "netdb/model/ball_name.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

const Pin* pin_of(const Board& board, const std::string& number) {
  for (const Pin& pin : board.pins) {
    if (pin.number == number) return &pin;
  }
  return nullptr;
}

std::string net_name(const Board& board, const std::string& number) {
  const Pin* pin = pin_of(board, number);
  return pin == nullptr || pin->net == kNone ? "" : board.nets[pin->net].name;
}

using Reader = std::optional<importers::Design> (*)(std::string_view, Diagnostics&,
                                                    const importers::ReadOptions&);

std::string error_of(Reader read, const std::string& text, const std::string& package = "") {
  Diagnostics log;
  importers::ReadOptions options;
  options.package = package;
  if (read(text, log, options)) return "";
  for (const Diagnostic& d : log.entries()) {
    if (d.severity == Severity::kError) return d.code + ": " + d.message;
  }
  return "nothing was said";
}

std::string bsdl(const std::string& ports, const std::string& maps, const std::string& standard = "") {
  return "-- a comment\nentity X is\n generic (PHYSICAL_PIN_MAP : string" +
         (standard.empty() ? "" : " := \"" + standard + "\"") + ");\n port (" + ports +
         ");\n attribute PIN_MAP of X : entity is PHYSICAL_PIN_MAP;\n" + maps + "end X;\n";
}

}  // namespace

TEST_CASE("the BSDL sample comes out as its answer says, for its default map and the other one") {
  if (!testing::have_shared()) return;
  const std::string text = testing::read_file(testing::shared_file("samples/tern9.bsd"));
  const auto answer =
      nlohmann::json::parse(testing::read_file(testing::shared_file("samples/tern9.bsd.json")));
  const auto design = testing::open_design(testing::shared_file("samples/tern9.bsd"));
  CHECK(design.format == "bsdl");
  CHECK(design.version == answer["version"].get<std::string>());
  CHECK(design.board.parts.at(0).value == answer["part"].get<std::string>());
  CHECK(design.board.parts.at(0).footprint == answer["package"].get<std::string>());
  REQUIRE(design.board.pins.size() == answer["balls"].size());
  const std::map<std::string, PinType> types{
      {"in", PinType::kInput}, {"inout", PinType::kBidirectional}, {"linkage", PinType::kUnknown}};
  for (const auto& ball : answer["balls"]) {
    const Pin* pin = pin_of(design.board, ball["ball"].get<std::string>());
    REQUIRE(pin != nullptr);
    CHECK(pin->function == ball["name"].get<std::string>());
    CHECK(pin->type == types.at(ball["type"].get<std::string>()));
  }
  CHECK(net_name(design.board, "A1") == "VDD");  // VDD(1) and VDD(2) are one supply
  CHECK(net_name(design.board, "C1") == "VDD");
  CHECK(net_name(design.board, "C3").empty());
  Diagnostics log;
  importers::ReadOptions options;
  options.package = "qfn9";
  const auto other = importers::read_bsdl(text, log, options);
  REQUIRE(other.has_value());
  CHECK(pin_of(other->board, "8")->function == "VSS(2)");
  options.package = "BGA99";
  CHECK_FALSE(importers::read_bsdl(text, log, options).has_value());
}

TEST_CASE("the makers' BSDL files have as many balls as boards/INDEX.md counts, none twice") {
  if (!testing::have_shared()) return;
  for (const auto& [file, package, balls] : {std::tuple<const char*, const char*, std::size_t>{
                                                 "STM32F302_F303_D_E_UFBGA100.bsd", "UFBGA100_PACKAGE", 100},
                                             {"STM32F469_F479_TFBGA216.bsd", "TFBGA216_PACKAGE", 214},
                                             {"STM32F469_F479_WLCSP168.bsd", "WLCSP168_PACKAGE", 168}}) {
    const std::string name(file);
    INFO(name);
    Diagnostics log;
    const auto design = importers::read_bsdl(
        testing::read_file(testing::shared_file(std::string("boards/bsdl/") + file)), log, {});
    REQUIRE(design.has_value());
    CHECK(design->board.pins.size() == balls);
    CHECK(design->board.parts.at(0).footprint == package);
    CHECK(log.entries().empty());
    CHECK(std::all_of(design->board.pins.begin(), design->board.pins.end(),
                      [](const Pin& p) { return parse_ball(p.number).has_value(); }));
    if (balls != 214) continue;
    CHECK(pin_of(design->board, "E9") == nullptr);
    CHECK(pin_of(design->board, "F8") == nullptr);
  }
}

TEST_CASE("a vector's pins run in the order of its range, up and down") {
  Diagnostics log;
  const auto design =
      importers::read_bsdl(bsdl("D : inout bit_vector(0 to 2); E : out bit_vector(5 downto 3)",
                                "constant P : PIN_MAP_STRING := \"D:(A1,A2,A3),E:(B1,B2,B3)\";\n"),
                           log, {});
  REQUIRE(design.has_value());
  CHECK(pin_of(design->board, "A3")->function == "D(2)");
  CHECK(pin_of(design->board, "B1")->function == "E(5)");
  CHECK(pin_of(design->board, "B3")->function == "E(3)");
  CHECK(net_name(design->board, "B3") == "E(3)");
  CHECK(log.entries().empty());
}

TEST_CASE("what does not fit in a pin map is said at its place, and the rest is kept") {
  Diagnostics log;
  const auto design = importers::read_bsdl(
      bsdl("A, B, LEFT : in bit; D : inout bit_vector(0 to 2)",
           "constant P : PIN_MAP_STRING := \"A:1, \" &\n -- here\n \"B:1, C:4, D:(5,6), A 7\";\n"),
      log, {});
  REQUIRE(design.has_value());
  CHECK(design->board.pins.size() == 3);
  std::multiset<std::string> codes;
  for (const Diagnostic& d : log.entries()) codes.insert(d.code);
  CHECK(codes == std::multiset<std::string>{"pin-twice", "port-unknown", "pin-count", "pin-map", "pin-map",
                                            "port-unmapped"});
  CHECK(log.entries().at(0).line == 8);  // B:1 behind the comment
}

TEST_CASE("BSDL without a default asks among several maps, without ports or maps it is refused") {
  const std::string maps =
      "constant P : PIN_MAP_STRING := \"A:1\";\nconstant Q : PIN_MAP_STRING := \"A:A1\";\n";
  CHECK(error_of(importers::read_bsdl, bsdl("A : in bit", maps)) ==
        "choice: the file has several pin maps, --package picks one: P, Q");
  CHECK(error_of(importers::read_bsdl, bsdl("A : in bit", maps, "Q")).empty());
  CHECK(error_of(importers::read_bsdl, bsdl("A : in bit", maps), "p").empty());
  CHECK(error_of(importers::read_bsdl, bsdl("A : in bit", "")).starts_with("format: "));
  CHECK(error_of(importers::read_bsdl, "entity X is\n").starts_with("format: "));
  CHECK(error_of(importers::read_bsdl, bsdl("A : in bit_vector(0 to 99999999999)", maps, "P"))
            .starts_with("format: "));
}

TEST_CASE("IBIS: the pins that boards/INDEX.md counts, with directions through selectors and models") {
  if (!testing::have_shared()) return;
  const auto small = testing::open_design(testing::shared_file("boards/ibis/pcieg5_16gt.ibs"));
  CHECK(small.format == "ibis");
  CHECK(small.version == "5.1");
  REQUIRE(small.board.pins.size() == 4);
  CHECK(small.board.pins[0].function == "TxP");
  CHECK(small.board.pins[0].type == PinType::kOutput);
  CHECK(small.board.pins[2].type == PinType::kInput);
  CHECK(small.notes.at(1) == "2 differential pairs: TxP/TxN, RxP/RxN");
  const auto large = testing::open_design(testing::shared_file("boards/ibis/sample1_public.ibs"));
  CHECK(large.version == "3.2");
  CHECK(large.board.parts.at(0).value == "WXY123");
  CHECK(large.board.pins.size() == 231);
}

TEST_CASE("IBIS: several components are a choice, bare dies and repeated names included") {
  const std::string text =
      "[Comment Char] #_char\n[IBIS_Ver] 7.0 # x\n[Component] RAM\n[Pin] signal_name model_name\nA1 DQ0 "
      "io\nA2 VDD POWER\n"
      "B1 VSS GND\nB2 NC NC\nB3\n[Component] RAM\n[pin] signal_name model_name\n1 DQ0 io\n"
      "[Diff_Pin] inv_pin vdiff\n1 9 0.1\n[Model Selector] io\nfast x\n[Model] fast\nModel_type "
      "I/O\n[End]\nnot read\n";
  CHECK(importers::is_ibis(text));
  CHECK(error_of(importers::read_ibis, text) ==
        "choice: the file has several components, --package picks one: RAM (4 pins), RAM#2 (1 pin)");
  Diagnostics log;
  importers::ReadOptions options;
  options.package = "ram";
  const auto design = importers::read_ibis(text, log, options);
  REQUIRE(design.has_value());
  CHECK(pin_of(design->board, "A1")->type == PinType::kBidirectional);
  CHECK(pin_of(design->board, "A2")->type == PinType::kPowerIn);
  CHECK(pin_of(design->board, "B2")->net == kNone);
  CHECK(log.count("pin") == 1);
  CHECK(log.entries().at(0).line == 9);
  options.package = "RAM#2";
  Diagnostics second;
  REQUIRE(importers::read_ibis(text, second, options).has_value());
  CHECK(second.count("pair") == 1);
  CHECK(error_of(importers::read_ibis, "[IBIS Ver] 3.2\n[Component] X\n[End]\n").starts_with("format: "));
}
