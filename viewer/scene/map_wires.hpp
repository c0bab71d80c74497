// The plan's wires over a map: their ways as far as the frame, and their numbers where they begin and leave.
#pragma once

#include "netdb/rework/plan/plan.hpp"
#include "viewer/scene/board_scene.hpp"
#include "viewer/scene/map.hpp"

namespace landfall::scene {

struct WiresOnMap {
  const BoardIndex& index;
  const Package& package;
  const MapView& map;
  const rework::Plan& plan;
  Colour ground;  // of the map
  // Beside plan.wires: how each is drawn; empty: all to do.
  std::vector<WireState> states = {};
};

void draw_wires(Canvas& canvas, const Theme& theme, const WiresOnMap& on);
// Where not all can leave: a tint under the cells that are shut in. Before the sites; draw_wires() closes the
// gaps with bars and rings the numbers of those that stay. LOOK section 8, "Plan".
void draw_shut_in(Canvas& canvas, const Theme& theme, const WiresOnMap& on);

}  // namespace landfall::scene
