// Lands of a photo that look unlike their neighbours. Proposals to look at, no more: whether a land is
// damaged only a person at the microscope can say.
#pragma once

#include <string_view>
#include <vector>

#include "netdb/photo/align.hpp"
#include "netdb/photo/picture.hpp"

namespace landfall::photo {

struct RoundPatch {
  Point place;    // its middle on the board
  Nm radius = 0;  // above zero
};

// What is measured of a patch. Each is a ratio to what is around, so that shade and lamp fall out.
enum class Feature {
  kBrightness,  // logarithm of the disc's median brightness over the ring's
  kWarmth,      // red's share in the disc's colour, less blue's
  kGreen,       // green's share in the disc's colour
  kRim,         // how far brightness falls from just inside the rim to just outside, over the ring's
  kPit,         // logarithm of the brightness of the innermost third over the disc's
  kGrain,       // spread of brightness in the disc, over its median
  kSurround,    // red's share in the ring's colour
};
inline constexpr int kFeatures = 7;
// "darker or brighter than its neighbours", and so on.
std::string_view says(Feature feature);

enum class Sight {
  kSeen,
  kGlare,    // more than a third of the disc or of the ring around it is white: nothing can be told
  kSmall,    // fewer than kLeastRadius pixels from the middle to the rim
  kOutside,  // not wholly in the picture
};
std::string_view says(Sight sight);

struct Look {
  Sight sight = Sight::kOutside;
  double score = 0;                        // of those that are seen
  Feature feature = Feature::kBrightness;  // the one that stands out most
};

// For each patch how unlike the kNeighbours nearest of those that are seen it is: for each feature the
// modified z-score, 0.6745 |x - median| / MAD (Iglewicz and Hoaglin, "How to detect and handle outliers",
// 1993), the MAD not below half of the median of all patches' MADs nor below the feature's own floor; the
// score is the largest. Zero for all while fewer than kFewest are seen. O(n^2) in the patches, a few hundred
// samples each.
std::vector<Look> unlike(const Picture& picture, const Fit& fit, const std::vector<RoundPatch>& patches);

inline constexpr int kNeighbours = 24;
inline constexpr int kFewest = 9;
inline constexpr double kLeastRadius = 4;  // pixels
// From here on a patch is proposed. Twice the usual bound of 3.5, since the largest of seven is
// looked at in hundreds of patches (common practice, no source).
inline constexpr double kProposeFrom = 7;

}  // namespace landfall::photo
