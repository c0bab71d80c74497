// The commands that README.md and the manual show, run as they stand there, in order, in a folder that holds
// the sample board: each ends with 0, and prints the lines that stand below it, in that order.
#include <sstream>

#include "tests/support/program.hpp"

using namespace landfall;

namespace {

struct Shown {
  std::size_t line = 0;
  std::string command;
  std::vector<std::string> lines;  // "..." stands for any
};

std::string without_end(std::string text) {
  const auto end = text.find_last_not_of(" \t\r");
  return end == std::string::npos ? "" : text.substr(0, end + 1);
}

// The "$ " lines of the console blocks; a line that ends with a backslash goes on.
std::vector<Shown> shown_in(const std::string& text) {
  std::vector<Shown> shown;
  std::istringstream in(text);
  std::string line;
  bool inside = false;
  for (std::size_t number = 1; std::getline(in, line); ++number) {
    if (line.starts_with("```")) {
      inside = line == "```console";
    } else if (inside && line.starts_with("$ ")) {
      shown.push_back({number, line.substr(2), {}});
    } else if (inside && !shown.empty() && shown.back().command.ends_with('\\')) {
      shown.back().command += "\n" + line;
    } else if (inside && !shown.empty() && !without_end(line).empty() && line != "...") {
      shown.back().lines.push_back(without_end(line));
    }
  }
  return shown;
}

void run_all(const std::string& file) {
  const std::string root = LANDFALL_SOURCE;
  const testing::ScratchFolder folder;
  std::filesystem::create_directory_symlink(root + "/sample-boards", folder.file("sample-boards"));
  // The program is meant wherever `landfall` is typed, in a pipe as well.
  std::filesystem::create_symlink(LANDFALL_PROGRAM, folder.file("landfall"));
  const std::vector<Shown> all = shown_in(testing::read_file(root + "/" + file));
  REQUIRE(all.size() > 10);
  for (const Shown& shown : all) {
    const testing::Ran ran =
        testing::shell("cd " + folder.file("").string() +
                       " && export PATH=\"$PWD:$PATH\" XDG_DATA_HOME=\"$PWD/data\"; " + shown.command);
    INFO(file << ":" << shown.line << ": " << shown.command << "\n" << ran.out);
    CHECK(ran.code == 0);
    std::istringstream out(ran.out);
    std::string line;
    std::size_t next = 0;
    while (next < shown.lines.size() && std::getline(out, line)) {
      if (without_end(line) == shown.lines[next]) ++next;
    }
    if (next < shown.lines.size())
      CHECK_MESSAGE(false, "not printed, or not in this order: " << shown.lines[next]);
  }
}

}  // namespace

TEST_CASE("what README.md shows is what the program does") {
  run_all("README.md");
}
TEST_CASE("what the manual shows is what the program does") {
  run_all("viewer/manual/manual.md");
}
