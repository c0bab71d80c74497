#include "netdb/store/row_watch.hpp"

#include <algorithm>

namespace landfall::store {
namespace {

constexpr int kOperations = 100'000;  // of SQLite's machine between two questions: some thousand rows

}  // namespace

std::size_t rows_of(const Board& board) {
  return board.layers.size() + board.nets.size() + board.parts.size() + board.pins.size() +
         board.lands.size() + board.tracks.size() + board.arcs.size() + board.vias.size() +
         board.fills.size() + board.zones.size() + board.holes.size() + board.outline.size();
}

RowWatch::RowWatch(const Database& database, const Origin& origin, std::size_t rows)
    : database_(database), origin_(origin), rows_(rows), before_(sqlite3_total_changes64(database.handle())) {
  if (origin.on_rows) sqlite3_progress_handler(database.handle(), kOperations, &RowWatch::ask, this);
}

RowWatch::~RowWatch() {
  sqlite3_progress_handler(database_.handle(), 0, nullptr, nullptr);
}

int RowWatch::ask(void* self) {
  auto& watch = *static_cast<RowWatch*>(self);
  const auto changes = sqlite3_total_changes64(watch.database_.handle()) - watch.before_;
  const auto done = std::min(watch.rows_, static_cast<std::size_t>(std::max<sqlite3_int64>(changes, 0)));
  watch.stopped_ = watch.stopped_ || !watch.origin_.on_rows(done, watch.rows_);
  return watch.stopped_ ? 1 : 0;
}

Error RowWatch::error() const {
  if (stopped_) return {ErrorCode::kUsage, "stopped: the bench is as it was"};
  return database_.error();
}

}  // namespace landfall::store
