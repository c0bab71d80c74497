// SQLite behind three small classes; the only place that includes <sqlite3.h> beside the .cpp files here.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include <sqlite3.h>

#include "netdb/model/result.hpp"

namespace landfall::store {

class Database {
 public:
  // To read and write, created where it is not there; to read only where it may not be written.
  static Result<Database> open(const std::filesystem::path& file);
  // To read only, without a lock and without the files beside it: for a place where nothing may be written.
  static Result<Database> open_unchanging(const std::filesystem::path& file);

  [[nodiscard]] sqlite3* handle() const { return handle_.get(); }
  // Runs statements that return nothing.
  [[nodiscard]] Status run(const char* sql) const;
  // The first column of the first row as a number; nothing when there is no row or on an error.
  [[nodiscard]] std::optional<std::int64_t> number(const char* sql) const;
  // SQLite's last error in our words, kBench.
  [[nodiscard]] Error error() const;
  // What a row says cannot be: "FILE: the bench file is damaged: WHAT", kBench.
  [[nodiscard]] Error damaged(std::string_view what) const;
  [[nodiscard]] bool read_only() const { return sqlite3_db_readonly(handle(), "main") == 1; }
  // A connection that is closed as the last moves the log (-wal) into the file, unless told not to.
  void keep_log_at_close(bool keep) const;

 private:
  struct Close {
    void operator()(sqlite3* handle) const { sqlite3_close_v2(handle); }
  };
  static Result<Database> open_as(const std::filesystem::path& file, const std::string& name, int flags);
  [[nodiscard]] std::string file() const;
  std::unique_ptr<sqlite3, Close> handle_;
};

// A prepared statement. Errors stick: after the first, every step answers false and ok() tells.
class Statement {
 public:
  Statement(const Database& database, const char* sql);

  Statement& bind(int at, std::int64_t value);
  Statement& bind(int at, double value);
  // The text is not copied: it must live until the next step() has run.
  Statement& bind(int at, std::string_view text);
  Statement& bind_blob(int at, std::string_view bytes);
  Statement& bind_null(int at);
  Statement& bind_or_null(int at, std::optional<std::int64_t> value) {
    return value ? bind(at, *value) : bind_null(at);
  }

  // True on a row. False at the end, and on an error.
  bool step();
  // For a statement without rows: runs it and makes it ready for the next; false on an error.
  bool run();
  void reset();

  [[nodiscard]] bool ok() const { return code_ == SQLITE_OK || code_ == SQLITE_ROW || code_ == SQLITE_DONE; }
  [[nodiscard]] std::int64_t integer(int column) const {
    return sqlite3_column_int64(statement_.get(), column);
  }
  // Nothing for NULL.
  [[nodiscard]] std::optional<std::int64_t> integer_or_none(int column) const;
  // A column that holds one of the words 0 to `last`; nothing for another number.
  template <class Enum>
  [[nodiscard]] std::optional<Enum> as_enum(int column, Enum last) const {
    const std::int64_t value = integer(column);
    if (value < 0 || value > static_cast<std::int64_t>(last)) return std::nullopt;
    return static_cast<Enum>(value);
  }
  [[nodiscard]] double real(int column) const { return sqlite3_column_double(statement_.get(), column); }
  [[nodiscard]] bool is_null(int column) const;
  [[nodiscard]] std::string text(int column) const { return std::string(bytes(column)); }
  // Until the next step.
  [[nodiscard]] std::string_view bytes(int column) const;

 private:
  struct Finalize {
    void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
  };
  std::unique_ptr<sqlite3_stmt, Finalize> statement_;
  int code_ = SQLITE_OK;
};

// BEGIN IMMEDIATE; rolled back at the end of its life unless committed.
class Transaction {
 public:
  explicit Transaction(const Database& database);
  ~Transaction();
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  Transaction(Transaction&&) = delete;
  Transaction& operator=(Transaction&&) = delete;

  [[nodiscard]] bool begun() const { return open_; }
  // After it returns without error the change is on disk (WAL with synchronous FULL).
  Status commit();

 private:
  const Database& database_;
  bool open_ = false;
};

// While it lives, all reads see the file as it was at the first of them, whatever others commit. Inside
// another one, or inside a Transaction, it is part of that.
class Snapshot {
 public:
  explicit Snapshot(const Database& database);
  ~Snapshot();
  Snapshot(const Snapshot&) = delete;
  Snapshot& operator=(const Snapshot&) = delete;
  Snapshot(Snapshot&&) = delete;
  Snapshot& operator=(Snapshot&&) = delete;

 private:
  sqlite3* handle_;
  bool own_ = false;
};

}  // namespace landfall::store
