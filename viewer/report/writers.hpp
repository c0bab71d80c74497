// A document as a file. Text is escaped for each format here and nowhere else; bytes that are no UTF-8 become
// '?', control signs a blank.
#pragma once

#include <filesystem>
#include <string>

#include "netdb/model/result.hpp"
#include "viewer/report/document.hpp"

namespace landfall::report {

// One page of HTML 5 that needs nothing else: styles and pictures inside, no script, no link; a policy in its
// head forbids both. Prints on the document's paper, each sheet on a new page, table heads repeated.
std::string html(const Document& document);

// A picture as an <svg> element, in millimetres; `true_size` keeps it so, else it shrinks with the page.
std::string svg_element(const scene::Picture& picture, const std::string& says, bool true_size);

// The tables only. RFC 4180: commas, CRLF, quotes doubled; before each table a record with the sheet's and
// table's keys, after it an empty line. A text from a file that a spreadsheet would run as a formula ('=',
// '@', or '+', '-' with a call or a pipe in it) gets an apostrophe in front.
std::string csv(const Document& document);

// {"job", "title", "board", "date", "sheets": [{"sheet", "title", "cautions", "says", "tables": {KEY:
// [rows]}}]}.
std::string json(const Document& document);

struct Pdf {
  std::string bytes;
  int pages = 0;
};
// Cairo. Page numbers 'n of m' and the job in the footer; no heading alone at a page's foot; table heads
// repeated; a row is only broken when it is longer than a page. kInput when cairo fails.
Result<Pdf> pdf(const Document& document);

// By the name's ending: .html, .pdf, .csv, .json; the pages of a PDF, else 0. kUsage for another ending,
// kInput when the file cannot be written; a file half written is removed.
Result<int> write_document(const Document& document, const std::filesystem::path& file);

}  // namespace landfall::report
