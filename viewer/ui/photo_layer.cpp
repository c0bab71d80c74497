#include "viewer/ui/photo_layer.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace landfall::ui {
namespace {

struct Known {
  scene::P screen;
  Point place;
};

// Four sites at the map's corners say as much as all of them.
std::vector<photo::Match> corners(const std::vector<Known>& known) {
  std::vector<photo::Match> matches;
  for (const auto& [right, down] : {std::pair{1, 1}, {1, -1}, {-1, 1}, {-1, -1}}) {
    const auto reach = [&, r = right, d = down](const Known& one) {
      return r * one.screen.x + d * one.screen.y;
    };
    const auto most = std::max_element(known.begin(), known.end(),
                                       [&](const Known& a, const Known& b) { return reach(a) < reach(b); });
    const photo::Match match{{most->screen.x, most->screen.y}, most->place};
    const bool had = std::any_of(matches.begin(), matches.end(),
                                 [&](const photo::Match& one) { return one.place == match.place; });
    if (!had) matches.push_back(match);
  }
  return matches;
}

scene::P place_in(const scene::Shape& shape) {
  return shape.points.empty() ? shape.at : shape.points.front();
}

}  // namespace

std::optional<photo::Matrix> board_to_screen(const app::OpenBoard& board, const Package& package,
                                             const scene::MapView& map, Side side) {
  std::vector<Known> known;
  for (std::size_t i = 0; i < package.sites.size(); ++i) {
    const auto place = app::place_of_pin(board, package.sites[i].pin, side);
    if (place) known.push_back({map.place(i), *place});
  }
  if (known.size() < 3) return std::nullopt;
  const auto fit = photo::fit(corners(known), photo::FitKind::kSimilarity, Side::kTop);
  // A schematic grid of unequal pitches lies nowhere on the board.
  if (!fit.ok() || fit->rms_um > 2 * fit->pixel_um) return std::nullopt;
  return fit->to_picture;
}

void paint_photo_under(ImDrawList& list, ImTextureID texture, const app::LaidPhoto& laid,
                       const photo::Matrix& to_screen) {
  constexpr int kPieces = 24;
  const auto corner = [&](int column, int row) -> std::optional<ImVec2> {
    const auto place = photo::place_of(*laid.fit, {laid.photo.width * static_cast<double>(column) / kPieces,
                                                   laid.photo.height * static_cast<double>(row) / kPieces});
    if (!place) return std::nullopt;
    const auto at = photo::mapped(to_screen, static_cast<double>(place->x), static_cast<double>(place->y));
    constexpr double kFar = 1e5;  // beyond any screen; floats stay exact enough
    if (!at || !(std::abs((*at)[0]) < kFar && std::abs((*at)[1]) < kFar)) return std::nullopt;
    return ImVec2{static_cast<float>((*at)[0]), static_cast<float>((*at)[1])};
  };
  const auto share = [](int n) { return static_cast<float>(n) / kPieces; };
  for (int row = 0; row < kPieces; ++row) {
    for (int column = 0; column < kPieces; ++column) {
      const auto a = corner(column, row);
      const auto b = corner(column + 1, row);
      const auto c = corner(column + 1, row + 1);
      const auto d = corner(column, row + 1);
      if (!a || !b || !c || !d) continue;
      list.AddImageQuad(texture, *a, *b, *c, *d, {share(column), share(row)}, {share(column + 1), share(row)},
                        {share(column + 1), share(row + 1)}, {share(column), share(row + 1)});
    }
  }
}

std::vector<scene::Shape> faded(const std::vector<scene::Shape>& shapes, std::size_t first, double share,
                                scene::Rect area) {
  std::vector<scene::Shape> all(shapes.begin() + static_cast<std::ptrdiff_t>(std::min(first, shapes.size())),
                                shapes.end());
  for (scene::Shape& shape : all) {
    if (area.contains(place_in(shape)))
      shape.colour.a = static_cast<std::uint8_t>(std::lround(shape.colour.a * std::clamp(share, 0.0, 1.0)));
  }
  return all;
}

}  // namespace landfall::ui
