// Room for a small label beside others.
#pragma once

#include <vector>

#include "viewer/scene/scene.hpp"

namespace landfall::scene {

// Where a label finds room nearest to `at`: in `room`, and `apart` or more from each that was placed before,
// in x or in y. Sideways and up and down first, then slanting, `step` by `step`. `at` itself where there is
// none. The place joins `taken`.
P free_place(std::vector<P>& taken, P at, const Rect& room, P apart, P step);

}  // namespace landfall::scene
