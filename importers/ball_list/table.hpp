// A text as rows of cells.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace landfall::importers::ball_list {

struct Cell {
  std::string text;        // trimmed
  std::size_t line = 0;    // from 1
  std::size_t column = 0;  // from 1, in bytes
};

struct Row {
  std::vector<Cell> cells;
  [[nodiscard]] std::size_t filled() const;
  [[nodiscard]] std::string text() const;  // the cells, for messages, at most 80 bytes
};

struct Table {
  std::vector<Row> rows;  // empty lines and lines that begin with '#' left out
  std::vector<std::string> titles;
  bool blanks = false;    // columns are told apart by blanks only: a missing cell shifts those behind it
  std::string separator;  // in words
};

// `text` is UTF-8 with LF. A separator out of tab, ';', ',', '|' that gives the same count on most lines;
// else runs of two or more blanks; else single blanks. Quotes as in RFC 4180. O(bytes).
// `blanks`: whatever signs there are, commas of sentences, words are told apart by blanks.
Table split_table(std::string_view text, bool blanks = false);

// Balls of one cell: "A1", "A1, A4, B7-B9", "B7..B9", "B7 to B9". Empty when anything in it is no ball.
std::vector<std::string> balls_in(std::string_view text, bool numbers);

// The names of a range, "DQ0-DQ3" or "DQ7_A to DQ0_A", in its order; empty for other text.
std::vector<std::string> names_in(std::string_view text);

// "AB14", "a01": upper case, no leading zeros; empty for other text. Row letters up to about 100 rows, the
// six that JEDEC leaves out included.
std::string ball_named(std::string_view text);

// "1A1", "14AB".
bool is_digit_first_ball(std::string_view text);

// A positive whole number of at most four digits.
bool is_pin_number(std::string_view text);

// Row letters alone: "A" ... "AB"; 0 for other text, else the row by JEDEC's order, or by the whole alphabet
// when a letter is none of JEDEC's.
int row_of_letters(std::string_view text);

std::string upper(std::string_view text);
std::string_view trimmed(std::string_view text);

}  // namespace landfall::importers::ball_list
