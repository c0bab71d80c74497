// A piece of a scene: what lies outside a window is cut away, since a painter on paper does not cut.
#pragma once

#include <vector>

#include "viewer/scene/scene.hpp"

namespace landfall::report {

// Lines and polygons (convex) are cut at the window's edge, discs and rings too, as polygons; a label goes
// when any of it lies outside. Linear.
std::vector<scene::Shape> clipped(const std::vector<scene::Shape>& shapes, const scene::Rect& window);

}  // namespace landfall::report
