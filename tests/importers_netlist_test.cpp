// KiCad netlists, both forms: where a pin's own word comes from.
#include <algorithm>

#include <doctest/doctest.h>

#include "importers/design.hpp"
#include "importers/kicad_netlist/kicad_netlist.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

std::size_t named_pins(const Board& board) {
  return static_cast<std::size_t>(std::count_if(board.pins.begin(), board.pins.end(),
                                                [](const Pin& pin) { return !pin.function.empty(); }));
}

const std::string kSexpr =
    "(export (version D) (components"
    " (comp (ref U1) (value B) (libsource (lib L) (part B)))"
    " (comp (ref U2) (value A) (libsource (lib L) (part A)))"
    " (comp (ref U3) (value B) (libsource (lib M) (part B)))"
    " (comp (ref U4) (value C) (libsource (lib L) (part C))))"
    " (libparts (libpart (lib L) (part A) (aliases (alias B) (alias C))"
    "   (pins (pin (num 1) (name DQ0) (type BiDi)) (pin (num 2) (name ~) (type input))))"
    "  (libpart (lib L) (part C) (pins (pin (num 1) (name OWN) (type output)))))"
    " (nets (net (code 1) (name N) (node (ref U1) (pin 1)) (node (ref U1) (pin 2)) (node (ref U2) (pin 1))"
    "  (node (ref U3) (pin 1)) (node (ref U4) (pin 1)))))";

const std::string kXml =
    R"(<export version="D"><components><comp ref="U1"><value>B</value><libsource lib="L" part="B"/></comp>
<comp ref="U2"><value>A</value><libsource lib="L" part="A"/></comp>
<comp ref="U3"><value>B</value><libsource lib="M" part="B"/></comp>
<comp ref="U4"><value>C</value><libsource lib="L" part="C"/></comp></components>
<libparts><libpart lib="L" part="A"><aliases><alias>B</alias><alias>C</alias></aliases>
<pins><pin num="1" name="DQ0" type="BiDi"/><pin num="2" name="~" type="input"/></pins></libpart>
<libpart lib="L" part="C"><pins><pin num="1" name="OWN" type="output"/></pins></libpart></libparts>
<nets><net code="1" name="N"><node ref="U1" pin="1"/><node ref="U1" pin="2"/><node ref="U2" pin="1"/>
<node ref="U3" pin="1"/><node ref="U4" pin="1"/></net></nets></export>)";

}  // namespace

TEST_CASE("a part that the library knows by another name has its pins' words and types") {
  Diagnostics log;
  for (const bool xml : {false, true}) {
    CAPTURE(xml);
    const auto design =
        xml ? importers::read_kicad_netlist_xml(kXml, log) : importers::read_kicad_netlist(kSexpr, log);
    REQUIRE(design.has_value());
    const Board& board = design->board;
    REQUIRE(board.pins.size() == 5);
    CHECK(board.pins[0].function == "DQ0");  // U1 is a B, which is an A
    CHECK(board.pins[0].type == PinType::kBidirectional);
    CHECK(board.pins[1].function.empty());
    CHECK(board.pins[1].type == PinType::kInput);
    CHECK(board.pins[2].function == "DQ0");
    CHECK(board.pins[3].function.empty());   // the alias is of library L alone
    CHECK(board.pins[4].function == "OWN");  // a library part of its own goes before an alias
    CHECK(log.entries().empty());
  }
}

TEST_CASE("real netlists give every pin name that a count of their library parts, aliases included, gives") {
  if (!testing::have_shared()) return;
  // Counted apart from the importer: nodes whose component's library part, by name or alias, has a pin of
  // that number with a name other than "~".
  struct Truth {
    const char* file;
    std::size_t named;
  };
  for (const Truth& truth : {Truth{"reform2-keyboard.xml", 600}, Truth{"reform2-keyboard.net", 600},
                             Truth{"reform2-motherboard.net", 1148}}) {
    INFO(std::string(truth.file));
    CHECK(named_pins(testing::open_design(testing::shared_file(std::string("boards/netlist/") + truth.file))
                         .board) == truth.named);
  }
}

TEST_CASE("elements nested too deep are refused wherever they lie in an XML netlist") {
  const auto nested = [](std::size_t levels) {
    std::string text;
    for (std::size_t i = 0; i < levels; ++i) text += "<x>";
    for (std::size_t i = 0; i < levels; ++i) text += "</x>";
    return text;
  };
  const auto refused = [](const std::string& beside, const std::string& in_nets, const std::string& in_net,
                          const std::string& in_node) {
    landfall::Diagnostics log;
    const auto design = landfall::importers::read_design(
        "<export version=\"E\"><components><comp ref=\"R1\"/>" + beside + "</components><nets>" + in_nets +
            "<net code=\"1\" name=\"N\">" + in_net + "<node ref=\"R1\" pin=\"1\">" + in_node +
            "</node></net></nets></export>",
        "n.xml", log);
    return !design.ok() && design.error().message.find("256 deep") != std::string::npos;
  };
  CHECK_FALSE(refused(nested(200), nested(200), nested(200), nested(200)));
  const std::string deep = nested(300);
  CHECK(refused(deep, "", "", ""));
  CHECK(refused("", deep, "", ""));
  CHECK(refused("", "", deep, ""));
  CHECK(refused("", "", "", deep));
}
