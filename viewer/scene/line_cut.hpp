// The piece of a straight line that lies in a rectangle.
#pragma once

#include <optional>
#include <utility>

#include "viewer/scene/scene.hpp"

namespace landfall::scene {

// Liang and Barsky's way (a textbook's): the shares of the line between which it is inside. Nothing when none
// of it is.
std::optional<std::pair<P, P>> inside_of(const Rect& r, P from, P to);

}  // namespace landfall::scene
