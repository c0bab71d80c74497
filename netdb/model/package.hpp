// A part's terminal pattern as a grid: the answer of netdb/packages.
#pragma once

#include <string>
#include <vector>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/board.hpp"

namespace landfall {

enum class PackageKind {
  kAreaArray,  // rows and columns of balls
  kOther,      // anything else: shown to scale
};

struct PackageSite {
  Index pin = kNone;
  std::string name;        // as the maker wrote it
  Site site;               // the grid place; row and column 0 when the package is no area array
  Point place;             // in the lands view before any turn, nm, origin in the package's middle, y up
  bool has_place = false;  // false: only the grid is known (a ball list)
};

struct Package {
  Index part = kNone;
  PackageKind kind = PackageKind::kOther;
  int rows = 0;
  int columns = 0;
  Nm pitch_x = 0;    // along a row; 0: not known
  Nm pitch_y = 0;    // along a column
  double angle = 0;  // how the part lies on the board: degrees counter-clockwise, of the lands view
  Side side = Side::kTop;
  bool mirrored = false;       // names run the other way round than a lands view should: said, never mended
  bool from_places = false;    // the grid comes from coordinates, not from names alone
  bool several_grids = false;  // balls on no one lattice: rows and columns are by name, the pitch is a mean
  std::vector<PackageSite> sites;          // rows first, then columns
  std::vector<Site> missing;               // grid places that have no ball
  std::vector<std::string> disagreements;  // balls whose name and place differ, one sentence each
};

}  // namespace landfall
