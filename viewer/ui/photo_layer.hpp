// A photo in the window: as it is, or bent so that each of its lands lies under the map's.
#pragma once

#include <imgui.h>

#include "viewer/app/session.hpp"
#include "viewer/scene/map.hpp"

namespace landfall::ui {

// From the board (nm) to the screen, as the map lies; nothing where its places are not true ones.
std::optional<photo::Matrix> board_to_screen(const app::OpenBoard& board, const Package& package,
                                             const scene::MapView& map, Side side);

// The photo under a map, in pieces small enough that a slanted picture stays straight.
void paint_photo_under(ImDrawList& list, ImTextureID texture, const app::LaidPhoto& laid,
                       const photo::Matrix& to_screen);

// What is painted over a photo at a share (0 to 1) of its strength; shapes outside `area` keep theirs.
std::vector<scene::Shape> faded(const std::vector<scene::Shape>& shapes, std::size_t first, double share,
                                scene::Rect area);

}  // namespace landfall::ui
