// Ways of looking at a map that never lose the place: zoom about a point, pan, turn and flip. Pure; each
// takes how the map is looked at now and answers how it is then.
#pragma once

#include "viewer/app/preferences.hpp"
#include "viewer/scene/map.hpp"

namespace landfall::scene {

// The look's fields into a map's input, and nothing else of it.
void set_look(MapInput& in, const app::Look& look);

// So that the place of the package under `point` stays under it. `factor` > 1 is nearer. At a zoom of 1 or
// less the whole package is in the middle.
app::Look zoomed(const MapInput& in, Rect area, const app::Look& look, P point, double factor);

// Moved by so many pixels, as far as some of the package stays in the middle of the map.
app::Look panned(const MapInput& in, Rect area, const app::Look& look, P by);

// The look `then` (another face, turn or scale), moved so that the anchor stays where it is on the screen:
// the selected ball where it is in view, else the site nearest to the middle. When all is in view it stays
// so.
app::Look keeping_place(const MapInput& in, Rect area, const app::Look& look, app::Look then);

// Moved just so far that the site lies in view, with a margin of one step.
app::Look showing(const MapInput& in, Rect area, const app::Look& look, std::size_t site);

// Near: the site in the middle with cells of at least `pitch` pixels.
app::Look near_to(const MapInput& in, Rect area, const app::Look& look, std::size_t site, double pitch);

}  // namespace landfall::scene
