#include "viewer/app/photos.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/import.hpp"
#include "viewer/app/site_syntax.hpp"
#include "viewer/app/whole_file.hpp"

namespace landfall::app {
namespace {

// The stored copy of a picture file, with the file's name before what is wrong with it.
Result<photo::CleanPicture> clean_file(const std::filesystem::path& file) {
  std::error_code none;
  const auto size = std::filesystem::file_size(file, none);
  // Looked at before it is read: a film of gigabytes is refused at once.
  if (!none && size > photo::kMostBytes) {
    return Error{ErrorCode::kInput, fmt::format("{}: {} MB are too many; {} MB are read", file.string(),
                                                size / 1'000'000, photo::kMostBytes / 1'000'000)};
  }
  const auto bytes = read_file(file);
  if (!bytes.ok()) return bytes.error();
  auto clean = photo::clean_picture(*bytes);
  if (!clean.ok())
    return Error{clean.error().code, fmt::format("{}: {}", file.string(), clean.error().message)};
  return clean;
}

Side side_of_job(const OpenBoard& board, const Job& job) {
  if (job.lifted.empty()) return Side::kTop;
  const Index part = board.index().part(job.lifted.front());
  return part == kNone ? Side::kTop : board.board().parts[part].side;
}

bool is_on(const Land& land, Side side) {
  return land.side == Side::kThrough || land.side == side;
}

// One site by what was typed: PART.PIN of any part, or a ball of the job's.
Result<Index> one_site(const OpenBoard& board, const Job& job, std::string_view text) {
  if (text.find("..") == std::string_view::npos && text.find('.') != std::string_view::npos)
    return find_pin(board, text);
  const auto pins = sites_named(board, job, text);
  if (!pins.ok()) return pins.error();
  if (pins->size() != 1)
    return Error{ErrorCode::kUsage, fmt::format("{} is not one ball; a match is BALL=X,Y", text)};
  return pins->front();
}

photo::FitKind kind_of(PhotoFit fit) {
  return fit == PhotoFit::kPerspective ? photo::FitKind::kPerspective : photo::FitKind::kSimilarity;
}

// The outline of a land on the board: an ellipse for what is round, else its box.
std::vector<Point> outline_of(const Land& land) {
  std::vector<Point> points;
  const double half_width = static_cast<double>(land.width) / 2;
  const double half_height = static_cast<double>(land.height) / 2;
  const bool round = land.shape == LandShape::kCircle || land.shape == LandShape::kOval;
  constexpr int kSides = 24;
  const int count = round ? kSides : 4;
  for (int i = 0; i < count; ++i) {
    const double angle = (i + (round ? 0 : 0.5)) * 2 * std::numbers::pi / count;
    const double stretch = round ? 1 : std::numbers::sqrt2;
    const Point corner{std::llround(half_width * stretch * std::cos(angle)),
                       std::llround(half_height * stretch * std::sin(angle))};
    points.push_back(land.at + turned(corner, land.angle));
  }
  return points;
}

std::optional<SeenLand> seen(const Land& land, const LaidPhoto& laid) {
  SeenLand answer;
  answer.pin = land.pin;
  answer.place = land.at;
  answer.radius = std::min(land.width, land.height) / 2;
  const auto middle = photo::pixel_of(*laid.fit, land.at);
  if (!middle || answer.radius <= 0) return std::nullopt;
  if (!(middle->x >= 0 && middle->y >= 0 && middle->x < laid.photo.width && middle->y < laid.photo.height))
    return std::nullopt;
  answer.middle = *middle;
  const std::vector<Point> outline = outline_of(land);
  for (const Point point : outline) {
    const auto pixel = photo::pixel_of(*laid.fit, point);
    if (!pixel) return std::nullopt;
    answer.radius_px +=
        std::hypot(pixel->x - middle->x, pixel->y - middle->y) / static_cast<double>(outline.size());
    answer.outline.push_back(*pixel);
  }
  return answer;
}

}  // namespace

Result<AddedPhoto> add_photo(store::Bench& bench, const OpenBoard& board, const Job& job,
                             const std::filesystem::path& file, const std::string& note,
                             std::optional<Side> side) {
  const auto clean = clean_file(file);
  if (!clean.ok()) return clean.error();
  const auto before = bench.photos(job.id);
  if (!before.ok()) return before.error();
  Photo photo;
  photo.format = clean->format == photo::PictureFormat::kPng ? PhotoFormat::kPng : PhotoFormat::kJpeg;
  photo.width = clean->width;
  photo.height = clean->height;
  photo.side = side.value_or(side_of_job(board, job));
  photo.note = note;
  const auto number = bench.add_photo(job.id, photo, clean->bytes, now_utc());
  if (!number.ok()) return number.error();
  auto kept = bench.photo(job.id, *number);
  if (!kept.ok()) return kept.error();
  const bool had =
      std::any_of(before->begin(), before->end(), [&](const Photo& one) { return one.number == *number; });
  return AddedPhoto{std::move(kept).value(), had};
}

Result<photo::Picture> photo_picture(store::Bench& bench, std::int64_t job, std::int64_t number) {
  const auto bytes = bench.photo_bytes(job, number);
  if (!bytes.ok()) return bytes.error();
  auto picture = photo::read_picture(*bytes);
  // It was whole when it was kept.
  if (!picture.ok())
    return Error{ErrorCode::kBench,
                 fmt::format("photo {} of job {} is damaged: {}", number, job, picture.error().message)};
  return picture;
}

bool is_picture_name(const std::filesystem::path& file) {
  const std::string ending = lower(file.extension().string());
  return ending == ".png" || ending == ".jpg" || ending == ".jpeg";
}

Status save_photo(store::Bench& bench, std::int64_t job, std::int64_t number,
                  const std::filesystem::path& file) {
  if (!is_picture_name(file))
    return Error{ErrorCode::kUsage, fmt::format("{}: a photo's name ends in .png or .jpg", file.string())};
  const bool png = lower(file.extension().string()) == ".png";
  const auto photo = bench.photo(job, number);
  if (!photo.ok()) return photo.error();
  auto bytes = bench.photo_bytes(job, number);
  if (!bytes.ok()) return bytes.error();
  if ((photo->format == PhotoFormat::kPng) != png) {
    const auto picture = photo_picture(bench, job, number);
    if (!picture.ok()) return picture.error();
    bytes = png ? photo::write_png(*picture) : photo::write_jpeg(*picture, photo::kKeptQuality);
    if (!bytes.ok()) return bytes.error();
  }
  return write_whole(*bytes, file);
}

const Mark* mark_on(const Job& job, const OpenBoard& board, Index pin) {
  const Pin& at = board.board().pins[pin];
  const std::string& part = board.board().parts[at.part].reference;
  const auto found = std::find_if(job.marks.begin(), job.marks.end(), [&](const Mark& mark) {
    return mark.part == part && mark.ball == at.number;
  });
  return found == job.marks.end() ? nullptr : &*found;
}

std::optional<Point> place_of_pin(const OpenBoard& board, Index pin, Side side) {
  for (const Index land : board.index().lands_of_pin(pin)) {
    if (is_on(board.board().lands[land], side)) return board.board().lands[land].at;
  }
  return std::nullopt;
}

Result<std::vector<PhotoMatch>> parse_matches(const OpenBoard& board, const Job& job, const Photo& photo,
                                              const std::vector<std::string>& words) {
  std::vector<PhotoMatch> matches;
  for (const std::string& text : words) {
    const auto equals = text.find('=');
    const auto comma = text.find(',', equals == std::string::npos ? 0 : equals);
    if (equals == std::string::npos || comma == std::string::npos)
      return Error{ErrorCode::kUsage, fmt::format("{}: a match is BALL=X,Y, in pixels of the picture", text)};
    const auto x = parse_decimal(std::string_view(text).substr(equals + 1, comma - equals - 1));
    const auto y = parse_decimal(std::string_view(text).substr(comma + 1));
    if (!x || !y)
      return Error{ErrorCode::kUsage, fmt::format("{}: a match is BALL=X,Y, in pixels of the picture", text)};
    if (!(*x >= 0 && *y >= 0 && *x <= photo.width && *y <= photo.height)) {
      return Error{ErrorCode::kUsage, fmt::format("{} lies outside the picture, which has {} x {} pixels",
                                                  text, photo.width, photo.height)};
    }
    const auto pin = one_site(board, job, std::string_view(text).substr(0, equals));
    if (!pin.ok()) return pin.error();
    const std::string site = board.index().pin_text(*pin);
    if (!place_of_pin(board, *pin, photo.side)) {
      return Error{ErrorCode::kNotFound, fmt::format("{}: no file of this board says where its land lies on "
                                                     "the {} side",
                                                     site, word(photo.side))};
    }
    matches.push_back({site, *x, *y});
  }
  return matches;
}

Result<photo::Fit> fit_of(const OpenBoard& board, const Photo& photo) {
  std::vector<photo::Match> matches;
  for (const PhotoMatch& match : photo.matches) {
    const auto pin = find_pin(board, match.site);
    const auto place = pin.ok() ? place_of_pin(board, *pin, photo.side) : std::nullopt;
    if (!place)
      return Error{ErrorCode::kNotFound, fmt::format("{} has no place on this board any more", match.site)};
    matches.push_back({{match.x, match.y}, *place});
  }
  std::optional<photo::FitKind> kind;
  if (photo.fit != PhotoFit::kEither) kind = kind_of(photo.fit);
  return photo::fit(matches, kind, photo.side);
}

LaidPhoto lay(const OpenBoard& board, Photo photo) {
  LaidPhoto laid;
  laid.photo = std::move(photo);
  if (laid.photo.matches.empty()) {
    laid.says = "not laid on the board yet: match three or four lands";
    return laid;
  }
  auto fit = fit_of(board, laid.photo);
  if (!fit.ok()) {
    laid.says = fit.error().message;
    return laid;
  }
  laid.fit = std::move(fit).value();
  laid.mirrored = laid.fit->seen_from != laid.photo.side;
  const std::size_t count = laid.photo.matches.size();
  std::string off = "nothing is left over to check it by, a wrong click would not show: match one land more";
  if (laid.fit->checked) {
    const auto worst = std::max_element(laid.fit->off_um.begin(), laid.fit->off_um.end());
    const auto at = static_cast<std::size_t>(worst - laid.fit->off_um.begin());
    off = fmt::format("{:.0f} um off (RMS), the worst {} with {:.0f} um", laid.fit->rms_um,
                      laid.photo.matches[at].site, *worst);
    const bool poor = laid.fit->rms_um > photo::kSlantPixels * laid.fit->pixel_um;
    if (poor && count == 4 && laid.fit->kind == photo::FitKind::kSimilarity)
      off += ": a wrong click, or a slanted picture, which a fifth land would show";
  }
  laid.says = fmt::format("{} by {}, {:.1f} um a pixel{}; {}", word(laid.fit->kind), count_of(count, "land"),
                          laid.fit->pixel_um, laid.mirrored ? ", mirrored" : "", off);
  return laid;
}

Result<LaidPhoto> lay(store::Bench& bench, const OpenBoard& board, std::int64_t job, std::int64_t number) {
  auto photo = bench.photo(job, number);
  if (!photo.ok()) return photo.error();
  return lay(board, std::move(photo).value());
}

std::vector<SeenLand> lands_seen(const OpenBoard& board, const Job& job, const LaidPhoto& laid) {
  std::vector<SeenLand> all;
  if (!laid.fit) return all;
  for (const std::string& reference : job.lifted) {
    const Index part = board.index().part(reference);
    if (part == kNone) continue;
    for (const Index pin : board.index().pins_of_part(part)) {
      for (const Index index : board.index().lands_of_pin(pin)) {
        const Land& land = board.board().lands[index];
        if (!is_on(land, laid.photo.side)) continue;
        if (auto one = seen(land, laid)) all.push_back(std::move(*one));
        break;
      }
    }
  }
  return all;
}

}  // namespace landfall::app
