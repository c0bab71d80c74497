// The rose: how the package lies under the microscope, in one small picture. LOOK, "The map".
#pragma once

#include "viewer/scene/map.hpp"

namespace landfall::scene {

// A ring graduated each 10 degrees (double for balls), in it the package with its A1 corner cut: full for
// lands, outlined with dots for balls; A1 written at that corner; a pointer at row A's edge.
void draw_rose(Canvas& canvas, P at, double radius, Face face, double turn, const Theme& theme);

// The turn at which row A's edge points from the middle to `point`: whole degrees, [0, 360).
double rose_turn(P middle, P point);

// "not turned", "turned 90° clockwise".
std::string turn_words(double turn);

}  // namespace landfall::scene
