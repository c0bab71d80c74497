// A damaged bench file: what can be read of it is in a new one, and what was lost is said. SQLite without
// this program says what can be read.
#include <algorithm>
#include <fstream>
#include <map>
#include <random>

#include <doctest/doctest.h>
#include <sqlite3.h>

#include "netdb/store/rescue.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
using testing::check_whole;
using testing::kNow;
using testing::open_bench;

namespace {

using Rows = std::map<std::string, int>;  // a row's values as text, and how often

// A real board with a job of some hundred marks, half of them undone or noted.
void make_bench(const std::filesystem::path& file) {
  auto bench = open_bench(file);
  const auto design =
      testing::open_design(std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4/skua4.kicad_pcb");
  const auto board = bench.keep_board("skua4", design.board,
                                      {{{"skua4.kicad_pcb", "kicad-board", "", "hash", {}}}, {}, kNow});
  REQUIRE(board.ok());
  REQUIRE(bench.keep_board("bare", testing::full_board(), {{}, {}, kNow}).ok());
  Job job;
  job.board = *board;
  job.title = "no start";
  job.lifted = {"U1"};
  const auto id = bench.new_job(job, kNow);
  REQUIRE(id.ok());
  for (int i = 0; i < 400; ++i) {
    const std::string ball = std::string(1, static_cast<char>('A' + i / 20)) + std::to_string(1 + i % 20);
    REQUIRE(
        bench.record(*id, "mark " + ball, {{"U1", ball, MarkKind::kTorn, std::string(40, 'n')}}, kNow).ok());
  }
}

std::vector<std::string> words(sqlite3* handle, const std::string& sql) {
  std::vector<std::string> all;
  sqlite3_stmt* s = nullptr;
  if (sqlite3_prepare_v2(handle, sql.c_str(), -1, &s, nullptr) != SQLITE_OK) return all;
  while (sqlite3_step(s) == SQLITE_ROW)
    all.emplace_back(reinterpret_cast<const char*>(sqlite3_column_text(s, 0)));
  sqlite3_finalize(s);
  return all;
}

// A row's place in a list may change where others before it are lost, and with it the pin that a land names.
std::vector<std::string> compared_columns(sqlite3* handle, const std::string& table) {
  auto columns = words(handle, "SELECT name FROM pragma_table_info('" + table + "')");
  std::erase_if(columns, [&](const std::string& c) {
    return c == "n" || (table == "land" && c == "pin") || (table == "job" && c == "cursor") ||
           c == "parent" || (table == "source" && c == "hash") ||  // forgotten after a loss
           (table == "board" && (c == "parts" || c == "pins" || c == "nets"));
  });
  return columns;
}

// Rows until the end or the first damage.
void scan(sqlite3* handle, const std::string& table, const std::vector<std::string>& columns,
          const std::string& order, std::map<std::string, std::string>& seen) {
  std::string sql;
  for (const std::string& c : columns) sql += (sql.empty() ? "SELECT quote(\"" : ", quote(\"") + c + "\")";
  sqlite3_stmt* s = nullptr;
  const auto keys =
      words(handle, "SELECT name FROM pragma_table_info('" + table + "') WHERE pk > 0 ORDER BY pk");
  std::string key;
  std::string by;
  for (const std::string& k : keys) {
    key += ", quote(\"" + k + "\")";
    by += (by.empty() ? "\"" : ", \"") + k + "\"" + order;
  }
  sql += key + " FROM \"" + table + "\" NOT INDEXED ORDER BY " + by;
  if (sqlite3_prepare_v2(handle, sql.c_str(), -1, &s, nullptr) != SQLITE_OK) return;
  while (sqlite3_step(s) == SQLITE_ROW) {
    std::string row;
    std::string own;
    for (int i = 0; i < sqlite3_column_count(s); ++i) {
      const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(s, i));
      (i < static_cast<int>(columns.size()) ? row : own) += std::string(text == nullptr ? "" : text) + "|";
    }
    seen[own] = row;
  }
  sqlite3_finalize(s);
}

Rows readable(sqlite3* handle, const std::string& table) {
  const auto columns = compared_columns(handle, table);
  std::map<std::string, std::string> seen;
  scan(handle, table, columns, "", seen);
  scan(handle, table, columns, " DESC", seen);
  Rows rows;
  for (const auto& [key, row] : seen) ++rows[row];
  return rows;
}

std::string slurp(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

void spill(const std::filesystem::path& file, const std::string& bytes) {
  std::ofstream(file, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

struct Bed {
  Bed() {
    make_bench(folder.file("good.sqlite"));
    good = slurp(folder.file("good.sqlite"));
    REQUIRE(good.size() > 100 * kPage);
  }
  static constexpr std::size_t kPage = 4096;
  testing::ScratchFolder folder;
  std::string good;
};

// All that the oracle reads of `bad` is in `out`, but for what was said to be refused, mended or dropped.
void check_against_oracle(const std::filesystem::path& bad, const std::filesystem::path& out,
                          const store::Rescued& rescued) {
  testing::Raw before(bad);
  testing::Raw after(out);
  for (const store::RescuedTable& table : rescued.tables) {
    CAPTURE(table.name);
    const Rows had = readable(before.handle(), table.name);
    const Rows has = readable(after.handle(), table.name);
    std::int64_t absent = 0;
    for (const auto& [row, times] : had) {
      const auto found = has.find(row);
      absent += std::max(0, times - (found == has.end() ? 0 : found->second));
    }
    CHECK(absent <= table.refused + table.mended + table.dropped);
  }
}

}  // namespace

TEST_CASE("a sound bench file comes out whole, row by row, and nothing is said to be lost") {
  Bed bed;
  const auto rescued = store::rescue(bed.folder.file("good.sqlite"), bed.folder.file("out.sqlite"));
  REQUIRE(rescued.ok());
  CHECK(rescued->whole());
  check_whole(bed.folder.file("out.sqlite"));
  check_against_oracle(bed.folder.file("good.sqlite"), bed.folder.file("out.sqlite"), *rescued);
  CHECK(slurp(bed.folder.file("good.sqlite")) == bed.good);
  CHECK_FALSE(std::filesystem::exists(bed.folder.file("out.sqlite.damaged")));
  auto bench = open_bench(bed.folder.file("out.sqlite"));
  CHECK(bench.job(1)->marks.size() == 400);
  CHECK(bench.undo(1, kNow).ok());
  // Not over a file that is there.
  CHECK(store::rescue(bed.folder.file("good.sqlite"), bed.folder.file("out.sqlite")).error().code ==
        ErrorCode::kUsage);
}

TEST_CASE(
    "random pages damaged: everything readable is in the new file, which opens and can be worked with") {
  Bed bed;
  std::mt19937 random(20260611);  // NOLINT(cert-msc51-cpp): the same pages each time
  const std::size_t pages = bed.good.size() / Bed::kPage;
  int marks_lost = 0;
  for (int round = 0; round < 18; ++round) {
    CAPTURE(round);
    std::string bytes = bed.good;
    const int count = 1 + static_cast<int>(random() % 5);
    for (int i = 0; i < count; ++i) {
      const std::size_t page = 1 + random() % (pages - 1);  // not the first
      for (std::size_t k = 0; k < Bed::kPage; ++k) {
        char& c = bytes[page * Bed::kPage + k];
        if (round % 3 == 0) c = 0;
        if (round % 3 == 1) c = static_cast<char>(random());
        if (round % 3 == 2 && k >= 100 && k < 1000) c = static_cast<char>(random());
      }
    }
    const auto bad = bed.folder.file("bad.sqlite");
    const auto out = bed.folder.file("out.sqlite");
    for (const char* ending : {"", "-wal", "-shm"}) {
      std::filesystem::remove(bad.string() + ending);
      std::filesystem::remove(out.string() + ending);
    }
    spill(bad, bytes);
    const auto rescued = store::rescue(bad, out);
    REQUIRE_MESSAGE(rescued.ok(), (rescued.ok() ? std::string() : rescued.error().message));
    CHECK(slurp(bad) == bytes);
    check_whole(out);
    check_against_oracle(bad, out, *rescued);
    auto bench = open_bench(out);
    REQUIRE(bench.jobs().ok());
    const auto boards = bench.boards();
    REQUIRE(boards.ok());
    if (round % 3 == 2) continue;  // values inside a row may be anything then
    for (const auto& board : *boards) {
      const auto read = bench.board(board.id);
      CHECK_MESSAGE(read.ok(), (read.ok() ? std::string() : read.error().message));
    }
    for (const Job& job : *bench.jobs()) {
      marks_lost += 400 - static_cast<int>(bench.job(job.id)->marks.size());
      CHECK(bench.record(job.id, "on", {{"U1", "A1", MarkKind::kLoose, std::nullopt}}, kNow).ok());
    }
  }
  MESSAGE("marks lost in 12 damaged files of 400 marks each: ", marks_lost);
}

TEST_CASE("cut short, without its first page, or no bench file: an error or what is left, and no half file") {
  Bed bed;
  const auto bad = bed.folder.file("bad.sqlite");
  const auto out = bed.folder.file("out.sqlite");
  const auto attempt = [&](const std::string& bytes) {
    std::filesystem::remove(bad);
    std::filesystem::remove(out);
    spill(bad, bytes);
    const auto rescued = store::rescue(bad, out);
    CHECK(rescued.ok() == std::filesystem::exists(out));
    CHECK_FALSE(std::filesystem::exists(out.string() + ".damaged"));
    if (rescued.ok()) check_whole(out);
    return rescued.ok();
  };
  for (const std::size_t size :
       {std::size_t{0}, std::size_t{50}, std::size_t{4096}, bed.good.size() / 2 + 77, bed.good.size() - 1})
    attempt(bed.good.substr(0, size));
  CHECK(attempt(bed.good.substr(0, bed.good.size() - Bed::kPage)));
  // Head and list of tables both gone: the newest version's tables lie where they always do.
  CHECK(attempt(std::string(Bed::kPage, 'x') + bed.good.substr(Bed::kPage)));
  CHECK(open_bench(out).job(1)->marks.size() == 400);
  // The list of tables gone, but not the file's head: tables lie where they always do.
  CHECK(attempt(bed.good.substr(0, 100) + std::string(Bed::kPage - 100, 'x') + bed.good.substr(Bed::kPage)));
  CHECK(open_bench(out).job(1)->marks.size() == 400);
  CHECK_FALSE(attempt("a letter, not a database"));
  std::string other = bed.good;
  other[68] = 'x';  // another program's number
  CHECK_FALSE(attempt(other));
  CHECK(store::rescue(bed.folder.file("none"), out).error().code == ErrorCode::kNotFound);
}

TEST_CASE("a long list without a gap is kept whole and of a list whose front is lost the tail is kept") {
  for (const bool tail : {false, true}) {
    CAPTURE(tail);
    const testing::ScratchFolder folder;
    const auto bad = folder.file("bad.sqlite");
    const std::int64_t rows = tail ? 100'000 : 1'050'000;
    {
      auto bench = open_bench(bad);
      testing::new_job(bench);
    }
    {
      testing::Raw raw(bad);
      raw.run(
          "PRAGMA synchronous = OFF; DELETE FROM track; "
          "INSERT INTO track (board, n, x1, y1, x2, y2, width, layer, net) WITH RECURSIVE c(i) AS (SELECT 0 "
          "UNION "
          "ALL SELECT i + 1 FROM c WHERE i + 1 < " +
          std::to_string(rows) + ") SELECT 1, i, i, 0, i, 1000, 100000, 0, NULL FROM c");
      if (tail) raw.run("DELETE FROM track WHERE n < 95000");
    }
    const auto out = folder.file("out.sqlite");
    const auto rescued = store::rescue(bad, out);
    REQUIRE_MESSAGE(rescued.ok(), (rescued.ok() ? std::string() : rescued.error().message));
    for (const auto& table : rescued->tables) {
      if (table.name != "track") continue;
      CHECK(table.refused == 0);
      CHECK(table.kept == (tail ? 5'000 : rows));
      CHECK(table.missing == (tail ? 95'000 : 0));
    }
    const auto board = open_bench(out).board(1);
    REQUIRE(board.ok());
    CHECK(board->tracks.size() == static_cast<std::size_t>(tail ? 5'000 : rows));
    CHECK(board->tracks.back().from.x == rows - 1);
  }
}

TEST_CASE("the file's first 100 bytes gone: the head is made anew, whatever the size of its pages") {
  for (const std::size_t page : {std::size_t{512}, std::size_t{4096}, std::size_t{65'536}}) {
    CAPTURE(page);
    Bed bed;
    if (page != Bed::kPage) {
      testing::Raw raw(bed.folder.file("good.sqlite"));
      raw.run("PRAGMA journal_mode = DELETE; PRAGMA page_size = " + std::to_string(page) + "; VACUUM");
    }
    const std::string good = slurp(bed.folder.file("good.sqlite"));
    const auto bad = bed.folder.file("bad.sqlite");
    const auto out = bed.folder.file("out.sqlite");
    std::mt19937 random(7);  // NOLINT(cert-msc51-cpp): the same bytes each time
    std::string noise(100, ' ');
    for (char& c : noise) c = static_cast<char>(random());
    std::string numbers = good.substr(0, 100);
    numbers.replace(60, 12, std::string(12, '\0'));
    for (const std::string& head : {std::string(100, '\0'), noise, numbers, std::string(100, '\xFF')}) {
      std::filesystem::remove(out);
      spill(bad, head + good.substr(100));
      const auto rescued = store::rescue(bad, out);
      REQUIRE_MESSAGE(rescued.ok(), (rescued.ok() ? std::string() : rescued.error().message));
      CHECK_FALSE(rescued->whole());
      CHECK(std::any_of(rescued->notes.begin(), rescued->notes.end(), [](const std::string& note) {
        return note.find("head was damaged") != std::string::npos;
      }));
      for (const auto& table : rescued->tables) CHECK_MESSAGE(table.damage.empty(), table.name);
      check_whole(out);
      auto bench = open_bench(out);
      CHECK(bench.job(1)->marks.size() == 400);
      CHECK(*bench.board(2) == testing::full_board());
    }
  }
}

TEST_CASE("no head and no bench file behind it: another program's tables and plain bytes are refused") {
  const testing::ScratchFolder folder;
  {
    testing::Raw raw(folder.file("other.sqlite"));
    raw.run("CREATE TABLE song (id INTEGER PRIMARY KEY, name TEXT)");
    for (int i = 0; i < 500; ++i) raw.run("INSERT INTO song (name) VALUES ('" + std::string(60, 'x') + "')");
  }
  const std::string other = slurp(folder.file("other.sqlite"));
  std::mt19937 random(9);  // NOLINT(cert-msc51-cpp): the same bytes each time
  std::string noise(300'000, ' ');
  for (char& c : noise) c = static_cast<char>(random());
  for (const std::string& bytes :
       {std::string(100, '\0') + other.substr(100), noise, std::string(300'000, '\0')}) {
    spill(folder.file("bad"), bytes);
    const auto rescued = store::rescue(folder.file("bad"), folder.file("out"));
    REQUIRE_FALSE(rescued.ok());
    CHECK(rescued.error().message.find("nothing can be saved") != std::string::npos);
    CHECK_FALSE(std::filesystem::exists(folder.file("out")));
  }
}

TEST_CASE(
    "the pasts of marks are made anew where their table is lost so that another bench's mark is asked "
    "about") {
  Bed bed;
  const auto bad = bed.folder.file("good.sqlite");
  std::size_t root = 0;
  {
    testing::Raw raw(bad);
    raw.run("PRAGMA journal_mode = DELETE");
    root = std::stoul(raw.text("SELECT rootpage FROM sqlite_schema WHERE name = 'mark_past'"));
  }
  std::string bytes = slurp(bad);
  bytes.replace((root - 1) * Bed::kPage, Bed::kPage, std::string(Bed::kPage, '\0'));
  spill(bed.folder.file("bad.sqlite"), bytes);
  const auto out = bed.folder.file("out.sqlite");
  const auto rescued = store::rescue(bed.folder.file("bad.sqlite"), out);
  REQUIRE(rescued.ok());
  const auto table = std::find_if(rescued->tables.begin(), rescued->tables.end(),
                                  [](const auto& t) { return t.name == "mark_past"; });
  REQUIRE(table != rescued->tables.end());
  CHECK_FALSE(table->damage.empty());
  CHECK(table->invented >= 400);
  check_whole(out);
  auto bench = open_bench(out);
  CHECK(bench.job(1)->marks.size() == 400);
  const auto pasts = bench.site_pasts(1);
  REQUIRE(pasts.ok());
  CHECK(pasts->size() == 400);
  // The states that any file from before gets, so that benches agree on marks that they had exchanged, and
  // one that no other bench knows.
  for (const auto& past : *pasts) {
    CHECK(past.states.size() >= 2);
    CHECK(past.states.front() == -1 - static_cast<std::int64_t>(MarkKind::kTorn));
    CHECK(std::abs(past.states.back()) > 100);
  }
}
