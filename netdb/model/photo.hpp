// A photo of a job's board: what is known of it beside its pixels.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "netdb/model/units.hpp"

namespace landfall {

// A land that was found in the picture. Pixels as netdb/photo/align.hpp counts them.
struct PhotoMatch {
  std::string site;  // PART.PIN
  double x = 0;
  double y = 0;
  friend bool operator==(const PhotoMatch&, const PhotoMatch&) = default;
};

// Which map was asked for; kEither: what netdb/photo/align.hpp chooses by itself.
enum class PhotoFit { kEither = 0, kSimilarity = 1, kPerspective = 2 };
enum class PhotoFormat { kPng = 0, kJpeg = 1 };

// Where it lies is worked out from its matches each time, so that a revised board moves it.
struct Photo {
  std::int64_t job = 0;
  std::int64_t number = 0;  // from 1 within the job; never given twice
  PhotoFormat format = PhotoFormat::kPng;
  int width = 0;           // pixels
  int height = 0;          // pixels
  Side side = Side::kTop;  // of the board that was photographed; never kThrough
  std::string note;
  std::string hash;     // of its bytes
  std::string at;       // UTC, when it was added
  std::string matched;  // UTC, when it was last matched; empty: never
  PhotoFit fit = PhotoFit::kEither;
  std::vector<PhotoMatch> matches;
  friend bool operator==(const Photo&, const Photo&) = default;
};

}  // namespace landfall
