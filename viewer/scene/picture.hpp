// The map with its head and foot, as it goes on paper or into a picture file.
#pragma once

#include <memory>
#include <string>

#include "netdb/photo/picture.hpp"
#include "viewer/scene/map.hpp"

namespace landfall::scene {

struct Picture {
  double width = 0, height = 0;  // pixels at 96 an inch
  std::vector<Shape> shapes;
  std::shared_ptr<const photo::Picture> under{};  // fills the whole of it, below the shapes; may be none
};

// The whole map, as large as it needs for its names; the head says the face in words and the turn, the foot
// part, board, balls and pitch, with a legend of the classes there are. With `true_size` one millimetre of
// the package is one millimetre on paper, with a scale bar to check it by.
Picture map_picture(const MapInput& input, bool true_size);

}  // namespace landfall::scene
