#include <algorithm>
#include <map>
#include <utility>

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

constexpr MarkKind kLastKind = MarkKind::kChip;

// Two columns: a kind or NULL, and a note.
Result<Seen> seen_in(const Database& database, const Statement& statement, int column, const char* table) {
  if (statement.is_null(column)) return Seen{};
  const auto kind = statement.as_enum(column, kLastKind);
  if (!kind) return database.damaged(fmt::format("table {}: a kind of mark that there is not", table));
  return Seen{kind, statement.text(column + 1)};
}

Result<Seen> mark_at(const Database& database, std::int64_t job, const std::string& part,
                     const std::string& ball) {
  Statement statement(database, "SELECT kind, note FROM mark WHERE job = ? AND part = ? AND ball = ?");
  statement.bind(1, job).bind(2, std::string_view(part)).bind(3, std::string_view(ball));
  if (statement.step()) return seen_in(database, statement, 0, "mark");
  if (!statement.ok()) return database.error();
  return Seen{};
}

// Each state of a site gets a number of its own, by which other benches know it again.
bool set_mark(const Database& database, std::int64_t job, const std::string& part, const std::string& ball,
              const Seen& mark) {
  Statement past(database, "INSERT INTO mark_past (job, part, ball, state) VALUES (?,?,?,random())");
  if (!past.bind(1, job).bind(2, std::string_view(part)).bind(3, std::string_view(ball)).run()) return false;
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

Error no_job(std::int64_t job) {
  return {ErrorCode::kNotFound, fmt::format("there is no job {}", job)};
}

// The job's last gesture that holds, if any. kNotFound when there is no such job.
Result<std::optional<std::int64_t>> cursor_of(const Database& database, std::int64_t job) {
  Statement statement(database, "SELECT cursor FROM job WHERE id = ?");
  if (!statement.bind(1, job).step()) return statement.ok() ? no_job(job) : database.error();
  return statement.integer_or_none(0);
}

bool set_cursor(const Database& database, std::int64_t job, std::optional<std::int64_t> cursor,
                const std::string& now) {
  Statement statement(database, "UPDATE job SET cursor = ?, kept = ? WHERE id = ?");
  statement.bind_or_null(1, cursor);
  return statement.bind(2, std::string_view(now)).bind(3, job).run();
}

// Sets each mark of a gesture to how it was before, or after. Backwards for before: where a gesture names a
// site twice, the first of its rows says what was there.
Status apply_gesture(const Database& database, std::int64_t job, std::int64_t gesture, bool after) {
  Statement statement(
      database,
      fmt::format("SELECT part, ball, kind_before, note_before, kind_after, note_after FROM change WHERE "
                  "gesture = ? ORDER BY n {}",
                  after ? "ASC" : "DESC")
          .c_str());
  statement.bind(1, gesture);
  while (statement.step()) {
    const auto seen = seen_in(database, statement, after ? 4 : 2, "change");
    if (!seen.ok()) return seen.error();
    if (!set_mark(database, job, statement.text(0), statement.text(1), *seen)) return database.error();
  }
  if (!statement.ok()) return database.error();
  return done();
}

Status read_marks(const Database& database, Job& job) {
  Statement parts(database, "SELECT reference FROM job_part WHERE job = ? ORDER BY n");
  parts.bind(1, job.id);
  while (parts.step()) job.lifted.push_back(parts.text(0));
  if (!parts.ok()) return database.error();
  Statement marks(database, "SELECT part, ball, kind, note FROM mark WHERE job = ?");
  marks.bind(1, job.id);
  while (marks.step()) {
    const auto seen = seen_in(database, marks, 2, "mark");
    if (!seen.ok()) return seen.error();
    if (seen->kind) job.marks.push_back({marks.text(0), marks.text(1), *seen->kind, seen->note});
  }
  if (!marks.ok()) return database.error();
  std::sort(job.marks.begin(), job.marks.end(), [](const Mark& a, const Mark& b) {
    if (a.part != b.part) return natural_less(a.part, b.part);
    return natural_less(a.ball, b.ball);
  });
  return done();
}

// Those that stand, or those that were taken back.
Status read_facts(const Database& database, std::int64_t job, bool withdrawn,
                  std::vector<WithdrawnFact>& list) {
  Statement facts(database,
                  "SELECT id, kind, a, b, name, x, y, reach, created, coalesce(withdrawn, '') FROM fact "
                  "WHERE job = ? AND (withdrawn IS NOT NULL) "
                  "= ? ORDER BY id");
  facts.bind(1, job).bind(2, static_cast<std::int64_t>(withdrawn ? 1 : 0));
  while (facts.step()) {
    const auto kind = facts.as_enum(1, FactKind::kSpared);
    if (!kind)
      return database.damaged(fmt::format("table fact, row {}: a kind that there is not", facts.integer(0)));
    Fact fact;
    fact.id = facts.integer(0);
    fact.kind = *kind;
    fact.a = facts.text(2);
    fact.b = facts.text(3);
    fact.name = facts.text(4);
    fact.place = {facts.integer(5), facts.integer(6)};
    fact.reach = facts.integer(7);
    fact.created = facts.text(8);
    list.push_back({std::move(fact), facts.text(9)});
  }
  if (!facts.ok()) return database.error();
  return done();
}

constexpr const char* kJobColumns = "SELECT id, board, title, safety, closed, created, kept FROM job";

Result<Job> job_in(const Database& database, const Statement& statement) {
  Job job;
  job.id = statement.integer(0);
  job.board = statement.integer(1);
  job.title = statement.text(2);
  const auto safety = statement.as_enum(3, SafetyAnswer::kYes);
  if (!safety)
    return database.damaged(fmt::format("table job, row {}: a safety answer that there is not", job.id));
  job.safety_critical = *safety;
  job.closed = statement.integer(4) != 0;
  job.created = statement.text(5);
  job.kept = statement.text(6);
  if (auto read = read_marks(database, job); !read.ok()) return read.error();
  std::vector<WithdrawnFact> facts;
  if (auto read = read_facts(database, job.id, false, facts); !read.ok()) return read.error();
  for (WithdrawnFact& one : facts) job.facts.push_back(std::move(one.fact));
  return job;
}

Result<std::vector<Job>> jobs_in(const Database& database, Statement& statement) {
  std::vector<Job> jobs;
  while (statement.step()) {
    auto job = job_in(database, statement);
    if (!job.ok()) return job.error();
    jobs.push_back(std::move(job).value());
  }
  if (!statement.ok()) return database.error();
  return jobs;
}

}  // namespace

Result<std::vector<Job>> Bench::jobs() {
  const Snapshot snapshot(inside_->database);
  Statement statement(inside_->database, fmt::format("{} ORDER BY id", kJobColumns).c_str());
  return jobs_in(inside_->database, statement);
}

Result<std::vector<Job>> Bench::jobs_of_board(std::int64_t board) {
  const Snapshot snapshot(inside_->database);
  Statement statement(inside_->database, fmt::format("{} WHERE board = ? ORDER BY id", kJobColumns).c_str());
  statement.bind(1, board);
  return jobs_in(inside_->database, statement);
}

Result<std::vector<Job>> Bench::jobs_titled(std::string_view beginning) {
  const Snapshot snapshot(inside_->database);
  Statement statement(
      inside_->database,
      fmt::format("{} WHERE title >= ? COLLATE NOCASE AND title < ? COLLATE NOCASE ORDER BY id", kJobColumns)
          .c_str());
  const std::string end = after_all_that_begin(beginning);
  statement.bind(1, beginning).bind(2, std::string_view(end));
  return jobs_in(inside_->database, statement);
}

Result<Job> Bench::job(std::int64_t id) {
  const Snapshot snapshot(inside_->database);
  Statement statement(inside_->database, fmt::format("{} WHERE id = ?", kJobColumns).c_str());
  if (statement.bind(1, id).step()) return job_in(inside_->database, statement);
  if (!statement.ok()) return inside_->database.error();
  return no_job(id);
}

Result<std::vector<WithdrawnFact>> Bench::withdrawn_facts(std::int64_t job) {
  std::vector<WithdrawnFact> facts;
  if (auto read = read_facts(inside_->database, job, true, facts); !read.ok()) return read.error();
  return facts;
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

namespace {

// What a gesture comes to: each site once, with what was there and what is there after its last word.
struct SiteChange {
  const MarkChange* named = nullptr;
  Seen before, after;
};

Result<std::vector<SiteChange>> changes_of(const Database& database, std::int64_t job,
                                           const std::vector<MarkChange>& changes) {
  std::vector<SiteChange> sites;
  std::map<std::pair<std::string_view, std::string_view>, std::size_t> places;
  for (const MarkChange& change : changes) {
    const auto [place, fresh] = places.try_emplace({change.part, change.ball}, sites.size());
    if (fresh) {
      auto before = mark_at(database, job, change.part, change.ball);
      if (!before.ok()) return before.error();
      sites.push_back({&change, *before, *before});
    }
    Seen& now = sites[place->second].after;
    now = Seen{change.kind, change.kind ? change.note.value_or(now.note) : std::string()};
  }
  std::erase_if(sites, [](const SiteChange& site) { return site.before == site.after; });
  return sites;
}

bool write_gesture(const Database& database, std::int64_t job, std::int64_t gesture,
                   const std::vector<SiteChange>& sites) {
  Statement row(database, "INSERT INTO change VALUES (?,?,?,?,?,?,?,?)");
  std::int64_t n = 0;
  for (const SiteChange& site : sites) {
    const MarkChange& named = *site.named;
    row.bind(1, gesture).bind(2, n++);
    row.bind(3, std::string_view(named.part)).bind(4, std::string_view(named.ball));
    bind_seen(row, 5, site.before);
    bind_seen(row, 7, site.after);
    if (!row.run() || !set_mark(database, job, named.part, named.ball, site.after)) return false;
  }
  return true;
}

}  // namespace

Status Bench::record(std::int64_t job, const std::string& words, const std::vector<MarkChange>& changes,
                     const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  const auto cursor = cursor_of(database, job);
  if (!cursor.ok()) return cursor.error();
  const auto sites = changes_of(database, job, changes);
  if (!sites.ok()) return sites.error();
  if (sites->empty()) return done();  // nothing changed, nothing to undo
  Statement gesture(database, "INSERT INTO gesture (job, parent, words, at) VALUES (?,?,?,?)");
  gesture.bind(1, job).bind_or_null(2, *cursor);
  if (!gesture.bind(3, std::string_view(words)).bind(4, std::string_view(now)).run()) return database.error();
  const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
  if (!write_gesture(database, job, id, *sites) || !set_cursor(database, job, id, now))
    return database.error();
  return transaction.commit();
}

Result<std::optional<std::string>> Bench::undo(std::int64_t job, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  const auto cursor = cursor_of(database, job);
  if (!cursor.ok()) return cursor.error();
  if (!*cursor) return std::optional<std::string>();
  Statement gesture(database, "SELECT parent, words FROM gesture WHERE id = ? AND job = ?");
  if (!gesture.bind(1, **cursor).bind(2, job).step()) {
    if (!gesture.ok()) return database.error();
    return database.damaged(fmt::format("table gesture: job {} has come to one that is not there", job));
  }
  const std::optional<std::int64_t> parent = gesture.integer_or_none(0);
  const std::string words = gesture.text(1);
  gesture.reset();
  if (auto applied = apply_gesture(database, job, **cursor, false); !applied.ok()) return applied.error();
  if (!set_cursor(database, job, parent, now)) return database.error();
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return std::optional(words);
}

Result<std::optional<std::string>> Bench::redo(std::int64_t job, const std::string& now) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  const auto cursor = cursor_of(database, job);
  if (!cursor.ok()) return cursor.error();
  // The newest gesture that follows the present one; older ones were left behind by it.
  Statement gesture(database,
                    "SELECT id, words FROM gesture WHERE job = ? AND parent IS ? ORDER BY id DESC LIMIT 1");
  if (!gesture.bind(1, job).bind_or_null(2, *cursor).step()) {
    if (!gesture.ok()) return database.error();
    return std::optional<std::string>();
  }
  const std::int64_t id = gesture.integer(0);
  const std::string words = gesture.text(1);
  gesture.reset();
  if (auto applied = apply_gesture(database, job, id, true); !applied.ok()) return applied.error();
  if (!set_cursor(database, job, id, now)) return database.error();
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
