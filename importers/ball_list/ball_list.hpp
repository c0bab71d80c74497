// Ball lists: CSV, tab-separated text out of a spreadsheet, tables copied out of a PDF. FORMATS.md section 8.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importers/design.hpp"

namespace landfall::importers {

// Printable text with lines that may be a list. Cheap; whether it is one only reading it tells.
bool may_be_ball_list(std::string_view bytes);

// One bare part "U1" with a pin for each ball. What was understood is in the design's notes, what was not is
// a warning with its line and text. Nothing comes back, after one error in `log`, when no balls can be found;
// the error's code is "choice" when the table has several packages and the options name none, or one that is
// not there: its message lists them.
std::optional<Design> read_ball_list(std::string_view bytes, Diagnostics& log,
                                     const ReadOptions& options = {});

// What a column of a table is taken for.
enum class ColumnUse { kSkipped, kBall, kName, kType };
inline constexpr int kColumnUses = 4;
// "ball", "name", "type"; "-" for a column that is skipped: the words of ReadOptions::columns.
std::string_view word(ColumnUse use);
// Case does not count; "skip" is "-". Nothing for any other word.
std::optional<ColumnUse> column_use(std::string_view word);

struct ListColumn {
  std::string heading;  // empty: the table has none
  ColumnUse use = ColumnUse::kSkipped;
  std::size_t balls = 0;           // distinct ball names in it, where it could be a column of balls
  std::vector<std::string> first;  // its first cells that are filled, at most three, cut to 60 bytes
};

// A ball list looked at before anybody takes it.
struct ListLook {
  std::vector<ListColumn> columns;  // none: a grid, or lines of words
  std::optional<Design> design;     // none: why stands in the log, as with read_ball_list
};

// Reads it, and says beside the design what each column was taken for, also where no design comes of it
// because a choice is left to the user.
ListLook look_at_ball_list(std::string_view bytes, Diagnostics& log, const ReadOptions& options = {});

}  // namespace landfall::importers
