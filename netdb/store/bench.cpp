#include "netdb/store/bench.hpp"

#include <cctype>
#include <system_error>

#include <fmt/format.h>

#include "netdb/store/board_rows.hpp"
#include "netdb/store/inside.hpp"
#include "netdb/store/schema.hpp"

namespace landfall::store {
namespace {

bool write_origin(const Database& database, std::int64_t board, const Origin& origin) {
  Statement source(database, "INSERT INTO source (board, name, format, version, hash) VALUES (?,?,?,?,?)");
  Statement diagnostic(
      database, "INSERT INTO diagnostic (source, severity, line, col, code, message) VALUES (?,?,?,?,?,?)");
  for (const SourceFile& file : origin.sources) {
    source.bind(1, board).bind(2, std::string_view(file.name)).bind(3, std::string_view(file.format));
    if (!source.bind(4, std::string_view(file.version)).bind(5, std::string_view(file.hash)).run())
      return false;
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
  auto database = Database::open(file);
  if (!database.ok()) return database.error();
  auto inside = std::make_unique<Inside>(Inside{std::move(database).value()});
  if (auto prepared = prepare(inside->database, file.string()); !prepared.ok()) return prepared.error();
  return Bench(std::move(inside));
}

Result<std::vector<BoardInfo>> Bench::boards() {
  Statement statement(
      inside_->database,
      "SELECT id, name, parts, pins, nets, imported, (SELECT count(*) FROM job WHERE job.board = board.id), "
      "(SELECT group_concat(format, ',') FROM source WHERE source.board = board.id) FROM board ORDER BY id");
  std::vector<BoardInfo> boards;
  while (statement.step()) {
    BoardInfo info;
    info.id = statement.integer(0);
    info.name = statement.text(1);
    info.parts = statement.integer(2);
    info.pins = statement.integer(3);
    info.nets = statement.integer(4);
    info.imported = statement.text(5);
    info.jobs = statement.integer(6);
    const std::string formats = statement.text(7);
    for (std::size_t start = 0; start < formats.size();) {
      const auto end = std::min(formats.find(',', start), formats.size());
      info.formats.push_back(formats.substr(start, end - start));
      start = end + 1;
    }
    boards.push_back(std::move(info));
  }
  if (!statement.ok()) return inside_->database.error();
  return boards;
}

Result<Board> Bench::board(std::int64_t id) {
  Statement statement(inside_->database, "SELECT title, thickness FROM board WHERE id = ?");
  if (!statement.bind(1, id).step()) {
    if (!statement.ok()) return inside_->database.error();
    return Error{ErrorCode::kNotFound, fmt::format("there is no board {}", id)};
  }
  Board board;
  board.title = statement.text(0);
  board.thickness = statement.integer(1);
  if (!read_board(inside_->database, id, board)) return inside_->database.error();
  return board;
}

Result<std::vector<SourceFile>> Bench::sources(std::int64_t board) {
  Statement statement(inside_->database,
                      "SELECT id, name, format, version, hash FROM source WHERE board = ? ORDER BY id");
  statement.bind(1, board);
  std::vector<SourceFile> files;
  while (statement.step()) {
    SourceFile file{statement.text(1), statement.text(2), statement.text(3), statement.text(4), {}};
    Statement diagnostic(
        inside_->database,
        "SELECT severity, line, col, code, message FROM diagnostic WHERE source = ? ORDER BY id");
    diagnostic.bind(1, statement.integer(0));
    while (diagnostic.step()) {
      file.diagnostics.push_back({static_cast<Severity>(diagnostic.integer(0)), file.name,
                                  static_cast<std::size_t>(diagnostic.integer(1)),
                                  static_cast<std::size_t>(diagnostic.integer(2)), diagnostic.text(3),
                                  diagnostic.text(4)});
    }
    files.push_back(std::move(file));
  }
  if (!statement.ok()) return inside_->database.error();
  return files;
}

Result<std::vector<KeptDisagreement>> Bench::disagreements(std::int64_t board) {
  Statement statement(inside_->database,
                      "SELECT kind, what, says, net FROM disagreement WHERE board = ? ORDER BY id");
  statement.bind(1, board);
  std::vector<KeptDisagreement> list;
  while (statement.step())
    list.push_back({statement.text(0), statement.text(1), statement.text(2), statement.text(3)});
  if (!statement.ok()) return inside_->database.error();
  return list;
}

Result<std::optional<std::int64_t>> Bench::board_of_content(const std::string& hash) {
  Statement statement(inside_->database, "SELECT board FROM source WHERE hash = ? ORDER BY id DESC LIMIT 1");
  if (statement.bind(1, std::string_view(hash)).step()) return std::optional(statement.integer(0));
  if (!statement.ok()) return inside_->database.error();
  return std::optional<std::int64_t>();
}

Result<std::int64_t> Bench::keep_board(const std::string& name, const Board& board, const Origin& origin) {
  if (name.empty()) return Error{ErrorCode::kUsage, "a board needs a name"};
  const Database& database = inside_->database;
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
  if (!write_board(database, id, board) || !write_origin(database, id, origin)) return database.error();
  if (auto committed = transaction.commit(); !committed.ok()) return committed.error();
  return id;
}

Status Bench::replace_board(std::int64_t id, const Board& board, const Origin& origin) {
  const Database& database = inside_->database;
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
  if (!clear_board(database, id) || !write_board(database, id, board) ||
      !write_origin(database, id, origin)) {
    return database.error();
  }
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

Result<std::vector<NameRule>> Bench::rules(std::int64_t board) {
  Statement statement(
      inside_->database,
      "SELECT id, pattern, class, bus, lane, channel FROM name_rule WHERE board = ? ORDER BY id");
  statement.bind(1, board);
  std::vector<NameRule> rules;
  while (statement.step()) {
    NameRule rule{statement.integer(0), statement.text(1), std::nullopt,
                  statement.text(3),    statement.text(4), statement.text(5)};
    if (!statement.is_null(2)) rule.signal_class = static_cast<SignalClass>(statement.integer(2));
    rules.push_back(std::move(rule));
  }
  if (!statement.ok()) return inside_->database.error();
  return rules;
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
  const Database& database = inside_->database;
  Transaction transaction(database);
  if (!transaction.begun()) return database.error();
  Statement gone(database, "DELETE FROM setting WHERE name = ?");
  if (!gone.bind(1, std::string_view(name)).run()) return database.error();
  Statement statement(database, "INSERT INTO setting VALUES (?, ?)");
  if (value && !statement.bind(1, std::string_view(name)).bind(2, *value).run()) return database.error();
  return transaction.commit();
}

std::int64_t Bench::data_version() {
  return inside_->database.number("PRAGMA data_version").value_or(0);
}

}  // namespace landfall::store
