// Photos of jobs.
#include <cmath>

#include <fmt/format.h>

#include "netdb/store/bench.hpp"
#include "netdb/store/inside.hpp"

namespace landfall::store {
namespace {

Error no_photo(std::int64_t job, std::int64_t number) {
  return {ErrorCode::kNotFound, fmt::format("job {} has no photo {}", job, number)};
}

// The row of a photo that stands.
Result<std::int64_t> row_of(const Database& database, std::int64_t job, std::int64_t number) {
  Statement statement(database, "SELECT id FROM photo WHERE job = ? AND n = ? AND withdrawn IS NULL");
  if (!statement.bind(1, job).bind(2, number).step())
    return statement.ok() ? no_photo(job, number) : database.error();
  return statement.integer(0);
}

Status read_matches(const Database& database, std::int64_t row, Photo& photo) {
  Statement statement(database, "SELECT site, x, y FROM photo_match WHERE photo = ? ORDER BY n");
  statement.bind(1, row);
  while (statement.step()) {
    const PhotoMatch match{statement.text(0), statement.real(1), statement.real(2)};
    if (!std::isfinite(match.x) || !std::isfinite(match.y))
      return database.damaged(fmt::format("table photo_match, photo {}: a pixel that is no number", row));
    photo.matches.push_back(match);
  }
  return statement.ok() ? done() : Status(database.error());
}

constexpr const char* kColumns =
    "id, job, n, hash, format, width, height, side, note, fit, at, matched FROM photo ";

Result<Photo> photo_in(const Database& database, const Statement& statement) {
  Photo photo;
  const std::int64_t row = statement.integer(0);
  photo.job = statement.integer(1);
  photo.number = statement.integer(2);
  photo.hash = statement.text(3);
  const auto format = statement.as_enum(4, PhotoFormat::kJpeg);
  const std::int64_t width = statement.integer(5);
  const std::int64_t height = statement.integer(6);
  const auto side = statement.as_enum(7, Side::kBottom);
  photo.note = statement.text(8);
  const auto fit = statement.as_enum(9, PhotoFit::kPerspective);
  constexpr std::int64_t kWidest = 100'000;
  const bool size = width > 0 && width < kWidest && height > 0 && height < kWidest;
  if (!format || !side || !fit || !size)
    return database.damaged(fmt::format("table photo, row {}: a number that cannot be", row));
  photo.format = *format;
  photo.width = static_cast<int>(width);
  photo.height = static_cast<int>(height);
  photo.side = *side;
  photo.fit = *fit;
  photo.at = statement.text(10);
  photo.matched = statement.text(11);
  if (auto read = read_matches(database, row, photo); !read.ok()) return read.error();
  return photo;
}

Status keep_pixels(const Database& database, std::int64_t row, std::string_view bytes) {
  Statement statement(database, "INSERT INTO photo_pixels VALUES (?,?)");
  statement.bind(1, row).bind_blob(2, bytes);
  return statement.run() ? done() : Status(database.error());
}

// One more, under the next number.
Result<std::int64_t> new_photo(const Database& database, std::int64_t job, const Photo& photo,
                               const std::string& hash, std::string_view bytes, const std::string& now) {
  Statement last(database, "SELECT coalesce(max(n), 0) + 1 FROM photo WHERE job = ?");
  if (!last.bind(1, job).step()) return database.error();
  const std::int64_t number = last.integer(0);
  Statement statement(database,
                      "INSERT INTO photo (job, n, hash, format, width, height, side, note, fit, at, matched) "
                      "VALUES (?,?,?,?,?,?,?,?,?,?,'')");
  statement.bind(1, job).bind(2, number).bind(3, std::string_view(hash));
  statement.bind(4, static_cast<std::int64_t>(photo.format)).bind(5, std::int64_t{photo.width});
  statement.bind(6, std::int64_t{photo.height}).bind(7, static_cast<std::int64_t>(photo.side));
  statement.bind(8, std::string_view(photo.note)).bind(9, static_cast<std::int64_t>(photo.fit));
  if (!statement.bind(10, std::string_view(now)).run()) return database.error();
  if (auto kept = keep_pixels(database, sqlite3_last_insert_rowid(database.handle()), bytes); !kept.ok())
    return kept.error();
  return number;
}

}  // namespace

Result<std::int64_t> Bench::add_photo(std::int64_t job, const Photo& photo, std::string_view bytes,
                                      const std::string& now) {
  const Database& database = inside_->database;
  const std::string hash = content_hash(bytes);
  std::int64_t number = 0;
  const Status kept = on_job(database, job, now, [&]() -> Status {
    Statement same(database, "SELECT id, n, withdrawn IS NOT NULL FROM photo WHERE job = ? AND hash = ?");
    if (same.bind(1, job).bind(2, std::string_view(hash)).step()) {
      number = same.integer(1);
      if (same.integer(2) == 0) return done();
      const std::int64_t row = same.integer(0);
      Statement back(database, "UPDATE photo SET withdrawn = NULL, note = ?, at = ? WHERE id = ?");
      back.bind(1, std::string_view(photo.note)).bind(2, std::string_view(now)).bind(3, row);
      if (!back.run()) return database.error();
      return keep_pixels(database, row, bytes);
    }
    if (!same.ok()) return database.error();
    const auto fresh = new_photo(database, job, photo, hash, bytes, now);
    if (!fresh.ok()) return fresh.error();
    number = *fresh;
    return done();
  });
  if (!kept.ok()) return kept.error();
  return number;
}

Result<std::vector<Photo>> Bench::photos(std::int64_t job) {
  const Database& database = inside_->database;
  const Snapshot snapshot(database);
  Statement statement(
      database, fmt::format("SELECT {} WHERE job = ? AND withdrawn IS NULL ORDER BY n", kColumns).c_str());
  statement.bind(1, job);
  std::vector<Photo> all;
  while (statement.step()) {
    auto photo = photo_in(database, statement);
    if (!photo.ok()) return photo.error();
    all.push_back(std::move(photo).value());
  }
  if (!statement.ok()) return database.error();
  return all;
}

Result<Photo> Bench::photo(std::int64_t job, std::int64_t number) {
  const Database& database = inside_->database;
  const Snapshot snapshot(database);
  Statement statement(
      database, fmt::format("SELECT {} WHERE job = ? AND n = ? AND withdrawn IS NULL", kColumns).c_str());
  if (!statement.bind(1, job).bind(2, number).step())
    return statement.ok() ? no_photo(job, number) : database.error();
  return photo_in(database, statement);
}

Result<std::string> Bench::photo_bytes(std::int64_t job, std::int64_t number) {
  const Database& database = inside_->database;
  const Snapshot snapshot(database);
  const auto row = row_of(database, job, number);
  if (!row.ok()) return row.error();
  Statement statement(database, "SELECT bytes FROM photo_pixels WHERE photo = ?");
  if (!statement.bind(1, *row).step())
    return statement.ok() ? database.damaged(fmt::format("photo {} of job {} has no pixels", number, job))
                          : database.error();
  return statement.text(0);
}

Status Bench::match_photo(std::int64_t job, std::int64_t number, PhotoFit fit,
                          const std::vector<PhotoMatch>& matches, const std::string& now) {
  const Database& database = inside_->database;
  return on_job(database, job, now, [&]() -> Status {
    const auto row = row_of(database, job, number);
    if (!row.ok()) return row.error();
    Statement gone(database, "DELETE FROM photo_match WHERE photo = ?");
    if (!gone.bind(1, *row).run()) return database.error();
    for (std::size_t n = 0; n < matches.size(); ++n) {
      const PhotoMatch& match = matches[n];
      if (!std::isfinite(match.x) || !std::isfinite(match.y))
        return Error{ErrorCode::kUsage, fmt::format("{} is matched with no pixel", match.site)};
      Statement kept(database, "INSERT INTO photo_match VALUES (?,?,?,?,?)");
      kept.bind(1, *row).bind(2, static_cast<std::int64_t>(n)).bind(3, std::string_view(match.site));
      if (!kept.bind(4, match.x).bind(5, match.y).run()) return database.error();
    }
    Statement photo(database, "UPDATE photo SET fit = ?, matched = ? WHERE id = ?");
    photo.bind(1, static_cast<std::int64_t>(fit)).bind(2, std::string_view(now)).bind(3, *row);
    return photo.run() ? done() : Status(database.error());
  });
}

Status Bench::rub_photo(std::int64_t job, std::int64_t number, const std::string& now) {
  const Database& database = inside_->database;
  // SQLite leaves what was deleted in free pages unless told to write over it.
  if (auto told = database.run("PRAGMA secure_delete = ON"); !told.ok()) return told;
  const Status rubbed = on_job(database, job, now, [&]() -> Status {
    const auto row = row_of(database, job, number);
    if (!row.ok()) return row.error();
    for (const char* sql :
         {"DELETE FROM photo_pixels WHERE photo = ?", "DELETE FROM photo_match WHERE photo = ?"}) {
      Statement gone(database, sql);
      if (!gone.bind(1, *row).run()) return database.error();
    }
    Statement photo(database, "UPDATE photo SET withdrawn = ?, note = '', matched = '' WHERE id = ?");
    return photo.bind(1, std::string_view(now)).bind(2, *row).run() ? done() : Status(database.error());
  });
  // Best effort: while another window reads, the log keeps its copy until the next time it is moved in.
  if (rubbed.ok()) (void)database.run("PRAGMA wal_checkpoint(TRUNCATE)");
  return rubbed;
}

Result<std::optional<std::int64_t>> Bench::photo_of_content(std::int64_t job, const std::string& hash) {
  const Database& database = inside_->database;
  Statement statement(database, "SELECT n FROM photo WHERE job = ? AND hash = ?");
  if (statement.bind(1, job).bind(2, std::string_view(hash)).step())
    return std::optional<std::int64_t>{statement.integer(0)};
  if (!statement.ok()) return database.error();
  return std::optional<std::int64_t>{};
}

}  // namespace landfall::store
