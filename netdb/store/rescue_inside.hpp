// Shared by the rescue's sources; not for others.
#pragma once

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

// Makes rows that refer to nothing whole again, and lists without gaps; counts in `tables` what it did.
Status mend_rows(const Database& database, const std::vector<TableShape>& shapes,
                 std::vector<RescuedTable>& tables);

}  // namespace landfall::store
