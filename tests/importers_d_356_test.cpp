// IPC-D-356 record by record: what belongs together, what stands beside its columns, what only the whole file
// tells. The rules are those of the standard's public summary, IPC-D-356A; writers' habits as seen in real
// files.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "importers/ipc_d_356/ipc_d_356.hpp"
#include "netdb/model/board_index.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

struct Read {
  Board board;
  Diagnostics log;

  // The pin's number in the board's list; fails the test when there is none.
  [[nodiscard]] Index pin(const std::string& reference, const std::string& number) const {
    for (Index i = 0; i < board.pins.size(); ++i) {
      if (board.pins[i].number == number && board.parts[board.pins[i].part].reference == reference) return i;
    }
    FAIL_CHECK("no pin ", reference, ".", number);
    return kNone;
  }
  [[nodiscard]] std::vector<Land> lands(const std::string& reference, const std::string& number) const {
    std::vector<Land> found;
    const Index wanted = pin(reference, number);
    std::copy_if(board.lands.begin(), board.lands.end(), std::back_inserter(found),
                 [wanted](const Land& land) { return land.pin == wanted && wanted != kNone; });
    return found;
  }
  [[nodiscard]] std::string net(const std::string& reference, const std::string& number) const {
    const Index p = pin(reference, number);
    return p == kNone || board.pins[p].net == kNone ? "" : board.nets[board.pins[p].net].name;
  }
};

Read read(const std::string& records, const std::string& head = "P  UNITS CUST 0\n") {
  Read result;
  auto design = importers::read_ipc_d_356(head + records + "999\n", result.log);
  REQUIRE(design.has_value());
  result.board = std::move(design->board);
  return result;
}

constexpr Nm kMil = 25'400;

// Columns:      1   4             18 21    27   32     39 42      50      58   63   68  73
const std::string kTopPad = "327GND              U1    -A1         A01X+009750Y-009750X0150Y0000R000 S2\n";
const std::string kBottomPad = "327SIG              U2    -B1         A02X+014750Y-010250X0150Y0000R000 S1\n";

}  // namespace

TEST_CASE("a continuation of a record that was skipped is skipped with it, and said") {
  // The head's X is no number; its 027 must not become a land of U1.A1, which stands before it.
  const Read file =
      read(kTopPad +
           "327SIG              U3    -7          A01X+0x9750Y-001000X0150Y0000R000 S2\n"
           "027                                   A01X+020000Y-001000X0150Y0000R000 S2\n" +
           kBottomPad + "027                                   A02X+021000Y-001000X0150Y0000\n");
  CHECK(file.lands("U1", "A1").size() == 1);
  CHECK(file.lands("U2", "B1").size() == 2);
  CHECK(file.log.count("number") == 1);
  CHECK(file.log.count("continuation") == 1);

  SUBCASE("so is one whose head lies too far out, has no place, or is of another kind") {
    for (const std::string head : {"327SIG              U3    -7          A01                \n",
                                   "317SIG              VIA        MD0100PA00\n",
                                   "390SIG              U3    -7          A01X+009750Y-001000X0150\n",
                                   "3?7SIG              U3    -7          A01X+009750Y-001000X0150\n"}) {
      CAPTURE(head);
      const Read other =
          read(kTopPad + head + "027                                   A01X+020000Y-001000X0150Y0000\n");
      CHECK(other.board.lands.size() == 1);
      CHECK(other.log.count("continuation") == 1);
    }
    const Read far = read(kTopPad +
                              "327SIG              U3    -7          A01X+9999999-999999X0150Y0000R000 S2\n"
                              "027                                   A01X+020000Y-001000X0150Y0000\n",
                          "P  UNITS CUST 0\n");
    CHECK(far.board.lands.size() == 1);
    CHECK(far.log.count("continuation") == 1);
  }

  SUBCASE("so is a coordinate chain that goes on after a fault") {
    const Read chain = read(kTopPad +
                            "378GND            L01 X0050 X+010000Y-010000 X+01z500\n"
                            "078                   X+018000Y-010000 X+019000\n");
    CHECK(chain.board.tracks.empty());
    CHECK(chain.log.count("conductor") == 1);
    CHECK(chain.log.count("continuation") == 1);
  }
}

TEST_CASE("017 and 027 have their own side, size and hole") {
  const Read file = read(
      "327SIG              J1    -1          A01X+001000Y-001000X0300Y0500R090 S2\n"
      "027                                   A02X+002000Y-001000X0200Y0000R000 S1\n"
      "017                             D0400PA00X+003000Y-001000X0680Y0680R000 S0\n" +
      kTopPad + kBottomPad);
  const auto lands = file.lands("J1", "1");
  REQUIRE(lands.size() == 3);
  CHECK(lands[0].side == Side::kTop);
  CHECK(lands[1].side == Side::kBottom);
  CHECK(lands[1].layers == layer_bit(1));
  CHECK(lands[1].width == 20 * kMil);
  CHECK(lands[1].height == 20 * kMil);
  CHECK(lands[1].shape == LandShape::kCircle);
  CHECK(lands[1].angle == 0.0);
  CHECK(lands[1].drill == 0);
  CHECK(lands[2].side == Side::kThrough);
  CHECK(lands[2].drill == 40 * kMil);
  CHECK(lands[2].width == 68 * kMil);
  CHECK(lands[2].net == lands[0].net);
}

TEST_CASE("a hole's pad in a record of its own is no second land, a pad on the other side is") {
  const Read file = read(
      "317SIG              J1    -1    D0400PA00X+001000Y-001000\n"
      "027                                   A01X+001000Y-001000X0680Y0680R000 S0\n"
      "327SIG              J1    -2          A01X+002000Y-001000X0300Y0500R000 S2\n"
      "027                                   A02X+002000Y-001000X0200Y0500R000 S1\n" +
      kBottomPad);
  REQUIRE(file.lands("J1", "1").size() == 1);
  CHECK(file.lands("J1", "1")[0].width == 68 * kMil);
  CHECK(file.lands("J1", "1")[0].side == Side::kThrough);
  const auto both = file.lands("J1", "2");
  REQUIRE(both.size() == 2);
  CHECK(both[0].width == 30 * kMil);
  CHECK(both[1].width == 20 * kMil);
  CHECK(both[1].side == Side::kBottom);
}

TEST_CASE("a further hole or pad of a via is kept") {
  const Read file = read(
      "317SIG              VIA        MD0100PA00X+001000Y-001000X0200Y0000R000 S0\n"
      "017                             D0100PA00X+002000Y-001000X0220Y0000R000 S0\n"
      "027                                   A01X+003000Y-001000X0150Y0000R000 S0\n" +
      kTopPad);
  REQUIRE(file.board.vias.size() == 2);
  CHECK(file.board.vias[1].at == Point{200 * kMil, -100 * kMil});
  CHECK(file.board.vias[1].diameter == 22 * kMil);
  CHECK(file.board.vias[1].net == file.board.vias[0].net);
  REQUIRE(file.board.lands.size() == 2);
  CHECK(file.board.lands[0].pin == kNone);
  CHECK(file.board.lands[0].net == file.board.vias[0].net);
}

TEST_CASE("a line that stands one column to the right keeps its side, hole and names") {
  const std::string right = "327SIG              U2    -B2          A02X+014850Y-010250X0150Y0000R000 S1\n";
  const Read file = read(kTopPad + kBottomPad + right);
  REQUIRE(file.lands("U2", "B2").size() == 1);
  CHECK(file.lands("U2", "B2")[0].side == Side::kBottom);
  CHECK(file.lands("U2", "B2")[0].at == Point{1485 * kMil, -1025 * kMil});
  CHECK(file.log.count("columns") == 1);

  SUBCASE("where a net of 15 signs moved everything") {
    const Read net = read(kBottomPad +
                          "317/FIFTEEN_SIGNS_   J12345-A123 D0400PA00X+005000Y-010000X0680Y0680R000 S0\n"
                          "327/FIFTEEN_SIGNS_   J2    -7          A02X+006000Y-010000X0680Y0680R000 S1\n");
    REQUIRE(net.lands("J12345", "A123").size() == 1);
    CHECK(net.lands("J12345", "A123")[0].drill == 40 * kMil);
    CHECK(net.lands("J12345", "A123")[0].side == Side::kThrough);
    CHECK(net.net("J12345", "A123") == "/FIFTEEN_SIGNS_");
    REQUIRE(net.lands("J2", "7").size() == 1);
    CHECK(net.lands("J2", "7")[0].side == Side::kBottom);
  }

  SUBCASE("where a pin of 5 signs did") {
    const Read pin =
        read(kBottomPad + "327SIG              U3    -AB123       A02X+006000Y-010000X0150Y0000R000 S1\n");
    REQUIRE(pin.lands("U3", "AB123").size() == 1);
    CHECK(pin.lands("U3", "AB123")[0].side == Side::kBottom);
  }

  SUBCASE("where a drill of 5 digits did, and its unplated hole stays one") {
    const Read drill = read(kTopPad +
                            "317SIG              J3    -1   MD11811PA00X+005000Y-010000X0680Y0680R000 S0\n"
                            "367                             D11811UA00X+007000Y-010000\n");
    REQUIRE(drill.lands("J3", "1").size() == 1);
    CHECK(drill.lands("J3", "1")[0].drill == Nm{11811} * kNmPerTenthMil);
    REQUIRE(drill.board.holes.size() == 1);
    CHECK(drill.board.holes[0].drill == Nm{11811} * kNmPerTenthMil);
  }
}

TEST_CASE("an access number of one digit loses no record") {
  const Read file = read(kTopPad + kBottomPad +
                         "327SIG              U2    -B3         A2X+014850Y-010250X0150Y0000R090 S1\n"
                         "317SIG              VIA        MD0100PA0X+014000Y-010000X0200Y0000R000 S3\n");
  REQUIRE(file.lands("U2", "B3").size() == 1);
  CHECK(file.lands("U2", "B3")[0].side == Side::kBottom);
  CHECK(file.lands("U2", "B3")[0].at == Point{1485 * kMil, -1025 * kMil});
  CHECK(file.lands("U2", "B3")[0].angle == 90.0);
  REQUIRE(file.board.vias.size() == 1);
  CHECK(file.board.vias[0].diameter == 20 * kMil);
  CHECK(file.board.vias[0].drill == 10 * kMil);
}

TEST_CASE("a pin number stands once in a part, however many nets share a cut name") {
  std::string records;
  for (int i = 0; i < 5; ++i) {
    for (int pin = 1; pin <= 2; ++pin) {
      records +=
          fmt::format("327NET{}_{}           CHOKE1-{}           A01X+00{}{}00Y-001000X0150Y0000R000 S2\n", i,
                      pin, pin, i, pin);
    }
  }
  // Again with other places, and a part that has such a name by itself.
  for (int i = 0; i < 5; ++i) {
    records +=
        fmt::format("327NET{}_1           CHOKE1-1           A01X+00{}500Y-001000X0150Y0000R000 S2\n", i, i);
  }
  records += "327OWN              X#2   -1          A01X+007500Y-001000X0150Y0000R000 S2\n";
  records += "327ONE              X     -1          A01X+008500Y-001000X0150Y0000R000 S2\n";
  records += "327TWO              X     -1          A01X+009500Y-001000X0150Y0000R000 S2\n";
  const Read file = read(records);
  std::set<std::pair<Index, std::string>> names;
  for (const Pin& pin : file.board.pins) CHECK(names.insert({pin.part, pin.number}).second);
  CHECK(file.board.pins.size() == 13);
  CHECK(file.net("CHOKE1", "2") == "NET0_2");
  CHECK(file.net("CHOKE1#5", "1") == "NET4_1");
  CHECK(file.lands("CHOKE1#5", "1").size() == 2);
  CHECK(file.net("X#2", "1") == "OWN");
  CHECK(file.net("X#3", "1") == "TWO");
  CHECK(file.log.count("truncated") == 9);
}

TEST_CASE("of many thousand records and points each comes once and in its place") {
  constexpr int kPins = 20'000;
  constexpr int kPoints = 100'000;
  std::string records;
  for (int i = 0; i < kPins; ++i) {
    records += fmt::format("327N{:<13}   U{:<5}-{:<4}       A01X+{:06}Y-001000X0150Y0000R000 S2\n", i % 5'000,
                           i / 100, i % 100, i);
    if (i % 2 == 0) records += fmt::format("317N{:<13}   VIA         D0200PA00X+{:06}Y+000100\n", i, i);
  }
  // A conductor over many lines, the pen lifted once.
  records += "378N7             L01 X0050\n";
  for (int i = 0; i < kPoints; ++i)
    records += fmt::format("078 X+{:06}Y+{:06}{}\n", i, i % 2, i == kPoints / 2 ? " *" : "");
  const Read file = read(records);
  CHECK(file.log.entries().empty());
  CHECK(file.board.parts.size() == 200);
  REQUIRE(file.board.pins.size() == kPins);
  REQUIRE(file.board.lands.size() == kPins);
  REQUIRE(file.board.vias.size() == kPins / 2);
  // 5,000 of the pins, and those of the vias above: N5000, N5002 ... N19998.
  CHECK(file.board.nets.size() == 5'000 + 7'500);
  bool right = true;
  for (Index i = 0; i < kPins; ++i) {
    const Land& land = file.board.lands[i];
    const Pin& pin = file.board.pins[i];
    right = right && land.pin == i && land.at == Point{Nm{i} * 2'540, -2'540'000} && land.net == pin.net &&
            pin.part == i / 100 && pin.number == std::to_string(i % 100) &&
            file.board.nets[pin.net].name == fmt::format("N{}", i % 5'000);
  }
  for (Index i = 0; i < kPins / 2; ++i) {
    const Via& via = file.board.vias[i];
    right = right && via.at == Point{Nm{i} * 2 * 2'540, 254'000} &&
            file.board.nets[via.net].name == fmt::format("N{}", i * 2);
  }
  CHECK(right);
  // One less than points in a chain, in two chains.
  REQUIRE(file.board.tracks.size() == kPoints - 2);
  CHECK(file.board.tracks.front().from == Point{0, 0});
  CHECK(file.board.tracks[kPoints / 2].from == Point{Nm{kPoints / 2 + 1} * 2'540, 2'540});
  CHECK(file.board.tracks.back().to == Point{Nm{kPoints - 1} * 2'540, 2'540});
}

TEST_CASE("names that outgrew their columns are told apart by their last sign") {
  // One column too wide: net, reference and all that follows stand one to the right; the net has 15 signs.
  // Two: 16 signs.
  const Read file = read(
      "327ABCDEFGHIJKLMN1   U1    -A1         A01X+009750Y-009750X0150Y0000R000 S2\n"
      "327ABCDEFGHIJKLMN12   U1    -A2         A01X+009750Y-008750X0150Y0000R000 S2\n"
      "327ABCDEFGHIJKLMN13   U1    -A3         A01X+009750Y-007750X0150Y0000R000 S2\n"
      "327ABCDEFGHIJKLMN12   U1    -A4         A01X+009750Y-006750X0150Y0000R000 S2\n");
  CHECK(file.net("U1", "A1") == "ABCDEFGHIJKLMN1");
  CHECK(file.net("U1", "A2") == "ABCDEFGHIJKLMN12");
  CHECK(file.net("U1", "A3") == "ABCDEFGHIJKLMN13");
  CHECK(file.net("U1", "A4") == "ABCDEFGHIJKLMN12");
  CHECK(file.board.nets.size() == 3);
}

TEST_CASE("thirty thousand nets on one pin take no more than their share of time") {
  std::string records;
  for (int i = 0; i < 30'000; ++i) {
    records += fmt::format("327N{:<13}   U1    -1          A01X+{:06}Y-001000X0150Y0000R000 S2\n", i, i);
  }
  CHECK(read(records).board.pins.size() == 30'000);  // minutes, were each compared with all before it
}

TEST_CASE("a pin in an unplated hole is a pin, with copper where there is more than the hole") {
  const Read file = read(kTopPad + kBottomPad +
                         "367SIG              J5    -9    D0400UA00X+005000Y-010000X0400Y0000R000S0\n"
                         "367GND              J5    -10   D0400UA00X+006000Y-010000X0600Y0000R000S0\n"
                         "367N/C              H1          D1260UA00X+003000Y-003000X1260Y0000R000S0\n");
  CHECK(file.board.holes.size() == 3);
  CHECK(file.net("J5", "9") == "SIG");
  CHECK(file.lands("J5", "9").empty());
  const auto ring = file.lands("J5", "10");  // no barrel joins the two sides
  REQUIRE(ring.size() == 2);
  CHECK(ring[0].side == Side::kTop);
  CHECK(ring[1].side == Side::kBottom);
  CHECK(ring[1].width == 60 * kMil);
  CHECK(ring[1].drill == 0);
  const Part& part = file.board.parts[file.board.pins[file.pin("J5", "9")].part];
  CHECK(part.placed);
  CHECK(part.at == Point{550 * kMil, -1000 * kMil});
  CHECK(std::none_of(file.board.parts.begin(), file.board.parts.end(),
                     [](const Part& p) { return p.reference == "H1"; }));
}

TEST_CASE("names in Latin-1 come out as UTF-8, and UTF-8 as it is") {
  const Read latin = read(
      "327M\xFChle             R\xE9    -\xB5"
      "1         A01X+009750Y-009750X0150Y0000R000 S2\n"
      "327NNAME1           R\xE9    -2          A01X+009850Y-009750X0150Y0000R000 S2\n",
      "P  UNITS CUST 0\nP  TITLE Werft S\xFC"
      "d\nC  NNAME1 GRO\xDF\n");
  CHECK(latin.board.title ==
        "Werft S\xC3\xBC"
        "d");
  CHECK(latin.net("R\xC3\xA9",
                  "\xC2\xB5"
                  "1") == "M\xC3\xBChle");
  CHECK(latin.net("R\xC3\xA9", "2") == "GRO\xC3\x9F");
  const Read utf =
      read("327M\xC3\xBChle            R1    -1          A01X+009750Y-009750X0150Y0000R000 S2\n");
  CHECK(utf.net("R1", "1") == "M\xC3\xBChle");
}

TEST_CASE("control characters are shown and endless names are cut") {
  const Read file = read(
      "327A\x01"
      "B              U1    -1          A01X+009750Y-009750X0150Y0000R000 S2\n"
      "327NNAME1           U1    -2          A01X+009850Y-009750X0150Y0000R000 S2\n",
      "P  UNITS CUST 0\nP  NNAME1 " + std::string(5000, 'x') + "\n");
  CHECK(file.net("U1", "1") ==
        "A\\x01"
        "B");
  CHECK(file.net("U1", "2").size() == 1000);
}

TEST_CASE("a size below zero is a warning and counts as not stated") {
  const Read file = read(
      "327SIG              U3    -1          A01X+009750Y-001000X-150Y-200R000 S2\n"
      "317SIG              VIA        MD-100PA00X+014000Y-010000X0200Y0000R000 S3\n"
      "378SIG            L01 X-050 X+010000Y-010000 X+014500\n");
  CHECK(file.log.count("size") == 3);
  CHECK(file.log.entries()[0].column == 59);
  REQUIRE(file.board.lands.size() == 1);
  CHECK(file.board.lands[0].width == 0);
  CHECK(file.board.lands[0].height == 0);
  REQUIRE(file.board.vias.size() == 1);
  CHECK(file.board.vias[0].drill == 0);
  REQUIRE(file.board.tracks.size() == 1);
  CHECK(file.board.tracks[0].width == 0);
}

TEST_CASE("a blind via that is open to both sides goes through") {
  const Read file = read(kTopPad +
                         "327SIG              U2    -B1         A04X+014750Y-010250X0150Y0000R000 S1\n"
                         "307SIG              VIA        MD0100PA00X+010000Y-010000X0200Y0000R000S3\n"
                         "307SIG              VIA        MD0100PA01X+011000Y-010000X0200Y0000R000S3\n");
  REQUIRE(file.board.layers.size() == 4);
  REQUIRE(file.board.vias.size() == 2);
  CHECK(file.board.vias[0].first == 0);
  CHECK(file.board.vias[0].last == 3);
  CHECK(file.board.vias[1].last == 0);
  CHECK(file.log.count("span-unknown") == 1);
}

TEST_CASE("the bottom's number is the highest of surface records, not of a via that ends elsewhere") {
  const Read file = read(kTopPad + kBottomPad +
                         "307SIG              VIA        MD0100PA05X+010000Y-010000X0200Y0000R000 S3\n"
                         "317SIG              J1    -1    D0400PA06X+005000Y-010000X0680Y0680R000 S0\n");
  REQUIRE(file.lands("U2", "B1").size() == 1);
  CHECK(file.lands("U2", "B1")[0].side == Side::kBottom);
  CHECK(file.board.layers.size() == 2);
  CHECK(file.board.parts[file.board.pins[file.pin("U2", "B1")].part].side == Side::kBottom);
}

TEST_CASE("a surface record on neither outer side, or on none that it names, is a warning") {
  const Read file = read(kTopPad +
                         "327SIG              U2    -B1         A04X+014750Y-010250X0150Y0000R000 S1\n"
                         "327SIG              U2    -B2         A03X+014850Y-010250X0150Y0000R000 S1\n"
                         "327SIG              U2    -B3            X+014950Y-010250X0150Y0000R000 S1\n");
  CHECK(file.log.count("layer-inner") == 1);
  CHECK(file.log.count("access") == 1);
  CHECK(file.lands("U2", "B2")[0].layers == layer_bit(2));
}

TEST_CASE("angles: KiCad's run the other way, radians are radians") {
  const std::string pad = "327SIG              U2    -B1         A01X+014750Y-010250X0150Y0200R045S1\n";
  CHECK(read(pad).board.lands[0].angle == 45.0);
  CHECK(read(pad, "P  CODE 00\nP  UNITS CUST 0\nP  arrayDim   N\n").board.lands[0].angle == 315.0);
  // The parameter alone is no proof: another writer that has it names itself.
  CHECK(
      read(pad, "C  IPC-D-356 file from Allegro\nP  UNITS CUST 0\nP  arrayDim   N\n").board.lands[0].angle ==
      45.0);
  const std::string radian =
      "327SIG              U2    -B1         A01X+014750Y-010250X0150Y0200R003 S1\n"
      "327SIG              U2    -B2         A01X+014850Y-010250X0150Y0200R1.5 S1\n";
  const Read turned = read(radian, "P  UNITS CUST 2\n");
  REQUIRE(turned.board.lands.size() == 2);
  CHECK(turned.board.lands[0].angle == doctest::Approx(171.887339));  // 3 x 180 / pi
  CHECK(turned.board.lands[1].angle == doctest::Approx(85.943669));
  CHECK(turned.board.lands[0].at == Point{1475 * kMil, -1025 * kMil});
  CHECK(turned.log.count("angle-units") == 0);
  const Read doubtful = read(pad, "P  UNITS CUST 2\n");  // 45 radians would be more than 7 turns
  CHECK(doubtful.board.lands[0].angle == 45.0);
  CHECK(doubtful.log.count("angle-units") == 1);
}

TEST_CASE("the title comes from TITLE, else from JOB, conductors are in the units named after them") {
  CHECK(read(kTopPad, "P  JOB   TERN\nP  UNITS CUST 0\nP  TITLE Tern main board  \n").board.title ==
        "Tern main board");
  CHECK(read(kTopPad, "P  JOB   TERN 2\nP  UNITS CUST 0\n").board.title == "TERN 2");
  CHECK(read(kTopPad).board.title.empty());
  const Read late = read(kTopPad, "378GND            L01 X0050 X+010000Y-010000 X+014000\nP  UNITS CUST 1\n");
  REQUIRE(late.board.tracks.size() == 1);
  CHECK(late.board.tracks[0].from == Point{10'000'000, -10'000'000});
  CHECK(late.board.tracks[0].width == 50'000);
}

TEST_CASE("conductors and outlines are in the units that the user names as records are") {
  const std::string text = "P  UNITS CUST 0\n" + kTopPad +
                           "378GND            L01 X0050 X+009750Y-009750 X+010750\n"
                           "389BOARD_EDGE        X0000 X+000000Y+000000 X+020001\n999\n";
  importers::ReadOptions options;
  options.units = "mm";
  Diagnostics log;
  const auto design = importers::read_ipc_d_356(text, log, options);
  REQUIRE(design.has_value());
  const Board& board = design->board;
  REQUIRE(board.lands.size() == 1);
  CHECK(board.lands[0].at == Point{9'750'000, -9'750'000});
  REQUIRE(board.tracks.size() == 1);
  CHECK(board.tracks[0].from == board.lands[0].at);
  CHECK(board.tracks[0].to == Point{10'750'000, -9'750'000});
  CHECK(board.tracks[0].width == 50'000);
  REQUIRE(board.outline.size() == 1);
  CHECK(board.outline[0].to == Point{20'001'000, 0});
}

TEST_CASE("names that a writer made up are marked, by that writer's own pattern only") {
  const auto automatic = [](const std::string& head, const std::string& net) {
    return read(fmt::format("327{:<14}   U2    -B1         A01X+014750Y-010250X0150Y0200R045S1\n", net), head)
        .board.nets.at(0)
        .automatic;
  };
  const std::string kicad = "P  CODE 00\nP  UNITS CUST 0\nP  arrayDim   N\n";
  for (const char* net :
       {"NET-(R1-PAD2)", "NET-(U5-VREF2)", "ET-(TP10-PAD1)", "TED-(J1-PAD16)", "(U10-NC-PAD40)",
        "ASH}IO4-PADP7)", "LASH}--PADC10)", "-(R10-PAD)#12", "N-00000175"}) {
    CAPTURE(net);
    CHECK(automatic(kicad, net));
    CHECK_FALSE(automatic("P  UNITS CUST 0\n", net));
  }
  for (const char* net :
       {"GND", "/STROBE_LONG_P", "+3V3", "VDD(CORE)", "_LONG_VDD(1V8)", "SD3_CD#", "D0)", "N18417020"}) {
    CAPTURE(net);
    CHECK_FALSE(automatic(kicad, net));
  }
  const std::string eagle = "C  IPC-D-356 generated by EAGLE Version 7\nP  UNITS CUST 0\n";
  CHECK(automatic(eagle, "N$12"));
  CHECK_FALSE(automatic(eagle, "N$X"));
  const std::string allegro = "C  IPC-D-356 Ouptut File from Allegro\nP  UNITS CUST 0\n";
  CHECK(automatic(allegro, "N18417020"));
  CHECK_FALSE(automatic(allegro, "N12"));
}

TEST_CASE("KiCad's test netlists agree with their boards on made-up names, and on every land's angle") {
  if (!testing::have_shared()) return;
  for (const auto& pair : {std::pair<const char*, const char*>{"icepi-zero.kicad_pcb", "icepi-zero.ipc"},
                           {"homebrew-ecp5-cm.kicad_pcb", "homebrew-ecp5-cm.d356"},
                           {"UPduino_v1.0.kicad_pcb", "UPduino_v1.0.d356"}}) {
    INFO(std::string(pair.second));
    const Board board =
        testing::open_design(testing::shared_file(std::string("boards/kicad_pcb/") + pair.first)).board;
    const Board list =
        testing::open_design(testing::shared_file(std::string("boards/d356/") + pair.second)).board;
    std::map<std::pair<std::string, std::string>, Index> pins;
    for (Index i = 0; i < board.pins.size(); ++i) {
      pins[{board.parts[board.pins[i].part].reference.substr(0, 6), board.pins[i].number.substr(0, 4)}] = i;
    }
    const BoardIndex index(board);
    const BoardIndex list_index(list);
    std::size_t names = 0;
    std::size_t angles = 0;
    std::size_t askew = 0;
    for (const Land& land : list.lands) {
      if (land.pin == kNone) continue;
      const auto found = pins.find({list.parts[land.part].reference, list.pins[land.pin].number});
      if (found == pins.end()) continue;
      const Index net = board.pins[found->second].net;
      if (net != kNone && land.net != kNone) {
        ++names;
        CHECK_MESSAGE(list.nets[land.net].automatic == board.nets[net].automatic, list.nets[land.net].name,
                      " ", board.nets[net].name);
      }
      // The files' origins differ, so only a pin's one land is sure to be the same.
      const auto own = index.lands_of_pin(found->second);
      if (own.size() != 1 || list_index.lands_of_pin(land.pin).size() != 1) continue;
      const Land& theirs = board.lands[own.front()];
      if (theirs.angle != std::floor(theirs.angle)) continue;
      ++angles;
      if (theirs.angle != 0 && theirs.angle != 180) ++askew;
      CHECK(theirs.angle == land.angle);
    }
    CHECK(names > 300);
    CHECK(angles > 300);
    CHECK(askew > 10);
  }
}
