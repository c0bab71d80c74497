// The whole board with its head and foot, as it goes on paper or into a picture file.
#pragma once

#include "viewer/scene/board_scene.hpp"
#include "viewer/scene/picture.hpp"

namespace landfall::scene {

// As large as its names need, or with `true_size` one millimetre of the board for one on paper and a scale
// bar to check it by. The head says the side in words; the foot what is shown and what the signs mean.
Picture board_picture(const BoardInput& input, bool true_size);

// "34 tracks, 2 arcs, 3 vias on F.Cu, In2.Cu; 1 zone" of a net; what the file does not say is said.
std::string copper_words(const Board& board, Index net);

}  // namespace landfall::scene
