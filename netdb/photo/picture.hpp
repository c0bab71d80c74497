// Pictures as plain pixels, and the two file formats that cameras write. Any bytes are safe to read.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/result.hpp"

namespace landfall::photo {

// Red, green, blue, a byte each, row by row from the top left, nothing between rows.
struct Picture {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> rgb;  // width * height * 3
  friend bool operator==(const Picture&, const Picture&) = default;
};

enum class PictureFormat { kPng, kJpeg };
// "png", "jpeg".
std::string_view word(PictureFormat format);

// What is read at most: 40 million pixels (a phone's best camera) in 64 MB, 20,000 pixels a side.
inline constexpr std::int64_t kMostPixels = 40'000'000;
inline constexpr std::size_t kMostBytes = 64'000'000;
inline constexpr int kLongestSide = 20'000;

// A PNG or JPEG file, told by its first bytes, upright as its Exif orientation says (Exif 2.32, tag 0x0112),
// what is transparent on white. kInput in one sentence without a file's name for anything else, a picture
// that is too large (said before its pixels are made), ends early or has broken pieces.
Result<Picture> read_picture(std::string_view bytes);

Result<std::string> write_png(const Picture& picture);
// quality: 1 to 100, without thinning of colours.
Result<std::string> write_jpeg(const Picture& picture, int quality);

// The file as it may be kept and handed on: its pixels written anew, so that no Exif, place, time, name,
// comment, thumbnail or profile is in it, and upright. A PNG stays one; a JPEG is written at kKeptQuality.
struct CleanPicture {
  PictureFormat format = PictureFormat::kPng;
  std::string bytes;
  int width = 0;
  int height = 0;
};
Result<CleanPicture> clean_picture(std::string_view bytes);
inline constexpr int kKeptQuality = 95;

// The Exif orientation of a file, 1 to 8; 1 where there is none or none that can be.
int orientation_of(std::string_view bytes);
// The picture turned as orientation 1 to 8 asks.
Picture turned_upright(Picture picture, int orientation);

// Averaged down by the whole number that brings its longer side to `side` pixels or below; as it is if it is.
Picture shrunk(const Picture& picture, int side);

}  // namespace landfall::photo
