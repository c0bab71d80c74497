#include "netdb/store/opening.hpp"

#include <array>
#include <chrono>
#include <fstream>
#include <system_error>
#include <thread>

#include "netdb/store/schema.hpp"

namespace landfall::store {
namespace {

std::filesystem::path beside(const std::filesystem::path& file, const char* ending) {
  std::filesystem::path other = file;
  other += ending;
  return other;
}

std::uintmax_t size_of(const std::filesystem::path& file) {
  std::error_code failed;
  const auto size = std::filesystem::file_size(file, failed);
  return failed ? 0 : size;
}

// A journal beside a database is what a power cut left, and opening the database to read would already play
// it back. The application's number stands at byte 68 of the header (https://www.sqlite.org/fileformat.html,
// 1.3), big end first. A bench file has such a journal only while it is made, when it has a page at most.
bool is_unfinished_work_of_another(const std::filesystem::path& file) {
  constexpr std::uintmax_t kLargestPage = 65536;
  constexpr std::size_t kHeader = 100;
  constexpr std::size_t kApplicationAt = 68;
  if (size_of(beside(file, "-journal")) == 0 || size_of(file) <= kLargestPage) return false;
  std::array<char, kHeader> header{};
  std::ifstream in(file, std::ios::binary);
  if (!in.read(header.data(), header.size())) return false;
  std::int64_t application = 0;
  for (std::size_t i = 0; i < 4; ++i)
    application = application * 256 + static_cast<unsigned char>(header.at(kApplicationAt + i));
  return application != kApplicationId;
}

struct Known {
  std::int64_t tables = 0, application = 0, version = 0;
  [[nodiscard]] bool fresh() const { return tables == 0 && application == 0 && version == 0; }
};

// All three at one instant: another program may be making the file. `code`: SQLite's, when there is no
// answer.
Result<Known> look(const Database& database, int& code) {
  const Snapshot snapshot(database);
  const auto tables = database.number("SELECT count(*) FROM sqlite_schema");
  const auto application = tables ? database.number("PRAGMA application_id") : std::nullopt;
  const auto version = application ? database.number("PRAGMA user_version") : std::nullopt;
  code = sqlite3_errcode(database.handle()) & 0xFF;
  if (!version) return database.error();
  return Known{*tables, *application, *version};
}

Status judge(const Known& known, const std::string& file) {
  if (!known.fresh() && known.application != kApplicationId) {
    return Error{ErrorCode::kBench,
                 file + ": this is no bench file but another program's database; it was left alone"};
  }
  if (known.version > newest_version()) {
    return Error{ErrorCode::kBench,
                 file + ": this bench file is from a newer version of Landfall; it was left alone"};
  }
  return done();
}

// The log instead of a journal. The change needs the file for itself for a moment, and SQLite does not wait
// in every such case: another program may be making the same file.
Status turn_on_log(const Database& database) {
  constexpr int kTries = 250;
  for (int i = 0;; ++i) {
    Status set = database.run("PRAGMA journal_mode = WAL");
    const int code = sqlite3_errcode(database.handle()) & 0xFF;
    if (set.ok() || i == kTries || (code != SQLITE_BUSY && code != SQLITE_LOCKED)) return set;
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

Status make_ready(const Database& database, const std::string& file) {
  if (auto set = turn_on_log(database); !set.ok()) return set;
  if (auto set = database.run("PRAGMA synchronous = FULL"); !set.ok()) return set;
  return migrate(database, file, migrations());
}

}  // namespace

Result<Database> open_bench_file(const std::filesystem::path& file) {
  const std::string name = file.string();
  if (is_unfinished_work_of_another(file)) {
    return Error{ErrorCode::kBench,
                 name + ": this is another program's database, with unfinished work; it was left alone"};
  }
  auto opened = Database::open(file);
  if (!opened.ok()) return opened;
  Database database = std::move(opened).value();
  database.keep_log_at_close(true);
  if (auto set = database.run("PRAGMA trusted_schema = OFF"); !set.ok()) return set.error();
  int code = SQLITE_OK;
  auto known = look(database, code);
  const bool barred =
      !known.ok() && (code == SQLITE_CANTOPEN || code == SQLITE_READONLY) && size_of(file) > 0;
  if (barred && size_of(beside(file, "-wal")) > 0) {
    return Error{ErrorCode::kBench,
                 name +
                     ": it may not be written here, and the log beside it (-wal) was not yet "
                     "taken in: copy both to a folder that may be written"};
  }
  if (barred) {
    // The log cannot be made here, and there is none: the file is all there is. Who may write it may still do
    // so, and this connection would not notice; it does not happen on a medium that is read-only.
    auto unchanging = Database::open_unchanging(file);
    if (!unchanging.ok()) return unchanging;
    database = std::move(unchanging).value();
    known = look(database, code);
  }
  if (!known.ok()) return known.error();
  if (auto ours = judge(*known, name); !ours.ok()) return ours.error();
  if (!database.read_only()) {
    database.keep_log_at_close(false);
    if (auto ready = make_ready(database, name); !ready.ok()) return ready.error();
  } else if (known->version != newest_version()) {
    return Error{
        ErrorCode::kBench,
        name + (known->fresh() ? ": this file is empty, and it may not be written"
                               : ": this bench file is from an older version of Landfall, and it may "
                                 "not be written to bring it up to date")};
  }
  if (auto set = database.run("PRAGMA foreign_keys = ON"); !set.ok()) return set.error();
  return database;
}

}  // namespace landfall::store
