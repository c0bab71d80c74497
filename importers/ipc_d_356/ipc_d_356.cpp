#include "importers/ipc_d_356/ipc_d_356.hpp"

#include <fmt/format.h>

#include "importers/ipc_d_356/drafts.hpp"

namespace landfall::importers {

std::optional<Design> read_ipc_d_356(std::string_view bytes, Diagnostics& log, const ReadOptions& options) {
  std::string_view text = bytes;
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  ipc_d_356::Drafts drafts = ipc_d_356::read_lines(text, log);
  if (log.has_errors()) return std::nullopt;  // it was stopped
  if (drafts.features.empty()) {
    log.error(1, 1, "format", "no test record in it can be read");
    return std::nullopt;
  }
  if (options.units == "mm" || options.units == "inch") {
    // All drafts, conductors too, are in the file's unit, whatever it is.
    drafts.unit = options.units == "mm" ? 1'000 : kNmPerTenthMil;
  } else if (!drafts.units_stated) {
    log.warn(0, 0, "units", "the file names no units: 0.0001 inch was taken");
  }
  if (drafts.other_images > 0) {
    log.warn(0, 0, "images",
             fmt::format("{} further images of a panel: only the primary one is read", drafts.other_images));
  }
  Board board = ipc_d_356::build_board(drafts, log);
  return Design{"ipc-d-356", drafts.version, drafts.writer, std::move(board)};
}

}  // namespace landfall::importers
