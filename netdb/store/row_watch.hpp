// Progress of a board that is being written, and the way to stop it.
#pragma once

#include <cstddef>

#include "netdb/store/bench.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

// How many rows a board is written as, its aliases and sources apart.
std::size_t rows_of(const Board& board);

// While it lives, SQLite asks `on_rows` of the origin now and then; its 'no' ends the statement that runs,
// and SQLite itself rolls the transaction back.
class RowWatch {
 public:
  RowWatch(const Database& database, const Origin& origin, std::size_t rows);
  ~RowWatch();
  RowWatch(const RowWatch&) = delete;
  RowWatch& operator=(const RowWatch&) = delete;
  RowWatch(RowWatch&&) = delete;
  RowWatch& operator=(RowWatch&&) = delete;

  // Why the writing failed: stopped (kUsage), or what the database says.
  [[nodiscard]] Error error() const;

 private:
  static int ask(void* self);

  const Database& database_;
  const Origin& origin_;
  std::size_t rows_;
  sqlite3_int64 before_;
  bool stopped_ = false;
};

}  // namespace landfall::store
