// KiCad boards with something amiss: what cannot be read is left out alone, and said.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "importers/kicad_board/kicad_board.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

struct Read {
  Board board;
  Diagnostics log;
};

constexpr std::string_view kHead =
    "(kicad_pcb (version 20211014) (layers (0 \"F.Cu\" signal) (1 \"In1.Cu\" signal) (31 \"B.Cu\" signal)"
    " (44 \"Edge.Cuts\" user)) (net 0 \"\") (net 1 \"GND\") (net 2 \"SIG\") ";

Read read(const std::string& lists, std::string_view head = kHead) {
  Read result;
  auto design = importers::read_kicad_board(std::string(head) + lists + ")\n", result.log);
  REQUIRE(design.has_value());
  result.board = std::move(design->board);
  return result;
}

std::string part(const std::string& at, const std::string& pad) {
  return fmt::format("(footprint \"L:P\" (layer \"F.Cu\") {} (fp_text reference \"R1\") {})", at, pad);
}

const std::string kPad = "(pad \"1\" smd rect (at 1 0) (size 1 2) (layers \"F.Cu\") (net 2 \"SIG\"))";

}  // namespace

TEST_CASE("a list that closes too early is no whole board, nor a whole netlist") {
  Diagnostics log;
  const std::string board =
      "(kicad_pcb (version 20211014))\n  (segment (start 0 0) (end 1 1) (layer \"F.Cu\"))\n)\n";
  CHECK_FALSE(importers::read_kicad_board(board, log).has_value());
  REQUIRE(log.has_errors());
  CHECK(log.entries().front().line == 2);
  CHECK(log.entries().front().column == 3);
  Diagnostics words;
  const auto net = importers::read_design("(export (version D) (nets)) (nets))", "x.net", words);
  REQUIRE_FALSE(net.ok());
  CHECK(net.error().message.find("x.net:1:29: ") == 0);
}

TEST_CASE("a track, an arc or a via without a place, or of negative size, is left out and said") {
  const Read good = read(
      "(segment (start 0 0) (end 1 1) (width 0.1) (layer \"F.Cu\") (net 1))"
      "(arc (start 0 0) (mid 1 1) (end 2 0) (width 0.1) (layer \"F.Cu\") (net 1))"
      "(via (at 1 1) (size 0.6) (drill 0.3) (layers \"F.Cu\" \"B.Cu\") (net 1))");
  CHECK(good.board.tracks.size() == 1);
  CHECK(good.board.arcs.size() == 1);
  CHECK(good.board.vias.size() == 1);
  CHECK(good.log.entries().empty());
  for (const std::string list : {"(segment (end 1 1) (width 0.1) (layer \"F.Cu\") (net 1))",
                                 "(segment (start 0 0) (width 0.1) (layer \"F.Cu\") (net 1))",
                                 "(arc (start 0 0) (end 2 0) (width 0.1) (layer \"F.Cu\") (net 1))",
                                 "(via (size 0.6) (drill 0.3) (layers \"F.Cu\" \"B.Cu\") (net 1))"}) {
    CAPTURE(list);
    const Read file = read(list);
    CHECK(file.board.tracks.size() + file.board.arcs.size() + file.board.vias.size() == 0);
    CHECK(file.log.count("place") == 1);
  }
  for (const std::string list :
       {"(segment (start 0 0) (end 1 1) (width -0.1) (layer \"F.Cu\") (net 1))",
        "(via (at 1 1) (size -0.6) (drill 0.3) (layers \"F.Cu\" \"B.Cu\") (net 1))",
        "(via (at 1 1) (size 0.6) (drill -0.3) (layers \"F.Cu\" \"B.Cu\") (net 1))"}) {
    CAPTURE(list);
    const Read file = read(list);
    CHECK(file.board.tracks.size() + file.board.vias.size() == 0);
    CHECK(file.log.count("number") == 1);
  }
}

TEST_CASE("a pad or footprint whose place or size cannot be read keeps its pins and nets, without copper") {
  for (const std::string& list :
       {part("(at 10 10x)", kPad), part("", kPad), part("(at 10 10 9o)", kPad),
        part("(at 10 10)", "(pad \"1\" smd rect (at 1 0) (size 1 -2) (layers \"F.Cu\") (net 2 \"SIG\"))"),
        part("(at 10 10)", "(pad \"1\" smd rect (size 1 2) (layers \"F.Cu\") (net 2 \"SIG\"))")}) {
    CAPTURE(list);
    const Read file = read(list);
    REQUIRE(file.board.pins.size() == 1);
    CHECK(file.board.pins[0].net == 1);
    CHECK(file.board.lands.empty());
    CHECK(file.log.count("place") + file.log.count("number") == 1);
  }
  CHECK(read(part("(at 10 10)", kPad)).log.entries().empty());
  const Read off = read(part("(at 10 10)",
                             "(pad \"1\" smd rect (at 1 0) (size 1 2) (layers \"F/Cu\") (net 2 \"SIG\"))"
                             "(pad \"\" smd rect (at 1 0) (size 1 2) (layers \"F.Paste\"))"));
  CHECK(off.board.lands.empty());
  CHECK(off.log.count("layer") == 1);
  const Read odd = read(part("(at 10 10)", "(pad \"1\" sme rekt (at 1 0) (size 1 2) (layers \"F.Cu\"))"));
  CHECK(odd.board.lands.size() == 1);
  CHECK(odd.log.count("pad-type") == 1);
}

TEST_CASE("a fill with a point that cannot be read leaves the zone unknown, not a wrong shape") {
  const auto zone = [](const std::string& point, const std::string& layer) {
    return fmt::format(
        "(zone (net 1) (net_name \"GND\") (layer \"F.Cu\") (min_thickness 0.1) (fill yes)"
        " (filled_polygon (layer \"{}\") (pts (xy 0 0) (xy 5 0) (xy {}) (xy 0 5)))"
        " (filled_polygon (layer \"F.Cu\") (pts (xy 10 0) (xy 15 0) (xy 10 5))))",
        layer, point);
  };
  const Read good = read(zone("5 5", "F.Cu"));
  CHECK(good.board.fills.size() == 2);
  CHECK(good.board.zones[0].filled);
  for (const Read& file : {read(zone("5 5x", "F.Cu")), read(zone("5 5", "F/Cu"))}) {
    CHECK(file.board.fills.size() == 1);
    CHECK_FALSE(file.board.zones[0].filled);
    CHECK(file.log.entries().size() == 1);
  }
}

TEST_CASE("a version that cannot be true does not turn the layers around") {
  const std::string layers =
      " (layers (0 \"F.Cu\" signal) (4 \"In1.Cu\" signal) (6 \"In2.Cu\" signal) (2 \"B.Cu\" signal))";
  const std::vector<std::string> order{"F.Cu", "In1.Cu", "In2.Cu", "B.Cu"};
  for (const char* version : {"20241229", "20041229", "2O241229", "3"}) {
    CAPTURE(version);
    const Read file = read("", fmt::format("(kicad_pcb (version {}){}", version, layers));
    CHECK(file.board.layers == order);
  }
}

TEST_CASE("a net's number that is none takes the name beside it and makes up no net") {
  const Read file =
      read(part("(at 1 1)", "(pad \"1\" smd rect (at 1 0) (size 1 2) (layers \"F.Cu\") (net 2x \"SIG\"))") +
           "(segment (start 0 0) (end 1 1) (width 0.1) (layer \"F.Cu\") (net 1x))"
           "(via (at 1 1) (size 0.6) (drill 0.3) (layers \"F.Cu\" \"B.Cu\") (net 0 \"GND\"))");
  CHECK(file.board.nets.size() == 2);
  CHECK(file.board.pins[0].net == 1);
  CHECK(file.board.tracks[0].net == kNone);
  CHECK(file.log.count("net-unknown") == 2);
  CHECK(file.log.count("net-name") == 1);
}

TEST_CASE("drawings: curves are drawn, what cannot be read or lies on no layer is said") {
  const Read curve =
      read("(gr_curve (pts (xy 0 0) (xy 0 4) (xy 4 4) (xy 4 0)) (layer \"Edge.Cuts\") (width 0.1))");
  REQUIRE(curve.board.outline.size() == 16);
  CHECK(curve.board.outline[7].to ==
        Point{2'000'000, -3'000'000});  // the middle: (P0 + 3 P1 + 3 P2 + P3) / 8
  CHECK(curve.log.entries().empty());
  const Read bad = read(
      "(gr_line (start 0 0) (end 1 x1) (layer \"Edge.Cuts\") (width 0.1))"
      "(gr_line (start 0 0) (layer \"Edge.Cuts\") (width 0.1))"
      "(gr_line (start 0 0) (end 1 1) (layer \"Udge.Cuts\") (width 0.1))");
  CHECK(bad.board.outline.empty());
  CHECK(bad.log.count("number") == 1);
  CHECK(bad.log.count("place") == 1);
  CHECK(bad.log.count("layer") == 1);
}

TEST_CASE("words that are not known, and quotes out of place, are said once") {
  const Read file =
      read("(segmenu (start 0 0)) (segmenu (start 0 0))" +
           part("(at 1 1)", "(pae \"1\" smd rect (at 1 0) (size 1 2) (layers \"F.Cu\"))" + kPad));
  CHECK(file.log.count("unknown") == 2);
  const Read quote = read("(title_block (title \"\"A\"\") (rev 1))");
  CHECK(quote.log.count("quote") == 1);
}
