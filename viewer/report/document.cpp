#include "viewer/report/document.hpp"

#include <fmt/format.h>

namespace landfall::report {

std::string footer_text(const Document& document) {
  std::string text = fmt::format("job {}", document.job);
  if (!document.job_title.empty()) text += ": " + document.job_title;
  return text + " \u00B7 " + document.board;
}

PaperSize size_of(Paper paper) {
  return paper == Paper::kLetter ? PaperSize{215.9, 279.4} : PaperSize{210, 297};
}

namespace {

std::string table_text(const Table& table) {
  std::string text = "# " + table.title + "\n";
  if (table.rows.empty()) return text + table.none + "\n";
  const auto add = [&](const auto& cells, const auto& word) {
    std::string line;
    for (std::size_t i = 0; i < cells.size(); ++i) line += (i == 0 ? "" : " | ") + word(cells[i]);
    while (line.ends_with(' ')) line.pop_back();
    text += line + "\n";
  };
  add(table.columns, [](const Column& c) { return c.head; });
  for (const auto& row : table.rows) add(row, [](const Cell& c) { return c.text; });
  return text;
}

}  // namespace

std::string plain_text(const Document& document) {
  std::string text = footer_text(document) + "\n";
  for (const Sheet& sheet : document.sheets) {
    text += "== " + sheet.title + "\n";
    for (const Block& block : sheet.blocks) {
      switch (block.kind) {
        case BlockKind::kHeading:
          text += "# " + block.text + "\n";
          break;
        case BlockKind::kText:
          text += block.text + "\n";
          break;
        case BlockKind::kLead:
          text += "> " + block.text + "\n";
          break;
        case BlockKind::kCaution:
          text += "! " + block.text + "\n";
          break;
        case BlockKind::kForm:
          for (const std::string& field : block.fields) text += field + ": ____\n";
          break;
        case BlockKind::kTable:
          text += table_text(block.table);
          break;
        case BlockKind::kPicture:
          text += "[" + block.text + "]\n";
          break;
      }
    }
  }
  return text;
}

}  // namespace landfall::report
