#include <algorithm>

#include <fmt/format.h>

#include "importers/kicad_board/kicad_board.hpp"
#include "importers/kicad_library/kicad_library.hpp"
#include "netdb/model/counted.hpp"

// A footprint is what stands in a board, by itself: it is read as a board of nothing else.

namespace landfall::importers {

std::optional<Design> read_kicad_footprint(std::string_view bytes, Diagnostics& log) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  const bool old =
      bytes.substr(0, bytes.find_first_of(" \t\r\n", 1)).find("module") != std::string_view::npos;
  // No line end in it, so that lines keep their numbers.
  const std::string head = fmt::format("(kicad_pcb (version {}) (layers (0 F.Cu signal) (31 B.Cu signal)) ",
                                       old ? "20171130" : "20211014");
  Diagnostics own;
  auto design = read_board_of_one_footprint(head + std::string(bytes) + ")", own);
  for (Diagnostic d : own.entries()) {
    if (d.line == 1) d.column = d.column > head.size() ? d.column - head.size() : 1;
    log.add(std::move(d));
  }
  if (!design) return std::nullopt;
  Board& board = design->board;
  if (board.parts.size() != 1) {
    log.error(1, 1, "format",
              fmt::format("a footprint file holds one footprint, this one {}", board.parts.size()));
    return std::nullopt;
  }
  Part& part = board.parts.front();
  part.reference = "U1";
  part.placed = true;
  part.fitted = true;
  design->format = "kicad-footprint";
  design->version = old ? "module" : "footprint";
  design->notes.push_back(fmt::format("footprint {}: {}, {}", part.footprint,
                                      count_of(board.pins.size(), "pin"),
                                      count_of(board.lands.size(), "land")));
  return design;
}

}  // namespace landfall::importers
