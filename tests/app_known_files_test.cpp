// Several files in one import of which the bench has some already, named in any order: the board that has
// them is joined anew, its jobs keep their marks, and each known file is said.
#include <algorithm>
#include <fstream>
#include <numeric>
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/model/board_index.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/import.hpp"

using namespace landfall;
namespace fs = std::filesystem;

namespace {

using Names = std::vector<std::string>;

// U1 with ten balls and a resistor R1, whose A1 is on `net`; N2 to N10 run to U2.
std::string netlist(const std::string& net) {
  std::string nets = fmt::format(
      R"((net (code "1") (name "{}") (node (ref "U1") (pin "A1")) (node (ref "R1") (pin "1"))))", net);
  for (int i = 2; i <= 10; ++i)
    nets += fmt::format(
        R"((net (code "{}") (name "N{}") (node (ref "U1") (pin "A{}")) (node (ref "U2") (pin "B{}"))))", i, i,
        i, i);
  return fmt::format(
      R"((export (version "E") (components (comp (ref "U1") (value "X")) (comp (ref "U2") (value "X")) (comp (ref "R1") (value "10k"))) (nets {})))",
      nets);
}

// The board file of the same design, A1 on `net`.
std::string board(const std::string& net) {
  std::string nets = "(net 0 \"\") (net 1 \"" + net + "\")";
  std::string parts;
  for (int i = 2; i <= 10; ++i) nets += fmt::format(" (net {} \"N{}\")", i, i);
  for (int u = 1; u <= 2; ++u) {
    parts += fmt::format("(footprint \"b\" (layer \"F.Cu\") (at {} 10) (property \"Reference\" \"U{}\")\n",
                         u * 20, u);
    for (int i = u; i <= 10; ++i)
      parts += fmt::format(
          "(pad \"{}{}\" smd circle (at {} 0) (size 0.4 0.4) (layers \"F.Cu\") (net {} \"{}\"))\n",
          u == 1 ? 'A' : 'B', i, i, i, i == 1 ? net : fmt::format("N{}", i));
    parts += ")\n";
  }
  parts += fmt::format(
      "(footprint \"r\" (layer \"F.Cu\") (at 5 5) (property \"Reference\" \"R1\")\n(pad \"1\" smd rect (at 0 "
      "0) (size 0.4 0.4) (layers \"F.Cu\") (net 1 \"{}\")))\n",
      net);
  return fmt::format(
      "(kicad_pcb (version 20221018) (generator pcbnew)\n(layers (0 \"F.Cu\" signal) (31 \"B.Cu\" signal))\n"
      "{}\n{}(segment (start 0 0) (end 5 0) (width 0.1) (layer \"F.Cu\") (net 1)))\n",
      nets, parts);
}

// R1.1 is on N2 instead of A1's net.
std::string odd_netlist() {
  std::string odd = netlist("OLD");
  const std::string node = R"((node (ref "R1") (pin "1")))";
  odd.erase(odd.find(node), node.size());
  const std::string at = R"((name "N2") )";
  return odd.insert(odd.find(at) + at.size(), node);
}

std::string list(const std::string& first) {
  std::string text = "ball,name\nA1," + first + "\n";
  for (int i = 2; i <= 10; ++i) text += fmt::format("A{},F{}\n", i, i);
  return text;
}

// Another design of the same references.
std::string other_design() {
  std::string nets;
  for (int i = 1; i <= 5; ++i)
    nets += fmt::format(
        R"((net (code "{}") (name "Z{}") (node (ref "U1") (pin "A{}")) (node (ref "U1") (pin "A{}"))))", i, i,
        i, i + 5);
  return R"((export (version "E") (components (comp (ref "U1") (value "X"))) (nets )" + nets + "))";
}

// What is on the board, without the order of its lists.
std::multiset<std::string> lines_of(const Board& b) {
  std::multiset<std::string> lines;
  const BoardIndex index(b);
  for (Index i = 0; i < b.pins.size(); ++i) {
    const Pin& pin = b.pins[i];
    lines.insert(fmt::format("{} {} {} {}", index.pin_text(i), pin.function,
                             pin.net == kNone ? std::string("-") : b.nets[pin.net].name,
                             index.lands_of_pin(i).size()));
  }
  for (const Part& part : b.parts) lines.insert(part.reference + " " + part.value);
  lines.insert(fmt::format("{} nets, {} lands, {} tracks, {} vias", b.nets.size(), b.lands.size(),
                           b.tracks.size(), b.vias.size()));
  return lines;
}

struct Fixture {
  testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));

  Fixture() {
    write("a.kicad_pcb", board("OLD"));
    write("b.kicad_pcb", board("NEW"));
    write("a.net", netlist("OLD"));
    write("b.net", netlist("NEW"));
    write("u1.csv", list("RESET"));
    write("other.net", other_design());
  }
  void write(const std::string& name, const std::string& text) {
    fs::create_directories(folder.file(name).parent_path());
    std::ofstream(folder.file(name), std::ios::binary) << text;
  }
  app::ImportRequest request(const Names& names) {
    app::ImportRequest request;
    for (const std::string& name : names) request.files.push_back(folder.file(name));
    return request;
  }
  app::ImportReport import(const app::ImportRequest& request) {
    auto report = app::import_files(bench, request);
    REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
    return std::move(report).value();
  }
  app::ImportReport import(const Names& names) { return import(request(names)); }
  std::int64_t mark(std::int64_t id) { return testing::torn_job(bench, id); }
  std::multiset<std::string> lines(std::int64_t id) { return lines_of(*bench.board(id)); }
  std::set<std::string> files_of(std::int64_t id) {
    std::set<std::string> names;
    for (const auto& file : *bench.sources(id)) names.insert(file.name);
    return names;
  }
  std::size_t boards() { return bench.boards()->size(); }
};

std::multiset<std::string> fresh(const Names& names) {
  Fixture f;
  return f.lines(f.import(names).board.id);
}

bool says(const app::ImportReport& report, const std::string& text) {
  return std::any_of(report.notes.begin(), report.notes.end(),
                     [&](const std::string& note) { return note.find(text) != std::string::npos; });
}

template <class Use>
void in_each_order(Names names, Use use) {
  std::sort(names.begin(), names.end());
  do {
    CAPTURE(fmt::format("{}", fmt::join(names, " ")));
    use(names);
  } while (std::next_permutation(names.begin(), names.end()));
}

const std::string kKnown = ": the bench has this very file already, on ";

}  // namespace

TEST_CASE("files of which the bench has some make no second board wherever those stand among them") {
  const std::vector<Names> before{{"a.net"}, {"a.kicad_pcb"}, {"a.net", "a.kicad_pcb"}, {"a.net", "u1.csv"}};
  const Names all{"a.kicad_pcb", "a.net", "u1.csv"};
  const auto wanted = fresh(all);
  for (const Names& known : before) {
    in_each_order(all, [&](const Names& names) {
      Fixture f;
      const auto first = f.import(known);
      const std::int64_t job = f.mark(first.board.id);
      const auto report = f.import(names);
      CHECK(f.boards() == 1);
      CHECK(report.board.id == first.board.id);
      CHECK_FALSE(report.unchanged);
      for (const std::string& name : known) CHECK(says(report, name + kKnown + first.board.name));
      CHECK(f.files_of(report.board.id) == std::set<std::string>(all.begin(), all.end()));
      CHECK(f.lines(report.board.id) == wanted);
      CHECK(testing::marks_of(f.bench, job).at("A1").first == MarkKind::kTorn);
      CHECK(f.import(names).unchanged);
    });
  }
}

TEST_CASE("one revised file beside a known one takes the place of the old wherever it stands") {
  for (const Names& now : {Names{"a.kicad_pcb", "b.net"}, Names{"b.kicad_pcb", "a.net"}}) {
    const auto wanted = fresh(now);
    in_each_order(now, [&](const Names& names) {
      Fixture f;
      const auto first = f.import(Names{"a.kicad_pcb", "a.net"});
      const std::int64_t job = f.mark(first.board.id);
      const auto report = f.import(names);
      CHECK(f.boards() == 1);
      CHECK(report.board.id == first.board.id);
      const bool board_revised = now.front() == "b.kicad_pcb";
      CHECK(says(report, (board_revised ? "a.net" : "a.kicad_pcb") + kKnown + "a"));
      CHECK(says(report, board_revised ? "b.kicad_pcb now stands in the place of a.kicad_pcb"
                                       : "b.net now stands in the place of a.net"));
      CHECK(says(report, "U1.A1 was on OLD and is now on NEW") == board_revised);
      CHECK(f.lines(report.board.id) == wanted);
      CHECK(f.files_of(report.board.id) == std::set<std::string>(now.begin(), now.end()));
      CHECK(testing::marks_of(f.bench, job).at("A1").first == MarkKind::kTorn);
    });
  }
}

TEST_CASE("a revised file beside known ones leaves the list that was not named") {
  for (const Names& now : {Names{"a.kicad_pcb", "b.net"}, Names{"b.kicad_pcb", "a.net"}}) {
    in_each_order(now, [&](const Names& names) {
      Fixture f;
      const auto first = f.import(Names{"a.kicad_pcb", "a.net", "u1.csv"});
      const auto report = f.import(names);
      CHECK(f.boards() == 1);
      CHECK(f.bench.sources(first.board.id)->size() == 3);
      CHECK(f.lines(first.board.id) == fresh({now[0], now[1], "u1.csv"}));
      CHECK_FALSE(says(report, "is not held against"));
    });
  }
}

TEST_CASE("a known board with the list of a second chip keeps the first chip's list") {
  std::string second = "ball,name\n";
  for (int i = 2; i <= 10; ++i) second += fmt::format("B{},G{}\n", i, i);
  in_each_order({"a.kicad_pcb", "u2.csv"}, [&](const Names& names) {
    Fixture f;
    f.write("u2.csv", second);
    const auto first = f.import(Names{"a.kicad_pcb", "u1.csv"});
    const auto report = f.import(names);
    CHECK(f.boards() == 1);
    CHECK(report.board.id == first.board.id);
    CHECK(f.files_of(first.board.id) == std::set<std::string>{"a.kicad_pcb", "u1.csv", "u2.csv"});
    const Board board = *f.bench.board(first.board.id);
    std::size_t named = 0;
    for (const Pin& pin : board.pins) named += pin.function.empty() ? 0U : 1U;
    CHECK(named == 19);  // ten of U1, nine of U2
  });
}

TEST_CASE("one of a board's two netlists with a new list leaves the other where it is") {
  Fixture f;
  f.write("c.net", netlist("OLD") + "\n");
  const auto first = f.import(Names{"a.kicad_pcb", "a.net", "c.net"});
  REQUIRE(f.files_of(first.board.id).size() == 3);
  f.import(Names{"c.net", "u1.csv"});
  CHECK(f.files_of(first.board.id).contains("a.net"));
}

TEST_CASE("what a known file and a new one disagree about is listed with both sides in each order") {
  std::set<std::string> said;
  in_each_order({"a.kicad_pcb", "odd.net"}, [&](const Names& names) {
    Fixture f;
    f.write("odd.net", odd_netlist());
    f.import(Names{"a.kicad_pcb"});
    const auto report = f.import(names);
    CHECK(f.boards() == 1);
    REQUIRE(report.disagreements.size() == 1);
    CHECK(report.disagreements[0].what == "R1.1");
    said.insert(report.disagreements[0].says);
    // Still said when a list comes beside them.
    CHECK(f.import(Names{"u1.csv", "a.kicad_pcb"}).disagreements.size() == 1);
  });
  CHECK(said == std::set<std::string>{"a.kicad_pcb: OLD; odd.net: N2"});
}

TEST_CASE("a folder of a new and a known file goes into the board that has the known one") {
  for (const bool known_first : {true, false}) {
    Fixture f;
    f.import(Names{"a.net"});
    f.write(known_first ? "p/1.net" : "p/2.net", netlist("OLD"));
    f.write(known_first ? "p/2.kicad_pcb" : "p/1.kicad_pcb", board("OLD"));
    const auto report = f.import(Names{"p"});
    CHECK(f.boards() == 1);
    CHECK(report.board.name == "a");
    CHECK(says(report, (known_first ? "1.net" : "2.net") + kKnown + "a"));
    CHECK(f.lines(report.board.id) == fresh({"a.net", "a.kicad_pcb"}));
  }
}

TEST_CASE("a name or another design asks for a board of its own and what is known is said all the same") {
  in_each_order({"a.net", "a.kicad_pcb"}, [&](const Names& names) {
    Fixture f;
    f.import(Names{"a.net"});
    auto named = f.request(names);
    named.name = "mine";
    const auto report = f.import(named);
    CHECK(f.boards() == 2);
    CHECK(report.board.name == "mine");
    CHECK(says(report, "a.net" + kKnown + "a"));
  });
  in_each_order({"a.net", "other.net"}, [&](const Names& names) {
    Fixture f;
    const auto before = f.import(Names{"a.net"});
    const auto lines = f.lines(before.board.id);
    const auto report = f.import(names);
    CHECK(report.board.id != before.board.id);
    CHECK(f.lines(before.board.id) == lines);
    CHECK(says(report, "a.net" + kKnown + "a"));
  });
}

TEST_CASE("files whose known ones are on two equally near boards are a choice") {
  in_each_order({"a.net", "a.kicad_pcb"}, [&](const Names& names) {
    Fixture f;
    f.import(Names{"a.net", "u1.csv"});
    auto second = f.request({"a.net"});
    second.name = "second";
    f.import(second);
    const auto report = app::import_files(f.bench, f.request(names));
    REQUIRE_FALSE(report.ok());
    CHECK(report.error().code == ErrorCode::kChoice);
    CHECK(report.error().message.find("second and on a already: --into") != std::string::npos);
    CHECK(f.boards() == 2);
    // The board that has more of them, or the fuller one, is nearer.
    auto third = f.request({"a.kicad_pcb"});
    third.name = "third";
    f.import(third);
    const auto nearest = f.import(names);
    CHECK(nearest.board.name == "third");
    CHECK(says(nearest, "a.net" + kKnown + "second and on a"));
  });
}

TEST_CASE("a known ball list says nothing about whose design the others are") {
  in_each_order({"u1.csv", "b.kicad_pcb", "b.net"}, [&](const Names& names) {
    Fixture f;
    const auto first = f.import(Names{"a.kicad_pcb", "u1.csv"});
    const auto report = f.import(names);
    CHECK(report.board.id != first.board.id);
    CHECK(says(report, "u1.csv" + kKnown + "a as U1"));
  });
}

TEST_CASE("a board of lists alone takes a further list of its chip and its part keeps its name") {
  in_each_order({"u1.csv", "more.csv"}, [&](const Names& names) {
    Fixture f;
    f.write("more.csv", "ball,name\nB1,M1\nB2,M2\nB3,M3\nB4,M4\n");
    auto first = f.request({"u1.csv"});
    first.part = "U1";
    const auto id = f.import(first).board.id;
    const std::int64_t job = f.mark(id);
    const auto report = f.import(names);
    CHECK(f.boards() == 1);
    CHECK(report.board.id == id);
    CHECK(report.board.pins == 14);
    CHECK_FALSE(says(report, "no longer on the board"));
    CHECK(BoardIndex(*f.bench.board(id)).part("U1") != kNone);
    CHECK(testing::marks_of(f.bench, job).at("A1").first == MarkKind::kTorn);
  });
}

TEST_CASE("files with the part of their list are known when they come again") {
  Fixture f;
  auto request = f.request({"a.kicad_pcb", "u1.csv"});
  request.part = "U1";
  f.import(request);
  CHECK(f.import(request).unchanged);
  std::reverse(request.files.begin(), request.files.end());
  CHECK(f.import(request).unchanged);
  CHECK(f.boards() == 1);
}

TEST_CASE("the order of the names changes neither the board's name nor what is said") {
  std::set<std::string> names;
  std::set<std::set<std::string>> notes;
  in_each_order({"a.net", "b.kicad_pcb", "u1.csv"}, [&](const Names& files) {
    Fixture f;
    const auto report = f.import(files);
    names.insert(report.board.name);
    notes.insert(std::set<std::string>(report.notes.begin(), report.notes.end()));
  });
  CHECK(names == std::set<std::string>{"b"});
  CHECK(notes.size() == 1);
}

TEST_CASE("a file that is named twice is read once") {
  Fixture f;
  f.write("copy.net", netlist("OLD"));
  const auto report = f.import(Names{"a.net", "copy.net", "a.net"});
  CHECK(report.sources.size() == 1);
  CHECK(report.disagreements.empty());
  CHECK(says(report, "copy.net: the same as a.net"));
  CHECK(says(report, "a.net: the same file twice, read once"));
}

TEST_CASE("a file that could not be held against a revised board is held against it when it comes again") {
  for (const bool alone : {true, false}) {
    Fixture f;
    const auto first = f.import(Names{"a.kicad_pcb", "a.net"});
    auto revised = f.request({"b.kicad_pcb"});
    revised.into = first.board.id;
    CHECK(says(f.import(revised), "a.net is not held against b.kicad_pcb: import it again"));
    const Names again = alone ? Names{"a.net"} : Names{"a.net", "b.kicad_pcb"};
    const auto report = f.import(again);
    CHECK(report.board.id == first.board.id);
    CHECK_FALSE(report.unchanged);
    CHECK(says(report, "b.kicad_pcb and a.net: 20 of 20 shared pins are on the same net"));
    CHECK(f.boards() == 1);
    CHECK(f.import(again).unchanged);
  }
}

TEST_CASE("a folder in which every file was revised says which board came from files of these names") {
  Fixture f;
  f.import(Names{"a.net", "a.kicad_pcb"});
  f.write("later/a.net", netlist("NEW"));
  f.write("later/a.kicad_pcb", board("NEW"));
  const auto report = f.import(Names{"later"});
  CHECK(report.board.name == "later");
  CHECK(says(report, "a came from another file of the same name: --into a would revise that board"));
}
