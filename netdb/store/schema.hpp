// The bench file's tables, and how older files become newer ones.
#pragma once

#include <cstdint>
#include <vector>

#include "netdb/model/result.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

// "Lndf": tells a bench file from any other SQLite file.
inline constexpr std::int64_t kApplicationId = 0x4C6E6466;

// Step n leads from user_version n to n + 1.
const std::vector<const char*>& migrations();
inline std::int64_t newest_version() {
  return static_cast<std::int64_t>(migrations().size());
}

// Brings the file to the version that `steps` lead to. Each step is one transaction, its version stamped in
// it, and kept only when no row then refers to one that is not there: a step that fails leaves the file at
// the version before it, and says so (kBench). Foreign keys must be off, for a step may build a table anew.
// Safe beside other programs that do the same.
Status migrate(const Database& database, const std::string& file, const std::vector<const char*>& steps);

}  // namespace landfall::store
