#include "viewer/scene/picture.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/scene/signs.hpp"

namespace landfall::scene {
namespace {

constexpr double kHead = 56;
constexpr double kMargin = 12;
constexpr double kPixelsPerMm = 96.0 / 25.4;

std::array<std::size_t, kSignalClasses> count_classes(const MapInput& in) {
  std::array<std::size_t, kSignalClasses> counts{};
  for (const PackageSite& site : in.package->sites) {
    const Index net = in.board->board().pins[site.pin].net;
    const SignalClass c =
        net == kNone ? SignalClass::kUnconnected : in.board->signals().nets[net].signal_class;
    ++counts[static_cast<std::size_t>(c)];
  }
  return counts;
}

// Returns the height it took.
double draw_legend(Canvas& canvas, const MapInput& in, const Theme& theme, double top, double width) {
  double x = kMargin + 10;
  double y = top + 14;
  const auto counts = count_classes(in);
  for (std::size_t c = 0; c < kSignalClasses; ++c) {
    if (counts[c] == 0) continue;
    const std::string text = fmt::format("{} {}", word(static_cast<SignalClass>(c)), counts[c]);
    const double wide = 24 + text_width(text, 13, Typeface::kPlain) + 14;
    if (x + wide > width - kMargin) {
      x = kMargin + 10;
      y += 22;
    }
    draw_class(canvas, static_cast<SignalClass>(c), {x, y}, 7.5, theme.classes[c], theme.sheet);
    canvas.label({x + 14, y}, text, 13, Typeface::kPlain, Align::kLeft, theme.ink);
    x += wide;
  }
  if (in.assessment != nullptr) {
    y += 24;
    const rework::Assessment& a = *in.assessment;
    canvas.label({kMargin, y},
                 fmt::format("{} marked, {} sound, {} not inspected; {}{}, {}, {} cannot", a.sites.size(),
                             a.sound, a.not_inspected, a.bound ? "at most " : "", count_of(a.wires, "wire"),
                             count_of(a.rebuilds, "rebuild"), a.cannot),
                 13, Typeface::kBold, Align::kLeft, theme.ink);
  }
  return y - top + 16;
}

void draw_scale_bar(Canvas& canvas, const Theme& theme, double y) {
  for (int i = 0; i < 10; ++i) {
    const double x = kMargin + i * kPixelsPerMm;
    canvas.rect({x, i % 2 == 0 ? y : y + 4, kPixelsPerMm, 4}, theme.ink);
  }
  canvas.path({{kMargin, y},
               {kMargin + 10 * kPixelsPerMm, y},
               {kMargin + 10 * kPixelsPerMm, y + 8},
               {kMargin, y + 8},
               {kMargin, y}},
              0.6, theme.ink);
  canvas.label({kMargin + 10 * kPixelsPerMm + 8, y + 4}, "10 mm: measure it before you trust the size", 13,
               Typeface::kPlain, Align::kLeft, theme.ink);
}

}  // namespace

Picture map_picture(const MapInput& input, bool true_size) {
  MapInput in = input;
  const Package& package = *in.package;
  const Theme& colours = theme(in.theme);
  double pitch = package.sites.size() > 1200 ? 22 : 38;
  if (true_size && package.pitch_x > 0) {
    in.true_scale = package.from_places;
    pitch = static_cast<double>(package.pitch_x) / static_cast<double>(kNmPerMm) * kPixelsPerMm;
    in.fixed_pitch = pitch;
  }
  const double steps =
      package.kind == PackageKind::kAreaArray ? std::max(package.columns, package.rows) + 3.0 : 27.0;
  const double map_side = std::clamp(steps * pitch + 52, 360.0, 4000.0);
  Picture picture;
  picture.width = std::max(map_side, 640.0) + 2 * kMargin;
  const Rect area{kMargin, kHead, picture.width - 2 * kMargin, map_side};
  Canvas canvas(colours.stroke);
  Canvas foot(colours.stroke);
  double below = draw_legend(foot, in, colours, kHead + map_side + 30, picture.width);
  if (true_size) {
    draw_scale_bar(foot, colours, kHead + map_side + 34 + below);
    below += 24;
  }
  picture.height = kHead + map_side + 30 + below + kMargin;
  canvas.rect({0, 0, picture.width, picture.height}, colours.sheet);
  MapView(in, area).draw(canvas);
  const bool lands = in.face == Face::kLands;
  canvas.label({kMargin, 20}, lands ? "LANDS" : "BALLS", 20, Typeface::kBold, Align::kLeft, colours.ink);
  canvas.label({kMargin + 92, 21}, lands ? "looking down on the board" : "chip seen from below, mirrored", 15,
               Typeface::kPlain, Align::kLeft, colours.ink2);
  canvas.label({picture.width - kMargin, 20},
               in.turn == 0 ? std::string("not turned") : fmt::format("turned {:g}\u00B0 clockwise", in.turn),
               15, Typeface::kPlain, Align::kRight, colours.ink2);
  const Part& part = in.board->board().parts[package.part];
  std::string title = fmt::format("{} on {}", part.reference, in.board->info().name);
  if (!part.value.empty()) title += ", " + part.value;
  canvas.label({kMargin, 43}, title, 15, Typeface::kBold, Align::kLeft, colours.ink);
  std::string size =
      fmt::format("{} {}", package.sites.size(), package.kind == PackageKind::kAreaArray ? "balls" : "pins");
  if (package.pitch_x > 0) size += fmt::format(", pitch {} mm", mm_text(package.pitch_x));
  if (package.pitch_y != package.pitch_x) size += fmt::format(" x {} mm", mm_text(package.pitch_y));
  size += fmt::format(", {} side", word(package.side));
  canvas.label({picture.width - kMargin, kHead + map_side + 16}, size, 13, Typeface::kPlain, Align::kRight,
               colours.ink2);
  picture.shapes = std::move(canvas.shapes());
  for (Shape& shape : foot.shapes()) picture.shapes.push_back(std::move(shape));
  return picture;
}

}  // namespace landfall::scene
