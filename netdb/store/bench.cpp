#include "netdb/store/bench.hpp"

#include <cctype>
#include <system_error>

#include <fmt/format.h>

#include "netdb/store/board_rows.hpp"
#include "netdb/store/inside.hpp"
#include "netdb/store/opening.hpp"
#include "netdb/store/row_watch.hpp"

namespace landfall::store {
namespace {

// While it lives SQLite does not look up what each new row refers to, which takes as long as the writing, and
// has room in memory for the leaves of the indexes. Around a transaction: inside one it would do nothing.
class BulkWriting {
 public:
  explicit BulkWriting(const Database& database) : database_(database) {
    set("PRAGMA foreign_keys = OFF; PRAGMA cache_size = -32768");
  }
  ~BulkWriting() { set("PRAGMA cache_size = -2000; PRAGMA foreign_keys = ON"); }
  BulkWriting(const BulkWriting&) = delete;
  BulkWriting& operator=(const BulkWriting&) = delete;
  BulkWriting(BulkWriting&&) = delete;
  BulkWriting& operator=(BulkWriting&&) = delete;

 private:
  void set(const char* sql) const { sqlite3_exec(database_.handle(), sql, nullptr, nullptr, nullptr); }
  const Database& database_;
};

bool write_origin(const Database& database, std::int64_t board, const Origin& origin) {
  Statement source(database,
                   "INSERT INTO source (board, name, format, version, hash, part) VALUES (?,?,?,?,?,?)");
  Statement diagnostic(
      database, "INSERT INTO diagnostic (source, severity, line, col, code, message) VALUES (?,?,?,?,?,?)");
  for (const SourceFile& file : origin.sources) {
    source.bind(1, board).bind(2, std::string_view(file.name)).bind(3, std::string_view(file.format));
    source.bind(4, std::string_view(file.version)).bind(5, std::string_view(file.hash));
    if (!source.bind(6, std::string_view(file.part)).run()) return false;
    const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
    for (const Diagnostic& d : file.diagnostics) {
      diagnostic.bind(1, id)
          .bind(2, static_cast<std::int64_t>(d.severity))
          .bind(3, static_cast<std::int64_t>(d.line));
      diagnostic.bind(4, static_cast<std::int64_t>(d.column)).bind(5, std::string_view(d.code));
      if (!diagnostic.bind(6, std::string_view(d.message)).run()) return false;
    }
  }
  Statement says(database, "INSERT INTO disagreement (board, kind, what, says, net) VALUES (?,?,?,?,?)");
  for (const KeptDisagreement& d : origin.disagreements) {
    says.bind(1, board).bind(2, std::string_view(d.kind)).bind(3, std::string_view(d.what));
    if (!says.bind(4, std::string_view(d.says)).bind(5, std::string_view(d.net)).run()) return false;
  }
  return true;
}

}  // namespace

std::string content_hash(std::string_view bytes) {
  // FNV-1a, 64 bits, from two different starts (the offset basis of the algorithm's authors, and its
  // complement): from memory.
  constexpr std::uint64_t kPrime = 0x100000001B3;
  std::uint64_t a = 0xCBF29CE484222325;
  std::uint64_t b = ~a;
  for (const char c : bytes) {
    a = (a ^ static_cast<unsigned char>(c)) * kPrime;
    b = (b ^ (static_cast<unsigned char>(c) + 0x9EU)) * kPrime;
  }
  return fmt::format("{:016x}{:016x}", a, b);
}

Bench::Bench(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Bench::Bench(Bench&&) noexcept = default;
Bench& Bench::operator=(Bench&&) noexcept = default;
Bench::~Bench() = default;

Result<Bench> Bench::open(const std::filesystem::path& file) {
  std::error_code failed;
  if (std::filesystem::is_directory(file, failed)) {
    return Error{ErrorCode::kBench, file.string() + ": this is a folder, not a bench file"};
  }
  if (file.has_parent_path()) std::filesystem::create_directories(file.parent_path(), failed);
  auto database = open_bench_file(file);
  if (!database.ok()) return database.error();
  return Bench(std::make_unique<Inside>(Inside{std::move(database).value()}));
}

bool Bench::read_only() const {
  return inside_->database.read_only();
}

Bench::Reading::Reading(std::unique_ptr<Snapshot> snapshot) : snapshot_(std::move(snapshot)) {}
Bench::Reading::Reading(Reading&&) noexcept = default;
Bench::Reading& Bench::Reading::operator=(Reading&&) noexcept = default;
Bench::Reading::~Reading() = default;

Bench::Reading Bench::reading() {
  return Reading(std::make_unique<Snapshot>(inside_->database));
}

Result<std::int64_t> Bench::keep_board(const std::string& name, const Board& board, const Origin& origin) {
  if (name.empty()) return Error{ErrorCode::kUsage, "a board needs a name"};
  if (const auto wrong = wrong_reference(board)) return Error{ErrorCode::kInput, *wrong};
  const Database& database = inside_->database;
  const BulkWriting bulk(database);
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement taken(database, "SELECT id FROM board WHERE name = ?");
  if (taken.bind(1, std::string_view(name)).step())
    return Error{ErrorCode::kUsage, fmt::format("there is a board called {} already", name)};
  Statement statement(
      database,
      "INSERT INTO board (name, title, thickness, imported, parts, pins, nets) VALUES (?,?,?,?,?,?,?)");
  statement.bind(1, std::string_view(name)).bind(2, std::string_view(board.title)).bind(3, board.thickness);
  statement.bind(4, std::string_view(origin.now)).bind(5, static_cast<std::int64_t>(board.parts.size()));
  statement.bind(6, static_cast<std::int64_t>(board.pins.size()))
      .bind(7, static_cast<std::int64_t>(board.nets.size()));
  if (!statement.run()) return database.error();
  const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
  const RowWatch watch(database, origin, rows_of(board));
  if (!write_board(database, id, board) || !write_origin(database, id, origin)) return watch.error();
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return id;
}

Status Bench::replace_board(std::int64_t id, const Board& board, const Origin& origin) {
  if (const auto wrong = wrong_reference(board)) return Error{ErrorCode::kInput, *wrong};
  const Database& database = inside_->database;
  const BulkWriting bulk(database);
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement statement(
      database,
      "UPDATE board SET title = ?, thickness = ?, imported = ?, parts = ?, pins = ?, nets = ? WHERE id = ?");
  statement.bind(1, std::string_view(board.title))
      .bind(2, board.thickness)
      .bind(3, std::string_view(origin.now));
  statement.bind(4, static_cast<std::int64_t>(board.parts.size()))
      .bind(5, static_cast<std::int64_t>(board.pins.size()));
  statement.bind(6, static_cast<std::int64_t>(board.nets.size())).bind(7, id);
  if (!statement.run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0)
    return Error{ErrorCode::kNotFound, fmt::format("there is no board {}", id)};
  if (!clear_board(database, id)) return database.error();
  const RowWatch watch(database, origin, rows_of(board));
  if (!write_board(database, id, board) || !write_origin(database, id, origin)) return watch.error();
  return transaction.commit();
}

Status Bench::remove_board(std::int64_t id, bool with_jobs) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement jobs(database, "SELECT id, title FROM job WHERE board = ? ORDER BY id");
  jobs.bind(1, id);
  std::string list;
  while (jobs.step()) list += fmt::format("{}{} {}", list.empty() ? "" : ", ", jobs.integer(0), jobs.text(1));
  if (!list.empty() && !with_jobs) {
    return Error{ErrorCode::kChoice, "the board has jobs, which would go with it: " + list};
  }
  jobs.reset();
  Statement statement(database, "DELETE FROM board WHERE id = ?");
  if (!statement.bind(1, id).run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0)
    return Error{ErrorCode::kNotFound, fmt::format("there is no board {}", id)};
  return transaction.commit();
}

Result<std::int64_t> Bench::add_rule(std::int64_t board, const NameRule& rule) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement statement(
      database, "INSERT INTO name_rule (board, pattern, class, bus, lane, channel) VALUES (?,?,?,?,?,?)");
  statement.bind(1, board).bind(2, std::string_view(rule.pattern));
  if (rule.signal_class) {
    statement.bind(3, static_cast<std::int64_t>(*rule.signal_class));
  } else {
    statement.bind_null(3);
  }
  statement.bind(4, std::string_view(rule.bus))
      .bind(5, std::string_view(rule.lane))
      .bind(6, std::string_view(rule.channel));
  if (!statement.run()) return database.error();
  const std::int64_t id = sqlite3_last_insert_rowid(database.handle());
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return id;
}

Status Bench::remove_rule(std::int64_t board, std::int64_t rule) {
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement statement(database, "DELETE FROM name_rule WHERE board = ? AND id = ?");
  if (!statement.bind(1, board).bind(2, rule).run()) return database.error();
  if (sqlite3_changes(database.handle()) == 0)
    return Error{ErrorCode::kNotFound, fmt::format("the board has no rule {}", rule)};
  return transaction.commit();
}

Result<std::optional<double>> Bench::setting(const std::string& name) {
  Statement statement(inside_->database, "SELECT value FROM setting WHERE name = ?");
  if (statement.bind(1, std::string_view(name)).step()) return std::optional(statement.real(0));
  if (!statement.ok()) return inside_->database.error();
  return std::optional<double>();
}

Status Bench::set_setting(const std::string& name, std::optional<double> value) {
  return set_settings({{name, value}});
}

Status Bench::set_settings(const std::vector<std::pair<std::string, std::optional<double>>>& settings) {
  if (settings.empty()) return done();
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  for (const auto& [name, value] : settings) {
    Statement gone(database, "DELETE FROM setting WHERE name = ?");
    if (!gone.bind(1, std::string_view(name)).run()) return database.error();
    Statement statement(database, "INSERT INTO setting VALUES (?, ?)");
    if (value && !statement.bind(1, std::string_view(name)).bind(2, *value).run()) return database.error();
  }
  return transaction.commit();
}

std::int64_t Bench::data_version() {
  return inside_->database.number("PRAGMA data_version").value_or(0);
}

}  // namespace landfall::store
