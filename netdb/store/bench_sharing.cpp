// One job with its board as a bench file of its own, and what sites have been on several benches.
//
// SQLite's session extension was looked at for the merge and does not fit: a changeset is recorded by a
// connection against the state that it began from, so each bench would have to keep one open, or kept, for
// every other since their last exchange; its rows go by primary key, and a job's number is each bench's own;
// and a difference made afterwards (sqlite3session_diff) cannot tell what was taken off there from what was
// never known there. The states of each site say just that, whichever way files go round.
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

Result<std::vector<SitePast>> Bench::site_pasts(std::int64_t job) {
  Statement statement(inside_->database,
                      "SELECT part, ball, state FROM mark_past WHERE job = ? ORDER BY part, ball, id");
  statement.bind(1, job);
  std::vector<SitePast> pasts;
  while (statement.step()) {
    const std::string part = statement.text(0);
    const std::string ball = statement.text(1);
    if (pasts.empty() || pasts.back().part != part || pasts.back().ball != ball)
      pasts.push_back({part, ball, {}});
    pasts.back().states.push_back(statement.integer(2));
  }
  if (!statement.ok()) return inside_->database.error();
  return pasts;
}

namespace {

// One that is there already moves to the end.
bool add_states(const Database& database, std::int64_t job, const SitePast& site) {
  Statement row(database, "INSERT OR REPLACE INTO mark_past (job, part, ball, state) VALUES (?,?,?,?)");
  for (const std::int64_t state : site.states) {
    row.bind(1, job).bind(2, std::string_view(site.part)).bind(3, std::string_view(site.ball));
    if (!row.bind(4, state).run()) return false;
  }
  return true;
}

}  // namespace

Status Bench::agree_on(std::int64_t job, const std::vector<SitePast>& theirs, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    for (const SitePast& site : theirs) {
      if (!add_states(database, job, site)) return database.error();
    }
    return done();
  });
}

Status Bench::stand_by(std::int64_t job, const std::vector<SitePast>& theirs, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    Statement row(database, "INSERT INTO mark_past (job, part, ball, state) VALUES (?,?,?,random())");
    for (const SitePast& site : theirs) {
      if (!add_states(database, job, site)) return database.error();
      row.bind(1, job).bind(2, std::string_view(site.part)).bind(3, std::string_view(site.ball));
      if (!row.run()) return database.error();
    }
    return done();
  });
}

}  // namespace landfall::store
