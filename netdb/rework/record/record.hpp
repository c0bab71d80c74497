// How past verdicts fared: the chances that were said, and what came. Pure.
#pragma once

#include <string>
#include <vector>

namespace landfall::rework::record {

struct Past {
  double chance = 0;  // 0 to 1, as said before the outcome
  bool worked = false;
};

struct Band {
  double from = 0, to = 0;  // of the chance said
  int jobs = 0, worked = 0;
  double said = 0;           // mean of the chances said
  double low = 0, high = 1;  // 95 % interval of the true share
};

struct Tally {
  int jobs = 0, worked = 0;
  double said = 0;           // mean of the chances said
  double low = 0, high = 1;  // 95 % interval of the true share, over all
  double brier = 0;          // mean of (said - came)^2: 0 is best, 0.25 is a coin's
  double brier_mean = 0;     // of one who always says the share that came
  std::vector<Band> bands;
  std::string says;  // one or two sentences
};

inline constexpr int kFewJobs = 10;  // below it nothing is concluded (common practice, no source)

// Intervals: Clopper and Pearson, Biometrika 26 (1934), by quantiles of the beta distribution. Score: Brier,
// Monthly Weather Review 78 (1950). Both from memory.
Tally tally(const std::vector<Past>& past);

}  // namespace landfall::rework::record
