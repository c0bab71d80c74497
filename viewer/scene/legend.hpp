// What the signs on the map mean, with counts; each entry can be singled out by a click.
#pragma once

#include "viewer/app/topic.hpp"
#include "viewer/scene/scene.hpp"

namespace landfall::scene {

struct LegendEntry {
  app::Topic topic;
  std::string text;  // "data 64", "RAM1 48"
  Rect place;        // on the screen, at least 24 high
};

struct Legend {
  std::vector<LegendEntry> entries;
  double height = 0;
};

// The classes that the package has, then its channels, then, of the channel that `open` is or belongs to, the
// lanes and buses; wrapped to the width from `at` on. Entries without a ball on the package are left out.
Legend lay_legend(const app::OpenBoard& board, const Package& package, const std::optional<app::Topic>& open,
                  P at, double width);

// The chosen entry stands light on dark.
void draw_legend(Canvas& canvas, const Legend& legend, const std::optional<app::Topic>& chosen,
                 const Theme& theme);

}  // namespace landfall::scene
