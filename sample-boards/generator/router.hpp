// Copper for the invented board: a maze router on a grid of 0.2 mm over six signal layers, with rip-up.
// Deterministic: same product, same copper.
#pragma once

#include <string>
#include <vector>

#include "sample-boards/generator/product.hpp"

namespace landfall::sample {

inline constexpr std::int64_t kTrackWidth = 100'000;
inline constexpr std::int64_t kViaDiameter = 250'000;
inline constexpr std::int64_t kViaDrill = 100'000;
inline constexpr std::int64_t kClearance = 100'000;

struct RoutedTrack {
  Cell from, to;
  int layer = 0;  // copper layer from the front: 0, 2, 3, 5, 6, 7
  std::string net;
};

struct RoutedVia {  // through all layers
  Cell at;
  std::string net;
};

struct Copper {
  std::vector<RoutedTrack> tracks;
  std::vector<RoutedVia> vias;
  std::vector<std::string> unrouted;  // nets that found no way; empty when all did
};

Copper route(const Product& product);

}  // namespace landfall::sample
