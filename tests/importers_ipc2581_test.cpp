// IPC-2581 against the public test cases and a KiCad export in ../shared/boards, and small files made here.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <doctest/doctest.h>

#include "importers/ipc_2581/ipc_2581.hpp"
#include "importers/ipc_2581/reader.hpp"
#include "importers/text/xml.hpp"
#include "netdb/model/board_index.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

importers::Design read(const std::string& text, Diagnostics& log) {
  auto design = importers::read_ipc_2581(text, log);
  for (const Diagnostic& d : log.entries()) {
    if (d.severity == Severity::kError) FAIL_CHECK(placed(d));
  }
  REQUIRE(design.has_value());
  return std::move(*design);
}

std::size_t netted(const Board& board) {
  return static_cast<std::size_t>(
      std::count_if(board.pins.begin(), board.pins.end(), [](const Pin& p) { return p.net != kNone; }));
}

// Twice the area of a ring by the winding rule: seams of no width count nothing.
double area(const std::vector<Point>& ring) {
  double sum = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[(i + 1) % ring.size()];
    sum += static_cast<double>(a.x) * static_cast<double>(b.y) -
           static_cast<double>(b.x) * static_cast<double>(a.y);
  }
  return sum / 2e12;  // mm2
}

std::string board_text(const std::string& sets, const std::string& more = "") {
  return R"(<?xml version="1.0"?><i:IPC-2581 revision="C" xmlns:i="http://webstds.ipc.org/2581"><i:Content>
<i:FunctionMode mode="ASSEMBLY"/><i:StepRef name="S"/>
<i:DictionaryStandard units="MILLIMETER"><i:EntryStandard id="B"><i:Circle diameter="0.4"/></i:EntryStandard></i:DictionaryStandard>
</i:Content><i:Ecad><i:CadHeader units="MILLIMETER"/><i:CadData>
<i:Layer name="T" layerFunction="SIGNAL" side="TOP"/><i:Layer name="U" layerFunction="SIGNAL" side="BOTTOM"/>
<i:Step name="S"><i:Package name="P"><i:Pin number="PIN_1"><i:Location x="1" y="0"/></i:Pin></i:Package>
<i:Component refDes="CMP_U1" packageRef="P" layerRef="T"><i:Location x="5" y="5"/></i:Component>)" +
         more + "<i:LayerFeature layerRef=\"T\">" + sets +
         "</i:LayerFeature></i:Step></i:CadData></i:Ecad></i:IPC-2581>";
}

}  // namespace

TEST_CASE("the public test cases have the parts, pins and nets that were counted in them: boards/INDEX.md") {
  if (!testing::have_shared()) return;
  SUBCASE("case 10, assembly mode: nets stand in the sets alone, and Unused_ is no net") {
    const auto design =
        testing::open_design(testing::shared_file("boards/ipc2581/testcase10-RevC-Assembly.xml"));
    const Board& board = design.board;
    CHECK(design.version == "C");
    CHECK(board.parts.size() == 56);
    // INDEX.md counts 514 nets and 1746 pins on them, the 127 of unconnected pins (a plain count of the names
    // that begin with Unused_) included.
    CHECK(board.nets.size() == 514 - 127);
    CHECK(netted(board) == 1746 - 127);
    const BoardIndex index(board);
    for (const auto& [ref, balls] :
         {std::pair<const char*, std::size_t>{"U1", 576}, {"U3", 484}, {"U2", 484}})
      CHECK(index.pins_of_part(index.part(ref)).size() == balls);
    // A plain count of the file: 1759 holes of vias; plated holes that meet no pin come on top.
    CHECK(board.vias.size() >= 1759);
    CHECK(board.layers.size() == 2);
  }
  SUBCASE("case 12, full mode: the list of nets and the sets agree") {
    Diagnostics log;
    const std::string text =
        testing::read_file(testing::shared_file("boards/ipc2581/testcase12-rdgflx-full.xml"));
    const auto design = read(text, log);
    const Board& board = design.board;
    CHECK(board.parts.size() == 60);
    CHECK(board.nets.size() == 79 - 16);  // 16 names begin with Unused_
    CHECK(netted(board) == 238 - 16);
    CHECK(log.count("net-differs") == 0);
    CHECK(board.layers ==
          std::vector<std::string>{"TOP", "LAYER_2", "LAYER_3", "LAYER_4", "LAYER_5", "BOTTOM"});
    CHECK(board.fills.size() == 9);
  }
  SUBCASE("KiCad 9, assembly mode: nets stand in the sets alone") {
    const auto design = testing::open_design(testing::shared_file("boards/ipc2581/kicad9-DM0002.xml"));
    CHECK(design.board.parts.size() == 59);
    CHECK(design.board.nets.size() == 64);
    CHECK(netted(design.board) == 210);
    CHECK(design.board.vias.size() == 60);
    CHECK(design.board.holes.size() == 2);
  }
  SUBCASE("a list of material has no pins, and says so") {
    Diagnostics log;
    const auto design =
        read(testing::read_file(testing::shared_file("boards/ipc2581/testcase10-RevC-BOM.xml")), log);
    CHECK(design.board.pins.empty());
    REQUIRE(log.count("no-pins") == 1);
    CHECK(log.entries().back().message.find("BOM mode") != std::string::npos);
  }
}

TEST_CASE("pads lie where component and package put them: turned, then mirrored (IPC-2581C 3.3, case 12)") {
  if (!testing::have_shared()) return;
  // The file without its copper: every pin is then placed from its package.
  std::string text = testing::read_file(testing::shared_file("boards/ipc2581/testcase12-rdgflx-full.xml"));
  Diagnostics log;
  const auto whole = read(text, log);
  for (std::size_t at = text.find("<LayerFeature"); at != std::string::npos;
       at = text.find("<LayerFeature", at)) {
    const std::string end = "</LayerFeature>";
    text.erase(at, text.find(end, at) + end.size() - at);
  }
  const auto bare = read(text, log);
  CHECK(log.count("no-pad") == 1);
  const BoardIndex a(whole.board);
  const BoardIndex b(bare.board);
  std::size_t mirrored = 0;
  std::size_t fit = 0;
  for (const Land& land : bare.board.lands) {
    const Part& part = bare.board.parts[land.part];
    if (part.side != Side::kBottom) continue;
    const Index pin = a.pin(a.part(part.reference), bare.board.pins[land.pin].number);
    if (pin == kNone || a.lands_of_pin(pin).empty()) continue;
    ++mirrored;
    for (const Index other : a.lands_of_pin(pin)) {
      if (distance(whole.board.lands[other].at, land.at) <= 26'000) {  // 0.001 inch
        ++fit;
        break;
      }
    }
  }
  // FORMATS.md 4.3 counted 102 of 102 mirrored pins; mechanical ones among them are no pins here.
  CHECK(mirrored >= 90);
  CHECK(fit == mirrored);
}

TEST_CASE("lengths keep every nanometre in each unit, exponents included, and refuse what is no number") {
  using importers::ipc_2581::parse_length;
  const importers::ipc_2581::Unit inch{25'400'000};
  const importers::ipc_2581::Unit mm{1'000'000};
  CHECK(parse_length("0.0150", inch) == 381'000);
  CHECK(parse_length("-1.0250", inch) == -26'035'000);
  CHECK(parse_length("5.959E1", mm) == 59'590'000);
  CHECK(parse_length(" 38.100000 ", mm) == 38'100'000);
  CHECK(parse_length("0.0000005", mm) == 1);
  CHECK(parse_length("1234.5", {1'000}) == 1'234'500);
  // As they are written plainly and otherwise: signs, points without digits, more decimals than count, 10 m.
  CHECK(parse_length("+7.", mm) == 7'000'000);
  CHECK(parse_length("-.5", mm) == -500'000);
  CHECK(parse_length("7.", mm) == 7'000'000);
  CHECK(parse_length("0.123456789", mm) == 123'457);
  CHECK(parse_length("0.12345678", mm) == 123'457);
  CHECK(parse_length("0.00000000000000000000", mm) == 0);
  CHECK(parse_length("00000000000000000001", mm) == 1'000'000);
  CHECK(parse_length("10000", mm) == 10'000'000'000);
  CHECK(parse_length("-10000.0", mm) == -10'000'000'000);
  CHECK(parse_length("393.70078740", inch) == 10'000'000'000);
  for (const char* far : {"10000.000001", "-10001", "393.7008", "9999999999999999", "10000000000"})
    CHECK_FALSE(parse_length(far, far[0] == '3' ? inch : mm).has_value());
  for (const char* bad : {"", "nan", "inf", "1,5", "0x10", "1e999", "99999999999999999999", "-", "1.2.3"})
    CHECK_FALSE(parse_length(bad, mm).has_value());
}

TEST_CASE("an area with holes is one ring of the same area, and no seam crosses a hole") {
  using importers::ipc_2581::Ring;
  const auto square = [](Nm x, Nm y, Nm size) {
    return Ring{{x, y}, {x + size, y}, {x + size, y + size}, {x, y + size}};
  };
  const Nm mm = kNmPerMm;
  std::size_t budget = 1'000'000;
  std::vector<Ring> holes;
  for (Nm i = 0; i < 4; ++i) {
    for (Nm k = 0; k < 4; ++k) holes.push_back(square((1 + 5 * i) * mm, (1 + 5 * k) * mm, 3 * mm));
  }
  const auto ring = importers::ipc_2581::slit(square(0, 0, 20 * mm), holes, budget);
  REQUIRE(ring.has_value());
  CHECK(area(*ring) == doctest::Approx(400 - 16 * 9));
  for (const Ring& hole : holes) {
    // The middle of a hole is more than 1 mm from every edge.
    const Point middle{(hole[0].x + hole[2].x) / 2, (hole[0].y + hole[2].y) / 2};
    for (std::size_t i = 0; i < ring->size(); ++i) {
      const Point a = (*ring)[i];
      const Point b = (*ring)[(i + 1) % ring->size()];
      if (a.y != b.y || std::min(a.x, b.x) > middle.x || std::max(a.x, b.x) < middle.x) continue;
      CHECK(std::abs(a.y - middle.y) >= mm);
    }
  }
  std::size_t small = 10;
  CHECK_FALSE(importers::ipc_2581::slit(square(0, 0, 20 * mm), holes, small).has_value());
}

TEST_CASE("a prefix that all names of a file have is taken off, a namespace prefix means nothing") {
  Diagnostics log;
  const auto design =
      read(board_text(R"(<i:Set net="NET_GND"><i:Pad><i:Location x="6" y="5"/><i:StandardPrimitiveRef id="B"/>
<i:PinRef componentRef="CMP_U1" pin="PIN_1"/></i:Pad></i:Set>)"),
           log);
  REQUIRE(design.board.parts.size() == 1);
  CHECK(design.board.parts[0].reference == "U1");
  CHECK(design.board.pins.at(0).number == "1");
  CHECK(design.board.nets.at(0).name == "GND");
  CHECK(design.board.lands.at(0).at == Point{6'000'000, 5'000'000});
}

TEST_CASE("a negative within an area is cut out of it exactly, across its edge the copper is not known") {
  const std::string plane =
      R"(<i:Set net="GND"><i:Features><i:Contour><i:Polygon><i:PolyBegin x="0" y="0"/><i:PolyStepSegment x="9" y="0"/>
<i:PolyStepSegment x="9" y="9"/></i:Polygon></i:Contour></i:Features></i:Set>)";
  const auto cut = [](const char* x, const char* y) {
    return std::string(R"(<i:Set polarity="NEGATIVE"><i:Pad><i:Location x=")") + x + "\" y=\"" + y +
           R"("/><i:StandardPrimitiveRef id="B"/></i:Pad></i:Set>)";
  };
  const auto unknown = [](const Board& board) {
    return std::any_of(board.zones.begin(), board.zones.end(), [](const Zone& z) { return !z.filled; });
  };
  Diagnostics log;
  const auto whole = read(board_text(plane), log).board;
  REQUIRE(whole.fills.size() == 1);
  CHECK_FALSE(unknown(whole));
  const auto holed = read(board_text(plane + cut("5", "2") + cut("7", "2") + cut("7", "4")), log).board;
  REQUIRE(holed.fills.size() == 1);
  // Three discs of 0.4 mm, drawn with 72 corners each: 0.13 % short of the circle.
  CHECK(area(holed.fills[0].ring) ==
        doctest::Approx(area(whole.fills[0].ring) - 3 * 0.12566).epsilon(0.0001));
  CHECK_FALSE(unknown(holed));
  CHECK(log.count("negative") == 0);
  for (const auto& more : {cut("5", "0.1"), cut("5", "2") + cut("5.2", "2")}) {
    Diagnostics doubted;
    const auto board = read(board_text(plane + more), doubted).board;
    CHECK(board.fills.empty());
    CHECK(unknown(board));
    CHECK(doubted.count("negative") == 1);
  }
  // Drawn before the area, it takes nothing of it; beside it neither.
  CHECK_FALSE(unknown(read(board_text(cut("5", "2") + plane + cut("1", "8")), log).board));
}

TEST_CASE("tracks and pads under a negative, and a layer drawn in the negative, count as not known, by net") {
  const std::string track =
      R"(<i:Set net="SIG"><i:Features><i:UserSpecial><i:Line startX="1" startY="1" endX="8" endY="1"><i:LineDesc lineWidth="0.2"/>
</i:Line></i:UserSpecial></i:Features></i:Set>)";
  const std::string cut =
      R"(<i:Set polarity="NEGATIVE"><i:Pad><i:Location x="5" y="1"/><i:StandardPrimitiveRef id="B"/></i:Pad></i:Set>)";
  Diagnostics log;
  const auto board = read(board_text(track + cut), log).board;
  CHECK(board.tracks.size() == 1);
  REQUIRE(board.zones.size() == 1);
  CHECK_FALSE(board.zones[0].filled);
  CHECK(board.nets.at(board.zones[0].net).name == "SIG");
  CHECK(log.count("negative") == 1);
  std::string plane = board_text(
      R"(<i:Set net="GND"><i:Pad><i:Location x="1" y="1"/><i:StandardPrimitiveRef id="B"/></i:Pad></i:Set>)");
  plane.replace(plane.find("side=\"TOP\""), 10, "side=\"TOP\" polarity=\"NEGATIVE\"");
  Diagnostics other;
  const auto inner = read(plane, other).board;
  CHECK(std::none_of(inner.lands.begin(), inner.lands.end(), [](const Land& l) { return l.pin == kNone; }));
  REQUIRE(inner.zones.size() == 1);
  CHECK(inner.nets.at(inner.zones[0].net).name == "GND");
  CHECK_FALSE(inner.zones[0].filled);
  CHECK(other.count("negative") == 1);
}

TEST_CASE("without units, cut off or nested too deep: one error with a place") {
  const auto error = [](const std::string& text) {
    Diagnostics log;
    const auto design = importers::read_design(text, "x.xml", log);
    return design.ok() ? std::string() : design.error().message;
  };
  std::string text = board_text("");
  CHECK(error(text).empty());
  const auto units = text.find("CadHeader units");
  CHECK(error(std::string(text).replace(units, 28, "CadHeader")).find("units") != std::string::npos);
  CHECK(error(text.substr(0, text.size() - 20)).starts_with("x.xml:"));
  std::string deep = "<IPC-2581>\n";
  for (int i = 0; i < 300; ++i) deep += "<a>";
  CHECK(error(deep).find("x.xml:2:") == 0);
}

TEST_CASE("a section's tags end at the first closing sign outside quotes of either kind") {
  const std::string_view first = R"(<LayerFeature a="1>2" b='"'><Set n='>' m=">"/></LayerFeature>)";
  const std::string_view second = R"(<p:LayerFeature c="'>"/>)";
  const std::string bytes =
      "<r x='>'>" + std::string(first) + "<!-- <LayerFeature> -->" + std::string(second) + "</r>";
  const auto split = importers::split_sections(bytes, "LayerFeature");
  REQUIRE(split.sections.size() == 2);
  CHECK(split.sections[0] == first);
  CHECK(split.sections[1] == second);
  CHECK(importers::split_sections("<r a=\"<LayerFeature/>", "LayerFeature").sections.empty());
}
