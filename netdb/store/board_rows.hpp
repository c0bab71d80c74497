// A Board as rows, and back.
#pragma once

#include <cstdint>

#include "netdb/model/board.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

// Inside the caller's transaction. False on an error, which the database tells.
bool write_board(const Database& database, std::int64_t id, const Board& board);
bool read_board(const Database& database, std::int64_t id, Board& board);
// Takes a board's content away, the board's own row apart.
bool clear_board(const Database& database, std::int64_t id);

}  // namespace landfall::store
