// Files that come again: a revision takes the place of what came before of its kind, an earlier one that is
// returned to is the newest word again, and a list can be read for a second part.
#include <algorithm>
#include <fstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/model/board_index.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/import.hpp"

using namespace landfall;
namespace fs = std::filesystem;

namespace {

// U1 with ten balls A1 to A10 and R1; A1 is on `net`, is called `function`, and `more` are further parts.
std::string netlist(const std::string& net, const std::string& function, const std::string& more = "") {
  std::string pins;
  std::string nets = fmt::format(
      R"((net (code "1") (name "{}") (node (ref "U1") (pin "A1") (pinfunction "{}")) (node (ref "R1") (pin "1"))))",
      net, function);
  nets += R"((net (code "11") (name "M1") (node (ref "U2") (pin "A1"))))";
  for (int i = 2; i <= 10; ++i) {
    nets += fmt::format(
        R"((net (code "{}") (name "N{}") (node (ref "U1") (pin "A{}") (pinfunction "F{}")) (node (ref "U2") (pin "A{}"))))",
        i, i, i, i, i);
  }
  return fmt::format(
      R"((export (version "E") (components (comp (ref "U1") (value "X")) (comp (ref "U2") (value "X")) (comp (ref "R1") (value "10k")){}) (nets {})))",
      more, nets);
}

std::string list(const std::string& first) {
  std::string text = "ball,name\nA1," + first + "\n";
  for (int i = 2; i <= 10; ++i) text += fmt::format("A{},F{}\n", i, i);
  return text;
}

// A board file of the same design: A1 of U1 lies at `x` mm and is on `net`.
std::string board(const std::string& net, int x) {
  std::string pads;
  std::string nets = "(net 0 \"\") (net 1 \"" + net + "\")";
  for (int i = 2; i <= 10; ++i) {
    nets += fmt::format(" (net {} \"N{}\")", i, i);
    pads += fmt::format(
        "(pad \"A{}\" smd circle (at {} 0) (size 0.4 0.4) (layers \"F.Cu\") (net {} \"N{}\"))\n", i, i, i, i);
  }
  return fmt::format(
      "(kicad_pcb (version 20221018) (generator pcbnew)\n(layers (0 \"F.Cu\" signal) (31 \"B.Cu\" signal))\n"
      "{}\n(footprint \"b\" (layer \"F.Cu\") (at 10 10) (property \"Reference\" \"U1\")\n(fp_text reference "
      "\"U1\" (at 0 0) (layer \"F.SilkS\"))\n(pad \"A1\" smd circle (at {} 3) (size 0.4 0.4) (layers "
      "\"F.Cu\") (net 1 \"{}\"))\n{})\n(segment (start 0 0) (end 5 0) (width 0.1) (layer \"F.Cu\") (net "
      "1)))\n",
      nets, x, net, pads);
}

struct Fixture {
  testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));
  std::int64_t id = 0;

  app::ImportReport import(const std::string& name, const std::string& text, const std::string& part = "") {
    std::ofstream(folder.file(name), std::ios::binary) << text;
    app::ImportRequest request;
    request.files = {folder.file(name)};
    request.part = part;
    if (id != 0) request.into = id;
    auto report = app::import_files(bench, request);
    REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
    id = report->board.id;
    return std::move(report).value();
  }
  // The pin's function and net.
  std::string pin(const std::string& part, const std::string& number) {
    const auto board = bench.board(id);
    REQUIRE(board.ok());
    const BoardIndex index(*board);
    const Index of = index.part(part);
    REQUIRE(of != kNone);
    const Index at = index.pin(of, number);
    REQUIRE(at != kNone);
    const Pin& found = board->pins[at];
    return found.function + " " + (found.net == kNone ? std::string("-") : board->nets[found.net].name);
  }
  bool has_part(const std::string& part) { return BoardIndex(*bench.board(id)).part(part) != kNone; }
  std::vector<std::string> disagreements() {
    std::vector<std::string> all;
    for (const auto& d : *bench.disagreements(id)) all.push_back(d.kind + " " + d.what + " " + d.says);
    return all;
  }
  // A job on U1 with its A1 torn; its number.
  std::int64_t mark() { return testing::torn_job(bench, id); }
};

bool says(const app::ImportReport& report, const std::string& text) {
  return std::any_of(report.notes.begin(), report.notes.end(),
                     [&](const std::string& note) { return note.find(text) != std::string::npos; });
}

}  // namespace

TEST_CASE("a netlist that is returned to after its revision is the newest word again and keeps the marks") {
  Fixture f;
  f.import("a.net", netlist("OLD", "F1"));
  const std::int64_t job = f.mark();
  CHECK(says(f.import("b.net", netlist("NEW", "G1")), "U1.A1 was on OLD and is now on NEW"));
  CHECK(f.pin("U1", "A1") == "G1 NEW");
  const auto back = f.import("a.net", netlist("OLD", "F1"));
  CHECK_FALSE(back.unchanged);
  CHECK(says(back, "U1.A1 was on NEW and is now on OLD"));
  CHECK(f.pin("U1", "A1") == "F1 OLD");
  CHECK(testing::marks_of(f.bench, job).at("A1").first == MarkKind::kTorn);
  CHECK(f.import("a.net", netlist("OLD", "F1")).unchanged);
}

TEST_CASE(
    "a revised netlist beside a ball list takes the place of the one before and so does the old again") {
  Fixture f;
  f.import("a.net", netlist("OLD", "F1", R"((comp (ref "R9") (value "1k")))"));
  f.import("u1.csv", list("RESET"), "U1");
  const std::int64_t job = f.mark();
  const auto revised = f.import("b.net", netlist("NEW", "F1"));
  CHECK(says(revised, "U1.A1 was on OLD and is now on NEW"));
  CHECK(f.pin("U1", "A1").ends_with(" NEW"));
  CHECK_FALSE(f.has_part("R9"));
  const auto back = f.import("a.net", netlist("OLD", "F1", R"((comp (ref "R9") (value "1k")))"));
  CHECK_FALSE(back.unchanged);
  CHECK(says(back, "U1.A1 was on NEW and is now on OLD"));
  CHECK(f.pin("U1", "A1").ends_with(" OLD"));
  CHECK(testing::marks_of(f.bench, job).at("A1").first == MarkKind::kTorn);
  CHECK(f.import("a.net", netlist("OLD", "F1", R"((comp (ref "R9") (value "1k")))")).unchanged);
}

TEST_CASE("a ball list that is returned to after its revision names the pins again") {
  Fixture f;
  f.import("a.net", netlist("N1", ""));
  f.import("one.csv", list("RESET"), "U1");
  CHECK(f.pin("U1", "A1") == "RESET N1");
  CHECK(says(f.import("two.csv", list("CLOCK"), "U1"), "U1.A1 was called RESET and is now called CLOCK"));
  CHECK(f.pin("U1", "A1") == "CLOCK N1");
  const auto back = f.import("one.csv", list("RESET"), "U1");
  CHECK_FALSE(back.unchanged);
  CHECK(says(back, "U1.A1 was called CLOCK and is now called RESET"));
  CHECK(f.pin("U1", "A1") == "RESET N1");
  CHECK(f.disagreements().empty());
  CHECK(f.import("one.csv", list("RESET"), "U1").unchanged);
}

TEST_CASE("a revised ball list that the netlist contradicts leaves the netlist's name and is listed anew") {
  Fixture f;
  f.import("a.net", netlist("N1", "F1"));
  f.import("one.csv", list("RESET"), "U1");
  f.import("two.csv", list("CLOCK"), "U1");
  CHECK(f.pin("U1", "A1") == "F1 N1");
  REQUIRE(f.disagreements().size() == 1);
  CHECK(f.disagreements()[0].find("two.csv: CLOCK") != std::string::npos);
  f.import("agrees.csv", list("F1"), "U1");
  CHECK(f.disagreements().empty());
}

TEST_CASE("a ball list of a part that no other file has is revised, and returned to") {
  Fixture f;
  f.import("a.net", netlist("N1", "F1"));
  f.import("one.csv", list("RESET"), "J1");
  f.import("two.csv", list("CLOCK"), "J1");
  CHECK(f.pin("J1", "A1").starts_with("CLOCK "));
  f.import("one.csv", list("RESET"), "J1");
  CHECK(f.pin("J1", "A1").starts_with("RESET "));
  CHECK(f.disagreements().empty());
  // A netlist's revision leaves it alone.
  f.import("b.net", netlist("NEW", "F1"));
  CHECK(f.pin("J1", "A1").starts_with("RESET "));
  CHECK(f.pin("U1", "A1") == "F1 NEW");
}

TEST_CASE("a revised board beside a netlist takes the place of the one before and so does the old again") {
  Fixture f;
  f.import("a.kicad_pcb", board("OLD", 1));
  f.import("n.net", netlist("OLD", "F1"));
  const std::int64_t job = f.mark();
  const auto place = [&] {
    const auto b = f.bench.board(f.id);
    const BoardIndex index(*b);
    const auto lands = index.lands_of_pin(index.pin(index.part("U1"), "A1"));
    REQUIRE(lands.size() == 1);
    return b->lands[lands[0]].at.x;
  };
  const Nm before = place();
  CHECK(says(f.import("b.kicad_pcb", board("NEW", 0)), "U1.A1 was on OLD and is now on NEW"));
  CHECK(f.pin("U1", "A1") == "F1 NEW");  // what the netlist called it stays
  CHECK(f.has_part("R1"));
  CHECK(place() == before - 1'000'000);
  const auto back = f.import("a.kicad_pcb", board("OLD", 1));
  CHECK_FALSE(back.unchanged);
  CHECK(f.pin("U1", "A1") == "F1 OLD");
  CHECK(place() == before);
  CHECK(testing::marks_of(f.bench, job).at("A1").first == MarkKind::kTorn);
  CHECK(f.import("a.kicad_pcb", board("OLD", 1)).unchanged);
}

TEST_CASE("a netlist beside a board is revised: its disagreements and names go with it") {
  Fixture f;
  f.import("p.kicad_pcb", board("N1", 1));
  f.import("a.net", netlist("N1", "F1", R"((comp (ref "R9") (value "1k")))"));
  f.import("b.net", netlist("ELSE", "G1"));
  CHECK(f.pin("U1", "A1").starts_with("G1 "));
  f.import("a.net", netlist("N1", "F1", R"((comp (ref "R9") (value "1k")))"));
  CHECK(f.pin("U1", "A1") == "F1 N1");
  for (const std::string& one : f.disagreements()) CHECK(one.find("b.net") == std::string::npos);
}

TEST_CASE("one list is read for two equal chips and keeps what each disagrees with") {
  Fixture f;
  f.import("a.net", netlist("N1", "F1"));
  f.import("chip.csv", list("RESET"), "U1");
  const auto first = f.disagreements();
  REQUIRE(first.size() == 1);
  const auto second = f.import("chip.csv", list("RESET"), "U2");
  CHECK_FALSE(second.unchanged);
  CHECK(f.pin("U2", "A3") == "F3 N3");
  CHECK(f.disagreements() == first);
  CHECK(f.import("chip.csv", list("RESET"), "U2").unchanged);
  CHECK(f.import("chip.csv", list("RESET"), "U1").unchanged);
  CHECK(f.bench.sources(f.id)->size() == 3);
}

TEST_CASE("a revision leaves what other files disagree about") {
  Fixture f;
  f.import("p.kicad_pcb", board("N1", 1));
  f.import("a.net", netlist("N1", "F1"));
  f.import("chip.csv", list("RESET"), "U1");
  const auto before = f.disagreements();
  CHECK(std::any_of(before.begin(), before.end(),
                    [](const auto& d) { return d.find("RESET") != std::string::npos; }));
  f.import("b.net", netlist("N1", "F1", R"((comp (ref "R7") (value "1k")))"));
  const auto after = f.disagreements();
  CHECK(std::any_of(after.begin(), after.end(),
                    [](const auto& d) { return d.find("RESET") != std::string::npos; }));
}

TEST_CASE("a board that is replaced is held against the netlist that stays") {
  Fixture f;
  // The netlist as KiCad writes it, with the library part of each component.
  const auto full = [](const std::string& net) {
    std::string text = netlist(net, "F1");
    for (const char* ref : {"U1", "U2", "R1"}) {
      const std::string comp = fmt::format("(comp (ref \"{}\")", ref);
      text.replace(text.find(comp), comp.size(), comp + "(libsource (lib \"l\") (part \"p\"))");
    }
    return text;
  };
  // A board on which A1 and A2 lie on one net, and A3 is called otherwise.
  const auto shorted = [](bool other_name) {
    std::string text = board("N1", 1);
    const std::string first = "(net 1 \"N1\"))";
    text.replace(text.find(first, text.find("(pad \"A1\"")), first.size(), "(net 2 \"N2\"))");
    const std::string pad = "(net 3 \"N3\")";
    if (other_name) {
      for (auto at = text.find(pad); at != std::string::npos; at = text.find(pad, at + 1))
        text.replace(at, pad.size(), "(net 3 \"X3\")");
    }
    return text;
  };
  const auto net_lines = [&] {
    std::vector<std::string> lines = f.disagreements();
    std::erase_if(lines, [](const std::string& line) { return !line.starts_with("net "); });
    return lines;
  };
  f.import("a.kicad_pcb", board("N1", 1));
  f.import("n.net", full("N1"));
  CHECK(net_lines().empty());
  const auto report = f.import("b.kicad_pcb", shorted(true));
  CHECK_FALSE(says(report, "is not held against"));
  CHECK(says(report, "b.kicad_pcb and n.net: "));
  REQUIRE(net_lines().size() == 1);
  CHECK(net_lines()[0] == "net U1.A1 b.kicad_pcb: N2; n.net: N1");
  // The same netlist read again says the same.
  const auto before = net_lines();
  f.import("n2.net", full("N1") + "\n");
  REQUIRE(net_lines().size() == 1);
  CHECK(net_lines()[0] == "net U1.A1 b.kicad_pcb: N2; n2.net: N1");
  // What it disagreed with is remembered over the next board, and gone once a board agrees.
  f.import("c.kicad_pcb", shorted(false));
  REQUIRE(net_lines().size() == 1);
  CHECK(net_lines()[0] == "net U1.A1 c.kicad_pcb: N2; n2.net: N1");
  f.import("d.kicad_pcb", board("N1", 1));
  CHECK(net_lines().empty());
  CHECK(f.pin("U1", "A1") == "F1 N1");
}

TEST_CASE(
    "a netlist that names no library parts is not held against a board that is replaced and that is said") {
  Fixture f;
  f.import("a.kicad_pcb", board("N1", 1));
  f.import("n.net", netlist("N1", "F1"));
  CHECK(says(f.import("b.kicad_pcb", board("NEW", 1)), "n.net is not held against b.kicad_pcb"));
}

TEST_CASE("a netlist that is revised beside a board leaves the board's parts that have no pins") {
  Fixture f;
  std::string text = board("N1", 1);
  const std::string hole = "(footprint \"hole\" (layer \"F.Cu\") (at 3 3) (property \"Reference\" \"H1\"))\n";
  text.insert(text.find("(segment"), hole);
  f.import("a.kicad_pcb", text);
  REQUIRE(f.has_part("H1"));
  f.import("a.net", netlist("N1", "F1", R"((comp (ref "R9") (value "1k")))"));
  f.import("b.net", netlist("N1", "F1"));
  CHECK(f.has_part("H1"));
  // With a revised board it goes.
  f.import("b.kicad_pcb", board("N1", 1) + "\n");
  CHECK_FALSE(f.has_part("H1"));
}
