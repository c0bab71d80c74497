#include "netdb/rework/mend/body.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "netdb/rework/sites.hpp"

namespace landfall::rework {
namespace {

constexpr Nm kMostTold = 5'000'000;  // beyond the outer balls' middles; common practice, no source

Box grown(Box box, Nm by) {
  return {box.left - by, box.bottom - by, box.right + by, box.top + by};
}

bool covers(const Box& outer, const Box& inner) {
  return outer.left <= inner.left && outer.bottom <= inner.bottom && outer.right >= inner.right &&
         outer.top >= inner.top;
}

// The size about the part's middle, turned as the part is.
Box placed(const Part& part, BodySize size) {
  const double turn = part.angle * std::numbers::pi / 180;
  const double c = std::abs(std::cos(turn));
  const double s = std::abs(std::sin(turn));
  const auto x = static_cast<double>(size.x) / 2;
  const auto y = static_cast<double>(size.y) / 2;
  const Nm across = std::llround(c * x + s * y);
  const Nm up = std::llround(s * x + c * y);
  return {part.at.x - across, part.at.y - up, part.at.x + across, part.at.y + up};
}

std::optional<BodySize> size_in_field(std::string_view field) {
  constexpr std::string_view kUnit = "mm";
  if (!field.ends_with(kUnit)) return std::nullopt;
  field.remove_suffix(kUnit.size());
  if (field.starts_with('B')) field.remove_prefix(1);
  const auto first = field.find('x');
  if (first == std::string_view::npos) return std::nullopt;
  std::string_view second = field.substr(first + 1);
  second = second.substr(0, second.find('x'));  // a height may follow
  const auto x = parse_mm(field.substr(0, first));
  const auto y = parse_mm(second);
  constexpr Nm kLargest = 1'000 * kNmPerMm;
  if (!x || !y || *x <= 0 || *y <= 0 || *x > kLargest || *y > kLargest) return std::nullopt;
  return BodySize{*x, *y};
}

Box joined(const std::optional<Box>& all, const Box& one) {
  if (!all) return one;
  return {std::min(all->left, one.left), std::min(all->bottom, one.bottom), std::max(all->right, one.right),
          std::max(all->top, one.top)};
}

// The least distance between two of the places that are not one and the same; 0 where there is none.
Nm pitch_of(std::vector<Point> places) {
  std::sort(places.begin(), places.end(),
            [](Point a, Point b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  places.erase(std::unique(places.begin(), places.end()), places.end());
  if (places.size() < 2) return 0;
  Nm least = distance(places[0], places[1]);
  for (std::size_t i = 0; i < places.size(); ++i) {
    for (std::size_t j = i + 1; j < places.size() && places[j].x - places[i].x < least; ++j)
      least = std::min(least, distance(places[i], places[j]));
  }
  return least;
}

}  // namespace

std::optional<BodySize> size_in_name(std::string_view footprint) {
  while (!footprint.empty()) {
    const auto end = footprint.find('_');
    if (const auto size = size_in_field(footprint.substr(0, end))) return size;
    if (end == std::string_view::npos) break;
    footprint.remove_prefix(end + 1);
  }
  return std::nullopt;
}

std::optional<Body> body_of(const BoardIndex& index, Index part) {
  const Board& board = index.board();
  std::optional<Box> lands;
  for (const Index pin : index.pins_of_part(part)) {  // a footprint's corner lands as well
    for (const Index l : index.lands_of_pin(pin)) {
      const Land& land = board.lands[l];
      lands = joined(
          lands, grown({land.at.x, land.at.y, land.at.x, land.at.y}, std::max(land.width, land.height) / 2));
    }
  }
  std::vector<Point> balls;
  std::optional<Box> middles;
  for (const Index pin : sites_of(index, part)) {
    for (const Index l : index.lands_of_pin(pin)) {
      const Point at = board.lands[l].at;
      balls.push_back(at);
      middles = joined(middles, {at.x, at.y, at.x, at.y});
    }
  }
  if (!lands || !middles) return std::nullopt;
  Body body;
  body.balls = *lands;
  const Part& at = board.parts[part];
  const bool square = std::abs(std::remainder(at.angle, 90.0)) < 0.01;  // a slanted body fills no box
  if (const auto size = size_in_name(at.footprint); size && at.placed && square) {
    const Box told = placed(at, *size);
    body.told = covers(told, *middles) && covers(grown(*middles, kMostTold), told);
    if (body.told) body.reach = body.at_most = told;
  }
  if (!body.told) {
    const auto pitch = static_cast<double>(pitch_of(std::move(balls)));
    body.reach = joined(lands, grown(*middles, std::llround(kBodyReach * pitch)));
    body.at_most = joined(lands, grown(*middles, std::llround(kBodyAtMost * pitch)));
  }
  return body;
}

}  // namespace landfall::rework
