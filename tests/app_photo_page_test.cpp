// The photo's page as the window drives it: files dropped, lands clicked, proposals stepped through.
#include <fstream>

#include "tests/support/session.hpp"

using namespace landfall;

namespace {

// 25 pixels to a step of U1's grid from (10, 10): grey lands on green, B4 gone.
std::string picture_file() {
  photo::Picture picture;
  picture.width = 640;
  picture.height = 640;
  for (int y = 0; y < 640; ++y) {
    for (int x = 0; x < 640; ++x) {
      const int column = (x + 2) / 25;
      const int row = (y + 2) / 25;
      const bool disc = std::hypot(x + 0.5 - column * 25 - 10, y + 0.5 - row * 25 - 10) < 7;
      const bool gone = column == 3 && row == 1;
      const int speckle = (x * 7 + y * 13) % 11;
      for (const int value :
           {disc ? (gone ? 110 : 190) : 30, disc ? (gone ? 96 : 190) : 80, disc ? (gone ? 60 : 195) : 40})
        picture.rgb.push_back(static_cast<std::uint8_t>(value + speckle));
    }
  }
  return *photo::write_png(picture);
}

}  // namespace

TEST_CASE_FIXTURE(testing::SessionFixture,
                  "a picture dropped on a job is kept, matched by clicks and laid under the map") {
  const auto file = folder.file("a.PNG");
  std::ofstream(file, std::ios::binary) << picture_file();
  app::apply(session, app::ImportFiles{{file}, std::nullopt});
  CHECK(session.message_is_error);  // no job to add it to
  CHECK_FALSE(session.import);
  job();
  app::apply(session, app::PhotoUnder{});
  CHECK(session.message_is_error);
  app::apply(session, app::ImportFiles{{file}, std::nullopt});
  CHECK(session.photo_page);
  REQUIRE(session.photos);
  REQUIRE(session.photos->picture);
  CHECK(session.photos->picture->width == 640);
  app::apply(session, app::MatchLand{pin("A1")});  // nothing was clicked
  CHECK(session.photos->matches.empty());
  const auto match = [&](const std::string& ball, double x, double y) {
    app::apply(session, app::ClickPhoto{{x, y}});
    CHECK(session.photos->clicked);
    app::apply(session, app::MatchLand{pin(ball)});
    CHECK_FALSE(session.photos->clicked);
  };
  match("A1", 10, 10);
  CHECK(session.bench->photos(session.job->id)->front().matches.empty());
  match("A22", 535, 10);
  match("A9", 210, 10);
  CHECK(session.message.find("in a line") != std::string::npos);
  CHECK(session.bench->photos(session.job->id)->front().matches.size() == 2);
  match("AB1", 10, 535);
  match("AB22", 535, 535);
  CHECK_FALSE(session.message_is_error);
  CHECK(session.message.find("um off (RMS)") != std::string::npos);
  CHECK(session.bench->photos(session.job->id)->front().matches.size() == 5);
  CHECK(session.photos->lands.size() > 300);
  app::apply(session, app::TakeBackMatch{});
  CHECK(session.photos->shown()->photo.matches.size() == 4);
  app::apply(session, app::ClickPhoto{{3, 3}});
  app::apply(session, app::TakeBackMatch{});
  CHECK_FALSE(session.photos->clicked);
  CHECK(session.photos->matches.size() == 4);
  app::apply(session, app::ClickPhoto{{3, 3}});
  app::apply(session, app::Leave{});
  CHECK_FALSE(session.photos->clicked);
  CHECK(session.photo_page);
  app::apply(session, app::PhotoUnder{});
  CHECK(session.photo_under);
  CHECK_FALSE(session.photo_page);
  CHECK(session.look.true_scale);
  // Proposals: off until asked for, none marked, the usual keys mark what is selected.
  app::apply(session, app::StepProposal{});
  CHECK(session.message_is_error);
  app::apply(session, app::Propose{});
  REQUIRE(session.photos->proposals);
  REQUIRE(session.photos->proposals->list.size() == 1);
  CHECK(session.selected == pin("B4"));
  CHECK(session.job->marks.empty());
  app::apply(session, app::StepProposal{});
  CHECK(session.message.find("U1.B4") != std::string::npos);
  app::apply(session, app::MarkMany{app::acted_on(session), MarkKind::kMissing});
  REQUIRE(session.job->marks.size() == 1);
  CHECK(session.job->marks[0].note == "photo 1");  // as landfall photo propose JOB 1 --accept leaves it
  app::apply(session, app::MarkMany{{pin("A1")}, MarkKind::kTorn});
  CHECK(session.job->marks[0].note.empty());  // the photo does not propose this one
  app::apply(session, app::MarkPin{pin("A1"), std::nullopt});
  // A note that is there stays; off the photo a mark is the eye's own.
  app::apply(session, app::NoteMark{pin("B4"), "seen at 40x"});
  app::apply(session, app::MarkPin{pin("B4"), MarkKind::kTorn});
  CHECK(session.job->marks[0].note == "seen at 40x");
  app::apply(session, app::MarkPin{pin("B4"), std::nullopt});
  CHECK(session.job->marks.empty());
  app::apply(session, app::PhotoUnder{});
  app::apply(session, app::MarkPin{pin("B4"), MarkKind::kTorn});
  CHECK(session.job->marks[0].note.empty());
  // Another job has photos of its own.
  job();
  CHECK_FALSE(session.photos);
  CHECK_FALSE(session.photo_under);
}
