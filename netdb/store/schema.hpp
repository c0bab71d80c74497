// The bench file's tables, and how older files become newer ones.
#pragma once

#include <cstdint>
#include <vector>

#include "netdb/model/result.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

// "Lndf": tells a bench file from any other SQLite file.
inline constexpr std::int64_t kApplicationId = 0x4C6E6466;

// Step n leads from user_version n to n + 1; each runs in the transaction of the whole migration.
const std::vector<const char*>& migrations();
inline std::int64_t newest_version() {
  return static_cast<std::int64_t>(migrations().size());
}

// Checks the file and brings it to the newest version. kBench, and the file as it was, for a file that is no
// bench file or comes from a newer version.
Status prepare(const Database& database, const std::string& file);

}  // namespace landfall::store
