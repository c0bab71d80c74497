// KiCad netlists, both forms: where a pin's own word comes from.
#include <algorithm>
#include <array>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include <doctest/doctest.h>

#include "importers/design.hpp"
#include "importers/kicad_netlist/kicad_netlist.hpp"
#include "importers/kicad_netlist/nets_apart.hpp"
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

// What may mislead a reader that cuts the list of nets by words.
constexpr std::array<std::string_view, 18> kTraps{
    "<!-- </net> -->",
    "<!-- </nets> <nets> -->",
    "<!-- <net code=\"9\" name=\"C\"><node ref=\"R1\" pin=\"9\"/></net> -->",
    "<![CDATA[</net><net>]]>",
    "<?note </net> ?>",
    "<?xml version=\"1.0\"?>",
    "<!DOCTYPE x>",
    "<x y=\"</net>\"/>",
    "<x y='</nets>'/>",
    "<nets><net name=\"inner\"><node ref=\"R1\" pin=\"8\"/></net></nets>",
    "</nets><nets>",
    "</nets><other/><nets>",
    "</net></net>",
    "text &amp; more",
    "<net name=\"nested\"><net name=\"deeper\"><node ref=\"R2\" pin=\"7\"/></net></net>",
    "<net name=\"a&lt;b\nc\x02\"><node pin=\"3\"/><node ref=\"R\" pin=\"&quot;\x01\"/></net>",
    "<net name=\"empty\"/>",
    "<net>",
};

// A netlist whose list of nets begins with `opens` on a line of its own. `odds`: one net in so many is
// preceded by a trap, or holds one.
std::string random_netlist(unsigned seed, std::string_view opens, unsigned odds) {
  std::mt19937 random(seed);
  const auto below = [&](unsigned n) { return static_cast<unsigned>(random() % n); };
  std::string text = "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<export version=\"E\">\n<components>\n";
  for (unsigned i = 0; i < 40; ++i)
    text += "<comp ref=\"R" + std::to_string(i) + "\"><value>v</value></comp>\n";
  text += "</components>\n" + std::string(opens) + "\n";
  const unsigned nets = 300 + below(600);
  const auto trap = [&] {
    if (odds != 0 && below(odds) == 0) text += kTraps[below(kTraps.size())];
  };
  for (unsigned net = 0; net < nets; ++net) {
    trap();
    text += "<net code=\"" + std::to_string(net) + "\" name=\"N" + std::to_string(below(2 * nets)) + "\">\n";
    trap();
    // One net in 300 is longer than a piece, as a supply's may be.
    for (unsigned node = below(300) == 0 ? 2000 : below(6); node > 0; --node) {
      if (node > 6 && below(500) == 0) trap();
      text += "  <node ref=\"R" + std::to_string(below(44)) + "\" pin=\"" + std::to_string(below(4 * nets)) +
              "\" pinfunction=\"F\" pintype=\"input\"/>\n";
    }
    text += "</net>\n";
  }
  text += "</nets>\n</export>\n";
  if (odds != 0 && below(8) == 0) text.resize(text.size() - below(static_cast<unsigned>(text.size())));
  return text;
}

using Words = std::vector<std::tuple<std::size_t, std::size_t, std::string, std::string>>;
Words words_of(const Diagnostics& log) {
  Words words;
  for (const Diagnostic& d : log.folded()) words.emplace_back(d.line, d.column, d.code, d.message);
  return words;
}

}  // namespace

TEST_CASE("a list of nets read in pieces is what it is in one tree") {
  // "<nets >" is read in one tree, since only the plain tag is looked for: the longer way is the oracle.
  std::size_t cut = 0;  // into several pieces
  std::size_t read = 0;
  std::size_t refused = 0;
  for (unsigned seed = 0; seed < 64; ++seed) {
    const unsigned odds = std::array<unsigned, 4>{0, 2000, 400, 40}[seed % 4];
    CAPTURE(seed);
    const std::string text = random_netlist(seed, "<nets>", odds);
    if (const auto apart = importers::nets_apart(text))
      cut += apart->piece(text, apart->begin).text.size() < apart->end - apart->begin ? 1U : 0U;
    Diagnostics pieces_log;
    Diagnostics whole_log;
    const auto pieces = importers::read_kicad_netlist_xml(text, pieces_log);
    const auto whole = importers::read_kicad_netlist_xml(random_netlist(seed, "<nets >", odds), whole_log);
    REQUIRE(pieces.has_value() == whole.has_value());
    (whole ? read : refused) += 1;
    if (whole) CHECK(pieces->board == whole->board);
    // Only the place of a fault of the whole file may move, with the byte that the tag is longer.
    if (whole) CHECK(words_of(pieces_log) == words_of(whole_log));
    CHECK(pieces_log.has_errors() == whole_log.has_errors());
  }
  CHECK(cut >= 30);
  CHECK(read >= 30);
  CHECK(refused >= 6);
}

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

TEST_CASE("an XML netlist that is cut off is said to be so with a place") {
  const std::size_t first = kXml.find("<components") + 12;
  std::size_t tried = 0;
  for (std::size_t size = first; size < kXml.size(); size += 7) {
    CAPTURE(size);
    Diagnostics log;
    const auto design = importers::read_design(std::string_view(kXml).substr(0, size), "half.xml", log);
    REQUIRE_FALSE(design.ok());
    CHECK(design.error().message.find("the file is cut off") != std::string::npos);
    CHECK(design.error().message.starts_with("half.xml:"));
    ++tried;
  }
  CHECK(tried > 100);
  Diagnostics log;
  std::string bad = kXml;
  bad.replace(bad.find("</net>"), 6, "</nut>");
  const auto design = importers::read_design(bad, "bad.xml", log);
  REQUIRE_FALSE(design.ok());
  CHECK(design.error().message.find("cut off") == std::string::npos);
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
