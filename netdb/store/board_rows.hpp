// A Board as rows, and back.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "netdb/model/board.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

// Ten times what an importer lets in: a place may be the sum of several lengths.
inline constexpr Nm kNoFarther = 10 * kFarthest;

// What in a board refers to a part, pin or net that it does not have; nothing when all is well. O(board), and
// far below the cost of letting SQLite look up each reference row by row.
std::optional<std::string> wrong_reference(const Board& board);

// Inside the caller's transaction, without foreign keys. False on an error, which the database tells.
bool write_board(const Database& database, std::int64_t id, const Board& board);
// Inside the caller's snapshot; title and thickness apart. Nothing that a row says is believed: an index
// beyond its list, a word or layer that there is not, a place further out than can be, a row that is missing
// is kBench with table and row.
Status read_board(const Database& database, std::int64_t id, Board& board);
// Rows that nobody can believe, as read_board() would refuse them one by one.
struct RowFault {
  std::string table;
  std::int64_t n = 0;
};
Result<std::vector<RowFault>> faults_of_board(const Database& database, std::int64_t id);
// The same as read_board() of layers, nets, parts and pins alone, and one land without a place for each part
// with pins that has lands.
Status read_board_words(const Database& database, std::int64_t id, Board& board);
// Takes a board's content away, the board's own row apart.
bool clear_board(const Database& database, std::int64_t id);

}  // namespace landfall::store
