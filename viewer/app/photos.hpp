// Photos of a job's board: taken in, laid on the board by matched lands, and the lands that they show.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/photo.hpp"
#include "netdb/photo/align.hpp"
#include "netdb/photo/picture.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

// Keeps the pixels of a PNG or JPEG file (photo::clean_picture). Without a side: the one that the first
// lifted part sits on. kInput, with the file's name in front, for what is no picture. `had`: the job had it
// already.
struct AddedPhoto {
  Photo photo;
  bool had = false;
};
Result<AddedPhoto> add_photo(store::Bench& bench, const OpenBoard& board, const Job& job,
                             const std::filesystem::path& file, const std::string& note,
                             std::optional<Side> side);

// The photo's pixels, and its stored file as it is.
Result<photo::Picture> photo_picture(store::Bench& bench, std::int64_t job, std::int64_t number);
// The file's name ends as a picture's does that can be kept.
bool is_picture_name(const std::filesystem::path& file);

// As FILE.png or .jpg; kUsage for another ending, kInput when it cannot be written.
Status save_photo(store::Bench& bench, std::int64_t job, std::int64_t number,
                  const std::filesystem::path& file);

// "AB14=1203,877" or "R3.1=88.5,90": a land, and the picture's pixel of its middle. kUsage for a wrong form
// or a pixel outside the picture, kNotFound for a ball that is not there or whose place no file gives.
Result<std::vector<PhotoMatch>> parse_matches(const OpenBoard& board, const Job& job, const Photo& photo,
                                              const std::vector<std::string>& words);

// A photo with where it lies on the board.
struct LaidPhoto {
  Photo photo;
  std::optional<photo::Fit> fit;  // off_um in the order of photo.matches
  std::string says;               // how well it lies, or why it does not, in one sentence
  bool mirrored = false;          // it shows its side of the board in a mirror
};
LaidPhoto lay(const OpenBoard& board, Photo photo);
Result<LaidPhoto> lay(store::Bench& bench, const OpenBoard& board, std::int64_t job, std::int64_t number);
// The fit that these matches would give; the error that it would be refused with.
Result<photo::Fit> fit_of(const OpenBoard& board, const Photo& photo);

// The job's mark on that pin, if any. O(marks).
const Mark* mark_on(const Job& job, const OpenBoard& board, Index pin);

// The middle of a pin's land on that side; nothing where no file gives its place.
std::optional<Point> place_of_pin(const OpenBoard& board, Index pin, Side side);

// A land of a lifted part, as the picture shows it.
struct SeenLand {
  Index pin = kNone;
  Point place;
  Nm radius = 0;  // half its smaller measure on the board
  photo::Pixel middle;
  double radius_px = 0;               // of the round patch in the picture, about
  std::vector<photo::Pixel> outline;  // closed, the first point not repeated
};
// Those of the photo's side whose middle lies in the picture; none without a fit.
std::vector<SeenLand> lands_seen(const OpenBoard& board, const Job& job, const LaidPhoto& laid);

}  // namespace landfall::app
