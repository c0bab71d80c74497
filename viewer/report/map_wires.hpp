// The plan's wires over a map: their ways as far as the frame, and their numbers where they begin and leave.
#pragma once

#include "viewer/report/sheets.hpp"
#include "viewer/scene/map.hpp"

namespace landfall::report {

struct WiresOnMap {
  const SheetInput& input;
  const Package& package;
  const scene::MapView& map;
};

void draw_wires(scene::Canvas& canvas, const scene::Theme& theme, const WiresOnMap& on);

}  // namespace landfall::report
