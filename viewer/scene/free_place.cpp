#include "viewer/scene/free_place.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace landfall::scene {

P free_place(std::vector<P>& taken, P at, const Rect& room, P apart, P step) {
  constexpr int kMostSteps = 12;
  constexpr std::array<P, 8> kWays{{{-1, 0}, {0, -1}, {1, 0}, {0, 1}, {-1, -1}, {1, -1}, {1, 1}, {-1, 1}}};
  const auto is_free = [&](P place) {
    return room.contains(place) && std::none_of(taken.begin(), taken.end(), [&](P other) {
             return std::abs(other.x - place.x) < apart.x && std::abs(other.y - place.y) < apart.y;
           });
  };
  for (int steps = 0; steps <= kMostSteps; ++steps) {
    for (const P way : kWays) {
      const P place{at.x + way.x * step.x * steps, at.y + way.y * step.y * steps};
      if (!is_free(place)) continue;
      taken.push_back(place);
      return place;
    }
  }
  taken.push_back(at);
  return at;
}

}  // namespace landfall::scene
