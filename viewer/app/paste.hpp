// A ball table as text, looked at before anybody takes it: what each column is for, how many balls, what was
// not understood. The window's page and `import --look` show the same.
#pragma once

#include <string>
#include <vector>

#include "importers/ball_list/ball_list.hpp"
#include "netdb/model/diagnostics.hpp"

namespace landfall::app {

struct TableBall {
  std::string ball, name;
};

struct TableLook {
  std::vector<importers::ListColumn> columns;  // none: a grid, or lines of words
  std::size_t balls = 0, nets = 0;
  bool is_grid = false;            // then the side it is seen from can be said
  std::vector<TableBall> first;    // the first balls, at most 12
  std::vector<std::string> notes;  // what was understood
  std::vector<Diagnostic> doubts;  // what was not, with line and column, folded
  std::string problem;             // why nothing comes of it; empty: it can be taken
};

// Reads the text as a ball list, keeps nothing. Text of another known format is named in `problem`: that is a
// file's. O(text).
TableLook look_at_table(const std::string& text, const importers::ReadOptions& options = {});

// The columns' uses as ReadOptions::columns takes them: "name,-,ball,-". The last piece is always one more
// than there are columns, so that headings of just these words are not meant. Empty without columns.
std::string columns_option(const std::vector<importers::ListColumn>& columns);

// One column's use changed as a hand expects it: where one column only has the balls (or the names), the
// new one takes its place, and the old one gets what the new one was.
std::vector<importers::ListColumn> with_use(std::vector<importers::ListColumn> columns, std::size_t column,
                                            importers::ColumnUse use);

// "balls", "names", "types of pins", "skipped".
std::string_view use_text(importers::ColumnUse use);

}  // namespace landfall::app
