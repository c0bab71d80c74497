// A bench file whose rows read well but say what cannot be: after a rescue the new file opens, with every
// board and job of it, and the report counts what is in it.
#include <algorithm>
#include <fstream>
#include <random>

#include <doctest/doctest.h>
#include <sqlite3.h>

#include "netdb/model/settings.hpp"
#include "netdb/store/rescue.hpp"
#include "tests/support/spoiled_bench.hpp"

using namespace landfall;
using testing::kNow;
using testing::open_bench;
using testing::Raw;

namespace {

#define GOOD(...)                                                            \
  do {                                                                       \
    const auto answer_ = (__VA_ARGS__);                                      \
    CHECK_MESSAGE(answer_.ok(), #__VA_ARGS__, ": ",                          \
                  (answer_.ok() ? std::string() : answer_.error().message)); \
  } while (false)

void check_boards(store::Bench& bench) {
  const auto boards = bench.boards();
  REQUIRE(boards.ok());
  for (const auto& info : *boards) {
    CAPTURE(info.id);
    GOOD(bench.board(info.id));
    GOOD(bench.board_words(info.id));
    GOOD(bench.board_info(info.id));
    GOOD(bench.sources(info.id));
    GOOD(bench.disagreements(info.id));
    GOOD(bench.rules(info.id));
    GOOD(bench.aliases(info.id));
    GOOD(bench.good_readings(info.id, 0));
    GOOD(bench.jobs_of_board(info.id));
    const auto board = bench.board(info.id);
    if (!board.ok()) continue;
    CHECK(info.parts == static_cast<std::int64_t>(board->parts.size()));
    CHECK(info.pins == static_cast<std::int64_t>(board->pins.size()));
    CHECK(info.nets == static_cast<std::int64_t>(board->nets.size()));
  }
}

void check_job(store::Bench& bench, std::int64_t id) {
  CAPTURE(id);
  GOOD(bench.job(id));
  GOOD(bench.withdrawn_facts(id));
  GOOD(bench.outcomes(id));
  GOOD(bench.kept_numbers(id));
  GOOD(bench.intake_with_taken_back(id));
  GOOD(bench.readings(id));
  GOOD(bench.withdrawn_readings(id));
  GOOD(bench.site_pasts(id));
  GOOD(bench.last_gestures(id));
  GOOD(bench.photos(id));
  if (const auto photos = bench.photos(id); photos.ok()) {
    for (const Photo& photo : *photos) GOOD(bench.photo_bytes(id, photo.number));
  }
  GOOD(bench.add_photo(id, {}, "pixels", kNow));
  GOOD(bench.add_photo(id, {}, "other pixels", kNow));
  GOOD(bench.record(id, "on", {{"U1", "A1", MarkKind::kLoose, std::nullopt}}, kNow));
  int undone = 0;
  for (; undone < 50; ++undone) {
    const auto one = bench.undo(id, kNow);
    CHECK_MESSAGE(one.ok(), (one.ok() ? std::string() : one.error().message));
    if (!one.ok() || !*one) break;
  }
  CHECK(undone < 50);
  GOOD(bench.redo(id, kNow));
}

void check_bench(const std::filesystem::path& file) {
  testing::check_whole(file);
  auto bench = open_bench(file);
  check_boards(bench);
  GOOD(bench.jobs());
  GOOD(bench.all_outcomes());
  GOOD(bench.said());
  GOOD(bench.shelf());
  for (const SettingInfo& info : settings()) {
    const auto own = bench.setting(std::string(info.name));
    REQUIRE(own.ok());
    const double value = own->value_or(info.standard);
    CHECK((value >= info.least && value <= info.most));
  }
  Raw raw(file);
  for (const std::string& id : testing::column_of_words(raw.handle(), "SELECT id FROM job"))
    check_job(bench, std::stoll(id));
}

struct Bed {
  Bed() { testing::make_full_bench(folder.file("good.sqlite")); }
  void fresh() const {
    for (const char* ending : {"", "-wal", "-shm", "-journal"}) {
      std::filesystem::remove(bad.string() + ending);
      std::filesystem::remove(out.string() + ending);
    }
    std::filesystem::copy_file(folder.file("good.sqlite"), bad);
  }
  void check() const {
    const auto rescued = store::rescue(bad, out);
    REQUIRE_MESSAGE(rescued.ok(), (rescued.ok() ? std::string() : rescued.error().message));
    testing::check_counts(out, *rescued);
    check_bench(out);
  }
  testing::MemoryFolder folder;
  std::filesystem::path bad = folder.file("bad.sqlite"), out = folder.file("out.sqlite");
};

std::vector<std::pair<std::string, std::string>> columns_of(const std::filesystem::path& file) {
  std::vector<std::pair<std::string, std::string>> columns;
  Raw raw(file);
  for (const std::string& table :
       testing::column_of_words(raw.handle(),
                                "SELECT name FROM sqlite_schema WHERE type = 'table' AND name "
                                "NOT LIKE 'sqlite%' ORDER BY name")) {
    REQUIRE_MESSAGE(raw.text("SELECT count(*) FROM \"" + table + "\"") != "0", table);
    for (const std::string& column :
         testing::column_of_words(raw.handle(), "SELECT name FROM pragma_table_info('" + table + "')"))
      columns.emplace_back(table, column);
  }
  return columns;
}

}  // namespace

TEST_CASE("every column of every table set to what it cannot be: the new file opens and can be worked with") {
  const Bed bed;
  const auto columns = columns_of(bed.folder.file("good.sqlite"));
  std::mt19937 random(20261127);  // NOLINT(cert-msc51-cpp): the same values each time
  for (const auto& column : columns) {
    bed.fresh();
    std::string said = column.first + "." + column.second;
    {
      const testing::Unguarded unguarded(bed.bad);
      Raw raw(bed.bad);
      const auto rows = std::stoll(raw.text("SELECT count(*) FROM \"" + column.first + "\""));
      for (std::int64_t row = 0; row < rows; ++row) {
        if (rows > 1 && random() % 3 == 0) continue;
        const std::string value = testing::kImpossible.at(random() % testing::kImpossible.size());
        testing::spoil(raw, column.first, column.second, value, row);
        said += " " + std::to_string(row) + ":" + value;
      }
    }
    CAPTURE(said);
    bed.check();
  }
}

TEST_CASE("impossible values here and there in all tables at once: the new file opens and counts add up") {
  const Bed bed;
  const auto columns = columns_of(bed.folder.file("good.sqlite"));
  std::mt19937 random(7);  // NOLINT(cert-msc51-cpp): the same values each time
  for (int round = 0; round < 100; ++round) {
    CAPTURE(round);
    bed.fresh();
    std::string said;
    {
      const testing::Unguarded unguarded(bed.bad);
      Raw raw(bed.bad);
      for (std::size_t i = 0, count = 1 + random() % 25; i < count; ++i) {
        const auto& column = columns[random() % columns.size()];
        const std::string value = testing::kImpossible.at(random() % testing::kImpossible.size());
        const std::int64_t row = static_cast<std::int64_t>(random() % 5) - 1;
        testing::spoil(raw, column.first, column.second, value, row);
        said += column.first + "." + column.second + " " + std::to_string(row) + ":" + value + "; ";
      }
    }
    CAPTURE(said);
    bed.check();
  }
}

TEST_CASE("bytes flipped inside pages and pages of random bytes: the new file opens and counts add up") {
  const Bed bed;
  std::ifstream in(bed.folder.file("good.sqlite"), std::ios::binary);
  const std::string good{std::istreambuf_iterator<char>(in), {}};
  constexpr std::size_t kPage = 4096;
  std::mt19937 random(11);  // NOLINT(cert-msc51-cpp): the same bytes each time
  for (int round = 0; round < 100; ++round) {
    CAPTURE(round);
    bed.fresh();
    std::string bytes = good;
    // Not in the list of tables: what becomes of that is another test's.
    const std::size_t from = 4 * kPage;
    if (round % 5 == 0) {
      const std::size_t page = from / kPage + random() % (bytes.size() / kPage - from / kPage);
      for (std::size_t k = 0; k < kPage; ++k) bytes[page * kPage + k] = static_cast<char>(random());
    } else {
      for (int i = 0; i < 1 << (round % 8); ++i)
        bytes[from + random() % (bytes.size() - from)] = static_cast<char>(random());
    }
    std::ofstream(bed.bad, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    bed.check();
  }
}

TEST_CASE("one impossible value each in parts and pins and jobs: what is kept and under which heading") {
  const Bed bed;
  bed.fresh();
  {
    Raw raw(bed.bad);
    raw.run(
        "PRAGMA foreign_keys = OFF;"
        "UPDATE part SET angle = 9e999 WHERE board = 1 AND n = 0;"
        "UPDATE pin SET type = 99 WHERE board = 1 AND n = 1;"
        "UPDATE pin SET net = 900000 WHERE board = 2 AND n = 0;"
        "UPDATE job SET safety = 7 WHERE id = 1;"
        "UPDATE mark SET kind = 40 WHERE job = 2 AND ball = 'A1';"
        "UPDATE setting SET value = 1e300 WHERE name = 'supply.spare-least'");
  }
  const auto rescued = store::rescue(bed.bad, bed.out);
  REQUIRE(rescued.ok());
  CHECK_FALSE(rescued->whole());
  // Counted by hand: kept, refused, mended, made up.
  const auto counts = [&](const std::string& name) {
    const auto table = std::find_if(rescued->tables.begin(), rescued->tables.end(),
                                    [&](const store::RescuedTable& t) { return t.name == name; });
    REQUIRE(table != rescued->tables.end());
    return std::vector<std::int64_t>{table->kept, table->refused, table->mended, table->invented};
  };
  CHECK(counts("part") == std::vector<std::int64_t>{4, 0, 1, 0});
  CHECK(counts("pin") == std::vector<std::int64_t>{4, 2, 0, 0});
  CHECK(counts("net") == std::vector<std::int64_t>{6, 0, 0, 0});
  CHECK(counts("job") == std::vector<std::int64_t>{2, 0, 1, 0});
  CHECK(counts("mark") == std::vector<std::int64_t>{3, 1, 0, 0});
  CHECK(counts("setting") == std::vector<std::int64_t>{1, 1, 0, 0});
  for (const auto& table : rescued->tables) CHECK_MESSAGE(table.missing == 0, table.name);
  auto bench = open_bench(bed.out);
  const auto board = bench.board(1);
  REQUIRE(board.ok());
  CHECK(board->parts[0].reference == "U1");
  CHECK(board->parts[0].value == "v");
  CHECK_FALSE(board->parts[0].placed);
  CHECK(board->parts[1] == testing::full_board().parts[1]);
  const auto job = bench.job(1);
  REQUIRE(job.ok());
  CHECK(job->title == "t");
  CHECK(job->board == 1);
  CHECK(job->safety_critical == SafetyAnswer::kNotAsked);
  CHECK(job->marks.size() == 2);
}
