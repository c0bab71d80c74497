#include "netdb/photo/unlike.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>

namespace landfall::photo {
namespace {

using Values = std::array<double, kFeatures>;
using Rgb = std::array<double, 3>;

constexpr double kWhite = 250;

double brightness(const Rgb& rgb) {
  // Rec. 709's weights for the brightness of red, green and blue.
  return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
}

// Between the four pixels around; nothing outside.
std::optional<Rgb> sample(const Picture& picture, Pixel at) {
  const double x = at.x - 0.5;
  const double y = at.y - 0.5;
  if (!(x >= 0 && y >= 0 && x < picture.width - 1 && y < picture.height - 1)) return std::nullopt;
  const auto column = static_cast<std::size_t>(x);
  const auto row = static_cast<std::size_t>(y);
  const double right = x - static_cast<double>(column);
  const double below = y - static_cast<double>(row);
  const auto width = static_cast<std::size_t>(picture.width);
  Rgb answer{};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto value = [&](std::size_t c, std::size_t r) {
      return static_cast<double>(picture.rgb[(r * width + c) * 3 + i]);
    };
    answer[i] = (value(column, row) * (1 - right) + value(column + 1, row) * right) * (1 - below) +
                (value(column, row + 1) * (1 - right) + value(column + 1, row + 1) * right) * below;
  }
  return answer;
}

double median(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

double spread(const std::vector<double>& values, double about) {
  std::vector<double> off;
  off.reserve(values.size());
  for (const double value : values) off.push_back(std::abs(value - about));
  return median(std::move(off));
}

// Samples of the board between two circles about the patch's middle, as shares of its radius.
struct Band {
  std::vector<double> light, red, green, blue;
  int white = 0;
  bool whole = true;

  void add(const Picture& picture, const Fit& fit, const RoundPatch& patch, double share) {
    const double radius = share * static_cast<double>(patch.radius);
    const int count = share < 0.05 ? 1 : std::max(6, static_cast<int>(std::lround(share * 24)));
    for (int i = 0; i < count; ++i) {
      const double angle = 2 * std::numbers::pi * i / count;
      const auto pixel = mapped(fit.to_picture, static_cast<double>(patch.place.x) + radius * std::cos(angle),
                                static_cast<double>(patch.place.y) + radius * std::sin(angle));
      const auto rgb = pixel ? sample(picture, {(*pixel)[0], (*pixel)[1]}) : std::nullopt;
      if (!rgb) {
        whole = false;
        continue;
      }
      if ((*rgb)[0] >= kWhite && (*rgb)[1] >= kWhite && (*rgb)[2] >= kWhite) ++white;
      light.push_back(brightness(*rgb));
      red.push_back((*rgb)[0]);
      green.push_back((*rgb)[1]);
      blue.push_back((*rgb)[2]);
    }
  }
  // The colour's medians as shares of their sum.
  [[nodiscard]] Rgb shares() const {
    const Rgb middle{median(red), median(green), median(blue)};
    const double sum = middle[0] + middle[1] + middle[2] + 3;
    return {middle[0] / sum, middle[1] / sum, middle[2] / sum};
  }
};

struct Measured {
  Sight sight = Sight::kOutside;
  Values values{};
};

Measured measure(const Picture& picture, const Fit& fit, const RoundPatch& patch) {
  Measured answer;
  Band pit;
  Band disc;
  Band inside;
  Band outside;
  Band ring;
  for (const double share : {0.0, 0.15, 0.3}) pit.add(picture, fit, patch, share);
  for (const double share : {0.0, 0.2, 0.4, 0.6, 0.75}) disc.add(picture, fit, patch, share);
  for (const double share : {0.7, 0.8}) inside.add(picture, fit, patch, share);
  for (const double share : {1.2, 1.3}) outside.add(picture, fit, patch, share);
  for (const double share : {1.3, 1.4, 1.5}) ring.add(picture, fit, patch, share);
  if (!disc.whole || !ring.whole) return answer;
  const auto middle = pixel_of(fit, patch.place);
  const auto rim = pixel_of(fit, patch.place + Point{patch.radius, 0});
  answer.sight = Sight::kSmall;
  if (!middle || !rim || std::hypot(rim->x - middle->x, rim->y - middle->y) < kLeastRadius) return answer;
  answer.sight = Sight::kGlare;
  if (3 * disc.white > static_cast<int>(disc.light.size()) ||
      3 * ring.white > static_cast<int>(ring.light.size()))
    return answer;
  answer.sight = Sight::kSeen;
  // Eight steps of 255 are added, so that black noise has no ratio.
  constexpr double kDark = 8;
  const double own = median(disc.light) + kDark;
  const double around = median(ring.light) + kDark;
  const Rgb colour = disc.shares();
  answer.values = {std::log(own / around),
                   colour[0] - colour[2],
                   colour[1],
                   (median(inside.light) - median(outside.light)) / around,
                   std::log((median(pit.light) + kDark) / own),
                   spread(disc.light, own - kDark) / own,
                   ring.shares()[0]};
  return answer;
}

// What camera noise alone moves a feature by.
constexpr Values kFloors{0.03, 0.006, 0.006, 0.03, 0.03, 0.02, 0.006};

// The nearest of the patches that are seen, itself left out.
std::vector<std::size_t> nearest(const std::vector<RoundPatch>& patches, const std::vector<std::size_t>& seen,
                                 std::size_t of) {
  std::vector<std::size_t> others;
  others.reserve(seen.size());
  for (const std::size_t other : seen) {
    if (other != of) others.push_back(other);
  }
  const std::size_t count = std::min<std::size_t>(kNeighbours, others.size());
  const auto closer = [&](std::size_t a, std::size_t b) {
    const Nm to_a = distance(patches[of].place, patches[a].place);
    const Nm to_b = distance(patches[of].place, patches[b].place);
    return to_a != to_b ? to_a < to_b : a < b;
  };
  std::partial_sort(others.begin(), others.begin() + static_cast<std::ptrdiff_t>(count), others.end(),
                    closer);
  others.resize(count);
  return others;
}

}  // namespace

std::string_view says(Feature feature) {
  constexpr std::array<std::string_view, kFeatures> kWords{
      "darker or brighter than its neighbours", "of another hue",        "of another green",
      "its rim is weaker or stronger",          "its middle stands out", "smoother or rougher",
      "what is around it has another hue"};
  return kWords[static_cast<std::size_t>(feature)];
}

std::string_view says(Sight sight) {
  constexpr std::array<std::string_view, 4> kWords{"seen", "in glare", "too few pixels",
                                                   "not wholly in the picture"};
  return kWords[static_cast<std::size_t>(sight)];
}

std::vector<Look> unlike(const Picture& picture, const Fit& fit, const std::vector<RoundPatch>& patches) {
  std::vector<Look> looks(patches.size());
  std::vector<Measured> measured;
  std::vector<std::size_t> seen;
  for (std::size_t i = 0; i < patches.size(); ++i) {
    measured.push_back(measure(picture, fit, patches[i]));
    looks[i].sight = measured[i].sight;
    if (measured[i].sight == Sight::kSeen) seen.push_back(i);
  }
  if (seen.size() < kFewest) return looks;
  std::vector<Values> middles(patches.size());
  std::vector<Values> spreads(patches.size());
  for (const std::size_t i : seen) {
    const auto around = nearest(patches, seen, i);
    for (std::size_t f = 0; f < kFeatures; ++f) {
      std::vector<double> values;
      for (const std::size_t other : around) values.push_back(measured[other].values[f]);
      middles[i][f] = median(values);
      spreads[i][f] = spread(values, middles[i][f]);
    }
  }
  Values usual{};
  for (std::size_t f = 0; f < kFeatures; ++f) {
    std::vector<double> values;
    for (const std::size_t i : seen) values.push_back(spreads[i][f]);
    usual[f] = std::max(median(std::move(values)) / 2, kFloors[f]);
  }
  for (const std::size_t i : seen) {
    for (std::size_t f = 0; f < kFeatures; ++f) {
      const double off = std::abs(measured[i].values[f] - middles[i][f]);
      const double z = 0.6745 * off / std::max(spreads[i][f], usual[f]);
      if (z <= looks[i].score) continue;
      looks[i].score = z;
      looks[i].feature = static_cast<Feature>(f);
    }
  }
  return looks;
}

}  // namespace landfall::photo
