// Zoom, pan, turn and flip never lose the place; the hit test holds at every face, turn, scale and zoom.
#include <cmath>
#include <random>

#include <doctest/doctest.h>

#include "netdb/packages/packages.hpp"
#include "viewer/scene/legend.hpp"
#include "viewer/scene/look.hpp"
#include "viewer/scene/rose.hpp"

using namespace landfall;
using app::Look;
using scene::MapInput;
using scene::MapView;
using scene::P;
using scene::Rect;

namespace {

struct Fixture {
  Fixture()
      : board({}, *packages::bare_board(31, 38, 800'000), {}),
        package(packages::package_of(board.index(), 0)) {
    in.board = &board;
    in.package = &package;
  }
  MapInput with(const Look& look) const {
    MapInput own = in;
    set_look(own, look);
    return own;
  }
  P place(const Look& look, std::size_t site) const {
    const MapInput own = with(look);
    return MapView(own, area).place(site);
  }
  app::OpenBoard board;
  Package package;
  MapInput in;
  Rect area{216, 92, 712, 644};
};

double far(P a, P b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

}  // namespace

TEST_CASE("what is under the pointer stays under it, at every face, turn and zoom") {
  Fixture f;
  std::mt19937 random(20261126);  // NOLINT(cert-msc51-cpp): the same cases at every run
  std::uniform_real_distribution<double> unit(0, 1);
  for (int round = 0; round < 300; ++round) {
    Look look{round % 2 == 0, unit(random) * 360, round % 3 == 0, 1 + unit(random) * 8, 0, 0};
    look = panned(f.in, f.area, look, {unit(random) * 300 - 150, unit(random) * 300 - 150});
    const MapInput before = f.with(look);
    const MapView map(before, f.area);
    const P point{f.area.x + 80 + unit(random) * (f.area.width - 160),
                  f.area.y + 80 + unit(random) * (f.area.height - 160)};
    const auto site = map.site_at(point);
    if (!site) continue;
    const Look nearer = zoomed(f.in, f.area, look, point, 1.25);
    CAPTURE(round);
    const P from = map.place(*site) - point;
    const P to = f.place(nearer, *site) - point;
    CHECK(far(to, from * (nearer.zoom / look.zoom)) < 0.01);
  }
}

TEST_CASE("zooming in and out again about one point is where it began") {
  Fixture f;
  const Look look{false, 37, false, 2, 1, 2};
  const P point{500, 400};
  Look there = look;
  for (int i = 0; i < 6; ++i) there = zoomed(f.in, f.area, there, point, 1.25);
  for (int i = 0; i < 6; ++i) there = zoomed(f.in, f.area, there, point, 0.8);
  CHECK(far(f.place(there, 100), f.place(look, 100)) < 0.1);
}

TEST_CASE("a pan moves every ball by just so much, and never the whole package out of sight") {
  Fixture f;
  for (const double turn : {0.0, 90.0, 37.0, 270.0}) {
    for (const bool balls : {false, true}) {
      const Look look{balls, turn, false, 4, 0, 0};
      const Look moved = panned(f.in, f.area, look, {31, -17});
      CHECK(far(f.place(moved, 7), f.place(look, 7) + P{31, -17}) < 0.01);
      const Look away = panned(f.in, f.area, look, {90'000, 90'000});
      const MapInput own = f.with(away);
      const MapView map(own, f.area);
      std::size_t seen = 0;
      for (std::size_t i = 0; i < f.package.sites.size(); ++i)
        if (map.inner().contains(map.place(i))) ++seen;
      CHECK(seen > 0);
    }
  }
}

TEST_CASE("the selected ball stays where it is when the map is turned, flipped or set to scale") {
  Fixture f;
  for (const std::size_t site : {std::size_t{0}, std::size_t{620}, f.package.sites.size() - 1}) {
    f.in.selected = f.package.sites[site].pin;
    const Look start{false, 0, false, 5, 0, 0};
    const Look look = near_to(f.in, f.area, start, site, 40);
    const P at = f.place(look, site);
    for (const double turn : {90.0, 180.0, 270.0, 13.0}) {
      Look then = look;
      then.turn = turn;
      CHECK(far(f.place(keeping_place(f.in, f.area, look, then), site), at) < 0.01);
      then.balls = true;
      then.true_scale = true;
      CHECK(far(f.place(keeping_place(f.in, f.area, look, then), site), at) < 0.01);
    }
  }
  // In whole view all is seen, turned or not.
  Look turned{false, 90, false, 1, 0, 0};
  CHECK(keeping_place(f.in, f.area, Look{}, turned) == turned);
}

TEST_CASE("a ball outside the view is brought in with a step of margin, one inside moves nothing") {
  Fixture f;
  Look look{false, 0, false, 6, 0, 0};
  for (std::size_t site = 0; site < f.package.sites.size(); site += 97) {
    look = showing(f.in, f.area, look, site);
    const MapInput own = f.with(look);
    const MapView map(own, f.area);
    CHECK(map.inner().contains(map.place(site)));
    CHECK(showing(f.in, f.area, look, site) == look);
  }
}

TEST_CASE(
    "the hit test finds each ball in view by its middle and by its cell's corners, at every turn of 7.5 "
    "degrees") {
  Fixture f;
  for (int step = 0; step < 48; ++step) {
    const double turn = step * 7.5;
    for (const bool balls : {false, true}) {
      for (const bool scale : {false, true}) {
        const MapInput own = f.with({balls, turn, scale, turn > 180 ? 3.0 : 1.0, 2, -3});
        const MapView map(own, f.area);
        std::size_t wrong = 0;
        std::size_t seen = 0;
        for (std::size_t i = 0; i < f.package.sites.size(); ++i) {
          const P unit = map.unit_place(f.package.sites[i]);
          for (const P by : {P{0, 0}, P{0.45, 0.45}, P{-0.45, 0.45}, P{0.45, -0.45}, P{-0.45, -0.45}}) {
            const P at = map.to_screen(unit + by);
            if (!map.inner().contains(at)) continue;
            ++seen;
            // To scale a point further than half a pitch from any ball is none.
            const auto hit = map.site_at(at);
            const bool corner = by.x != 0;
            if (hit != i && (hit || !corner || map.radius() == 0)) ++wrong;
            if (!corner && hit != i) ++wrong;
          }
        }
        CAPTURE(turn);
        CHECK(seen > 200);
        CHECK(wrong == 0);
      }
    }
  }
}

TEST_CASE("to the screen and back is the same place") {
  Fixture f;
  for (int turn = 0; turn < 360; turn += 11) {
    const MapInput own = f.with({turn > 100, static_cast<double>(turn), false, 2.5, 1, 1});
    const MapView map(own, f.area);
    for (const P unit : {P{0, 0}, P{-10, 7}, P{3.25, -8.5}})
      CHECK(far(map.to_unit(map.to_screen(unit)), unit) < 1e-9);
  }
}

TEST_CASE(
    "a rectangle takes the balls whose middle is in it, whichever corner it began at, a stroke those it "
    "passes") {
  Fixture f;
  const MapInput own = f.with({});
  const MapView map(own, f.area);
  const P a = map.place(0);
  const double step = map.pitch();
  const auto box = map.sites_in({a.x - 2, a.y - 2}, {a.x + 2.2 * step, a.y + 1.2 * step});
  CHECK(box.size() == 6);  // A1 to A3, B1 to B3
  CHECK(map.sites_in({a.x + 2.2 * step, a.y + 1.2 * step}, {a.x - 2, a.y - 2}) == box);
  const auto row = map.sites_along(a, {a.x + 5 * step, a.y});
  REQUIRE(row.size() == 6);
  CHECK(f.package.sites[row.front()].name == "A1");
  CHECK(f.package.sites[row.back()].name == "A6");
}

TEST_CASE("the rose's turn is a compass bearing: up 0, right 90, down 180, left 270") {
  CHECK(scene::rose_turn({10, 10}, {10, 0}) == 0);
  CHECK(scene::rose_turn({10, 10}, {20, 10}) == 90);
  CHECK(scene::rose_turn({10, 10}, {10, 20}) == 180);
  CHECK(scene::rose_turn({10, 10}, {0, 10}) == 270);
  CHECK(scene::turn_words(0) == "not turned");
  CHECK(scene::turn_words(37) == "turned 37\u00B0 clockwise");
}

TEST_CASE("the legend's entries lie inside its width, apart, and count every ball once by class") {
  Fixture f;
  for (const double width : {240.0, 500.0, 900.0}) {
    const auto legend = scene::lay_legend(f.board, f.package, std::nullopt, {8, 100}, width);
    REQUIRE_FALSE(legend.entries.empty());
    for (std::size_t i = 0; i < legend.entries.size(); ++i) {
      const Rect& r = legend.entries[i].place;
      CHECK(r.x >= 8);
      CHECK(r.x + r.width <= 8 + width + 0.01);
      CHECK(r.height >= 24);
      if (i > 0) {
        const Rect& before = legend.entries[i - 1].place;
        CHECK((r.y > before.y || r.x >= before.x + before.width - 0.01));
      }
    }
    CHECK(legend.entries.front().text == "unconnected 1178");
  }
}
