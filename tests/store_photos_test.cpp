// Photos in the bench file: kept once, numbered for good, rubbed out to the last byte.
#include <doctest/doctest.h>

#include "netdb/store/schema.hpp"
#include "netdb/store/sqlite.hpp"
#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
using testing::kNow;

namespace {

Photo described() {
  Photo photo;
  photo.format = PhotoFormat::kJpeg;
  photo.width = 640;
  photo.height = 480;
  photo.side = Side::kBottom;
  photo.note = "under the hood";
  return photo;
}

}  // namespace

TEST_CASE("a photo comes back with its bytes and matches, the same picture is kept once") {
  const testing::ScratchFolder folder;
  auto bench = testing::open_bench(folder.file("b.sqlite"));
  const std::int64_t job = testing::new_job(bench);
  const std::string bytes("\x00picture\x00with zeros", 20);
  CHECK(*bench.add_photo(job, described(), bytes, kNow) == 1);
  CHECK(*bench.add_photo(job, described(), "another", kNow) == 2);
  CHECK(*bench.add_photo(job, described(), bytes, kNow) == 1);
  const auto photo = bench.photo(job, 1);
  REQUIRE(photo.ok());
  CHECK(photo->width == 640);
  CHECK(photo->height == 480);
  CHECK(photo->side == Side::kBottom);
  CHECK(photo->format == PhotoFormat::kJpeg);
  CHECK(photo->note == "under the hood");
  CHECK(photo->at == kNow);
  CHECK(photo->matched.empty());
  CHECK(*bench.photo_bytes(job, 1) == bytes);
  const std::vector<PhotoMatch> matches{{"U1.A1", 1.5, 2.25}, {"U1.A2", 100, 3}};
  REQUIRE(bench.match_photo(job, 1, PhotoFit::kPerspective, matches, "2026-02-01T00:00:00Z").ok());
  CHECK(bench.photo(job, 1)->matches == matches);
  CHECK(bench.photo(job, 1)->fit == PhotoFit::kPerspective);
  CHECK(bench.photo(job, 1)->matched == "2026-02-01T00:00:00Z");
  REQUIRE(bench.match_photo(job, 1, PhotoFit::kEither, {}, kNow).ok());
  CHECK(bench.photo(job, 1)->matches.empty());
  CHECK(bench.photos(job)->size() == 2);
  CHECK(bench.photos(job)->at(0).hash == store::content_hash(bytes));
  CHECK(bench.add_photo(99, described(), bytes, kNow).error().code == ErrorCode::kNotFound);
  CHECK(bench.photo(job, 3).error().message == "job 1 has no photo 3");
  CHECK(bench.photo_bytes(job, 3).error().code == ErrorCode::kNotFound);
  CHECK(bench.match_photo(job, 3, PhotoFit::kEither, {}, kNow).error().code == ErrorCode::kNotFound);
  CHECK(bench.rub_photo(job, 3, kNow).error().code == ErrorCode::kNotFound);
}

TEST_CASE("a photo that is rubbed out leaves no byte in the file, and its number is never another's") {
  const testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  std::string secret;
  for (int i = 0; i < 20'000; ++i) secret += "face of a neighbour ";
  {
    auto bench = testing::open_bench(file);
    const std::int64_t job = testing::new_job(bench);
    REQUIRE(*bench.add_photo(job, described(), secret, kNow) == 1);
    REQUIRE(bench.match_photo(job, 1, PhotoFit::kEither, {{"U1.A1", 1, 1}}, kNow).ok());
    REQUIRE(bench.rub_photo(job, 1, kNow).ok());
    CHECK(bench.photos(job)->empty());
    CHECK(bench.photo(job, 1).error().code == ErrorCode::kNotFound);
    CHECK(**bench.photo_of_content(job, store::content_hash(secret)) == 1);
    CHECK(*bench.add_photo(job, described(), "another", kNow) == 2);
    const std::string bytes = testing::read_file(file) + testing::read_file(file.string() + "-wal");
    CHECK(bytes.find("face of a neighbour") == std::string::npos);
    CHECK(bytes.find("under the hood") != std::string::npos);  // of photo 2 only
    // Added again by hand it comes back under its number.
    CHECK(*bench.add_photo(job, described(), secret, kNow) == 1);
    CHECK(*bench.photo_bytes(job, 1) == secret);
  }
  testing::check_whole(file);
}

TEST_CASE("a bench file of version 4 keeps its jobs, and takes photos after the step to 5") {
  const testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  {
    auto bench = testing::open_bench(file);
    testing::new_job(bench);
  }
  {
    // As version 4 left it: without the tables of this step.
    testing::Raw raw(file);
    raw.run(
        "DROP TABLE kept_number; DROP TABLE photo_match; DROP TABLE photo_pixels; DROP TABLE photo; DROP "
        "TABLE mark_past; "
        "ALTER TABLE source DROP COLUMN part; ALTER TABLE intake DROP COLUMN turn; ALTER TABLE said DROP "
        "COLUMN if_works; ALTER TABLE said DROP COLUMN if_fails; ALTER TABLE outcome DROP COLUMN withdrawn; "
        "PRAGMA user_version = 4");
  }
  {
    auto bench = testing::open_bench(file);
    CHECK(bench.jobs()->size() == 1);
    CHECK(*bench.add_photo(1, described(), "bytes", kNow) == 1);
  }
  testing::Raw raw(file);
  CHECK(raw.text("PRAGMA user_version") == std::to_string(store::migrations().size()));
  testing::check_whole(file);
}

TEST_CASE("a photo's row that cannot be is told as damage") {
  const testing::ScratchFolder folder;
  const auto file = folder.file("b.sqlite");
  auto bench = testing::open_bench(file);
  const std::int64_t job = testing::new_job(bench);
  REQUIRE(bench.add_photo(job, described(), "bytes", kNow).ok());
  testing::Raw raw(file);
  for (const char* sql : {"width = 0", "height = 1000000", "side = 2", "fit = 3", "format = -1"}) {
    raw.run("SAVEPOINT s; UPDATE photo SET " + std::string(sql) + "; RELEASE s");
    CHECK(bench.photos(job).error().code == ErrorCode::kBench);
    CHECK(bench.photo(job, 1).error().message.find("table photo, row 1") != std::string::npos);
    raw.run("UPDATE photo SET width = 640, height = 480, side = 1, fit = 0, format = 1");
  }
  raw.run("DELETE FROM photo_pixels");
  CHECK(bench.photo_bytes(job, 1).error().message.find("has no pixels") != std::string::npos);
}
