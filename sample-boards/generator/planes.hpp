// A plane as one ring: its outline, with a slit to each antipad, as KiCad writes filled zones.
#pragma once

#include <vector>

#include "sample-boards/generator/router.hpp"

namespace landfall::sample {

struct NmPoint {
  std::int64_t x = 0, y = 0;  // y down
};

// Vias of other nets get an octagonal hole. They stand on the via lattice, so holes never meet.
std::vector<NmPoint> plane_ring(const Plane& plane, const Copper& copper);

}  // namespace landfall::sample
