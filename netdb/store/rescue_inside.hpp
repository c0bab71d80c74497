// Shared by the rescue's sources; not for others.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "netdb/store/rescue.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

struct TableColumn {
  std::string name, type;
  bool not_null = false;
};

struct TableShape {
  std::string name;
  std::vector<TableColumn> columns;
  std::vector<std::string> key;  // "rowid" for a table that has one
  bool by_rowid = true;
  [[nodiscard]] const TableColumn* column(const std::string& wanted) const;
};

// The tables of a bench file, parents first, as the migrations made them.
std::vector<TableShape> table_shapes(const Database& database);

// Whether a column can hold the value: its type, a word that there is, a number within its range, none that
// is not finite.
bool can_be(const std::string& table, const TableColumn& column, sqlite3_value* value);
bool can_be_setting(const std::string& name, double value);

// Rows of this table are made up when they are lost while others refer to them.
bool is_made_up_when_lost(const std::string& table);
// What such a row is called; nothing for a column that is not the name.
std::optional<std::string> lost_name(const std::string& table, const std::string& column,
                                     std::int64_t number);

// Makes rows that refer to nothing whole again, and lists without gaps; counts in `tables` what it did.
Status mend_rows(const Database& database, const std::vector<TableShape>& shapes,
                 std::vector<RescuedTable>& tables);

}  // namespace landfall::store
