#include <fmt/format.h>

#include "netdb/store/bench.hpp"
#include "netdb/store/inside.hpp"
#include "netdb/store/sqlite.hpp"

// The table of names that the user accepted.

namespace landfall::store {

Result<std::vector<NameAlias>> Bench::aliases(std::int64_t board) {
  Statement statement(
      inside_->database,
      "SELECT id, part, name, to_part, to_name, why FROM name_alias WHERE board = ? ORDER BY id");
  statement.bind(1, board);
  std::vector<NameAlias> found;
  while (statement.step()) {
    found.push_back({statement.integer(0), std::string(statement.text(1)), std::string(statement.text(2)),
                     std::string(statement.text(3)), std::string(statement.text(4)),
                     std::string(statement.text(5))});
  }
  if (!statement.ok()) return inside_->database.error();
  return found;
}

Result<std::size_t> Bench::add_aliases(std::int64_t board, const std::vector<NameAlias>& aliases) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  std::size_t fresh = 0;
  for (const NameAlias& alias : aliases) {
    Statement statement(
        database,
        "INSERT INTO name_alias (board, part, name, to_part, to_name, why) VALUES (?,?,?,?,?,?) "
        "ON CONFLICT DO NOTHING");
    statement.bind(1, board).bind(2, std::string_view(alias.part)).bind(3, std::string_view(alias.name));
    statement.bind(4, std::string_view(alias.to_part)).bind(5, std::string_view(alias.to_name));
    if (!statement.bind(6, std::string_view(alias.why)).run()) return database.error();
    fresh += sqlite3_changes(database.handle()) > 0 ? 1U : 0U;
  }
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return fresh;
}

Status Bench::remove_aliases(std::int64_t board, const std::vector<std::int64_t>& aliases) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  for (const std::int64_t alias : aliases) {
    Statement statement(database, "DELETE FROM name_alias WHERE board = ? AND id = ?");
    if (!statement.bind(1, board).bind(2, alias).run()) return database.error();
    if (sqlite3_changes(database.handle()) == 0)
      return Error{ErrorCode::kNotFound, fmt::format("the board has no alias {}", alias)};
  }
  return transaction.commit();
}

}  // namespace landfall::store
