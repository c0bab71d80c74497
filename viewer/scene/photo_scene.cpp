#include "viewer/scene/photo_scene.hpp"

#include <algorithm>

#include "viewer/scene/signs.hpp"

namespace landfall::scene {
namespace {

constexpr Colour kHalo{0, 0, 0, 200};
constexpr Colour kOnDark{255, 255, 255, 255};

// White with a dark line about it: it must be read on solder, mask and glare alike.
void name(Canvas& canvas, P at, const std::string& text, double size) {
  for (const P off : {P{-1, 0}, P{1, 0}, P{0, -1}, P{0, 1}})
    canvas.label(at + off, text, size, Typeface::kBold, Align::kMiddle, kHalo);
  canvas.label(at, text, size, Typeface::kBold, Align::kMiddle, kOnDark);
}

void draw_land(Canvas& canvas, const PhotoInput& in, const app::SeenLand& land) {
  const Board& board = in.board->board();
  const Theme& colours = theme(in.theme);
  const Pin& pin = board.pins[land.pin];
  std::vector<P> ring;
  for (const photo::Pixel& pixel : land.outline) ring.push_back(P{pixel.x, pixel.y} * in.scale);
  ring.push_back(ring.front());
  const auto signal_class =
      pin.net == kNone ? SignalClass::kUnconnected : in.board->signals().nets[pin.net].signal_class;
  canvas.path(ring, 4, kHalo);
  canvas.path(ring, 2, mix(colours.classes[static_cast<std::size_t>(signal_class)], kOnDark, 0.6));
  const P at = P{land.middle.x, land.middle.y} * in.scale;
  const double radius = land.radius_px * in.scale;
  const Mark* mark = app::mark_on(*in.job, *in.board, land.pin);
  if (mark != nullptr && mark->kind == MarkKind::kSound) {
    draw_sound_corner(canvas, at, radius, colours.mark);
  } else if (mark != nullptr) {
    canvas.disc(at, std::max(radius * 0.75, 7.0), colours.sheet);
    draw_mark(canvas, mark->kind, at, std::max(radius * 0.5, 5.0), colours.mark, colours.sheet);
  }
  constexpr double kNameRoom = 12;
  if (pin.number == "A1") {
    name(canvas, at - P{0, radius + 11}, "A1", 16);  // beside it, whatever lies on it
  } else if (radius >= kNameRoom && mark == nullptr) {
    name(canvas, at, pin.number, std::clamp(radius * 0.6, 9.0, 18.0));
  }
}

}  // namespace

double photo_scale(const Photo& photo) {
  constexpr double kLonger = 1600;
  return kLonger / std::max(photo.width, photo.height);
}

std::vector<Shape> photo_shapes(const PhotoInput& in) {
  Canvas canvas(1);
  for (const app::SeenLand& land : *in.lands) draw_land(canvas, in, land);
  for (const PhotoMatch& match : in.laid->photo.matches) {
    const P at = P{match.x, match.y} * in.scale;
    for (const auto& [width, hue] : {std::pair{5.0, kHalo}, {2.0, kOnDark}}) {
      canvas.line(at - P{8, 0}, at + P{8, 0}, width, hue);
      canvas.line(at - P{0, 8}, at + P{0, 8}, width, hue);
    }
  }
  return std::move(canvas.shapes());
}

}  // namespace landfall::scene
