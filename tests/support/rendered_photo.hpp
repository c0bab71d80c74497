// Pictures of a made-up board under a microscope, drawn from a seed: lands in a grid with solder on them,
// some damaged, under blur, glare, a slanted view and flux. They prove nothing about real pictures; they only
// show that what is told apart here is told apart, and that it stays so.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "netdb/photo/linear.hpp"
#include "netdb/photo/unlike.hpp"

namespace landfall::testing {

enum class Seen { kSound, kMissing, kTorn, kBarrel, kMask };

struct Conditions {
  double blur = 0.7;   // pixels, one sigma
  bool glare = false;  // a white patch with a soft rim
  double tilt = 0;     // of the plane
  bool flux = false;   // brown stains that let the board through
};

class RenderedPhoto {
 public:
  static constexpr int kLands = 14;                     // a row
  static constexpr double kPitch = 0.8, kRadius = 0.2;  // mm

  RenderedPhoto(unsigned seed, const Conditions& conditions) : random_(seed), conditions_(conditions) {
    for (int i = 0; i < kLands * kLands; ++i) lands_.push_back(make_land());
    for (int i = 0; i < 9; ++i)
      stains_.push_back({{unit() * 11, unit() * 11}, 0.8 + unit() * 1.6, 0.25 + 0.4 * unit()});
    glare_ = {{2 + unit() * 7, 2 + unit() * 7}, 1.0 + unit() * 1.2, 1};
    const double turn = unit() * 6;
    const double scale = 46 + 8 * unit();  // pixels a mm
    const double slant = conditions.tilt;
    // Straight down in board millimetres, y up, then turned, slanted and shifted into the picture.
    to_picture_ = {scale * std::cos(turn),  -scale * std::sin(turn), 0,
                   -scale * std::sin(turn), -scale * std::cos(turn), 0,
                   slant * (unit() - 0.5),  slant * (unit() - 0.5),  1};
    const photo::Matrix middle{1, 0, -kPitch * (kLands - 1) / 2, 0, 1, -kPitch * (kLands - 1) / 2, 0, 0, 1};
    const photo::Matrix shift{1, 0, kSide / 2.0, 0, 1, kSide / 2.0, 0, 0, 1};
    to_picture_ = photo::product(shift, photo::product(to_picture_, middle));
    to_board_ = *photo::inverse(to_picture_);
    draw();
  }

  [[nodiscard]] const photo::Picture& picture() const { return picture_; }
  [[nodiscard]] bool damaged(std::size_t land) const { return lands_[land].seen != Seen::kSound; }
  [[nodiscard]] Seen seen(std::size_t land) const { return lands_[land].seen; }
  [[nodiscard]] static std::vector<photo::RoundPatch> patches() {
    std::vector<photo::RoundPatch> all;
    for (int i = 0; i < kLands * kLands; ++i) all.push_back({place(i), std::llround(kRadius * 1e6)});
    return all;
  }
  // Six lands, clicked by a hand that is so many pixels off.
  [[nodiscard]] std::vector<photo::Match> clicks(double off) {
    std::normal_distribution<double> hand(0, off);
    std::vector<photo::Match> matches;
    for (const int land :
         {0, kLands - 1, kLands * (kLands - 1), kLands * kLands - 1, 5 * kLands + 8, 11 * kLands + 6}) {
      const auto at = photo::mapped(to_picture_, land % kLands * kPitch, land / kLands * kPitch);
      matches.push_back({{(*at)[0] + hand(random_), (*at)[1] + hand(random_)}, place(land)});
    }
    return matches;
  }

 private:
  using Rgb = std::array<double, 3>;
  struct Land {
    Seen seen = Seen::kSound;
    double shine = 0, shine_x = 0, shine_y = 0, grey = 0, angle = 0;
  };
  struct Stain {
    std::array<double, 2> at{};
    double radius = 1, depth = 0;
  };
  static constexpr int kSide = 720;

  double unit() { return std::uniform_real_distribution<double>(0, 1)(random_); }
  static Point place(int land) {
    return {std::llround(land % kLands * kPitch * 1e6), std::llround(land / kLands * kPitch * 1e6)};
  }
  Land make_land() {
    Land land;
    // Seven in a hundred, half of them missing or torn as boards have it (common practice, no source).
    if (unit() < 0.07) land.seen = static_cast<Seen>(1 + static_cast<int>(unit() * 4));
    land.grey = 165 + 25 * unit();
    land.shine = 20 + 50 * unit();
    land.shine_x = (unit() - 0.5) * kRadius;
    land.shine_y = (unit() - 0.5) * kRadius;
    land.angle = unit() * 2 * std::numbers::pi;
    return land;
  }
  static Rgb mix(const Rgb& a, const Rgb& b, double share) {
    share = std::clamp(share, 0.0, 1.0);
    return {a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share};
  }

  Rgb land_colour(const Land& land, double x, double y) {
    const double r = std::hypot(x, y);
    const double gleam =
        land.shine * std::exp(-std::pow(std::hypot(x - land.shine_x, y - land.shine_y) / 0.07, 2));
    const Rgb solder{land.grey + gleam, land.grey + 2 + gleam, land.grey + 6 + gleam};
    const Rgb bare{118 + 14 * unit(), 104 + 12 * unit(), 70 + 10 * unit()};  // laminate
    const double across = std::abs(std::cos(land.angle) * y - std::sin(land.angle) * x);
    const bool along = std::cos(land.angle) * x + std::sin(land.angle) * y > 0;
    switch (land.seen) {
      case Seen::kMissing:
        return bare;
      case Seen::kTorn:
        // The last third still holds, or hangs.
        return std::cos(land.angle) * x + std::sin(land.angle) * y < -0.4 * kRadius ? solder : bare;
      case Seen::kBarrel:
        return r < 0.55 * kRadius ? Rgb{18, 16, 14} : bare;
      case Seen::kMask:
      case Seen::kSound:
        return along && across < 0.04 && r > 0.95 * kRadius ? Rgb{60, 120, 70} : solder;
    }
    return solder;
  }

  Rgb board_colour(double x, double y) {
    const int column = static_cast<int>(std::lround(x / kPitch));
    const int row = static_cast<int>(std::lround(y / kPitch));
    const bool inside = column >= 0 && row >= 0 && column < kLands && row < kLands;
    const Rgb mask{26, 84, 44};
    Rgb colour = mask;
    if (inside) {
      const Land& land = lands_[static_cast<std::size_t>(row * kLands + column)];
      const double dx = x - column * kPitch;
      const double dy = y - row * kPitch;
      const double r = std::hypot(dx, dy);
      if (r < kRadius) colour = land_colour(land, dx, dy);
      // Mask scraped off over half the way round: copper.
      const bool half = std::cos(land.angle) * dx + std::sin(land.angle) * dy > -0.3 * kRadius;
      if (land.seen == Seen::kMask && r >= kRadius && r < 1.7 * kRadius && half) colour = {176, 112, 74};
    }
    if (conditions_.flux) {
      for (const Stain& stain : stains_) {
        const double d = std::hypot(x - stain.at[0], y - stain.at[1]) / stain.radius;
        if (d < 1) colour = mix(colour, {104, 74, 30}, stain.depth * std::min(1.0, 4 * (1 - d)));
      }
    }
    if (conditions_.glare) {
      const double d = std::hypot(x - glare_.at[0], y - glare_.at[1]) / glare_.radius;
      colour = mix(colour, {262, 262, 262}, std::exp(-d * d * d));
    }
    return colour;
  }

  void draw() {
    std::vector<Rgb> plane(std::size_t{kSide} * kSide);
    for (int y = 0; y < kSide; ++y) {
      for (int x = 0; x < kSide; ++x) {
        const auto at = photo::mapped(to_board_, x + 0.5, y + 0.5);
        // The lamp's light falls off towards the corners.
        const double shade = 1 - 0.35 * std::pow(std::hypot(x - kSide / 2.0, y - kSide / 2.0) / kSide, 2);
        Rgb colour = at ? board_colour((*at)[0], (*at)[1]) : Rgb{};
        for (double& value : colour) value *= shade;
        plane[static_cast<std::size_t>(y) * kSide + static_cast<std::size_t>(x)] = colour;
      }
    }
    blur(plane, true);
    blur(plane, false);
    std::normal_distribution<double> noise(0, 3);
    picture_.width = kSide;
    picture_.height = kSide;
    for (const Rgb& colour : plane) {
      for (const double value : colour)
        picture_.rgb.push_back(static_cast<std::uint8_t>(std::clamp(value + noise(random_), 0.0, 255.0)));
    }
  }

  void blur(std::vector<Rgb>& plane, bool across) const {
    const int reach = static_cast<int>(std::ceil(conditions_.blur * 2.5));
    std::vector<double> weights;
    double sum = 0;
    for (int i = -reach; i <= reach; ++i)
      sum += weights.emplace_back(std::exp(-0.5 * std::pow(i / conditions_.blur, 2)));
    const std::vector<Rgb> from = plane;
    const int step = across ? 1 : kSide;
    for (int y = 0; y < kSide; ++y) {
      for (int x = 0; x < kSide; ++x) {
        double red = 0;
        double green = 0;
        double blue = 0;
        const int along = across ? x : y;
        const Rgb* at = from.data() + (y * kSide + x);
        const double* weight = weights.data();
        for (int i = -reach; i <= reach; ++i, ++weight) {
          const Rgb& one = *(at + (std::clamp(along + i, 0, kSide - 1) - along) * step);
          red += one[0] * *weight;
          green += one[1] * *weight;
          blue += one[2] * *weight;
        }
        plane[static_cast<std::size_t>(y * kSide + x)] = {red / sum, green / sum, blue / sum};
      }
    }
  }

  std::mt19937 random_;
  Conditions conditions_;
  std::vector<Land> lands_;
  std::vector<Stain> stains_;
  Stain glare_;
  photo::Matrix to_picture_{}, to_board_{};
  photo::Picture picture_;
};

}  // namespace landfall::testing
