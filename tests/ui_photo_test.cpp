// The photo under the map: board places come to where the map draws their balls, whatever its turn and zoom.
#include <cmath>

#include "tests/support/session.hpp"
#include "viewer/ui/panel.hpp"
#include "viewer/ui/photo_layer.hpp"

using namespace landfall;

TEST_CASE_FIXTURE(
    testing::SessionFixture,
    "board places lie under the map's balls at any turn, zoom and face, shapes fade within the map only") {
  for (const double turn : {0.0, 90.0, 35.0}) {
    for (const bool balls : {false, true}) {
      app::Look look;
      look.turn = turn;
      look.balls = balls;
      look.true_scale = true;
      look.zoom = turn == 35.0 ? 3 : 1;
      app::apply(session, app::SetLook{look});
      ui::MapFlags flags;
      const scene::MapInput in = ui::map_input(session, flags);
      const scene::MapView map(in, {10, 20, 700, 600});
      const auto matrix = ui::board_to_screen(*session.board, session.package, map, Side::kTop);
      REQUIRE(matrix);
      for (std::size_t i = 0; i < session.package.sites.size(); ++i) {
        const auto place = app::place_of_pin(*session.board, session.package.sites[i].pin, Side::kTop);
        REQUIRE(place);
        const auto at = photo::mapped(*matrix, static_cast<double>(place->x), static_cast<double>(place->y));
        REQUIRE(at);
        CHECK(std::hypot((*at)[0] - map.place(i).x, (*at)[1] - map.place(i).y) < 0.5);
      }
      CHECK_FALSE(ui::board_to_screen(*session.board, session.package, map, Side::kBottom));
    }
  }
  scene::Canvas canvas(1);
  canvas.disc({50, 50}, 3, {1, 2, 3, 200});
  canvas.disc({50, 50}, 3, {1, 2, 3, 200});
  canvas.disc({500, 50}, 3, {1, 2, 3, 200});
  const auto shapes = ui::faded(canvas.shapes(), 1, 0.5, {0, 0, 100, 100});
  REQUIRE(shapes.size() == 2);
  CHECK(shapes[0].colour.a == 100);
  CHECK(shapes[1].colour.a == 200);
}
