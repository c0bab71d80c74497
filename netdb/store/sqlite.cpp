#include "netdb/store/sqlite.hpp"

#include <fmt/format.h>

namespace landfall::store {

namespace {

constexpr std::string_view kRescue = "landfall bench rescue FILE NEW saves what can be read";

// SQLite takes names as UTF-8 on every system.
std::string utf8(const std::filesystem::path& file) {
  const auto text = file.u8string();
  return {text.begin(), text.end()};
}

}  // namespace

Result<Database> Database::open_as(const std::filesystem::path& file, const std::string& name, int flags) {
  Database database;
  sqlite3* handle = nullptr;
  const int code = sqlite3_open_v2(name.c_str(), &handle, flags, nullptr);
  database.handle_.reset(handle);
  if (code != SQLITE_OK) {
    return Error{ErrorCode::kBench,
                 fmt::format("{}: cannot be opened: {}", file.string(), sqlite3_errstr(code))};
  }
  sqlite3_extended_result_codes(handle, 1);
  sqlite3_busy_timeout(handle, 5000);
  return database;
}

Result<Database> Database::open(const std::filesystem::path& file) {
  return open_as(file, utf8(file), SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
}

Result<Database> Database::open_unchanging(const std::filesystem::path& file) {
  std::string uri = "file:";
  for (const char c : utf8(file)) {
    if (c == '%' || c == '?' || c == '#') {
      uri += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    } else {
      uri += c;
    }
  }
  return open_as(file, uri + "?immutable=1", SQLITE_OPEN_READONLY | SQLITE_OPEN_URI);
}

Status Database::run(const char* sql) const {
  if (sqlite3_exec(handle(), sql, nullptr, nullptr, nullptr) != SQLITE_OK) return error();
  return done();
}

std::optional<std::int64_t> Database::number(const char* sql) const {
  Statement statement(*this, sql);
  if (!statement.step()) return std::nullopt;
  return statement.integer(0);
}

std::string Database::file() const {
  const char* name = sqlite3_db_filename(handle(), "main");
  return name == nullptr ? "the bench file" : name;
}

void Database::keep_log_at_close(bool keep) const {
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-vararg): the library's call is so
  sqlite3_db_config(handle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, keep ? 1 : 0, nullptr);
}

Error Database::damaged(std::string_view what) const {
  return {ErrorCode::kBench, fmt::format("{}: the bench file is damaged: {}; {}", file(), what, kRescue)};
}

Error Database::error() const {
  const int code = sqlite3_errcode(handle()) & 0xFF;
  switch (code) {
    case SQLITE_FULL:
      return {ErrorCode::kBench, file() + ": the disk is full; nothing was changed"};
    case SQLITE_READONLY:
      return {ErrorCode::kBench, file() + ": it is open read-only; nothing was changed"};
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
      return {ErrorCode::kBench, file() + ": it may not be written; nothing was changed"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {ErrorCode::kBench, file() + ": another program holds it; nothing was changed"};
    case SQLITE_NOTADB:
      return {ErrorCode::kBench,
              fmt::format("{}: this is no bench file, or its head is damaged: then {}", file(), kRescue)};
    case SQLITE_CORRUPT:
      return {ErrorCode::kBench, fmt::format("{}: the bench file is damaged; {}", file(), kRescue)};
    case SQLITE_IOERR:
      return {ErrorCode::kBench, file() + ": the disk could not be written or read; nothing was changed"};
    default:
      return {ErrorCode::kBench, fmt::format("{}: {}", file(), sqlite3_errmsg(handle()))};
  }
}

Statement::Statement(const Database& database, const char* sql) {
  sqlite3_stmt* statement = nullptr;
  code_ = sqlite3_prepare_v2(database.handle(), sql, -1, &statement, nullptr);
  statement_.reset(statement);
}

Statement& Statement::bind(int at, std::int64_t value) {
  sqlite3_bind_int64(statement_.get(), at, value);
  return *this;
}

Statement& Statement::bind(int at, double value) {
  sqlite3_bind_double(statement_.get(), at, value);
  return *this;
}

Statement& Statement::bind(int at, std::string_view text) {
  // An empty view may have no data, which SQLite would take as NULL.
  const char* data = text.data() == nullptr ? "" : text.data();
  sqlite3_bind_text(statement_.get(), at, data, static_cast<int>(text.size()), SQLITE_STATIC);
  return *this;
}

Statement& Statement::bind_blob(int at, std::string_view bytes) {
  if (bytes.empty()) {
    sqlite3_bind_zeroblob(statement_.get(), at, 0);
  } else {
    sqlite3_bind_blob64(statement_.get(), at, bytes.data(), bytes.size(), SQLITE_STATIC);
  }
  return *this;
}

Statement& Statement::bind_null(int at) {
  sqlite3_bind_null(statement_.get(), at);
  return *this;
}

bool Statement::step() {
  if (!ok() || statement_ == nullptr) return false;
  code_ = sqlite3_step(statement_.get());
  return code_ == SQLITE_ROW;
}

bool Statement::run() {
  step();
  const bool good = code_ == SQLITE_DONE;
  if (good) reset();
  return good;
}

void Statement::reset() {
  sqlite3_reset(statement_.get());
  code_ = SQLITE_OK;
}

bool Statement::is_null(int column) const {
  return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
}

std::optional<std::int64_t> Statement::integer_or_none(int column) const {
  if (is_null(column)) return std::nullopt;
  return integer(column);
}

std::string_view Statement::bytes(int column) const {
  const void* data = sqlite3_column_blob(statement_.get(), column);
  const int size = sqlite3_column_bytes(statement_.get(), column);
  if (data == nullptr || size <= 0) return {};
  return {static_cast<const char*>(data), static_cast<std::size_t>(size)};
}

Transaction::Transaction(const Database& database) : database_(database) {
  open_ = database.run("BEGIN IMMEDIATE").ok();
}

Transaction::~Transaction() {
  if (open_) sqlite3_exec(database_.handle(), "ROLLBACK", nullptr, nullptr, nullptr);
}

Status Transaction::commit() {
  Status committed = database_.run("COMMIT");
  if (committed.ok()) open_ = false;
  return committed;
}

Snapshot::Snapshot(const Database& database) : handle_(database.handle()) {
  // Outside a transaction each statement is one of its own.
  own_ = sqlite3_get_autocommit(handle_) != 0 &&
         sqlite3_exec(handle_, "BEGIN", nullptr, nullptr, nullptr) == SQLITE_OK;
}

Snapshot::~Snapshot() {
  if (own_) sqlite3_exec(handle_, "ROLLBACK", nullptr, nullptr, nullptr);  // there is nothing to keep
}

}  // namespace landfall::store
