// Archives (.zip, .tar, .tar.gz and kin) in memory: nothing is ever written to a disk, so no name in one can
// lead anywhere.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "importers/design.hpp"

namespace landfall::importers {

struct ArchiveBounds {
  std::size_t bytes = kMostBytes;  // of all members together, unpacked
  std::size_t members = 10'000;
};

struct ArchiveMember {
  std::string name;  // as in the archive, '/' between folders
  std::string bytes;
};

struct Unpacked {
  std::vector<ArchiveMember> members;  // plain files, in the archive's order
  std::vector<std::string> left;       // what was left out and why, one sentence each
};

// By its first bytes.
bool is_archive(std::string_view bytes);

// All plain files. Links, names that are absolute or have "..", and encrypted members are left and listed;
// kInput when it is damaged or passes a bound, whose check counts bytes as they are unpacked.
Result<Unpacked> unpack(std::string_view bytes, const std::string& file, const ArchiveBounds& bounds = {});

}  // namespace landfall::importers
