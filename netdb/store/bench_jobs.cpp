#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/store/inside.hpp"

// Jobs, marks and their history.

namespace landfall::store {
namespace {

struct Seen {  // a mark as it stands, or none
  std::optional<MarkKind> kind;
  std::string note;
  friend bool operator==(const Seen&, const Seen&) = default;
};

Seen mark_at(const Database& database, std::int64_t job, const std::string& part, const std::string& ball) {
  Statement statement(database, "SELECT kind, note FROM mark WHERE job = ? AND part = ? AND ball = ?");
  statement.bind(1, job).bind(2, std::string_view(part)).bind(3, std::string_view(ball));
  if (!statement.step()) return {};
  return {static_cast<MarkKind>(statement.integer(0)), statement.text(1)};
}

bool set_mark(const Database& database, std::int64_t job, const std::string& part, const std::string& ball,
              const Seen& mark) {
  if (!mark.kind) {
    Statement statement(database, "DELETE FROM mark WHERE job = ? AND part = ? AND ball = ?");
    return statement.bind(1, job).bind(2, std::string_view(part)).bind(3, std::string_view(ball)).run();
  }
  Statement statement(database,
                      "INSERT INTO mark VALUES (?,?,?,?,?) ON CONFLICT (job, part, ball) DO UPDATE SET kind "
                      "= excluded.kind, note = excluded.note");
  statement.bind(1, job).bind(2, std::string_view(part)).bind(3, std::string_view(ball));
  return statement.bind(4, static_cast<std::int64_t>(*mark.kind)).bind(5, std::string_view(mark.note)).run();
}

void bind_seen(Statement& statement, int at, const Seen& seen) {
  if (seen.kind) {
    statement.bind(at, static_cast<std::int64_t>(*seen.kind)).bind(at + 1, std::string_view(seen.note));
  } else {
    statement.bind_null(at).bind_null(at + 1);
  }
}

Seen seen_in(const Statement& statement, int column) {
  if (statement.is_null(column)) return {};
  return {static_cast<MarkKind>(statement.integer(column)), statement.text(column + 1)};
}

std::optional<std::int64_t> cursor_of(const Database& database, std::int64_t job) {
  Statement statement(database, "SELECT cursor FROM job WHERE id = ?");
  if (!statement.bind(1, job).step() || statement.is_null(0)) return std::nullopt;
  return statement.integer(0);
}

bool job_exists(const Database& database, std::int64_t job) {
  Statement statement(database, "SELECT 1 FROM job WHERE id = ?");
  return statement.bind(1, job).step();
}

bool set_cursor(const Database& database, std::int64_t job, std::optional<std::int64_t> cursor,
                const std::string& now) {
  Statement statement(database, "UPDATE job SET cursor = ?, kept = ? WHERE id = ?");
  if (cursor) {
    statement.bind(1, *cursor);
  } else {
    statement.bind_null(1);
  }
  return statement.bind(2, std::string_view(now)).bind(3, job).run();
}

// Sets each mark of a gesture to how it was before, or after.
bool apply_gesture(const Database& database, std::int64_t job, std::int64_t gesture, bool after) {
  Statement statement(database,
                      "SELECT part, ball, kind_before, note_before, kind_after, note_after FROM change WHERE "
                      "gesture = ? ORDER BY n");
  statement.bind(1, gesture);
  while (statement.step()) {
    if (!set_mark(database, job, statement.text(0), statement.text(1), seen_in(statement, after ? 4 : 2)))
      return false;
  }
  return statement.ok();
}

Error no_job(std::int64_t job) {
  return {ErrorCode::kNotFound, fmt::format("there is no job {}", job)};
}

bool read_marks(const Database& database, Job& job) {
  Statement parts(database, "SELECT reference FROM job_part WHERE job = ? ORDER BY n");
  parts.bind(1, job.id);
  while (parts.step()) job.lifted.push_back(parts.text(0));
  Statement marks(database, "SELECT part, ball, kind, note FROM mark WHERE job = ?");
  marks.bind(1, job.id);
  while (marks.step())
    job.marks.push_back(
        {marks.text(0), marks.text(1), static_cast<MarkKind>(marks.integer(2)), marks.text(3)});
  std::sort(job.marks.begin(), job.marks.end(), [](const Mark& a, const Mark& b) {
    if (a.part != b.part) return natural_less(a.part, b.part);
    return natural_less(a.ball, b.ball);
  });
  return parts.ok() && marks.ok();
}

constexpr const char* kJobColumns = "SELECT id, board, title, safety, closed, created, kept FROM job";

Job job_in(const Statement& statement) {
  Job job;
  job.id = statement.integer(0);
  job.board = statement.integer(1);
  job.title = statement.text(2);
  job.safety_critical = static_cast<SafetyAnswer>(statement.integer(3));
  job.closed = statement.integer(4) != 0;
  job.created = statement.text(5);
  job.kept = statement.text(6);
  return job;
}

}  // namespace

Result<std::vector<Job>> Bench::jobs() {
  Statement statement(inside_->database, fmt::format("{} ORDER BY id", kJobColumns).c_str());
  std::vector<Job> jobs;
  while (statement.step()) jobs.push_back(job_in(statement));
  if (!statement.ok()) return inside_->database.error();
  for (Job& job : jobs) {
    if (!read_marks(inside_->database, job)) return inside_->database.error();
  }
  return jobs;
}

Result<Job> Bench::job(std::int64_t id) {
  Statement statement(inside_->database, fmt::format("{} WHERE id = ?", kJobColumns).c_str());
  if (!statement.bind(1, id).step()) {
    if (!statement.ok()) return inside_->database.error();
    return no_job(id);
  }
  Job job = job_in(statement);
  if (!read_marks(inside_->database, job)) return inside_->database.error();
  return job;
}

Result<std::int64_t> Bench::new_job(const Job& job, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement statement(database,
                      "INSERT INTO job (board, title, safety, closed, created, kept) VALUES (?,?,?,0,?,?)");
  statement.bind(1, job.board)
      .bind(2, std::string_view(job.title))
      .bind(3, static_cast<std::int64_t>(job.safety_critical));
  if (!statement.bind(4, std::string_view(now)).bind(5, std::string_view(now)).run()) return database.error();
  const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
  Statement part(database, "INSERT INTO job_part VALUES (?,?,?)");
  std::int64_t n = 0;
  for (const std::string& reference : job.lifted) {
    if (!part.bind(1, id).bind(2, n++).bind(3, std::string_view(reference)).run()) return database.error();
  }
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return id;
}

Status Bench::set_closed(std::int64_t job, bool closed, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement statement(database, "UPDATE job SET closed = ?, kept = ? WHERE id = ?");
  statement.bind(1, static_cast<std::int64_t>(closed ? 1 : 0)).bind(2, std::string_view(now));
  if (!statement.bind(3, job).run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0) return no_job(job);
  return transaction.commit();
}

Status Bench::set_safety(std::int64_t job, SafetyAnswer answer, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement statement(database, "UPDATE job SET safety = ?, kept = ? WHERE id = ?");
  statement.bind(1, static_cast<std::int64_t>(answer)).bind(2, std::string_view(now));
  if (!statement.bind(3, job).run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0) return no_job(job);
  return transaction.commit();
}

Status Bench::record(std::int64_t job, const std::string& words, const std::vector<MarkChange>& changes,
                     const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  if (!job_exists(database, job)) return no_job(job);
  Statement gesture(database, "INSERT INTO gesture (job, parent, words, at) VALUES (?,?,?,?)");
  gesture.bind(1, job);
  if (const auto parent = cursor_of(database, job)) {
    gesture.bind(2, *parent);
  } else {
    gesture.bind_null(2);
  }
  if (!gesture.bind(3, std::string_view(words)).bind(4, std::string_view(now)).run()) return database.error();
  const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
  Statement row(database, "INSERT INTO change VALUES (?,?,?,?,?,?,?,?)");
  std::int64_t n = 0;
  for (const MarkChange& change : changes) {
    const Seen before = mark_at(database, job, change.part, change.ball);
    Seen after{change.kind, change.kind ? change.note.value_or(before.note) : std::string()};
    if (after == before) continue;
    row.bind(1, id)
        .bind(2, n++)
        .bind(3, std::string_view(change.part))
        .bind(4, std::string_view(change.ball));
    bind_seen(row, 5, before);
    bind_seen(row, 7, after);
    if (!row.run() || !set_mark(database, job, change.part, change.ball, after)) return database.error();
  }
  if (n == 0) return done();  // the transaction is rolled back: nothing changed, nothing to undo
  if (!set_cursor(database, job, id, now)) return database.error();
  return transaction.commit();
}

Result<std::optional<std::string>> Bench::undo(std::int64_t job, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  if (!job_exists(database, job)) return no_job(job);
  const auto cursor = cursor_of(database, job);
  if (!cursor) return std::optional<std::string>();
  Statement gesture(database, "SELECT parent, words FROM gesture WHERE id = ?");
  if (!gesture.bind(1, *cursor).step()) return database.error();
  std::optional<std::int64_t> parent;
  if (!gesture.is_null(0)) parent = gesture.integer(0);
  const std::string words = gesture.text(1);
  gesture.reset();
  if (!apply_gesture(database, job, *cursor, false) || !set_cursor(database, job, parent, now))
    return database.error();
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return std::optional(words);
}

Result<std::optional<std::string>> Bench::redo(std::int64_t job, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  if (!job_exists(database, job)) return no_job(job);
  // The newest gesture that follows the present one; older ones were left behind by it.
  Statement gesture(database,
                    "SELECT id, words FROM gesture WHERE job = ? AND parent IS ? ORDER BY id DESC LIMIT 1");
  gesture.bind(1, job);
  if (const auto cursor = cursor_of(database, job)) {
    gesture.bind(2, *cursor);
  } else {
    gesture.bind_null(2);
  }
  if (!gesture.step()) return std::optional<std::string>();
  const std::int64_t id = gesture.integer(0);
  const std::string words = gesture.text(1);
  gesture.reset();
  if (!apply_gesture(database, job, id, true) || !set_cursor(database, job, id, now)) return database.error();
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return std::optional(words);
}

Result<std::vector<SiteGesture>> Bench::last_gestures(std::int64_t job) {
  Statement statement(
      inside_->database,
      "SELECT part, ball, max(gesture) FROM change JOIN gesture ON gesture.id = gesture WHERE "
      "job = ? GROUP BY part, ball");
  statement.bind(1, job);
  std::vector<SiteGesture> sites;
  while (statement.step()) sites.push_back({statement.text(0), statement.text(1), statement.integer(2)});
  if (!statement.ok()) return inside_->database.error();
  return sites;
}

}  // namespace landfall::store
