#include <algorithm>
#include <cstdlib>

#include <fmt/format.h>

#include "importers/ball_list/reader.hpp"
#include "netdb/model/ball_name.hpp"
#include "netdb/model/units.hpp"

// Grid forms. FORMATS.md 8.8.

namespace landfall::importers::ball_list {
namespace {

struct Axis {
  std::vector<std::string> labels;   // one a column of cells; empty: none
  std::vector<std::size_t> columns;  // where the label stands in the line
  std::size_t first = 0;             // the first labelled cell
  bool letters = false;              // row letters across: the grid lies on its side
};

// Cells that count by one, up or down, from the second cell or the first on: a line of column numbers.
std::optional<Axis> axis_of(const Row& row) {
  for (const bool letters : {false, true}) {
    Axis axis;
    axis.letters = letters;
    axis.labels.resize(row.cells.size());
    std::vector<int> values;
    bool good = true;
    for (std::size_t i = 0; i < row.cells.size() && good; ++i) {
      const std::string& text = row.cells[i].text;
      if (text.empty()) continue;
      const int value =
          letters ? row_of_letters(text) : (is_pin_number(text) ? static_cast<int>(*parse_integer(text)) : 0);
      if (value == 0) {
        good = values.empty();  // what stands before the numbers is a title
        continue;
      }
      if (values.empty()) axis.first = i;
      values.push_back(value);
      axis.labels[i] = upper(text);
    }
    if (!good || values.size() < 2) continue;
    const int step = values[1] - values[0];
    bool even = std::abs(step) == 1 || (letters && step != 0 && std::abs(step) <= 2);
    for (std::size_t i = 1; i < values.size(); ++i) {
      const int own = values[i] - values[i - 1];
      even = even && (own > 0) == (step > 0) && std::abs(own) <= (letters ? 2 : 1);
    }
    if (!even) continue;
    for (const Cell& cell : row.cells) axis.columns.push_back(cell.column);
    return axis;
  }
  return std::nullopt;
}

// Which label a cell of a line told apart by blanks stands under: the nearest one by place.
std::optional<std::size_t> label_under(const Axis& axis, std::size_t column) {
  std::optional<std::size_t> best;
  std::size_t best_gap = 0;
  for (std::size_t i = axis.first; i < axis.labels.size(); ++i) {
    if (axis.labels[i].empty()) continue;
    const std::size_t at = axis.columns[i];
    const std::size_t gap = at > column ? at - column : column - at;
    if (!best || gap < best_gap) {
      best = i;
      best_gap = gap;
    }
  }
  return best;
}

bool is_label(const Axis& axis, std::string_view text) {
  const int row = row_of_letters(text);
  return axis.letters ? is_pin_number(text) : row > 0 && row <= 100;
}

bool has_letters_twice(const Row& row) {
  return row.cells.size() > 2 && row_of_letters(row.cells.front().text) > 0 &&
         upper(row.cells.front().text) == upper(row.cells.back().text);
}

std::string ball_at(const Axis& axis, const std::string& across, const std::string& down) {
  return ball_named(axis.letters ? across + down : down + across);
}

}  // namespace

bool Reader::read_grid() {
  if (read_numbered_grid()) return true;
  return !refused_ && read_bare_grid();
}

bool Reader::read_numbered_grid() {
  // A line of numbers, then lines that begin with row letters: else it is no grid.
  std::size_t hits = 0;
  std::size_t axes = 0;
  std::optional<Axis> across;
  for (const Row& row : table_.rows) {
    if (auto own = axis_of(row)) {
      across = std::move(own);
      ++axes;
    } else if (across && is_label(*across, row.cells.front().text)) {
      ++hits;
    }
  }
  if (hits < 2 || hits * 2 + std::min(axes, hits) < table_.rows.size()) return false;
  std::optional<Axis> axis;
  std::size_t blocks = 0;
  bool falling = false;
  drop_letters_at_the_right();
  for (std::size_t r = 0; r < table_.rows.size(); ++r) {
    const Row& row = table_.rows[r];
    if (auto own = axis_of(row)) {
      const std::string& before = row.cells.front().text;
      if (own->first > 0 && !before.empty()) table_.titles.push_back(before);
      const auto first =
          std::find_if(own->labels.begin(), own->labels.end(), [](const auto& l) { return !l.empty(); });
      const auto last =
          std::find_if(own->labels.rbegin(), own->labels.rend(), [](const auto& l) { return !l.empty(); });
      if (!own->letters) falling = falling || *parse_integer(*first) > *parse_integer(*last);
      // The numbers once more, below the rows or on a next page, begin no block of other columns.
      if (!axis || axis->labels != own->labels) ++blocks;
      axis = std::move(own);
      continue;
    }
    const std::string label = upper(row.cells.front().text);
    const bool labelled = axis && is_label(*axis, label);
    if (!labelled) {
      const bool leads = r + 1 < table_.rows.size() && axis_of(table_.rows[r + 1]);
      if (leads || (row.filled() == 1 && !axis)) {  // a title, of the map or of its next half
        table_.titles.push_back(row.text());
      } else {
        not_understood(row);
      }
      continue;
    }
    // The numbers of a line told apart by blanks have no cell above the row letters.
    const std::size_t labels = axis->labels.size() - axis->first;
    const bool in_order = !table_.blanks || row.cells.size() - 1 == labels;
    std::string taken;
    for (std::size_t i = 1; i < row.cells.size(); ++i) {
      const Cell& cell = row.cells[i];
      if (cell.text.empty()) continue;
      std::optional<std::size_t> place;
      if (table_.blanks) {
        place = in_order ? std::optional(axis->first + i - 1) : label_under(*axis, cell.column);
      } else if (i < axis->labels.size()) {
        place = i;
      }
      const std::string ball = place ? ball_at(*axis, axis->labels[*place], label) : std::string();
      if (ball.empty() || ball == taken) {
        log_.warn(cell.line, cell.column, "not-understood",
                  fmt::format("{}: it stands under no number of its own", cell.text.substr(0, 80)));
        continue;
      }
      taken = ball;
      add(cell, ball, cell.text);
    }
  }
  version_ = "grid";
  look_for_view();
  if (view_.empty() && falling) {
    view_ = "bottom";
    notes_.emplace_back(
        "the numbers run down from left to right: drawn from below; the names are by their numbers");
  } else if (view_.empty()) {
    notes_.emplace_back("no title says from where the grid is drawn; the names are by their numbers");
  } else {
    notes_.push_back(fmt::format("the grid is drawn from the {}; the names are by their numbers", view_));
  }
  if (blocks > 1) notes_.push_back(fmt::format("{} blocks joined by their row letters", blocks));
  return !part_.empty();
}

// Row letters that stand at both ends of most rows are no names at the right.
void Reader::drop_letters_at_the_right() {
  std::size_t lettered = 0;
  std::size_t both = 0;
  for (const Row& row : table_.rows) {
    lettered += row_of_letters(row.cells.front().text) > 0 ? 1U : 0U;
    both += has_letters_twice(row) ? 1U : 0U;
  }
  if (both < 2 || both * 10 < lettered * 8) return;
  for (Row& row : table_.rows) {
    if (has_letters_twice(row)) row.cells.pop_back();
  }
}

// Row letters A, B, C ... down, and no numbers: then the view decides which end is column 1.
bool Reader::read_bare_grid() {
  std::vector<const Row*> rows;
  int next = 1;
  for (const Row& row : table_.rows) {
    if (row_of_letters(row.cells.front().text) == next && row.cells.size() >= 3) {
      rows.push_back(&row);
      ++next;
    } else if (row.filled() == 1 && rows.empty()) {
      table_.titles.push_back(row.text());
    } else {
      return false;
    }
  }
  if (rows.size() < 3) return false;
  std::size_t width = rows.front()->cells.size() - 1;
  for (const Row* row : rows) {
    if (row->cells.size() - 1 != width) return false;
  }
  if (std::all_of(rows.begin(), rows.end(), [](const Row* row) { return has_letters_twice(*row); })) --width;
  look_for_view();
  if (view_.empty()) {
    view_ = "top";
    notes_.emplace_back(
        "nothing says from where the grid is drawn: taken as seen from the top (--view bottom turns it)");
  }
  for (const Row* row : rows) {
    for (std::size_t i = 1; i <= width; ++i) {
      const Cell& cell = row->cells[i];
      const std::size_t column = view_ == "bottom" ? width + 1 - i : i;
      if (!cell.text.empty())
        add(cell, ball_named(row->cells.front().text + std::to_string(column)), cell.text);
    }
  }
  version_ = "grid";
  notes_.push_back(fmt::format("a grid without numbers, columns counted from the {}",
                               view_ == "bottom" ? "right" : "left"));
  return !part_.empty();
}

}  // namespace landfall::importers::ball_list
