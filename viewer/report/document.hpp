// A document before it is a file: sheets of headings, sentences, cautions, forms, tables and pictures. Plain
// data; nothing in it is escaped, each writer escapes for its own format.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "viewer/scene/picture.hpp"

namespace landfall::report {

enum class Paper { kA4, kLetter };

// What stands in a column.
enum class Holds {
  kText,
  kName,    // names as the file wrote them: mono
  kNumber,  // the number of a wire or rebuild: bold
  kFigure,  // to the right
  kWrite,   // room to write by hand; left out of CSV and JSON
  kTick,    // a box to tick, ticked where the cell has a text; left out as well
};

struct Column {
  std::string key;   // "length_mm": CSV's head and JSON's name
  std::string head;  // "cut, mm"
  Holds holds = Holds::kText;
};

struct Cell {
  std::string text;              // as it is printed
  std::optional<double> number;  // what CSV and JSON give in its place
};

struct Table {
  std::string key;    // "wires"; unique in its sheet
  std::string title;  // stands above it
  std::vector<Column> columns;
  std::vector<std::vector<Cell>> rows;  // as many cells as columns
  std::string none;                     // what is said in place of no rows
};

enum class BlockKind {
  kHeading,  // text
  kText,     // text
  kLead,     // text: the sentence that a sheet is for
  kCaution,  // text, with the triangle
  kForm,     // fields: each a word and a line to write on
  kTable,    // table
  kPicture,  // picture, with text as what is said of it to who cannot see it
};

struct Block {
  BlockKind kind = BlockKind::kText;
  std::string text;
  std::vector<std::string> fields;
  Table table;
  scene::Picture picture;
  bool true_size = false;  // a picture that must not be scaled
};

struct Sheet {
  std::string key;  // "wiring"
  std::string title;
  std::vector<Block> blocks;
};

struct Document {
  std::int64_t job = 0;
  std::string job_title;  // may be empty
  std::string board;
  std::string date;  // as given: ISO 8601
  Paper paper = Paper::kA4;
  std::vector<Sheet> sheets;
};

// "job 3: no start · skua4": in every footer.
std::string footer_text(const Document& document);

// Millimetres, and the margins that all writers keep.
struct PaperSize {
  double width = 210, height = 297;
};
PaperSize size_of(Paper paper);
inline constexpr double kSideMarginMm = 15;
inline constexpr double kTopMarginMm = 14;
inline constexpr double kBottomMarginMm = 18;

// The document as plain text, one line a block or row, cells parted by " | ": for tests and for the eye.
std::string plain_text(const Document& document);

}  // namespace landfall::report
