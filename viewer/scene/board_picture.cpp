#include "viewer/scene/board_picture.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/scene/signs.hpp"

namespace landfall::scene {
namespace {

constexpr double kHead = 56;
constexpr double kMargin = 12;
constexpr double kPixelsPerMm = 96.0 / 25.4;
constexpr double kMostSide = 3200;  // a PNG has twice as many pixels
constexpr double kNamed = 30;  // pixels that a small part should be long, so that its name stands beside it
constexpr double kLine = 20;

// Lines of words, broken where they would not fit.
struct Foot {
  Canvas& canvas;
  const Theme& theme;
  double width;
  double y;
  void line(const std::string& text, Typeface face, Colour c) {
    std::string rest = text;
    while (!rest.empty()) {
      std::size_t cut = rest.size();
      while (text_width(rest.substr(0, cut), 13, face) > width - 2 * kMargin) {
        const auto blank = rest.rfind(' ', cut - 1);
        if (blank == std::string::npos || blank == 0) break;
        cut = blank;
      }
      canvas.label({kMargin, y}, rest.substr(0, cut), 13, face, Align::kLeft, c);
      rest.erase(0, std::min(cut + 1, rest.size()));
      y += kLine;
    }
  }
};

std::string net_words(const BoardInput& in, Index net) {
  const Board& board = in.board->board();
  const auto pins = in.board->index().pins_of_net(net);
  std::string text = fmt::format("{}: {}", board.nets[net].name, count_of(pins.size(), "pin"));
  for (std::size_t i = 0; i < pins.size() && i < 12; ++i)
    text += (i == 0 ? ", " : " ") + in.board->index().pin_text(pins[i]);
  if (pins.size() > 12) text += fmt::format(" and {} more", pins.size() - 12);
  return text;
}

void draw_legend(Foot& foot, const BoardInput& in, bool net, bool test_points) {
  Canvas& canvas = foot.canvas;
  const Theme& t = foot.theme;
  double x = kMargin;
  const auto entry = [&](const std::string& text, const auto& sign) {
    const double wide = 32 + text_width(text, 13, Typeface::kPlain) + 16;
    if (x + wide > foot.width - kMargin && x > kMargin) {
      x = kMargin;
      foot.y += kLine;
    }
    sign(P{x + 12, foot.y});
    canvas.label({x + 30, foot.y}, text, 13, Typeface::kPlain, Align::kLeft, t.ink);
    x += wide;
  };
  if (net) {
    entry("on this side", [&](P p) { canvas.line(p - P{12, 0}, p + P{12, 0}, 3.4, t.act); });
    entry("on other layers", [&](P p) {
      canvas.line(p - P{12, 0}, p + P{12, 0}, 1.5, mix(t.act, t.sheet, 0.75));
    });
    entry("through a series part", [&](P p) {
      canvas.dashes(p - P{12, 0}, p + P{12, 0}, {4, 3}, 1.8, t.act);
    });
    entry("via", [&](P p) { canvas.ring(p, 5, 1.4, t.act); });
    entry("pin on the other side", [&](P p) {
      for (int i = 0; i < 6; ++i) canvas.arc(p, 6, i * 60.0, i * 60.0 + 30, 1.4, t.act);
    });
  }
  if (test_points) {
    entry("test point", [&](P p) {
      canvas.ring(p, 5, 1.3, t.ink);
      canvas.disc(p, 1.5, t.ink);
    });
  }
  if (in.job != nullptr) {
    for (int kind = 1; kind < kMarkKinds; ++kind) {
      const auto k = static_cast<MarkKind>(kind);
      const bool used =
          std::any_of(in.job->marks.begin(), in.job->marks.end(), [&](const Mark& m) { return m.kind == k; });
      if (used) entry(std::string(word(k)), [&](P p) { draw_mark(canvas, k, p, 7, t.mark, t.sheet); });
    }
  }
  foot.y += kLine;
}

void draw_scale_bar(Foot& foot) {
  for (int i = 0; i < 5; ++i) {
    const double x = kMargin + i * 10 * kPixelsPerMm;
    foot.canvas.rect({x, i % 2 == 0 ? foot.y : foot.y + 4, 10 * kPixelsPerMm, 4}, foot.theme.ink);
  }
  foot.canvas.label({kMargin + 50 * kPixelsPerMm + 8, foot.y + 4},
                    "50 mm: measure it before you trust the size", 13, Typeface::kPlain, Align::kLeft,
                    foot.theme.ink);
  foot.y += kLine + 4;
}

// Pixels a mm at which nearly all parts are long enough for their names.
double scale_for_names(const Board& board) {
  std::vector<double> lengths;
  for (const PartBox& box : part_boxes(board)) {
    if (box.lands > 1) lengths.push_back(std::max(box.width, box.height) / static_cast<double>(kNmPerMm));
  }
  if (lengths.empty()) return 16;
  const auto tenth = lengths.begin() + static_cast<std::ptrdiff_t>(lengths.size() / 10);
  std::nth_element(lengths.begin(), tenth, lengths.end());
  return std::clamp(kNamed / *tenth, 8.0, 28.0);
}

bool has_test_points(const BoardInput& in, const BoardView& view) {
  const auto& parts = in.board->board().parts;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const PartBox& box = view.boxes()[i];
    if (parts[i].reference.starts_with("TP") && box.lands == 1 && (box.side == in.side || box.both_sides))
      return true;
  }
  return false;
}

void draw_foot(Foot& foot, const BoardInput& in, const BoardView& view, bool true_size) {
  const Board& board = in.board->board();
  if (view.net() != kNone) {
    foot.line(net_words(in, view.net()), Typeface::kBold, foot.theme.ink);
    foot.line(copper_words(board, view.net()), Typeface::kPlain, foot.theme.ink);
  }
  std::size_t here = 0;
  std::size_t nowhere = 0;
  for (const PartBox& box : view.boxes()) {
    if (box.corners.empty()) ++nowhere;
    if (!box.corners.empty() && box.side == in.side) ++here;
  }
  std::string words = fmt::format("{} of {} on this side, outlined by their lands", here,
                                  count_of(board.parts.size(), "part"));
  if (nowhere > 0) words += fmt::format("; {} without a place", nowhere);
  if (board.outline.empty()) words += "; the files give no outline of the board";
  foot.line(words + "; figures at the frame are mm from the lower left corner, seen from above",
            Typeface::kPlain, foot.theme.ink2);
  draw_legend(foot, in, view.net() != kNone, has_test_points(in, view));
  if (true_size) draw_scale_bar(foot);
}

}  // namespace

std::string copper_words(const Board& board, Index net) {
  if (board.layers.empty()) return "copper is not known: no board file was read";
  LayerSet on = 0;
  const auto count = [&](const auto& items) {
    std::size_t n = 0;
    for (const auto& item : items) {
      if (item.net != net) continue;
      ++n;
      on |= layer_bit(item.layer);
    }
    return n;
  };
  const std::size_t tracks = count(board.tracks);
  const std::size_t arcs = count(board.arcs);
  const std::size_t fills = count(board.fills);
  std::size_t vias = 0;
  for (const Via& via : board.vias) vias += via.net == net ? 1U : 0U;
  std::size_t unfilled = 0;
  for (const Zone& zone : board.zones) unfilled += zone.net == net && !zone.filled && !zone.keepout ? 1U : 0U;
  std::string text = count_of(tracks, "track");
  if (arcs > 0) text += ", " + count_of(arcs, "arc");
  text += ", " + count_of(vias, "via");
  if (fills > 0) text += ", " + count_of(fills, "filled area") + " (hatched)";
  std::string names;
  for (std::size_t i = 0; i < board.layers.size() && i < kMostLayers; ++i) {
    if ((on & layer_bit(static_cast<int>(i))) == 0) continue;
    names += (names.empty() ? " on " : ", ") + board.layers[i];
  }
  text += names;
  if (unfilled > 0) text += fmt::format("; {} whose copper the file leaves out", count_of(unfilled, "zone"));
  return text;
}

Picture board_picture(const BoardInput& input, bool true_size) {
  BoardInput in = input;
  const Theme& colours = theme(in.theme);
  const auto extent = extent_of(in.board->board());
  const P low = extent ? place_of(extent->low) : P{0, 0};
  const P high = extent ? place_of(extent->high) : P{10e6, 10e6};
  const double wide = std::max((high.x - low.x) / 1e6, 5.0);
  const double tall = std::max((high.y - low.y) / 1e6, 5.0);
  in.fixed_scale = true_size ? kPixelsPerMm
                             : std::min(kMostSide / std::max(wide, tall), scale_for_names(in.board->board()));
  in.name_all = !true_size;
  in.zoom = 1;
  in.pan = {};
  const double around = 2 * 26.0 + (true_size ? 24 : 64);
  Picture picture;
  const double map_width = wide * in.fixed_scale + around;
  picture.width = std::max(map_width + 2 * kMargin, 640.0);
  const Rect area{kMargin, kHead, picture.width - 2 * kMargin, tall * in.fixed_scale + around};
  const BoardView view(in, area);
  Canvas canvas(colours.stroke);
  Canvas below(colours.stroke);
  Foot foot{below, colours, picture.width, kHead + area.height + 18};
  draw_foot(foot, in, view, true_size);
  picture.height = foot.y + kMargin - 6;
  canvas.rect({0, 0, picture.width, picture.height}, colours.sheet);
  view.draw(canvas);
  const bool top = in.side == Side::kTop;
  canvas.label({kMargin, 20}, top ? "TOP SIDE" : "BOTTOM SIDE", 20, Typeface::kBold, Align::kLeft,
               colours.ink);
  canvas.label({kMargin + (top ? 118 : 168), 21}, top ? "seen from above" : "mirrored, seen from below", 15,
               Typeface::kPlain, Align::kLeft, colours.ink2);
  std::string title = in.board->info().name;
  if (!in.board->board().title.empty() && in.board->board().title != title)
    title += ", " + in.board->board().title;
  if (in.job != nullptr)
    title += fmt::format(", job {}{}", in.job->id, in.job->title.empty() ? "" : ": " + in.job->title);
  canvas.label({kMargin, 43}, title, 15, Typeface::kBold, Align::kLeft, colours.ink);
  canvas.label({picture.width - kMargin, 20}, fmt::format("{:.1f} x {:.1f} mm", wide, tall), 15,
               Typeface::kPlain, Align::kRight, colours.ink2);
  picture.shapes = std::move(canvas.shapes());
  for (Shape& shape : below.shapes()) picture.shapes.push_back(std::move(shape));
  return picture;
}

}  // namespace landfall::scene
