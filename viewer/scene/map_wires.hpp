// The plan's wires over a map: their ways as far as the frame, and their numbers where they begin and leave.
#pragma once

#include <span>

#include "netdb/rework/plan/plan.hpp"
#include "viewer/scene/map.hpp"

namespace landfall::scene {

struct WiresOnMap {
  const BoardIndex& index;
  const Package& package;
  const MapView& map;
  std::span<const rework::PlannedWire> wires;
};

void draw_wires(Canvas& canvas, const Theme& theme, const WiresOnMap& on);

}  // namespace landfall::scene
