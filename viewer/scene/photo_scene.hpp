// The map's lands over a photo of them.
#pragma once

#include "viewer/app/photos.hpp"
#include "viewer/scene/scene.hpp"

namespace landfall::scene {

struct PhotoInput {
  const app::OpenBoard* board = nullptr;              // required
  const Job* job = nullptr;                           // required
  const app::LaidPhoto* laid = nullptr;               // required
  const std::vector<app::SeenLand>* lands = nullptr;  // required: app::lands_seen
  double scale = 1;                                   // scene units a pixel of the photo
  ThemeName theme = ThemeName::kDay;
};

// Each land's outline in its class's hue with a dark line about it, marks as on the map, the names where
// there is room, A1 always; matched lands with a cross where they were clicked. Units: pixels of the photo by
// scale.
std::vector<Shape> photo_shapes(const PhotoInput& input);

// The scale that makes the photo's longer side 1,600 units, so that lines and names keep their size.
double photo_scale(const Photo& photo);

}  // namespace landfall::scene
