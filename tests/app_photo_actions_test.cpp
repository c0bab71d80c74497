// The photos of a job one by one: shown and put away, added, stepped through.
#include <fstream>

#include "tests/support/session.hpp"

using namespace landfall;

namespace {

void write_picture(const std::filesystem::path& file, int width) {
  photo::Picture picture;
  picture.width = width;
  picture.height = 40;
  picture.rgb.assign(static_cast<std::size_t>(width) * 40 * 3, 120);
  std::ofstream(file, std::ios::binary) << *photo::write_png(picture);
}

}  // namespace

TEST_CASE_FIXTURE(testing::SessionFixture, "photos are added to a job, shown, stepped through and put away") {
  app::apply(session, app::ShowPhotos{});
  CHECK(session.message_is_error);  // no job
  CHECK_FALSE(session.photo_page);
  app::apply(session, app::NextPhoto{});
  CHECK_FALSE(session.photos);
  job();
  app::apply(session, app::ShowPhotos{});
  CHECK(session.photo_page);
  CHECK(session.message == "No photos yet: drop a PNG or JPEG file on this window.");
  app::apply(session, app::NextPhoto{});  // none to go to
  CHECK(session.photos->shown() == nullptr);
  write_picture(folder.file("a.png"), 60);
  write_picture(folder.file("b.png"), 80);
  app::apply(session, app::AddPhotos{{folder.file("a.png"), folder.file("b.png")}});
  REQUIRE(session.photos->shown() != nullptr);
  CHECK(session.photos->photos.size() == 2);
  CHECK(session.photos->shown()->photo.number == 2);  // the last that was added
  CHECK(session.photos->picture->width == 80);
  app::apply(session, app::NextPhoto{});
  CHECK(session.photos->shown()->photo.number == 1);
  CHECK(session.photos->picture->width == 60);
  app::apply(session, app::NextPhoto{});
  CHECK(session.photos->shown()->photo.number == 2);
  // Put away and shown again: where one was. The map, plan and bench go, the photos come.
  app::apply(session, app::ShowPhotos{});
  CHECK_FALSE(session.photo_page);
  app::apply(session, app::ShowPlan{});
  CHECK(session.plan_page);
  app::apply(session, app::ShowPhotos{});
  CHECK(session.photo_page);
  CHECK_FALSE(session.plan_page);
  CHECK(session.photos->shown()->photo.number == 2);
  app::apply(session, app::ShowBench{});
  app::apply(session, app::ShowPhotos{});
  CHECK(session.photo_page);
  CHECK_FALSE(session.bench_page);
}

TEST_CASE_FIXTURE(testing::SessionFixture,
                  "a file that is no picture is refused, and those added before it stay") {
  job();
  write_picture(folder.file("a.png"), 60);
  std::ofstream(folder.file("b.png"), std::ios::binary) << "no picture";
  app::apply(session, app::AddPhotos{{folder.file("a.png"), folder.file("b.png")}});
  CHECK(session.message_is_error);
  CHECK(session.message.find("b.png") != std::string::npos);
  CHECK(session.bench->photos(session.job->id)->size() == 1);
  app::apply(session, app::ShowPhotos{});
  REQUIRE(session.photos->shown() != nullptr);
  CHECK(session.photos->picture->width == 60);
}
