// Folders and archives: what is used, what is left and why, and bounds. Archives are made here with
// libarchive.
#include <algorithm>
#include <fstream>
#include <memory>

#include <archive.h>
#include <archive_entry.h>
#include <doctest/doctest.h>

#include "importers/archive/archive.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/gather.hpp"
#include "viewer/app/import.hpp"

using namespace landfall;
namespace fs = std::filesystem;

namespace {

struct Member {
  std::string name, bytes;
  bool link = false;
};

enum class Kind { kZip, kTarGz };

std::string packed(Kind kind, const std::vector<Member>& members) {
  std::string out(64U << 20U, '\0');
  std::size_t used = 0;
  archive* a = archive_write_new();
  if (kind == Kind::kZip) {
    archive_write_set_format_zip(a);
  } else {
    archive_write_set_format_pax_restricted(a);
    archive_write_add_filter_gzip(a);
  }
  REQUIRE(archive_write_open_memory(a, out.data(), out.size(), &used) == ARCHIVE_OK);
  for (const Member& member : members) {
    archive_entry* entry = archive_entry_new();
    archive_entry_set_pathname(entry, member.name.c_str());
    archive_entry_set_perm(entry, 0644);
    archive_entry_set_filetype(entry, member.link ? AE_IFLNK : AE_IFREG);
    if (member.link) archive_entry_set_symlink(entry, member.bytes.c_str());
    archive_entry_set_size(entry, member.link ? 0 : static_cast<la_int64_t>(member.bytes.size()));
    REQUIRE(archive_write_header(a, entry) == ARCHIVE_OK);
    if (!member.link) archive_write_data(a, member.bytes.data(), member.bytes.size());
    archive_entry_free(entry);
  }
  archive_write_close(a);
  archive_write_free(a);
  out.resize(used);
  return out;
}

void write(const fs::path& file, const std::string& bytes) {
  fs::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary) << bytes;
}

std::string seed(const std::string& name) {
  return testing::read_file(testing::data_file("seeds/" + name));
}

std::string all(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

std::vector<std::string> names(const app::Gathering& gathering) {
  std::vector<std::string> out;
  for (const auto& file : gathering.files) out.push_back(file.name);
  return out;
}

}  // namespace

TEST_CASE("a zip and a tar.gz give their plain files, links and names that lead out are left and said") {
  for (const Kind kind : {Kind::kZip, Kind::kTarGz}) {
    const std::string bytes = packed(kind, {{"a/one.txt", "1"},
                                            {"../two.txt", "2"},
                                            {"/three.txt", "3"},
                                            {"a/../../four.txt", "4"},
                                            {"link", "/etc/passwd", true},
                                            {"empty", ""}});
    CHECK(importers::is_archive(bytes));
    const auto unpacked = importers::unpack(bytes, "x");
    REQUIRE(unpacked.ok());
    REQUIRE(unpacked->members.size() == 2);
    CHECK(unpacked->members[0].name == "a/one.txt");
    CHECK(unpacked->members[0].bytes == "1");
    CHECK(unpacked->left.size() == 4);
    CHECK(all(unpacked->left).find("../two.txt: its name leads out") != std::string::npos);
    CHECK(all(unpacked->left).find("link: a link") != std::string::npos);
  }
}

TEST_CASE("an archive that unpacks to more than the bound is refused, and so is one with too many members") {
  const std::string bomb = packed(Kind::kZip, {{"a", std::string(32U << 20U, '\0')}});
  CHECK(bomb.size() < 100'000);
  const auto refused = importers::unpack(bomb, "x.zip", {1U << 20U, 10});
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::kInput);
  CHECK(importers::unpack(bomb, "x.zip").ok());
  CHECK_FALSE(
      importers::unpack(packed(Kind::kTarGz, {{"a", "1"}, {"b", "2"}, {"c", "3"}}), "x", {100, 2}).ok());
}

TEST_CASE("an archive cut at any byte, or with a byte changed, is read or refused in one line") {
  for (const Kind kind : {Kind::kZip, Kind::kTarGz}) {
    const std::string whole = packed(kind, {{"a/small.net", seed("kicad_netlist/small.net")}, {"b", "2"}});
    for (std::size_t n = 0; n < whole.size(); n += 3) {
      const std::string cut(whole.data(), n);
      const auto unpacked = importers::unpack(cut, "x");
      if (!unpacked.ok()) CHECK(unpacked.error().message.find('\n') == std::string::npos);
      std::string flipped = whole;
      flipped[n] = static_cast<char>(flipped[n] ^ 0x21);
      const auto other = importers::unpack(flipped, "x", {1U << 20U, 100});
      if (!other.ok()) CHECK(other.error().message.find('\n') == std::string::npos);
    }
  }
}

TEST_CASE("of a project's folder the board and its netlist are used, the rest is left and said") {
  const testing::ScratchFolder folder;
  const std::string board =
      testing::read_file(testing::data_file("../../sample-boards/skua4/skua4.kicad_pcb"));
  const std::string net = testing::read_file(testing::data_file("../../sample-boards/skua4/skua4.net"));
  const std::string list =
      testing::read_file(testing::data_file("../../sample-boards/skua4/skua4-u1-balls.csv"));
  write(folder.file("p/skua4.kicad_pcb"), board);
  write(folder.file("p/out/skua4.net"), net);
  write(folder.file("p/out/copy.net"), net);
  // Another design's netlist, its references the same by chance.
  write(folder.file("p/other/small.net"),
        "(export (version E) (components (comp (ref U1) (value X))) (libparts) (nets (net (code 1) (name A) "
        "(node (ref U1) "
        "(pin A1)) (node (ref U1) (pin A2)) (node (ref U1) (pin B1)) (node (ref U1) (pin B2)) (node (ref U1) "
        "(pin B3)) "
        "(node (ref U1) (pin C1)) (node (ref U1) (pin C2)))))");
  write(folder.file("p/u1.csv"), list);
  write(folder.file("p/readme.txt"), "hello\n");
  write(folder.file("p/.git/x.kicad_pcb"), board);
  std::error_code failed;
  fs::create_symlink("/etc/passwd", folder.file("p/link.net"), failed);
  REQUIRE(app::holds_files(folder.file("p")));
  const auto gathering = app::gather(folder.file("p"), {});
  REQUIRE(gathering.ok());
  CHECK(names(*gathering).at(0) == "skua4.kicad_pcb");
  CHECK(gathering->files.size() == 3);
  CHECK(names(*gathering).at(2) == "u1.csv");  // its balls are U1's
  const std::string notes = all(gathering->notes);
  CHECK(notes.find("small.net: it seems to be of another design") != std::string::npos);
  CHECK(notes.find("the same as") != std::string::npos);
  CHECK(notes.find("u1.csv: no design") == std::string::npos);
  CHECK(notes.find("readme.txt: no design") != std::string::npos);
  CHECK(notes.find("link.net: a link") != std::string::npos);

  SUBCASE("the same out of an archive, and imported it is one board") {
    write(folder.file("p.zip"),
          packed(Kind::kZip,
                 {{"p/skua4.kicad_pcb", board}, {"p/skua4.net", net}, {"p/readme.txt", "hello\n"}}));
    auto bench = store::Bench::open(folder.file("bench.db"));
    REQUIRE(bench.ok());
    app::ImportRequest request;
    request.files = {folder.file("p.zip")};
    const auto report = app::import_files(*bench, request);
    REQUIRE(report.ok());
    CHECK(report->board.name == "p");
    CHECK(report->sources.size() == 2);
    const auto again = app::import_files(*bench, request);
    REQUIRE(again.ok());
    CHECK(again->unchanged);
    request.files = {folder.file("p.zip") / "p" / "skua4.net"};
    const auto inner = app::import_files(*bench, request);
    REQUIRE(inner.ok());
    CHECK(inner->sources.size() == 1);
  }
  SUBCASE("two boards are a choice") {
    write(folder.file("p/second.kicad_pcb"), seed("kicad_board/small.kicad_pcb"));
    const auto choice = app::gather(folder.file("p"), {});
    REQUIRE_FALSE(choice.ok());
    CHECK(choice.error().code == ErrorCode::kChoice);
    CHECK(choice.error().message.find("second.kicad_pcb") != std::string::npos);
  }
}

TEST_CASE("a bare part is used only where there is neither board nor netlist, several are a choice") {
  const testing::ScratchFolder folder;
  write(folder.file("q/a.csv"), "ball,name\nA1,VDD\nA2,VSS\n");
  write(folder.file("q/notes.txt"), "nothing here\nat all\n");
  const auto one = app::gather(folder.file("q"), {});
  REQUIRE(one.ok());
  CHECK(names(*one) == std::vector<std::string>{"a.csv"});
  write(folder.file("q/b.csv"), "ball,name\nA1,VDD\nA2,GND\n");
  const auto two = app::gather(folder.file("q"), {});
  REQUIRE_FALSE(two.ok());
  CHECK(two.error().code == ErrorCode::kChoice);
  fs::create_directories(folder.file("empty"));
  const auto none = app::gather(folder.file("empty"), {});
  REQUIRE_FALSE(none.ok());
  CHECK(none.error().code == ErrorCode::kInput);
}

TEST_CASE("a single packed file is read as what it is") {
  const testing::ScratchFolder folder;
  std::string bytes = packed(Kind::kTarGz, {{"x", "1"}});
  CHECK(app::holds_files(folder.file("none")) == false);
  write(folder.file("x.tar.gz"), bytes);
  CHECK(app::holds_files(folder.file("x.tar.gz")));
}

TEST_CASE("a board out of a packed archive is called as the archive is without its endings") {
  const testing::ScratchFolder folder;
  write(folder.file("radio.tar.gz"),
        packed(Kind::kTarGz, {{"radio/skua4.net", testing::read_file(fs::path(LANDFALL_SOURCE) /
                                                                     "sample-boards/skua4/skua4.net")}}));
  auto bench = store::Bench::open(folder.file("bench.db"));
  REQUIRE(bench.ok());
  app::ImportRequest request;
  request.files = {folder.file("radio.tar.gz")};
  const auto report = app::import_files(*bench, request);
  REQUIRE(report.ok());
  CHECK(report->board.name == "radio");
}

TEST_CASE("a bill of materials in a board's format is no second board of its folder") {
  if (!testing::have_shared()) return;
  const testing::ScratchFolder folder;
  for (const char* name : {"testcase10-RevC-BOM.xml", "testcase10-RevC-Assembly.xml"})
    write(folder.file("p") / name,
          testing::read_file(testing::shared_file(std::string("boards/ipc2581/") + name)));
  const auto gathering = app::gather(folder.file("p"), {});
  REQUIRE(gathering.ok());
  CHECK(names(*gathering) == std::vector<std::string>{"testcase10-RevC-Assembly.xml"});
  CHECK(all(gathering->notes).find("testcase10-RevC-BOM.xml: there are no pins in it") != std::string::npos);
}

TEST_CASE("a folder without a design names what it holds and why that is of no use, an empty one says so") {
  const testing::ScratchFolder folder;
  const fs::path odd = folder.file("odd things");
  write(odd / "notes.png", "\x89PNG\r\n\x1A\n");
  write(odd / "old.zip", packed(Kind::kZip, {{"a.txt", "a"}}));
  write(odd / "sheet.pdf", "%PDF-1.7\n");
  const auto nothing = app::gather(odd, {});
  REQUIRE_FALSE(nothing.ok());
  CHECK(nothing.error().message.find("notes.png: a PNG picture") != std::string::npos);
  CHECK(nothing.error().message.find(
            "old.zip: an archive, which is looked into when it is named by itself") != std::string::npos);
  CHECK(nothing.error().message.find("sheet.pdf: a PDF") != std::string::npos);
  fs::create_directories(folder.file("empty"));
  CHECK(app::gather(folder.file("empty"), {}).error().message.find("this folder is empty") !=
        std::string::npos);
}
