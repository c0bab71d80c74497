// One job with its board as a bench file of its own.
#include <filesystem>

#include <fmt/format.h>

#include "netdb/store/bench.hpp"
#include "netdb/store/inside.hpp"

namespace landfall::store {

Status Bench::hand_over(std::int64_t job, const std::filesystem::path& file, HandOver what) {
  const Database& database = inside_->database;
  if (std::error_code none; std::filesystem::exists(file, none))
    return Error{ErrorCode::kUsage, fmt::format("{}: it is there already", file.string())};
  if (auto found = this->job(job); !found.ok()) return found.error();
  // The copy is made beside it and takes its name when all is done, so that a half one never bears it.
  const std::filesystem::path part = file.string() + ".part";
  const auto clean = [&] {
    for (const char* end : {"", "-wal", "-shm", "-journal"}) {
      std::error_code none;
      std::filesystem::remove(part.string() + end, none);
    }
  };
  clean();
  {
    Statement copy(database, "VACUUM INTO ?");
    if (!copy.bind(1, std::string_view(part.string())).run()) {
      clean();
      return Error{ErrorCode::kBench, fmt::format("{}: cannot be written", file.string())};
    }
  }
  const Status done_all = [&]() -> Status {
    auto opened = Bench::open(part);
    if (!opened.ok()) return opened.error();
    const Database& own = opened->inside_->database;
    Transaction transaction(own);
    if (!transaction.begun()) return own.error();
    Statement jobs(own, "DELETE FROM job WHERE id <> ?");
    if (!jobs.bind(1, job).run()) return own.error();
    if (auto boards = own.run("DELETE FROM board WHERE id NOT IN (SELECT board FROM job)"); !boards.ok())
      return boards;
    if (!what.photos) {
      if (auto gone = own.run("DELETE FROM photo"); !gone.ok()) return gone;
    }
    if (!what.settings) {
      if (auto gone = own.run("DELETE FROM setting"); !gone.ok()) return gone;
    }
    if (auto kept = transaction.commit(); !kept.ok()) return kept;
    // What was deleted must not be readable in free pages.
    if (auto packed = own.run("VACUUM"); !packed.ok()) return packed;
    return own.run("PRAGMA wal_checkpoint(TRUNCATE); PRAGMA journal_mode = DELETE");
  }();
  std::error_code failed;
  if (done_all.ok()) std::filesystem::rename(part, file, failed);
  clean();
  if (!done_all.ok()) return done_all;
  if (failed) return Error{ErrorCode::kBench, fmt::format("{}: cannot be written", file.string())};
  return done();
}

}  // namespace landfall::store
