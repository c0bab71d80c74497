#include "netdb/store/schema.hpp"

#include <fmt/format.h>

namespace landfall::store {
namespace {

// Content tables are keyed by the board and the thing's place in the board's list, so that a board is read
// back in its own order and written in the order of the key.
constexpr const char* kFirst = R"sql(
CREATE TABLE board (
  id INTEGER PRIMARY KEY, name TEXT NOT NULL COLLATE NOCASE UNIQUE, title TEXT NOT NULL, thickness INTEGER NOT NULL,
  imported TEXT NOT NULL, parts INTEGER NOT NULL, pins INTEGER NOT NULL, nets INTEGER NOT NULL) STRICT;
CREATE TABLE source (
  id INTEGER PRIMARY KEY, board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, name TEXT NOT NULL,
  format TEXT NOT NULL, version TEXT NOT NULL, hash TEXT NOT NULL) STRICT;
CREATE INDEX source_by_board ON source (board);
CREATE INDEX source_by_hash ON source (hash);
CREATE TABLE diagnostic (
  id INTEGER PRIMARY KEY, source INTEGER NOT NULL REFERENCES source ON DELETE CASCADE, severity INTEGER NOT NULL,
  line INTEGER NOT NULL, col INTEGER NOT NULL, code TEXT NOT NULL, message TEXT NOT NULL) STRICT;
CREATE INDEX diagnostic_by_source ON diagnostic (source);
CREATE TABLE disagreement (
  id INTEGER PRIMARY KEY, board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, kind TEXT NOT NULL,
  what TEXT NOT NULL, says TEXT NOT NULL, net TEXT NOT NULL) STRICT;
CREATE INDEX disagreement_by_board ON disagreement (board);

CREATE TABLE layer (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, name TEXT NOT NULL,
  PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE TABLE net (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, name TEXT NOT NULL,
  automatic INTEGER NOT NULL, PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE INDEX net_by_name ON net (board, name);
CREATE TABLE net_alias (board INTEGER NOT NULL, net INTEGER NOT NULL, n INTEGER NOT NULL, name TEXT NOT NULL,
  PRIMARY KEY (board, net, n), FOREIGN KEY (board, net) REFERENCES net ON DELETE CASCADE) STRICT, WITHOUT ROWID;
CREATE TABLE part (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, reference TEXT NOT NULL,
  value TEXT NOT NULL, footprint TEXT NOT NULL, library TEXT NOT NULL, placed INTEGER NOT NULL, x INTEGER NOT NULL,
  y INTEGER NOT NULL, angle REAL NOT NULL, side INTEGER NOT NULL, fitted INTEGER NOT NULL,
  PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX part_by_reference ON part (board, reference);
CREATE TABLE pin (board INTEGER NOT NULL, n INTEGER NOT NULL, part INTEGER NOT NULL, number TEXT NOT NULL,
  function TEXT NOT NULL, type INTEGER NOT NULL, net INTEGER, PRIMARY KEY (board, n),
  FOREIGN KEY (board, part) REFERENCES part ON DELETE CASCADE,
  FOREIGN KEY (board, net) REFERENCES net ON DELETE CASCADE) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX pin_by_part ON pin (board, part, number);
CREATE INDEX pin_by_net ON pin (board, net);
CREATE TABLE land (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, part INTEGER, pin INTEGER,
  net INTEGER, x INTEGER NOT NULL, y INTEGER NOT NULL, side INTEGER NOT NULL, shape INTEGER NOT NULL,
  width INTEGER NOT NULL, height INTEGER NOT NULL, corner INTEGER NOT NULL, angle REAL NOT NULL, hole_x INTEGER NOT NULL,
  hole_y INTEGER NOT NULL, drill INTEGER NOT NULL, layers INTEGER NOT NULL, outline BLOB,
  PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE INDEX land_by_pin ON land (board, pin);
CREATE TABLE track (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, x1 INTEGER NOT NULL,
  y1 INTEGER NOT NULL, x2 INTEGER NOT NULL, y2 INTEGER NOT NULL, width INTEGER NOT NULL, layer INTEGER NOT NULL, net INTEGER,
  PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE TABLE arc (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, x1 INTEGER NOT NULL,
  y1 INTEGER NOT NULL, xm INTEGER NOT NULL, ym INTEGER NOT NULL, x2 INTEGER NOT NULL, y2 INTEGER NOT NULL,
  width INTEGER NOT NULL, layer INTEGER NOT NULL, net INTEGER, PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE TABLE via (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, x INTEGER NOT NULL,
  y INTEGER NOT NULL, diameter INTEGER NOT NULL, drill INTEGER NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL,
  net INTEGER, top INTEGER NOT NULL, bottom INTEGER NOT NULL, PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE TABLE fill (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, net INTEGER,
  layer INTEGER NOT NULL, pen INTEGER NOT NULL, ring BLOB NOT NULL, PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE TABLE zone (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, net INTEGER,
  layers INTEGER NOT NULL, filled INTEGER NOT NULL, keepout INTEGER NOT NULL, PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE TABLE hole (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, x INTEGER NOT NULL,
  y INTEGER NOT NULL, drill INTEGER NOT NULL, PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;
CREATE TABLE edge (board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, n INTEGER NOT NULL, x1 INTEGER NOT NULL,
  y1 INTEGER NOT NULL, x2 INTEGER NOT NULL, y2 INTEGER NOT NULL, PRIMARY KEY (board, n)) STRICT, WITHOUT ROWID;

CREATE TABLE name_rule (
  id INTEGER PRIMARY KEY, board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, pattern TEXT NOT NULL, class INTEGER,
  bus TEXT NOT NULL, lane TEXT NOT NULL, channel TEXT NOT NULL) STRICT;
CREATE INDEX name_rule_by_board ON name_rule (board);

CREATE TABLE job (
  id INTEGER PRIMARY KEY, board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, title TEXT NOT NULL,
  safety INTEGER NOT NULL, closed INTEGER NOT NULL, created TEXT NOT NULL, kept TEXT NOT NULL,
  cursor INTEGER) STRICT;
CREATE INDEX job_by_board ON job (board);
CREATE TABLE job_part (job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, n INTEGER NOT NULL, reference TEXT NOT NULL,
  PRIMARY KEY (job, n)) STRICT, WITHOUT ROWID;
-- The marks as they stand now; history holds how they came about.
CREATE TABLE mark (job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, part TEXT NOT NULL, ball TEXT NOT NULL,
  kind INTEGER NOT NULL, note TEXT NOT NULL, PRIMARY KEY (job, part, ball)) STRICT, WITHOUT ROWID;
-- One gesture is one undo. parent: the gesture before it; what was undone stays, and is no longer reached
-- once a new gesture follows its parent. job.cursor is the last gesture that holds.
CREATE TABLE gesture (
  id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, parent INTEGER REFERENCES gesture,
  words TEXT NOT NULL, at TEXT NOT NULL) STRICT;
CREATE INDEX gesture_by_job ON gesture (job, parent);
CREATE INDEX gesture_by_parent ON gesture (parent);
CREATE TABLE change (
  gesture INTEGER NOT NULL REFERENCES gesture ON DELETE CASCADE, n INTEGER NOT NULL, part TEXT NOT NULL, ball TEXT NOT NULL,
  kind_before INTEGER, note_before TEXT, kind_after INTEGER, note_after TEXT, PRIMARY KEY (gesture, n)) STRICT, WITHOUT ROWID;

CREATE TABLE setting (name TEXT PRIMARY KEY, value REAL NOT NULL) STRICT, WITHOUT ROWID;
)sql";

// Facts that the technician measured or said, and what came of the work. A fact that is taken back stays,
// with the time.
constexpr const char* kFactsAndOutcomes = R"sql(
CREATE TABLE fact (
  id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, kind INTEGER NOT NULL, a TEXT NOT NULL,
  b TEXT NOT NULL, name TEXT NOT NULL, x INTEGER NOT NULL, y INTEGER NOT NULL, reach INTEGER NOT NULL,
  created TEXT NOT NULL, withdrawn TEXT) STRICT;
CREATE INDEX fact_by_job ON fact (job);
CREATE TABLE outcome (
  id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, kind TEXT NOT NULL, site TEXT NOT NULL,
  x INTEGER NOT NULL, y INTEGER NOT NULL, worked INTEGER NOT NULL, note TEXT NOT NULL, at TEXT NOT NULL) STRICT;
CREATE INDEX outcome_by_job ON outcome (job);
CREATE INDEX outcome_by_kind ON outcome (kind, worked);
)sql";

// What the user accepted of two parts' own names.
constexpr const char* kNameAliases = R"sql(
CREATE TABLE name_alias (
  id INTEGER PRIMARY KEY, board INTEGER NOT NULL REFERENCES board ON DELETE CASCADE, part TEXT NOT NULL,
  name TEXT NOT NULL, to_part TEXT NOT NULL, to_name TEXT NOT NULL, why TEXT NOT NULL,
  UNIQUE (board, part, name, to_part, to_name)) STRICT;
)sql";

// The job around the plan: what was asked at intake, what the meter said, which jobs' boards are known good,
// what the verdict had said when the outcome came, and the shelf of donor boards.
constexpr const char* kAroundThePlan = R"sql(
CREATE TABLE intake (
  job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, topic TEXT NOT NULL, answer TEXT NOT NULL, at TEXT NOT NULL,
  PRIMARY KEY (job, topic)) STRICT, WITHOUT ROWID;
CREATE TABLE reading (
  id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, net TEXT NOT NULL, point TEXT NOT NULL,
  mode INTEGER NOT NULL, stage INTEGER NOT NULL, value REAL, at TEXT NOT NULL, withdrawn TEXT) STRICT;
CREATE INDEX reading_by_job ON reading (job);
CREATE TABLE known_good (
  job INTEGER PRIMARY KEY REFERENCES job ON DELETE CASCADE, since TEXT NOT NULL) STRICT;
CREATE TABLE said (
  job INTEGER PRIMARY KEY REFERENCES job ON DELETE CASCADE, chance REAL NOT NULL, low REAL NOT NULL, high REAL NOT NULL,
  margin REAL NOT NULL, at TEXT NOT NULL) STRICT;
CREATE TABLE shelf (
  job INTEGER PRIMARY KEY REFERENCES job ON DELETE CASCADE, note TEXT NOT NULL, at TEXT NOT NULL) STRICT;
CREATE TABLE shelf_taken (
  job INTEGER NOT NULL REFERENCES shelf ON DELETE CASCADE, part TEXT NOT NULL, at TEXT NOT NULL,
  PRIMARY KEY (job, part)) STRICT, WITHOUT ROWID;
)sql";

// A job's photos. The pixels stand apart, so that lists do not read through them; `fit` and `side` are
// numbers of the model's words. One that was rubbed out keeps its number and its hash.
constexpr const char* kPhotos = R"sql(
CREATE TABLE photo (
  id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, n INTEGER NOT NULL, hash TEXT NOT NULL,
  format INTEGER NOT NULL, width INTEGER NOT NULL, height INTEGER NOT NULL, side INTEGER NOT NULL, note TEXT NOT NULL,
  fit INTEGER NOT NULL, at TEXT NOT NULL, matched TEXT NOT NULL, withdrawn TEXT, UNIQUE (job, n), UNIQUE (job, hash)) STRICT;
CREATE TABLE photo_pixels (
  photo INTEGER PRIMARY KEY REFERENCES photo ON DELETE CASCADE, bytes BLOB NOT NULL) STRICT;
CREATE TABLE photo_match (
  photo INTEGER NOT NULL REFERENCES photo ON DELETE CASCADE, n INTEGER NOT NULL, site TEXT NOT NULL, x REAL NOT NULL,
  y REAL NOT NULL, PRIMARY KEY (photo, n)) STRICT, WITHOUT ROWID;
)sql";

// What a site's mark has been, on this bench and on those whose work was taken in: a number a state, drawn
// when it came about and the same on every bench; of a site the last row is its present one. So a bench can
// tell a mark that was taken off elsewhere from one that was never known there. For files from before, a
// state's number is its kind's, so that two benches agree on marks that they had exchanged.
constexpr const char* kMarkPasts = R"sql(
CREATE TABLE mark_past (
  id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, part TEXT NOT NULL, ball TEXT NOT NULL,
  state INTEGER NOT NULL, UNIQUE (job, part, ball, state)) STRICT;
INSERT OR REPLACE INTO mark_past (job, part, ball, state)
  SELECT gesture.job, part, ball, iif(kind_after IS NULL, random(), -1 - kind_after)
  FROM change JOIN gesture ON gesture.id = change.gesture ORDER BY gesture.id, n;
INSERT OR REPLACE INTO mark_past (job, part, ball, state) SELECT job, part, ball, -1 - kind FROM mark;
INSERT INTO mark_past (job, part, ball, state)
  SELECT job, part, ball, random() FROM mark_past p WHERE NOT EXISTS
    (SELECT 1 FROM mark m WHERE m.job = p.job AND m.part = p.part AND m.ball = p.ball) GROUP BY job, part, ball;
)sql";

// Of which part a list is, so that a list of another part does not take its place. How often an answer of the
// intake was changed, on whichever bench: the greater number stands, whatever the clocks say. An answer that
// was taken back stays as an empty one. What a repair would bring, had it worked or failed, when the verdict
// was kept.
constexpr const char* kPartsTurnsSums = R"sql(
ALTER TABLE source ADD COLUMN part TEXT NOT NULL DEFAULT '';
ALTER TABLE intake ADD COLUMN turn INTEGER NOT NULL DEFAULT 1;
ALTER TABLE said ADD COLUMN if_works REAL;
ALTER TABLE said ADD COLUMN if_fails REAL;
)sql";

// A word on a piece of work that was a slip: a row that takes back what stood.
constexpr const char* kOutcomeTakenBack = R"sql(
ALTER TABLE outcome ADD COLUMN withdrawn INTEGER NOT NULL DEFAULT 0;
)sql";

// The numbers of a plan that were given out. From here on a fact may be of kind 7, 'spared'.
constexpr const char* kKeptNumbers = R"sql(
CREATE TABLE kept_number (
  job INTEGER NOT NULL REFERENCES job ON DELETE CASCADE, number INTEGER NOT NULL, site TEXT NOT NULL, net TEXT NOT NULL,
  rebuild INTEGER NOT NULL, PRIMARY KEY (job, number)) STRICT, WITHOUT ROWID;
)sql";

}  // namespace

const std::vector<const char*>& migrations() {
  static const std::vector<const char*> all{kFirst,          kFactsAndOutcomes, kNameAliases,
                                            kAroundThePlan,  kPhotos,           kMarkPasts,
                                            kPartsTurnsSums, kOutcomeTakenBack, kKeptNumbers};
  return all;
}

namespace {

// The step from `version` on, inside the caller's transaction.
Status run_step(const Database& database, const std::string& file, std::int64_t version, const char* step) {
  if (auto ran = database.run(step); !ran.ok()) return ran;
  Statement orphan(database, "SELECT \"table\", parent FROM pragma_foreign_key_check LIMIT 1");
  if (orphan.step()) {
    return Error{
        ErrorCode::kBench,
        fmt::format("{}: rows of table {} refer to rows of {} that are not there, so the file stays at "
                    "version {}",
                    file, orphan.text(0), orphan.text(1), version)};
  }
  if (!orphan.ok()) return database.error();
  const std::string stamp =
      fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", kApplicationId, version + 1);
  return database.run(stamp.c_str());
}

}  // namespace

Status migrate(const Database& database, const std::string& file, const std::vector<const char*>& steps) {
  const auto newest = static_cast<std::int64_t>(steps.size());
  const auto version_now = [&] { return database.number("PRAGMA user_version"); };
  if (version_now() == newest) return done();
  if (auto off = database.run("PRAGMA foreign_keys = OFF"); !off.ok()) return off;
  while (true) {
    Transaction transaction(database);
    if (!transaction.begun()) return database.error();
    // Another program may have made this step while this one waited.
    const auto version = version_now();
    if (!version) return database.error();
    if (*version >= newest) return done();
    if (auto ran = run_step(database, file, *version, steps[static_cast<std::size_t>(*version)]); !ran.ok())
      return ran;
    if (auto committed = transaction.commit(); !committed.ok()) return committed;
  }
}

}  // namespace landfall::store
