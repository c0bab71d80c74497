// What is usable in a folder or an archive.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "importers/design.hpp"

namespace landfall::app {

struct Gathered {
  std::string name;  // as it stands in the folder or archive
  std::string bytes;
  importers::Design design;
  Diagnostics log;
};

struct Gathering {
  std::vector<Gathered> files;     // those of one design, the fullest first
  std::vector<std::string> notes;  // what was taken, what was left and why
};

// Whether a file is of the base's design: most of its pins are on the base's parts, and most of those are
// divided into nets as the base does. Small designs share references (R1.1, U1.A1) by chance, hence both.
bool belongs(const Board& base, const Board& own, std::string_view format);

// The path names a folder or an archive, or something inside an archive ("boards.zip/main").
bool holds_files(const std::filesystem::path& path);

// Files of one design: its board, and the netlists that share most of their pins with it; a bare part only
// where there is neither. kChoice, with the candidates, when there are several boards, or several bare parts
// and no board; kInput when nothing is usable. At most 10,000 files and 512 MB are looked at; links and
// hidden folders are not followed.
Result<Gathering> gather(const std::filesystem::path& path, const importers::ReadOptions& options);

}  // namespace landfall::app
