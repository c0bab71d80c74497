#include "tests/support/files.hpp"

#include <cstdio>
#include <fstream>
#include <iostream>
#include <iterator>

#include <doctest/doctest.h>
#include <unistd.h>

#include "netdb/join/join.hpp"

namespace landfall::testing {

std::string read_file(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  REQUIRE_MESSAGE(in.good(), "cannot read ", file.string());
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

std::filesystem::path data_file(const std::string& name) {
  return std::filesystem::path(LANDFALL_SOURCE) / "tests/data" / name;
}

bool have_shared() {
  if (std::filesystem::is_directory(std::filesystem::path(LANDFALL_SHARED) / "boards")) return true;
  std::cout << "SKIPPED: the real designs (../shared) are not here\n";
  return false;
}

std::filesystem::path shared_file(const std::string& name) {
  return std::filesystem::path(LANDFALL_SHARED) / name;
}

importers::Design open_design(const std::filesystem::path& file) {
  Diagnostics log;
  auto design = importers::read_design(read_file(file), file.filename().string(), log);
  REQUIRE_MESSAGE(design.ok(), (design.ok() ? std::string() : design.error().message));
  return std::move(design).value();
}

Board open_board(const std::vector<std::filesystem::path>& files) {
  std::vector<join::Source> sources;
  for (const auto& file : files) {
    importers::Design design = open_design(file);
    sources.push_back({file.filename().string(), design.format, std::move(design.board)});
  }
  return join::join(std::move(sources)).board;
}

ScratchFolder::ScratchFolder() {
  static int count = 0;
  path_ = std::filesystem::temp_directory_path() /
          ("landfall-test-" + std::to_string(::getpid()) + "-" + std::to_string(++count));
  std::filesystem::create_directories(path_);
}

ScratchFolder::~ScratchFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

}  // namespace landfall::testing
