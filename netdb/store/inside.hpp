// What the files of this folder share behind Bench.
#pragma once

#include "netdb/store/bench.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

struct Bench::Inside {
  Database database;
};

// The least text, byte by byte, that follows all those that begin so: for ranges on an index. No UTF-8 has
// this byte.
inline std::string after_all_that_begin(std::string_view beginning) {
  return std::string(beginning) + '\xFF';
}

}  // namespace landfall::store
