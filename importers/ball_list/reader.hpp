// How a ball list is read, shared by the files of this folder only.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "importers/ball_list/ball_list.hpp"
#include "importers/ball_list/table.hpp"
#include "importers/bare_part.hpp"

namespace landfall::importers::ball_list {

class Reader {
 public:
  Reader(Table table, Diagnostics& log, const ReadOptions& options);
  std::optional<Design> run();
  // After run(): what the columns were taken for; none where it is no table.
  std::vector<ListColumn> columns() { return std::move(seen_); }

 private:
  // A column of balls and what stands beside it.
  struct Columns {
    std::size_t ball = 0, name = 0;
    std::optional<std::size_t> type;
  };
  struct Profile {  // of one column
    std::string heading;
    std::size_t filled = 0, letters = 0, digit_first = 0, numbers = 0, texts = 0;
    std::size_t different = 0;       // texts
    std::vector<std::string> balls;  // distinct
    bool is_ball = false;
  };

  void add(const Cell& where, const std::string& ball, const std::string& name, std::string_view type = {});
  // names.cpp: one name for all of them, or a range of as many names in turn.
  void add_all(const Cell& where, const std::vector<std::string>& balls, const std::string& name,
               std::string_view type = {});
  // Said once for all rows that read alike, such as the heading of each page.
  void not_understood(const Row& row);
  void doubt_one_name();
  void refuse(bool named);
  void look_for_view();
  [[nodiscard]] std::string title() const;

  // grid.cpp: row letters down, numbers across (or the other way round)
  bool read_grid();
  bool read_numbered_grid();
  bool read_bare_grid();
  void drop_letters_at_the_right();

  // columns.cpp: a table with a column of balls
  bool read_columns();
  void find_heading();
  void profile_columns();
  // Under a heading of balls, the first filled cell that holds none.
  [[nodiscard]] const Cell* odd_ball_cell() const;
  [[nodiscard]] bool is_heading(const Row& row) const;
  std::optional<std::size_t> column_named(std::string_view text) const;
  bool columns_by_option(std::vector<Columns>& groups);
  bool choose_columns(std::vector<Columns>& groups);
  bool choose_package(const std::vector<std::size_t>& candidates, std::vector<Columns>& groups);
  std::optional<std::size_t> name_column(std::size_t ball, std::size_t from, std::size_t to) const;
  std::optional<std::size_t> type_column(std::size_t from, std::size_t to) const;
  // Of the columns told by content alone, the one whose texts repeat least.
  [[nodiscard]] std::size_t least_repeated(std::size_t named, std::size_t ball, std::size_t from,
                                           std::size_t to) const;
  void read_row(const Row& row, const std::vector<Columns>& groups);
  void read_odd_row(const Row& row, const std::vector<Columns>& groups);

  // uses.cpp: a use for each column, from its words
  bool uses_by_words(std::string_view text, std::vector<Columns>& groups, std::string& why) const;
  void remember_columns(const std::vector<Columns>& groups);

  // ragged.cpp: rows of words that are shorter by each empty cell
  bool read_ragged();

  // words.cpp: lines of words, balls and names by turns
  bool read_words();

  Table table_;
  Diagnostics& log_;
  const ReadOptions& options_;
  BarePart part_;
  std::vector<std::string> notes_;
  std::string version_, package_;
  std::string view_;
  bool numbers_ = false;  // pins are plain numbers
  std::size_t first_row_ = 0;
  std::vector<std::string> headings_;
  std::vector<Profile> profiles_;
  std::size_t repeated_headings_ = 0, without_ball_ = 0, odd_letters_ = 0;
  std::string last_ball_, last_name_;  // of the row before, for a name that goes on
  bool refused_ = false;
  std::vector<ListColumn> seen_;
  std::map<std::string, std::size_t> alike_;  // rows that read alike, by what they are like; 0: said
  std::vector<Row> odd_rows_;                 // of a table told apart by blanks, with another count of cells
};

}  // namespace landfall::importers::ball_list
