// The files of one design, in any order, are one and the same board: named one by one, in a folder, in an
// archive, or brought one after the other.
#include <algorithm>
#include <fstream>
#include <numeric>
#include <set>

#include <archive.h>
#include <archive_entry.h>
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/import.hpp"

using namespace landfall;
namespace fs = std::filesystem;

namespace {

using Paths = std::vector<fs::path>;

Paths sample() {
  Paths paths;
  for (const char* name : {"skua4.kicad_pcb", "skua4.net", "skua4.ipc", "skua4-u1-balls.csv"})
    paths.push_back(fs::path(LANDFALL_SOURCE) / "sample-boards/skua4" / name);
  return paths;
}

// What is kept of an import.
struct Kept {
  Board board;
  std::multiset<std::string> disagreements;
};

Kept kept_in(store::Bench& bench, std::int64_t id) {
  Kept kept;
  auto board = bench.board(id);
  REQUIRE(board.ok());
  kept.board = std::move(board).value();
  const auto disagreements = bench.disagreements(id);
  REQUIRE(disagreements.ok());
  for (const auto& d : *disagreements) kept.disagreements.insert(d.kind + " " + d.what + " " + d.net);
  return kept;
}

Kept imported(const Paths& files, const std::string& package) {
  const testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));
  app::ImportRequest request;
  request.files = files;
  request.name = "x";
  request.read.package = package;
  const auto report = app::import_files(bench, request);
  REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
  return kept_in(bench, report->board.id);
}

Kept one_after_the_other(const Paths& files, const std::string& package) {
  const testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));
  app::ImportRequest request;
  request.name = "x";
  request.read.package = package;
  std::int64_t id = 0;
  for (const fs::path& file : files) {
    request.files = {file};
    const auto report = app::import_files(bench, request);
    REQUIRE_MESSAGE(report.ok(), (report.ok() ? std::string() : report.error().message));
    id = report->board.id;
    request.into = id;
  }
  CHECK(bench.boards()->size() == 1);
  CHECK(bench.sources(id)->size() == files.size());
  return kept_in(bench, id);
}

// Each order of the files, as "0123".
template <class Use>
void in_each_order(const Paths& files, Use use) {
  std::string order(files.size(), '0');
  std::iota(order.begin(), order.end(), '0');
  do {
    Paths paths;
    for (const char i : order) paths.push_back(files[static_cast<std::size_t>(i - '0')]);
    CAPTURE(order);
    use(paths);
  } while (std::next_permutation(order.begin(), order.end()));
}

void write_zip(const fs::path& to, const Paths& files) {
  archive* a = archive_write_new();
  archive_write_set_format_zip(a);
  REQUIRE(archive_write_open_filename(a, to.c_str()) == ARCHIVE_OK);
  for (const fs::path& file : files) {
    const std::string bytes = testing::read_file(file);
    archive_entry* entry = archive_entry_new();
    archive_entry_set_pathname(entry, file.filename().c_str());
    archive_entry_set_perm(entry, 0644);
    archive_entry_set_filetype(entry, AE_IFREG);
    archive_entry_set_size(entry, static_cast<la_int64_t>(bytes.size()));
    REQUIRE(archive_write_header(a, entry) == ARCHIVE_OK);
    archive_write_data(a, bytes.data(), bytes.size());
    archive_entry_free(entry);
  }
  archive_write_close(a);
  archive_write_free(a);
}

// The board without the order of its own lists, as lines: what REF.PIN is on, called, and where; nets; parts;
// copper.
std::multiset<std::string> lines_of(const Board& b) {
  std::multiset<std::string> lines;
  const auto net = [&](Index n) { return n == kNone ? std::string("-") : b.nets[n].name; };
  for (const Net& n : b.nets) {
    std::set<std::string> aliases(n.aliases.begin(), n.aliases.end());
    lines.insert(fmt::format("net {} {} {}", n.name, n.automatic, fmt::join(aliases, ",")));
  }
  for (const Part& p : b.parts)
    lines.insert(fmt::format("part {} {} {} {} {} {} {} {} {}", p.reference, p.value, p.footprint, p.library,
                             p.placed, p.at.x, p.at.y, p.angle, static_cast<int>(p.side)));
  for (const Pin& p : b.pins)
    lines.insert(fmt::format("pin {}.{} {} {} {}", b.parts[p.part].reference, p.number, p.function,
                             static_cast<int>(p.type), net(p.net)));
  for (const Land& l : b.lands) {
    const std::string of = l.pin == kNone
                               ? std::string("-")
                               : b.parts[b.pins[l.pin].part].reference + "." + b.pins[l.pin].number;
    lines.insert(fmt::format("land {} {} {} {} {} {}", of, l.at.x, l.at.y, l.width, l.height, net(l.net)));
  }
  for (const Track& t : b.tracks)
    lines.insert(
        fmt::format("track {} {} {} {} {} {}", t.from.x, t.from.y, t.to.x, t.to.y, t.layer, net(t.net)));
  for (const Via& v : b.vias)
    lines.insert(fmt::format("via {} {} {} {}", v.at.x, v.at.y, v.drill, net(v.net)));
  lines.insert(fmt::format("{} {} fills, {} zones, {} arcs, {} holes, {} edges, {} layers", b.title,
                           b.fills.size(), b.zones.size(), b.arcs.size(), b.holes.size(), b.outline.size(),
                           b.layers.size()));
  return lines;
}

void check_same(const Board& got, const Board& wanted) {
  const auto a = lines_of(got);
  const auto b = lines_of(wanted);
  std::vector<std::string> only;
  std::set_difference(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(only));
  CHECK_MESSAGE(only.empty(), only.size(),
                " lines more, such as: ", (only.empty() ? std::string() : only.front()));
  only.clear();
  std::set_difference(b.begin(), b.end(), a.begin(), a.end(), std::back_inserter(only));
  CHECK_MESSAGE(only.empty(), only.size(),
                " lines less, such as: ", (only.empty() ? std::string() : only.front()));
}

}  // namespace

TEST_CASE("board, netlist, test netlist and ball list of one design are one board in each of 24 orders") {
  const Kept wanted = imported(sample(), "");
  CHECK(wanted.board.pins.size() == 804);
  CHECK(std::count_if(wanted.board.pins.begin(), wanted.board.pins.end(),
                      [](const Pin& p) { return !p.function.empty(); }) > 420);
  in_each_order(sample(), [&](const Paths& files) {
    const Kept got = imported(files, "");
    CHECK(got.board == wanted.board);
    CHECK(got.disagreements == wanted.disagreements);
  });
}

TEST_CASE("a folder and an archive of them are that board too, whatever the order of their names") {
  const Kept wanted = imported(sample(), "");
  in_each_order(sample(), [&](const Paths& files) {
    const testing::ScratchFolder folder;
    fs::create_directories(folder.file("f"));
    Paths numbered;
    for (std::size_t i = 0; i < files.size(); ++i) {
      numbered.push_back(folder.file("f") / fmt::format("{}-{}", i, files[i].filename().string()));
      fs::copy_file(files[i], numbered.back());
    }
    write_zip(folder.file("f.zip"), numbered);
    for (const char* name : {"f", "f.zip"}) {
      const Kept got = imported({folder.file(name)}, "");
      CHECK(got.board == wanted.board);
      CHECK(got.disagreements == wanted.disagreements);
    }
  });
}

TEST_CASE("brought one after the other they come to that board in each of 24 orders") {
  const Kept wanted = imported(sample(), "");
  in_each_order(sample(), [&](const Paths& files) {
    const Kept got = one_after_the_other(files, "");
    check_same(got.board, wanted.board);
    CHECK(got.disagreements == wanted.disagreements);
  });
}

TEST_CASE("a real board, its test netlist and the maker's ball table are one board in each order") {
  if (!testing::have_shared()) return;
  const Paths files{testing::shared_file("boards/kicad_pcb/homebrew-ecp5-cm.kicad_pcb"),
                    testing::shared_file("boards/d356/homebrew-ecp5-cm.d356"),
                    testing::shared_file("boards/balls/ECP5U85-Pinout.csv")};
  const Kept wanted = imported(files, "CABGA381");
  in_each_order(files, [&](const Paths& paths) {
    const Kept got = imported(paths, "CABGA381");
    CHECK(got.board == wanted.board);
    CHECK(got.disagreements == wanted.disagreements);
    const Kept later = one_after_the_other(paths, "CABGA381");
    check_same(later.board, wanted.board);
    CHECK(later.disagreements == wanted.disagreements);
  });
}
