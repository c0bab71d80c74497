#include "viewer/scene/look.hpp"

#include <algorithm>
#include <cmath>

namespace landfall::scene {
namespace {

MapInput with(const MapInput& in, const app::Look& look) {
  MapInput own = in;
  set_look(own, look);
  return own;
}

// At a zoom of 1 the whole is shown, and there is no place to lose; else some of the package stays.
app::Look bounded(const MapView& map, app::Look look) {
  if (look.zoom <= 1.0001) {
    look.x = look.y = 0;
    return look;
  }
  const P half = map.half_size();
  look.x = std::clamp(look.x, -half.x, half.x);
  look.y = std::clamp(look.y, -half.y, half.y);
  return look;
}

// The look with which the place `unit` is at the point `screen`.
app::Look with_place_at(const MapInput& in, Rect area, app::Look look, P unit, P screen) {
  look.x = look.y = 0;
  const MapInput own = with(in, look);
  const MapView map(own, area);
  const P centre = unit - map.to_unit(screen);
  look.x = centre.x;
  look.y = centre.y;
  return bounded(map, look);
}

std::optional<std::size_t> selected_site(const MapInput& in) {
  if (in.selected == kNone) return std::nullopt;
  for (std::size_t i = 0; i < in.package->sites.size(); ++i) {
    if (in.package->sites[i].pin == in.selected) return i;
  }
  return std::nullopt;
}

}  // namespace

void set_look(MapInput& in, const app::Look& look) {
  in.face = look.balls ? Face::kBalls : Face::kLands;
  in.turn = look.turn;
  in.true_scale = look.true_scale;
  in.zoom = look.zoom;
  in.centre = {look.x, look.y};
}

app::Look zoomed(const MapInput& in, Rect area, const app::Look& look, P point, double factor) {
  const MapInput own = with(in, look);
  const P unit = MapView(own, area).to_unit(point);
  app::Look then = look;
  then.zoom = std::clamp(look.zoom * factor, app::kLeastZoom, app::kMostZoom);
  return with_place_at(in, area, then, unit, point);
}

app::Look panned(const MapInput& in, Rect area, const app::Look& look, P by) {
  const MapInput own = with(in, look);
  const MapView map(own, area);
  const P centre = map.to_unit(map.inner().middle() - by);
  app::Look then = look;
  then.x = centre.x;
  then.y = centre.y;
  return bounded(map, then);
}

app::Look keeping_place(const MapInput& in, Rect area, const app::Look& look, app::Look then) {
  if (look.zoom <= 1.0001 || in.package->sites.empty()) {
    then.x = then.y = 0;
    return then;
  }
  const MapInput own = with(in, look);
  const MapView map(own, area);
  auto anchor = selected_site(in);
  if (!anchor || !map.inner().contains(map.place(*anchor))) {
    const P middle = map.inner().middle();
    double least = 1e18;
    for (std::size_t i = 0; i < in.package->sites.size(); ++i) {
      const P by = map.place(i) - middle;
      const double far = std::hypot(by.x, by.y);
      if (far >= least) continue;
      least = far;
      anchor = i;
    }
  }
  const MapInput after = with(in, then);
  const P unit = MapView(after, area).unit_place(in.package->sites[*anchor]);
  return with_place_at(in, area, then, unit, map.place(*anchor));
}

app::Look showing(const MapInput& in, Rect area, const app::Look& look, std::size_t site) {
  const MapInput own = with(in, look);
  const MapView map(own, area);
  const Rect inner = map.inner();
  const double margin = std::min({map.pitch(), inner.width / 3, inner.height / 3});
  const P at = map.place(site);
  const P inside{std::clamp(at.x, inner.x + margin, inner.x + inner.width - margin),
                 std::clamp(at.y, inner.y + margin, inner.y + inner.height - margin)};
  if (std::hypot(inside.x - at.x, inside.y - at.y) < 0.5) return look;
  return panned(in, area, look, inside - at);
}

app::Look near_to(const MapInput& in, Rect area, const app::Look& look, std::size_t site, double pitch) {
  const MapInput own = with(in, look);
  const MapView map(own, area);
  app::Look then = look;
  then.zoom = std::clamp(look.zoom * std::max(1.25, pitch / map.pitch()), app::kLeastZoom, app::kMostZoom);
  return with_place_at(in, area, then, map.unit_place(in.package->sites[site]), map.inner().middle());
}

}  // namespace landfall::scene
