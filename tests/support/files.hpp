// Files for tests: the project's own data, and the real designs in ../shared.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "importers/design.hpp"

namespace landfall::testing {

// The whole file; fails the test when it cannot be read.
std::string read_file(const std::filesystem::path& file);

// tests/data/NAME.
std::filesystem::path data_file(const std::string& name);

// ../shared/NAME. `have_shared` prints "SKIPPED: ..." when the folder is absent, and the test must then
// return: CTest shows it as skipped.
bool have_shared();
std::filesystem::path shared_file(const std::string& name);

// Reads one design and requires that it is understood.
importers::Design open_design(const std::filesystem::path& file);

// Reads each and joins them in this order into one board.
Board open_board(const std::vector<std::filesystem::path>& files);

// A folder of the test's own that is removed at the end.
class ScratchFolder {
 public:
  ScratchFolder();
  ~ScratchFolder();
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  ScratchFolder(ScratchFolder&&) = delete;
  ScratchFolder& operator=(ScratchFolder&&) = delete;
  [[nodiscard]] std::filesystem::path file(const std::string& name) const { return path_ / name; }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace landfall::testing
