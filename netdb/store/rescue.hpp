// What can still be read of a damaged bench file, into a new one.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/result.hpp"

namespace landfall::store {

// What the hash of a file begins with that must be read again; no content has such a hash.
inline constexpr std::string_view kRescuedHash = "rescued ";

struct RescuedTable {
  std::string name;
  std::int64_t kept = 0;      // rows that were read and are in the new file
  std::int64_t refused = 0;   // rows that were read but cannot be: an impossible value, a second of one key
  std::int64_t mended = 0;    // kept, but for a value that cannot be: it is as in a row that is made up
  std::int64_t dropped = 0;   // rows that belong to something that is lost
  std::int64_t invented = 0;  // rows made up, called "lost ...", so that what refers to them is kept
  std::int64_t missing = 0;   // rows that were there, as far as that can be told
  std::string damage;         // SQLite's words where reading met damage; empty: all of it was read
};

struct Rescued {
  std::vector<RescuedTable> tables;
  std::vector<std::string> notes;    // what is not any one table's
  [[nodiscard]] bool whole() const;  // nothing was lost
};

// Copies `file` with its log (-wal), reads the copy table by table, past what is damaged, and writes `out`, a
// bench file of the newest version whose rows all refer to rows that are there. `file` itself is only read,
// as bytes. A part, net, layer, board or job that is lost while others refer to it is made up and called
// "lost ..."; one of which a value cannot be keeps its others. What has no meaning without what is lost is
// left out and counted; so is any other row of which a value cannot be. kUsage when `out` is there
// already; kNotFound without `file`; kBench when it is no bench file or from a newer version. A head (the
// first 100 bytes) that is damaged is made anew, as long as the list of tables behind it is whole. After a
// loss in what boards are made of, no board counts as read from its files any more (their hashes begin with
// kRescuedHash), so that they can be read again. Nothing is left of `out` on an error.
Result<Rescued> rescue(const std::filesystem::path& file, const std::filesystem::path& out);

}  // namespace landfall::store
