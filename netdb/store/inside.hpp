// What the files of this folder share behind Bench.
#pragma once

#include <fmt/format.h>

#include "netdb/store/bench.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

struct Bench::Inside {
  Database database;
};

// The least text, byte by byte, that follows all those that begin so: for ranges on an index. No UTF-8 has
// this byte.
inline std::string after_all_that_begin(std::string_view beginning) {
  return std::string(beginning) + '\xFF';
}

// Begins with the job's time of the last change; kNotFound when there is no such job.
inline Status touch_job(const Database& database, std::int64_t job, const std::string& now) {
  Statement statement(database, "UPDATE job SET kept = ? WHERE id = ?");
  if (!statement.bind(1, std::string_view(now)).bind(2, job).run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0)
    return Error{ErrorCode::kNotFound, fmt::format("there is no job {}", job)};
  return done();
}

// One statement about one job, with the job's time.
template <class Work>
Status on_job(const Database& database, std::int64_t job, const std::string& now, Work work) {
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  if (auto touched = touch_job(database, job, now); !touched.ok()) return touched;
  if (Status worked = work(); !worked.ok()) return worked;
  return transaction.commit();
}

}  // namespace landfall::store
