// For tests of the bench file: a board with every list filled, a job on it, and SQLite behind the program's
// back.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <utility>

#include <doctest/doctest.h>
#include <sqlite3.h>

#include "netdb/store/bench.hpp"

namespace landfall::testing {

inline constexpr const char* kNow = "2026-01-02T03:04:05Z";

inline store::Bench open_bench(const std::filesystem::path& file) {
  auto bench = store::Bench::open(file);
  REQUIRE_MESSAGE(bench.ok(), (bench.ok() ? std::string() : bench.error().message));
  return std::move(bench).value();
}

inline Board full_board() {
  Board b;
  b.title = "a \"title\" \xC3\xA4";
  b.thickness = 1'600'000;
  b.layers = {"F.Cu", "B.Cu"};
  b.nets = {{"GND", false, {}}, {"Net-(R1-Pad1)", true, {"ALIAS", ""}}, {"", false, {}}};
  b.parts = {{"U1", "v", "lib:fp", "lib:sym", true, {1, -2}, 45.5, Side::kBottom, false},
             {"R'1;--", "", "", "", false, {}, 0, Side::kTop, true}};
  b.pins = {{0, "A1", "DQ0", PinType::kBidirectional, 0},
            {0, "A2", "", PinType::kUnknown, kNone},
            {1, "1", "", PinType::kPassive, 1}};
  b.lands = {
      {0, 0, 0, {5, 6}, Side::kTop, LandShape::kCustom, 1, 2, 3, 90, {7, 8}, 9, 3, {{1, 2}, {-3, -4}}},
      {kNone, kNone, kNone, {}, Side::kThrough, LandShape::kRect, 0, 0, 0, 0, {}, 0, ~LayerSet{0}, {}}};
  b.tracks = {{{1, 2}, {3, 4}, 5, 1, 0}, {{-1, -2}, {-3, -4}, 5, 0, kNone}};
  b.arcs = {{{1, 1}, {2, 2}, {3, 1}, 5, 0, 1}};
  b.vias = {{{9, 9}, 3, 1, 0, 1, 0, Cover::kOpen, Cover::kTented}};
  b.fills = {{0, 1, 7, {{0, 0}, {1, 0}, {0, 1}}}, {kNone, 0, 0, {}}};
  b.zones = {{0, 3, true, false}, {kNone, 1, false, true}};
  b.holes = {{{4, 4}, 2}};
  b.outline = {{{0, 0}, {10, 0}}};
  return b;
}

// A board of the name "b" and a job on it with U1 lifted.
inline std::int64_t new_job(store::Bench& bench) {
  const auto board = bench.keep_board("b", full_board(), {{}, {}, kNow});
  REQUIRE(board.ok());
  Job job;
  job.board = *board;
  job.title = "t";
  job.lifted = {"U1"};
  const auto id = bench.new_job(job, kNow);
  REQUIRE(id.ok());
  return *id;
}

// A job on a board's U1 with its A1 torn.
inline std::int64_t torn_job(store::Bench& bench, std::int64_t board) {
  Job job;
  job.board = board;
  job.lifted = {"U1"};
  const auto made = bench.new_job(job, kNow);
  REQUIRE(made.ok());
  REQUIRE(bench.record(*made, "w", {{"U1", "A1", MarkKind::kTorn, ""}}, kNow).ok());
  return *made;
}

using Marks = std::map<std::string, std::pair<MarkKind, std::string>>;  // ball -> kind and note

inline Marks marks_of(store::Bench& bench, std::int64_t id) {
  Marks marks;
  const auto job = bench.job(id);
  REQUIRE(job.ok());
  for (const Mark& mark : job->marks) marks[mark.ball] = {mark.kind, mark.note};
  return marks;
}

// SQLite without this program: statements, and the first column of the first row as text.
class Raw {
 public:
  explicit Raw(const std::filesystem::path& file) {
    REQUIRE(sqlite3_open(file.c_str(), &handle_) == SQLITE_OK);
  }
  ~Raw() { sqlite3_close(handle_); }
  Raw(const Raw&) = delete;
  Raw& operator=(const Raw&) = delete;
  Raw(Raw&&) = delete;
  Raw& operator=(Raw&&) = delete;

  void run(const std::string& sql) {
    const int code = sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr);
    REQUIRE_MESSAGE(code == SQLITE_OK, sql, ": ", sqlite3_errmsg(handle_));
  }
  // Empty when there is no row.
  std::string text(const std::string& sql) {
    sqlite3_stmt* statement = nullptr;
    REQUIRE(sqlite3_prepare_v2(handle_, sql.c_str(), -1, &statement, nullptr) == SQLITE_OK);
    std::string text;
    if (sqlite3_step(statement) == SQLITE_ROW) {
      const void* data = sqlite3_column_blob(statement, 0);
      if (data != nullptr)
        text.assign(static_cast<const char*>(data),
                    static_cast<std::size_t>(sqlite3_column_bytes(statement, 0)));
    }
    sqlite3_finalize(statement);
    return text;
  }
  [[nodiscard]] sqlite3* handle() const { return handle_; }

 private:
  sqlite3* handle_ = nullptr;
};

inline void check_whole(const std::filesystem::path& file) {
  Raw raw(file);
  CHECK(raw.text("PRAGMA integrity_check") == "ok");
  CHECK(raw.text("PRAGMA foreign_key_check").empty());
}

}  // namespace landfall::testing
