#include <algorithm>
#include <cmath>

#include "viewer/scene/board_scene.hpp"

// The frame about the board and its rulers.

namespace landfall::scene {
namespace {

constexpr double kRuler = 26;
constexpr double kBar = 5;         // thickness of a graduation
constexpr double kLeastStep = 42;  // pixels from one figure to the next
constexpr double kFromCorner = 6;  // pixels that a figure keeps from the frame's corners

struct Figure {
  std::string text;
  double size = 11;
  Typeface face = Typeface::kMono;
};

// What of a millimetre's figure the band at the side has room for: a cut "17.5" would be read as 7.5. Where
// not even the small face fits, what lies between two whole millimetres has its fraction alone.
Figure side_figure(double mm, bool tenths) {
  constexpr double kRoom = kRuler - kBar;
  const Figure full{mm_text(std::llround(mm * static_cast<double>(kNmPerMm)), tenths ? 1 : 0)};
  if (text_width(full.text, full.size, full.face) <= kRoom) return full;
  const Figure small{full.text, 9, Typeface::kPlain};
  if (text_width(small.text, small.size, small.face) <= kRoom) return small;
  const auto point = full.text.find('.');
  const bool whole = point == std::string::npos || full.text.substr(point) == ".0";
  return {whole ? full.text.substr(0, point) : full.text.substr(point), 9, Typeface::kPlain};
}

}  // namespace

void BoardView::draw_frame(Canvas& canvas) const {
  // The band covers what zoom and pan brought beyond the inner line.
  canvas.rect({area_.x, area_.y, area_.width, kRuler}, theme_.sheet);
  canvas.rect({area_.x, area_.y + area_.height - kRuler, area_.width, kRuler}, theme_.sheet);
  canvas.rect({area_.x, area_.y, kRuler, area_.height}, theme_.sheet);
  canvas.rect({area_.x + area_.width - kRuler, area_.y, kRuler, area_.height}, theme_.sheet);
  for (const Rect& r : {area_, inner_}) {
    canvas.path({{r.x, r.y},
                 {r.x + r.width, r.y},
                 {r.x + r.width, r.y + r.height},
                 {r.x, r.y + r.height},
                 {r.x, r.y}},
                1, theme_.ink);
  }
}

// Millimetres from the board's lower left corner as seen from above; on the bottom side they run the other
// way.
void BoardView::draw_rulers(Canvas& canvas) const {
  double step = 200;
  for (const double s : {100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1}) {
    if (s * pixels_per_mm() >= kLeastStep) step = s;
  }
  draw_ruler_across(canvas, step);
  draw_ruler_up(canvas, step);
}

void BoardView::draw_ruler_across(Canvas& canvas, double step_mm) const {
  const double nm = step_mm * static_cast<double>(kNmPerMm);
  const double a = to_board({inner_.x, 0}).x - low_.x;
  const double b = to_board({inner_.x + inner_.width, 0}).x - low_.x;
  const double right = inner_.x + inner_.width;
  for (long k = std::lround(std::floor(std::min(a, b) / nm)); static_cast<double>(k) * nm <= std::max(a, b);
       ++k) {
    const double from = static_cast<double>(k) * nm;
    const double at = to_screen({low_.x + from, 0}).x;
    const double next = to_screen({low_.x + from + nm, 0}).x;
    const double start = std::clamp(std::min(at, next), inner_.x, right);
    const double length = std::clamp(std::max(at, next), inner_.x, right) - start;
    if (k % 2 == 0 && length > 0) {
      canvas.rect({start, inner_.y - kBar, length, kBar}, theme_.ink);
      canvas.rect({start, inner_.y + inner_.height, length, kBar}, theme_.ink);
    }
    // Off the board a figure says nothing.
    if (k < 0 || from >= high_.x - low_.x + nm || at < inner_.x + kFromCorner || at > right - kFromCorner)
      continue;
    const std::string text = mm_text(std::llround(from), step_mm < 1 ? 1 : 0);
    for (const double y : {area_.y + 10, area_.y + area_.height - 10})
      canvas.label({at, y}, text, 12, Typeface::kMono, Align::kMiddle, theme_.ink2);
  }
}

void BoardView::draw_ruler_up(Canvas& canvas, double step_mm) const {
  const double nm = step_mm * static_cast<double>(kNmPerMm);
  const double bottom = inner_.y + inner_.height;
  const double first = to_board({0, bottom}).y - low_.y;
  const double last = to_board({0, inner_.y}).y - low_.y;
  for (long k = std::lround(std::floor(first / nm)); static_cast<double>(k) * nm <= last; ++k) {
    const double from = static_cast<double>(k) * nm;
    const double at = to_screen({0, low_.y + from}).y;
    const double start = std::clamp(to_screen({0, low_.y + from + nm}).y, inner_.y, bottom);
    const double length = std::clamp(at, inner_.y, bottom) - start;
    if (k % 2 == 0 && length > 0) {
      canvas.rect({inner_.x - kBar, start, kBar, length}, theme_.ink);
      canvas.rect({inner_.x + inner_.width, start, kBar, length}, theme_.ink);
    }
    if (k < 0 || from >= high_.y - low_.y + nm || at < inner_.y + kFromCorner || at > bottom - kFromCorner)
      continue;
    const Figure figure = side_figure(from / static_cast<double>(kNmPerMm), step_mm < 1);
    for (const double x : {area_.x + 10.5, area_.x + area_.width - 10.5})
      canvas.label({x, at}, figure.text, figure.size, figure.face, Align::kMiddle, theme_.ink2);
  }
}

}  // namespace landfall::scene
