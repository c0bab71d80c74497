#include <fmt/format.h>

#include "netdb/store/bench.hpp"
#include "netdb/store/inside.hpp"

namespace landfall::store {
namespace {

Result<std::vector<Outcome>> outcomes_in(const Database& database, Statement& statement) {
  std::vector<Outcome> outcomes;
  while (statement.step()) {
    Outcome outcome;
    outcome.id = statement.integer(0);
    outcome.job = statement.integer(1);
    outcome.kind = statement.text(2);
    outcome.site = statement.text(3);
    outcome.place = {statement.integer(4), statement.integer(5)};
    outcome.worked = statement.integer(6) != 0;
    outcome.note = statement.text(7);
    outcome.at = statement.text(8);
    outcome.withdrawn = statement.integer(9) != 0;
    outcomes.push_back(std::move(outcome));
  }
  if (!statement.ok()) return database.error();
  return outcomes;
}

// Inside the caller's transaction.
Status take_back(const Database& database, std::int64_t job, std::int64_t fact, const std::string& now) {
  Statement statement(database,
                      "UPDATE fact SET withdrawn = ? WHERE id = ? AND job = ? AND withdrawn IS NULL");
  if (!statement.bind(1, std::string_view(now)).bind(2, fact).bind(3, job).run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0)
    return Error{ErrorCode::kNotFound, fmt::format("job {} has no fact {} that stands", job, fact)};
  return done();
}

}  // namespace

Result<std::int64_t> Bench::add_fact(std::int64_t job, const Fact& fact, const std::string& now) {
  return replace_facts(job, {}, fact, now);
}

Result<std::int64_t> Bench::replace_facts(std::int64_t job, const std::vector<std::int64_t>& outdone,
                                          const Fact& fact, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  if (auto touched = touch_job(database, job, now); !touched.ok()) return touched.error();
  for (const std::int64_t old : outdone) {
    if (const Status gone = take_back(database, job, old, now); !gone.ok()) return gone.error();
  }
  Statement statement(
      database, "INSERT INTO fact (job, kind, a, b, name, x, y, reach, created) VALUES (?,?,?,?,?,?,?,?,?)");
  statement.bind(1, job).bind(2, static_cast<std::int64_t>(fact.kind));
  statement.bind(3, std::string_view(fact.a)).bind(4, std::string_view(fact.b));
  statement.bind(5, std::string_view(fact.name)).bind(6, fact.place.x).bind(7, fact.place.y);
  if (!statement.bind(8, fact.reach).bind(9, std::string_view(now)).run()) return database.error();
  const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return id;
}

Status Bench::withdraw_fact(std::int64_t job, std::int64_t fact, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&] { return take_back(database, job, fact, now); });
}

Result<std::int64_t> Bench::add_outcome(const Outcome& outcome) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  if (auto touched = touch_job(database, outcome.job, outcome.at); !touched.ok()) return touched.error();
  Statement statement(
      database,
      "INSERT INTO outcome (job, kind, site, x, y, worked, note, at, withdrawn) VALUES (?,?,?,?,?,?,?,?,?)");
  statement.bind(1, outcome.job)
      .bind(2, std::string_view(outcome.kind))
      .bind(3, std::string_view(outcome.site));
  statement.bind(4, outcome.place.x).bind(5, outcome.place.y);
  statement.bind(6, static_cast<std::int64_t>(outcome.worked ? 1 : 0));
  statement.bind(7, std::string_view(outcome.note)).bind(8, std::string_view(outcome.at));
  if (!statement.bind(9, static_cast<std::int64_t>(outcome.withdrawn ? 1 : 0)).run()) return database.error();
  const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return id;
}

namespace {
constexpr const char* kOutcomeColumns =
    "SELECT id, job, kind, site, x, y, worked, note, at, withdrawn FROM outcome";
}  // namespace

Result<std::vector<Outcome>> Bench::outcomes(std::int64_t job) {
  Statement statement(inside_->database,
                      fmt::format("{} WHERE job = ? ORDER BY id", kOutcomeColumns).c_str());
  statement.bind(1, job);
  return outcomes_in(inside_->database, statement);
}

Result<std::vector<Outcome>> Bench::all_outcomes() {
  Statement statement(inside_->database, fmt::format("{} ORDER BY id", kOutcomeColumns).c_str());
  return outcomes_in(inside_->database, statement);
}

Status Bench::keep_numbers(std::int64_t job, const std::vector<KeptNumber>& numbers) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement row(database,
                "INSERT OR IGNORE INTO kept_number (job, number, site, net, rebuild) VALUES (?,?,?,?,?)");
  for (const KeptNumber& kept : numbers) {
    row.bind(1, job).bind(2, static_cast<std::int64_t>(kept.number)).bind(3, std::string_view(kept.site));
    row.bind(4, std::string_view(kept.net)).bind(5, static_cast<std::int64_t>(kept.rebuild ? 1 : 0));
    if (!row.run()) return database.error();
  }
  return transaction.commit();
}

Result<std::vector<KeptNumber>> Bench::kept_numbers(std::int64_t job) {
  Statement statement(inside_->database,
                      "SELECT number, site, net, rebuild FROM kept_number WHERE job = ? ORDER BY number");
  statement.bind(1, job);
  std::vector<KeptNumber> numbers;
  while (statement.step()) {
    numbers.push_back({static_cast<int>(statement.integer(0)), statement.text(1), statement.text(2),
                       statement.integer(3) != 0});
  }
  if (!statement.ok()) return inside_->database.error();
  return numbers;
}

}  // namespace landfall::store
