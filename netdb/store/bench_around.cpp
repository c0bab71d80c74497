// Intake, readings, what verdicts had said, the shelf.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/store/bench.hpp"
#include "netdb/store/inside.hpp"

namespace landfall::store {
namespace {

Result<std::vector<MeterReading>> readings_in(const Database& database, Statement& statement) {
  std::vector<MeterReading> readings;
  while (statement.step()) {
    MeterReading reading;
    reading.id = statement.integer(0);
    reading.job = statement.integer(1);
    reading.net = statement.text(2);
    reading.point = statement.text(3);
    const std::int64_t mode = statement.integer(4);
    const std::int64_t stage = statement.integer(5);
    if (!statement.is_null(6)) reading.value = statement.real(6);
    reading.at = statement.text(7);
    const bool finite = !reading.value || std::isfinite(*reading.value);
    if (mode < 0 || mode > 1 || stage < 0 || stage > 1 || !finite) {
      return Error{ErrorCode::kBench,
                   fmt::format("the bench file is damaged: table reading, row {}", reading.id)};
    }
    reading.mode = static_cast<ReadingMode>(mode);
    reading.stage = static_cast<ReadingStage>(stage);
    readings.push_back(std::move(reading));
  }
  if (!statement.ok()) return database.error();
  return readings;
}

}  // namespace

namespace {

bool keep_answer(const Database& database, std::int64_t job, const IntakeAnswer& answer) {
  Statement kept(database, "INSERT OR REPLACE INTO intake (job, topic, answer, at, turn) VALUES (?,?,?,?,?)");
  kept.bind(1, job).bind(2, std::string_view(answer.topic)).bind(3, std::string_view(answer.answer));
  return kept.bind(4, std::string_view(answer.at)).bind(5, answer.turn).run();
}

Result<std::vector<IntakeAnswer>> answers_in(const Database& database, std::int64_t job, bool taken_back) {
  Statement statement(database,
                      "SELECT topic, answer, at, turn FROM intake WHERE job = ? AND (answer <> '' OR ?) "
                      "ORDER BY topic");
  statement.bind(1, job).bind(2, static_cast<std::int64_t>(taken_back ? 1 : 0));
  std::vector<IntakeAnswer> answers;
  while (statement.step())
    answers.push_back({statement.text(0), statement.text(1), statement.text(2), statement.integer(3)});
  if (!statement.ok()) return database.error();
  return answers;
}

}  // namespace

Status Bench::set_intake(std::int64_t job, const std::vector<IntakeAnswer>& answers, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    for (const IntakeAnswer& answer : answers) {
      Statement before(database, "SELECT turn FROM intake WHERE job = ? AND topic = ?");
      const bool known = before.bind(1, job).bind(2, std::string_view(answer.topic)).step();
      if (!before.ok()) return database.error();
      if (!known && answer.answer.empty()) continue;  // nothing to take back
      const std::int64_t turn = known ? before.integer(0) + 1 : 1;
      before.reset();
      if (!keep_answer(database, job, {answer.topic, answer.answer, now, turn})) return database.error();
    }
    return done();
  });
}

Status Bench::take_intake(std::int64_t job, const std::vector<IntakeAnswer>& theirs, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    for (const IntakeAnswer& answer : theirs) {
      if (!keep_answer(database, job, answer)) return database.error();
    }
    return done();
  });
}

Result<std::vector<IntakeAnswer>> Bench::intake(std::int64_t job) {
  return answers_in(inside_->database, job, false);
}

Result<std::vector<IntakeAnswer>> Bench::intake_with_taken_back(std::int64_t job) {
  return answers_in(inside_->database, job, true);
}

Status Bench::add_readings(std::int64_t job, const std::vector<MeterReading>& readings,
                           const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    for (const MeterReading& reading : readings) {
      Statement before(
          database,
          "UPDATE reading SET withdrawn = ? WHERE job = ? AND net = ? AND point = ? AND mode = ? AND "
          "stage = ? AND withdrawn IS NULL");
      before.bind(1, std::string_view(now)).bind(2, job).bind(3, std::string_view(reading.net));
      before.bind(4, std::string_view(reading.point)).bind(5, static_cast<std::int64_t>(reading.mode));
      if (!before.bind(6, static_cast<std::int64_t>(reading.stage)).run()) return database.error();
      Statement kept(database,
                     "INSERT INTO reading (job, net, point, mode, stage, value, at) VALUES (?,?,?,?,?,?,?)");
      kept.bind(1, job).bind(2, std::string_view(reading.net)).bind(3, std::string_view(reading.point));
      kept.bind(4, static_cast<std::int64_t>(reading.mode)).bind(5, static_cast<std::int64_t>(reading.stage));
      if (reading.value) kept.bind(6, *reading.value);
      if (!kept.bind(7, std::string_view(now)).run()) return database.error();
    }
    return done();
  });
}

Status Bench::withdraw_reading(std::int64_t job, std::int64_t reading, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    Statement statement(database,
                        "UPDATE reading SET withdrawn = ? WHERE id = ? AND job = ? AND withdrawn IS NULL");
    if (!statement.bind(1, std::string_view(now)).bind(2, reading).bind(3, job).run())
      return database.error();
    if (sqlite3_changes(database.handle()) == 0)
      return Error{ErrorCode::kNotFound, fmt::format("job {} has no reading {} that stands", job, reading)};
    return done();
  });
}

Result<std::vector<MeterReading>> Bench::readings(std::int64_t job) {
  const Database& database = inside_->database;
  Statement statement(database,
                      "SELECT id, job, net, point, mode, stage, value, at FROM reading WHERE job = ? AND "
                      "withdrawn IS NULL ORDER BY id");
  statement.bind(1, job);
  return readings_in(database, statement);
}

Result<std::vector<MeterReading>> Bench::withdrawn_readings(std::int64_t job) {
  const Database& database = inside_->database;
  Statement statement(database,
                      "SELECT id, job, net, point, mode, stage, value, at FROM reading WHERE job = ? AND "
                      "withdrawn IS NOT NULL ORDER BY id");
  statement.bind(1, job);
  return readings_in(database, statement);
}

Result<std::vector<MeterReading>> Bench::good_readings(std::int64_t board, std::int64_t but_not_job) {
  const Database& database = inside_->database;
  Statement statement(database,
                      "SELECT id, job, net, point, mode, stage, value, at FROM reading WHERE withdrawn IS "
                      "NULL AND job <> ? AND job IN (SELECT known_good.job FROM "
                      "known_good JOIN job ON job.id = known_good.job WHERE job.board = ?) ORDER BY id");
  statement.bind(1, but_not_job).bind(2, board);
  return readings_in(database, statement);
}

Status Bench::set_known_good(std::int64_t job, bool good, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    Statement statement(database, good ? "INSERT OR IGNORE INTO known_good VALUES (?, ?)"
                                       : "DELETE FROM known_good WHERE job = ?");
    statement.bind(1, job);
    if (good) statement.bind(2, std::string_view(now));
    return statement.run() ? done() : Status(database.error());
  });
}

Result<bool> Bench::known_good(std::int64_t job) {
  Statement statement(inside_->database, "SELECT 1 FROM known_good WHERE job = ?");
  statement.bind(1, job);
  const bool found = statement.step();
  if (!statement.ok()) return inside_->database.error();
  return found;
}

Status Bench::keep_said(const Said& said) {
  const Database& database = inside_->database;
  return on_job(database, said.job, said.at, [&]() -> Status {
    Statement statement(database, "INSERT OR IGNORE INTO said VALUES (?,?,?,?,?,?,?,?)");
    statement.bind(1, said.job)
        .bind(2, said.chance)
        .bind(3, said.low)
        .bind(4, said.high)
        .bind(5, said.margin);
    if (said.if_works) statement.bind(7, *said.if_works);
    if (said.if_fails) statement.bind(8, *said.if_fails);
    return statement.bind(6, std::string_view(said.at)).run() ? done() : Status(database.error());
  });
}

Result<std::vector<Said>> Bench::said() {
  Statement statement(
      inside_->database,
      "SELECT job, chance, low, high, margin, at, if_works, if_fails FROM said ORDER BY at, job");
  std::vector<Said> all;
  while (statement.step()) {
    all.push_back({statement.integer(0), statement.real(1), statement.real(2), statement.real(3),
                   statement.real(4), statement.text(5)});
    if (!statement.is_null(6)) all.back().if_works = statement.real(6);
    if (!statement.is_null(7)) all.back().if_fails = statement.real(7);
  }
  if (!statement.ok()) return inside_->database.error();
  return all;
}

Status Bench::shelve(std::int64_t job, const std::string& note, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    Statement statement(
        database, "INSERT INTO shelf VALUES (?,?,?) ON CONFLICT (job) DO UPDATE SET note = excluded.note");
    statement.bind(1, job).bind(2, std::string_view(note)).bind(3, std::string_view(now));
    return statement.run() ? done() : Status(database.error());
  });
}

Status Bench::unshelve(std::int64_t job) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement statement(database, "DELETE FROM shelf WHERE job = ?");
  if (!statement.bind(1, job).run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0)
    return Error{ErrorCode::kNotFound, fmt::format("job {} is not on the shelf", job)};
  return transaction.commit();
}

Status Bench::take_from_shelf(std::int64_t job, const std::string& part, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    Statement there(database, "SELECT 1 FROM shelf WHERE job = ?");
    there.bind(1, job);
    if (!there.step())
      return there.ok() ? Status(Error{ErrorCode::kNotFound, fmt::format("job {} is not on the shelf", job)})
                        : Status(database.error());
    Statement statement(database, "INSERT OR IGNORE INTO shelf_taken VALUES (?,?,?)");
    statement.bind(1, job).bind(2, std::string_view(part)).bind(3, std::string_view(now));
    return statement.run() ? done() : Status(database.error());
  });
}

Status Bench::put_back_on_shelf(std::int64_t job, const std::string& part, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    Statement statement(database, "DELETE FROM shelf_taken WHERE job = ? AND part = ?");
    if (!statement.bind(1, job).bind(2, std::string_view(part)).run()) return database.error();
    if (sqlite3_changes(database.handle()) == 0)
      return Error{ErrorCode::kNotFound, fmt::format("job {}: {} was not taken off", job, part)};
    return done();
  });
}

Result<std::vector<Shelved>> Bench::shelf() {
  const Database& database = inside_->database;
  std::vector<Shelved> all;
  Statement statement(database, "SELECT job, note, at FROM shelf ORDER BY at DESC, job DESC");
  while (statement.step()) all.push_back({statement.integer(0), statement.text(1), statement.text(2), {}});
  if (!statement.ok()) return database.error();
  Statement taken(database, "SELECT job, part FROM shelf_taken ORDER BY job, part");
  while (taken.step()) {
    const auto found =
        std::find_if(all.begin(), all.end(), [&](const Shelved& s) { return s.job == taken.integer(0); });
    if (found != all.end()) found->taken.push_back(taken.text(1));
  }
  if (!taken.ok()) return database.error();
  return all;
}

}  // namespace landfall::store
