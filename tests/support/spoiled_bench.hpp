// A bench file with rows in every table, and values put in by SQL that no row can have.
#pragma once

#include <array>
#include <filesystem>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <unistd.h>

#include "netdb/store/rescue.hpp"
#include "tests/support/bench.hpp"

namespace landfall::testing {

// A folder in memory where there is one: hundreds of files are made and thrown away, and none need last.
class MemoryFolder {
 public:
  MemoryFolder() {
    std::error_code none;
    const std::filesystem::path memory = "/dev/shm";
    path_ = (std::filesystem::is_directory(memory, none) && ::access(memory.c_str(), W_OK) == 0
                 ? memory
                 : std::filesystem::temp_directory_path()) /
            ("landfall-test-rescue-" + std::to_string(::getpid()));
    std::filesystem::remove_all(path_, none);
    std::filesystem::create_directories(path_);
  }
  ~MemoryFolder() {
    std::error_code none;
    std::filesystem::remove_all(path_, none);
  }
  MemoryFolder(const MemoryFolder&) = delete;
  MemoryFolder& operator=(const MemoryFolder&) = delete;
  MemoryFolder(MemoryFolder&&) = delete;
  MemoryFolder& operator=(MemoryFolder&&) = delete;
  [[nodiscard]] std::filesystem::path file(const std::string& name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

// Two boards of every list; two jobs with all that a job can have.
inline void make_full_bench(const std::filesystem::path& file) {
  {
    auto bench = open_bench(file);
    const auto first = new_job(bench);
    REQUIRE(bench.keep_board("other", full_board(), {{}, {}, kNow}).ok());
    Job job;
    job.board = 2;
    job.title = "second";
    job.lifted = {"U1"};
    const auto second = bench.new_job(job, kNow);
    REQUIRE(second.ok());
    for (const std::int64_t id : {first, *second}) {
      for (const auto kind : {MarkKind::kTorn, MarkKind::kMissing, MarkKind::kBarrel}) {
        REQUIRE(bench.record(id, "marks", {{"U1", "A1", kind, "n"}, {"U1", "A2", kind, ""}}, kNow).ok());
      }
      REQUIRE(bench.undo(id, kNow).ok());
      Photo photo;
      photo.width = photo.height = 40;
      REQUIRE(bench.add_photo(id, photo, "pixels", kNow).ok());
      REQUIRE(bench.match_photo(id, 1, PhotoFit::kSimilarity, {{"U1.A1", 1, 2}, {"U1.A2", 3, 4}}, kNow).ok());
      REQUIRE(bench.add_photo(id, photo, "other pixels", kNow).ok());
      REQUIRE(bench.rub_photo(id, 2, kNow).ok());
    }
  }
  Raw raw(file);
  for (const std::string id : {"1", "2"}) {
    raw.run("INSERT INTO source (board, name, format, version, hash, part) VALUES (" + id +
            ",'a.csv','csv','','h" + id +
            "','U1');"
            "INSERT INTO diagnostic (source, severity, line, col, code, message) VALUES (" +
            id +
            ",1,2,3,'odd','odd line');"
            "INSERT INTO disagreement (board, kind, what, says, net) VALUES (" +
            id +
            ",'net','U1.A1','GND','VDD');"
            "INSERT INTO name_rule (board, pattern, class, bus, lane, channel) VALUES (" +
            id + ",'DQ*',1,'','',''), (" + id +
            ",'X*',NULL,'b','','');"
            "INSERT INTO name_alias (board, part, name, to_part, to_name, why) VALUES (" +
            id +
            ",'U1','DQ0','R''1;--','1','said');"
            "INSERT INTO fact (job, kind, a, b, name, x, y, reach, created) VALUES (" +
            id + ",0,'U1.A1','U1.A2','',0,0,0,'t'), (" + id +
            ",5,'','','',10,10,5,'t');"
            "INSERT INTO outcome (job, kind, site, x, y, worked, note, at) VALUES (" +
            id +
            ",'jumper','U1.A1',1,2,1,'n','t');"
            "INSERT INTO intake (job, topic, answer, at) VALUES (" +
            id +
            ",'device','pump','t');"
            "INSERT INTO reading (job, net, point, mode, stage, value, at) VALUES (" +
            id + ",'GND','U1.A1',0,0,0.4,'t'), (" + id +
            ",'GND','U1.A1',1,1,NULL,'t');"
            "INSERT INTO known_good VALUES (" +
            id +
            ",'t');"
            "INSERT INTO said VALUES (" +
            id +
            ",0.5,0.4,0.6,10,'t',20,-5);"
            "INSERT INTO shelf VALUES (" +
            id +
            ",'n','t');"
            "INSERT INTO shelf_taken VALUES (" +
            id +
            ",'U1','t');"
            "INSERT INTO kept_number VALUES (" +
            id + ",1,'U1.A1','GND',0);");
  }
  raw.run("INSERT INTO setting VALUES ('supply.spare-share', 12), ('supply.spare-least', 4)");
  raw.run("PRAGMA journal_mode = DELETE");
}

inline std::vector<std::string> column_of_words(sqlite3* handle, const std::string& sql) {
  std::vector<std::string> all;
  sqlite3_stmt* s = nullptr;
  REQUIRE_MESSAGE(sqlite3_prepare_v2(handle, sql.c_str(), -1, &s, nullptr) == SQLITE_OK, sql);
  while (sqlite3_step(s) == SQLITE_ROW)
    all.emplace_back(reinterpret_cast<const char*>(sqlite3_column_text(s, 0)));
  sqlite3_finalize(s);
  return all;
}

// The values, as SQL; each is impossible in some column.
inline constexpr std::array kImpossible{"NULL",
                                        "x'00FF41'",
                                        "x''",
                                        "CAST(x'C328FF' AS TEXT)",
                                        "'a' || char(0) || 'b'",
                                        "-1",
                                        "-9223372036854775807 - 1",
                                        "9223372036854775807",
                                        "7",
                                        "99",
                                        "100000",
                                        "12345678901",
                                        "9000000000000000",
                                        "1e308",
                                        "9e999",
                                        "-9e999",
                                        "3.5",
                                        "'words'",
                                        "''"};

// Takes what SQLite checks out of the tables' own words while it lives, as a damaged page would not heed it.
class Unguarded {
 public:
  explicit Unguarded(std::filesystem::path file) : file_(std::move(file)) {
    Raw raw(file_);
    restoring_ = column_of_words(
        raw.handle(),
        "SELECT 'UPDATE sqlite_schema SET sql = ' || quote(sql) || ' WHERE name = ' || quote(name) FROM "
        "sqlite_schema WHERE type = 'table'");
    raw.run(
        "PRAGMA writable_schema = ON;"
        "UPDATE sqlite_schema SET sql = replace(replace(replace(replace(sql, ') STRICT, WITHOUT', ') "
        "WITHOUT'), ') STRICT', ')'), ' TEXT ', ' BLOB '), 'NOT NULL', '') WHERE type = 'table'");
  }
  ~Unguarded() {
    Raw raw(file_);
    raw.run("PRAGMA writable_schema = ON");
    for (const std::string& sql : restoring_) raw.run(sql);
  }
  Unguarded(const Unguarded&) = delete;
  Unguarded& operator=(const Unguarded&) = delete;
  Unguarded(Unguarded&&) = delete;
  Unguarded& operator=(Unguarded&&) = delete;

 private:
  std::filesystem::path file_;
  std::vector<std::string> restoring_;
};

// One column of one of a table's rows, or of all; as far as keys let it.
inline void spoil(Raw& raw, const std::string& table, const std::string& column, const std::string& value,
                  std::int64_t row) {
  std::string keys;
  for (const std::string& key : column_of_words(
           raw.handle(), "SELECT name FROM pragma_table_info('" + table + "') WHERE pk > 0 ORDER BY pk"))
    keys += (keys.empty() ? "\"" : ", \"") + key + "\"";
  std::string sql = "UPDATE OR IGNORE \"" + table + "\" SET \"" + column + "\" = " + value;
  if (row >= 0) {
    sql += " WHERE (" + keys + ") IN (SELECT " + keys + " FROM \"" + table + "\" ORDER BY " + keys +
           " LIMIT 1 OFFSET " + std::to_string(row) + ")";
  }
  // A row's own number takes no other kind of value; nothing is spoiled then.
  sqlite3_exec(raw.handle(), sql.c_str(), nullptr, nullptr, nullptr);
}

// Rows of each table are those that were kept and those that were made up.
inline void check_counts(const std::filesystem::path& file, const store::Rescued& rescued) {
  Raw raw(file);
  for (const store::RescuedTable& table : rescued.tables) {
    CAPTURE(table.name);
    CHECK(raw.text("SELECT count(*) FROM \"" + table.name + "\"") ==
          std::to_string(table.kept + table.invented));
    CHECK(table.kept >= 0);
    CHECK(table.refused >= 0);
    CHECK(table.dropped >= 0);
    CHECK(table.missing >= 0);
    CHECK(table.invented <= 20'000);
  }
}

}  // namespace landfall::testing
