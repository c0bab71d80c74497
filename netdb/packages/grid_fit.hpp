// The fit of a grid to named places: shared by the files of this folder.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/units.hpp"

namespace landfall::packages {

struct NamedPlace {
  Point at;
  std::optional<Site> named;  // what the ball's name says, if it is a ball name at all
};

// x = at + column * across + row * down, as vectors in nm per step.
struct Lattice {
  double x0 = 0, y0 = 0;
  double across_x = 0, across_y = 0;  // one column on
  double down_x = 0, down_y = 0;      // one row on
};

struct GridFit {
  Lattice lattice;
  std::size_t agree = 0;  // places within a quarter of a step of where their name says
  std::size_t named = 0;
};

// Fits by the names: least squares, then again without the places that lie off, until none changes.
// Nothing when fewer than four places are named or they do not span two rows and two columns.
std::optional<GridFit> fit_names(const std::vector<NamedPlace>& places);

// The lattice place nearest to `at`, and how far off it is in steps (0 to 0.71).
struct Nearest {
  Site site;
  double off = 0;
};
Nearest nearest_site(const Lattice& lattice, Point at);

// A grid from places alone, for names that say nothing (plain numbers): rows and columns along the part's own
// axes, `angle` degrees counter-clockwise. Nothing when the places are no grid of at least 3 x 3 that is at
// least a third full.
std::optional<Lattice> fit_places(const std::vector<Point>& places, double angle, bool mirrored);

}  // namespace landfall::packages
