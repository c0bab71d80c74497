// What the files of this folder share behind Bench.
#pragma once

#include "netdb/store/bench.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

struct Bench::Inside {
  Database database;
};

}  // namespace landfall::store
