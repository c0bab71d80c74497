// The whole board from the command line, and the pieces that installers put beside it: completion, man page,
// desktop entry, metainfo.
#include <filesystem>
#include <set>
#include <sstream>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/support/program.hpp"

namespace {

using landfall::testing::Ran;
using landfall::testing::shell;

struct Bench : landfall::testing::ProgramBench {
  Bench() { import_sample(); }
};

std::filesystem::path packaging(const std::string& name) {
  return std::filesystem::path(LANDFALL_SOURCE) / "viewer/packaging" / name;
}

// The words at the start of the lines after "Subcommands:", or the long options of a command's help.
std::set<std::string> commands_of(const std::string& help) {
  std::set<std::string> commands;
  std::istringstream lines(help.substr(std::min(help.find("Subcommands:"), help.size())));
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line)) {
    std::istringstream words(line);
    std::string word;
    if (line.starts_with("  ") && line.size() > 2 && line[2] != ' ' && words >> word) commands.insert(word);
  }
  return commands;
}

}  // namespace

TEST_CASE("layout draws the board in each format, side and theme, and says what it drew") {
  const Bench bench;
  CHECK(bench("job new skua4 U1").code == 0);
  CHECK(bench("mark 1 A1..B3=torn").code == 0);
  for (const char* ending : {"svg", "png", "pdf"}) {
    const auto file = bench.folder.file(std::string("board.") + ending);
    CHECK(bench("layout skua4 -o " + file.string() + " --side bottom --net gnd --job 1").code == 0);
    CHECK(std::filesystem::file_size(file) > 1000);
  }
  const auto file = bench.folder.file("b.svg").string();
  const Ran ran = bench("--json layout skua4 -o " + file + " --ball U1.M2 --theme night --scale 1:1");
  REQUIRE(ran.code == 0);
  const auto answer = nlohmann::json::parse(ran.out);
  CHECK(answer["file"] == file);
  CHECK(answer["side"] == "top");
  CHECK(answer["part"] == "U1");
  CHECK(answer["net"] == "RAM1_D9");
  CHECK(bench("layout skua4 -o " + file + " --all-copper").out.find("top side") != std::string::npos);
  // Without --side, the side on which the part lies: C16 is under the processor.
  CHECK(bench("layout skua4 -o " + file + " --part c16").out.find("bottom side") != std::string::npos);
}

TEST_CASE("layout refuses what it cannot draw, each with its exit code and one line") {
  const Bench bench;
  const std::string out = " -o " + bench.folder.file("x.svg").string();
  CHECK(bench("layout skua4 -o x.bmp").code == 2);
  CHECK(bench("layout skua4").code == 2);
  CHECK(bench("layout skua4 --side left" + out).code == 2);
  CHECK(bench("layout skua4 --theme beige" + out).code == 2);
  CHECK(bench("layout skua4 --scale 2:1" + out).code == 2);
  CHECK(bench("layout skua4 --net NOSUCH" + out).code == 1);
  CHECK(bench("layout skua4 --part U99" + out).code == 1);
  CHECK(bench("layout skua4 --job 7" + out).code == 1);
  CHECK(bench("layout nothing" + out).code == 1);
  // A list of names has no places; a bare package has.
  const std::string balls = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4.net";
  CHECK(bench("import --name names " + balls).code == 0);
  const Ran names = bench("layout names" + out);
  CHECK(names.code == 1);
  CHECK(names.out.find("no places") != std::string::npos);
  CHECK_FALSE(std::filesystem::exists(bench.folder.file("x.svg")));
  CHECK(bench("board new other --package 4x4 --pitch 0.8").code == 0);
  CHECK(bench("job new other U1").code == 0);
  CHECK(bench("layout skua4 --job 1" + out).code == 2);  // on another board
}

TEST_CASE(
    "every command of the help, and each of its options, is in the completion, commands in the man page") {
  const std::string completion = landfall::testing::read_file(packaging("landfall.bash"));
  const std::string page = landfall::testing::read_file(packaging("landfall.1"));
  const auto commands = commands_of(shell(LANDFALL_PROGRAM " --help").out);
  REQUIRE(commands.size() >= 20);
  REQUIRE(commands.contains("layout"));
  const auto complete = [&](const std::string& typed) {
    std::string words;
    std::size_t count = 0;
    std::istringstream stream(typed);
    for (std::string word; stream >> word; ++count) words += "'" + word + "' ";
    if (typed.ends_with(' ')) {
      words += "''";
      ++count;
    }
    return shell("bash -c \". " + packaging("landfall.bash").string() + "; COMP_WORDS=(" + words +
                 "); COMP_CWORD=" + std::to_string(count - 1) +
                 "; _landfall; printf '%s\\n' \\\"\\${COMPREPLY[@]}\\\"\"")
        .out;
  };
  const auto has = [](const std::string& answer, const std::string& word) {
    return ("\n" + answer).find("\n" + word + "\n") != std::string::npos;
  };
  const std::string first = complete(LANDFALL_PROGRAM " ");
  for (const std::string& command : commands) {
    INFO(command);
    CHECK(has(first, command));
    CHECK(page.find(command) != std::string::npos);
    const std::string help = shell(LANDFALL_PROGRAM " " + command + " --help").out;
    const std::string offered = complete(LANDFALL_PROGRAM " " + command + " --");
    for (std::size_t at = help.find("  --"); at != std::string::npos; at = help.find("  --", at + 1)) {
      const std::string option = help.substr(at + 2, help.find_first_of(" ,\n", at + 2) - at - 2);
      INFO(option);
      CHECK(has(offered, option));
    }
    const std::string after = complete(LANDFALL_PROGRAM " " + command + " ");
    for (const std::string& below : commands_of(help)) {
      INFO(below);
      CHECK(has(after, below));
    }
  }
  CHECK(has(complete(LANDFALL_PROGRAM " layout skua4 --si"), "--side"));
  CHECK(has(complete(LANDFALL_PROGRAM " layout skua4 --side b"), "bottom"));
  CHECK(has(complete(LANDFALL_PROGRAM " map skua4 U1 --face "), "balls"));
  CHECK_FALSE(has(complete(LANDFALL_PROGRAM " map "), "--side"));
}

TEST_CASE("desktop entry, icon and metainfo name one another, and the metainfo this version") {
  const std::string id = "local.landfall.Landfall";
  const std::string entry = landfall::testing::read_file(packaging(id + ".desktop"));
  const std::string info = landfall::testing::read_file(packaging(id + ".metainfo.xml"));
  CHECK(landfall::testing::read_file(packaging(id + ".svg")).find("</svg>") != std::string::npos);
  CHECK(entry.starts_with("[Desktop Entry]\n"));
  CHECK(entry.find("\nIcon=" + id + "\n") != std::string::npos);
  CHECK(entry.find("\nExec=landfall-viewer\n") != std::string::npos);
  CHECK(info.find("<id>" + id + "</id>") != std::string::npos);
  CHECK(info.find("<launchable type=\"desktop-id\">" + id + ".desktop<") != std::string::npos);
  std::string version = shell(LANDFALL_PROGRAM " --version").out;
  version.erase(version.find_last_not_of(" \n") + 1);
  CHECK(info.find("<release version=\"" + version + "\"") != std::string::npos);
}
