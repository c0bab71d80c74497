#include <algorithm>
#include <cmath>
#include <set>

#include <doctest/doctest.h>

#include "netdb/packages/packages.hpp"
#include "tests/support/files.hpp"
#include "viewer/report/picture_file.hpp"
#include "viewer/scene/map.hpp"
#include "viewer/scene/picture.hpp"

using namespace landfall;
using scene::Face;
using scene::MapView;
using scene::P;

namespace {

struct Fixture {
  Fixture()
      : board({}, *packages::bare_board(6, 9, 800'000), {}), package(packages::package_of(board.index(), 0)) {
    in.board = &board;
    in.package = &package;
  }
  // The middle of a ball by name.
  P place(const MapView& map, const std::string& name) const {
    for (std::size_t i = 0; i < package.sites.size(); ++i) {
      if (package.sites[i].name == name) return map.place(i);
    }
    FAIL("no ball " << name);
    return {};
  }
  app::OpenBoard board;
  Package package;
  scene::MapInput in;
  scene::Rect area{10, 20, 700, 500};
};

}  // namespace

TEST_CASE(
    "the site under a ball's middle, and near its cell's corners, is that ball, at every face, turn and "
    "zoom") {
  Fixture f;
  for (const Face face : {Face::kLands, Face::kBalls}) {
    for (const double turn : {0.0, 90.0, 180.0, 270.0, 37.0}) {
      for (const double zoom : {1.0, 3.0}) {
        f.in.face = face;
        f.in.turn = turn;
        f.in.zoom = zoom;
        const MapView map(f.in, f.area);
        std::size_t seen = 0;
        for (std::size_t i = 0; i < f.package.sites.size(); ++i) {
          const P at = map.place(i);
          if (!map.inner().contains(at)) continue;
          ++seen;
          CHECK(map.site_at(at) == i);
          const P near{at.x + map.pitch() * 0.3, at.y};
          if (map.inner().contains(near)) CHECK(map.site_at(near) == i);
        }
        CHECK(seen > 0);
      }
    }
  }
}

TEST_CASE("the package's A1 corner stands at ball A1 at every face and turn, on the grid and to scale") {
  Fixture f;
  REQUIRE(f.package.from_places);
  const scene::Theme& theme = scene::theme(f.in.theme);
  for (const bool true_scale : {false, true}) {
    for (const Face face : {Face::kLands, Face::kBalls}) {
      for (const double turn : {0.0, 90.0, 180.0, 270.0, 37.0}) {
        CAPTURE(true_scale);
        CAPTURE(turn);
        f.in.face = face;
        f.in.turn = turn;
        f.in.true_scale = true_scale;
        const MapView map(f.in, f.area);
        scene::Canvas canvas(theme.stroke);
        map.draw(canvas);
        const auto corner =
            std::find_if(canvas.shapes().begin(), canvas.shapes().end(), [&](const scene::Shape& shape) {
              return shape.points.size() == 3 && shape.kind == scene::ShapeKind::kPolygon;
            });
        REQUIRE(corner != canvas.shapes().end());
        const P a1 = f.place(map, "A1");
        for (const P point : corner->points)
          CHECK(std::hypot(point.x - a1.x, point.y - a1.y) < 1.5 * map.pitch());
      }
    }
  }
}

TEST_CASE("lands: A1 top left, balls: left and right change places, a turn is clockwise: TRADE T4, T5") {
  Fixture f;
  const auto corner = [&](Face face, double turn) {
    f.in.face = face;
    f.in.turn = turn;
    const MapView map(f.in, f.area);
    const P at = f.place(map, "A1") - map.inner().middle();
    return std::pair(at.x > 0, at.y > 0);  // right, below
  };
  CHECK(corner(Face::kLands, 0) == std::pair(false, false));
  CHECK(corner(Face::kLands, 90) == std::pair(true, false));
  CHECK(corner(Face::kLands, 180) == std::pair(true, true));
  CHECK(corner(Face::kBalls, 0) == std::pair(true, false));
  CHECK(corner(Face::kBalls, 90) == std::pair(true, true));
}

TEST_CASE(
    "every text reaches 4.5 to 1 and every class sign 3 to 1 on its grounds: WCAG 2.2, 1.4.3 and 1.4.11") {
  // W3C's own examples: black on white is 21, #777777 on white 4.48.
  CHECK(scene::contrast(scene::colour("#000000"), scene::colour("#FFFFFF")) == doctest::Approx(21));
  CHECK(scene::contrast(scene::colour("#777777"), scene::colour("#FFFFFF")) ==
        doctest::Approx(4.48).epsilon(0.002));
  for (const auto name : {scene::ThemeName::kDay, scene::ThemeName::kNight, scene::ThemeName::kStrong}) {
    const scene::Theme& t = scene::theme(name);
    for (const auto ground :
         {t.ground, t.sheet, t.field, t.pick, t.lands, t.zone_lands, t.balls, t.zone_balls}) {
      for (const auto ink : {t.ink, t.ink2, t.act, t.mark, t.ok, t.warn, t.bad})
        CHECK(scene::contrast(ink, ground) >= 4.5);
      CHECK(scene::contrast(t.line, ground) >= 3);
    }
    for (const auto& hue : t.classes) {
      for (const auto ground : {t.lands, t.zone_lands, t.balls, t.zone_balls, t.sheet})
        CHECK(scene::contrast(hue, ground) >= 3);
    }
  }
}

TEST_CASE(
    "the same scene becomes SVG, PNG and PDF, names of any bytes do no harm, another ending is refused") {
  Fixture f;
  testing::ScratchFolder folder;
  scene::Picture picture = scene::map_picture(f.in, false);
  scene::Canvas odd(1);
  odd.label({5, 5}, "\xFF\xC3\xA4\x01", 12, scene::Typeface::kPlain, scene::Align::kLeft, {});
  CHECK(odd.shapes().front().text == "?\xC3\xA4 ");
  picture.shapes.push_back(odd.shapes().front());
  for (const auto& [ending, start] :
       {std::pair<const char*, const char*>{"svg", "<?xml"}, {"png", "\x89PNG"}, {"pdf", "%PDF"}}) {
    const auto file = folder.file(std::string("map.") + ending);
    REQUIRE(report::write_picture(picture, file).ok());
    CHECK(testing::read_file(file).starts_with(start));
  }
  CHECK(report::write_picture(picture, folder.file("map.bmp")).error().code == ErrorCode::kUsage);
  CHECK_FALSE(report::write_picture(picture, folder.file("no/such/folder/map.png")).ok());
}

TEST_CASE("a map of 2,000 marks and one without any are drawn") {
  app::OpenBoard board({}, *packages::bare_board(50, 40, 500'000), {});
  const Package package = packages::package_of(board.index(), 0);
  Job job;
  job.lifted = {"U1"};
  scene::MapInput in;
  in.board = &board;
  in.package = &package;
  in.job = &job;
  const std::size_t plain = scene::map_picture(in, false).shapes.size();
  for (const PackageSite& site : package.sites) job.marks.push_back({"U1", site.name, MarkKind::kTorn, ""});
  CHECK(job.marks.size() == 2000);
  CHECK(scene::map_picture(in, false).shapes.size() > plain);
}

TEST_CASE(
    "at a free angle the selection's hairlines run along its row and column, and stay within the frame") {
  const app::OpenBoard board({}, *packages::bare_board(12, 15, 800'000), {});
  const Package package = packages::package_of(board.index(), 0);
  for (const double turn : {17.0, 45.0, 133.0, 301.0}) {
    for (const double zoom : {1.0, 5.0}) {
      scene::MapInput in;
      in.board = &board;
      in.package = &package;
      in.turn = turn;
      in.zoom = zoom;
      const std::size_t site = 70;
      in.selected = package.sites[site].pin;
      const MapView map(in, {0, 0, 700, 500});
      if (!map.inner().contains(map.place(site))) continue;
      scene::Canvas canvas(1);
      map.draw(canvas);
      // The neighbours in the row and in the column give the directions.
      const P along = map.place(site + 1) - map.place(site);
      const P down = map.place(site + 15) - map.place(site);
      int rows = 0;
      int columns = 0;
      for (const scene::Shape& shape : canvas.shapes()) {
        if (shape.kind != scene::ShapeKind::kLine || shape.points.size() != 2) continue;
        const P way = shape.points[1] - shape.points[0];
        const P to_site = map.place(site) - shape.points[0];
        const double length = std::hypot(way.x, way.y);
        if (length < 60 || std::abs(way.x * to_site.y - way.y * to_site.x) > 0.01 * length) continue;
        for (const P end : shape.points) {
          CHECK(end.x >= map.inner().x - 1e-6);
          CHECK(end.y >= map.inner().y - 1e-6);
          CHECK(end.x <= map.inner().x + map.inner().width + 1e-6);
          CHECK(end.y <= map.inner().y + map.inner().height + 1e-6);
        }
        if (std::abs(way.x * along.y - way.y * along.x) < 1e-3 * length) ++rows;
        if (std::abs(way.x * down.y - way.y * down.x) < 1e-3 * length) ++columns;
      }
      CAPTURE(turn);
      CHECK(rows == 1);
      CHECK(columns == 1);
    }
  }
}
