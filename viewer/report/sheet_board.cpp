// The board around the wires: where each begins, how it runs, where it ends.
#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "viewer/report/clip.hpp"
#include "viewer/report/sheet_pieces.hpp"
#include "viewer/scene/board_scene.hpp"

namespace landfall::report {
namespace {

using scene::Align;
using scene::P;
using scene::Typeface;

constexpr double kPixelsPerMm = 96 / 25.4;
constexpr double kHeadHeight = 24;
constexpr double kRulers = 56;
constexpr double kMostHeight = 520;
constexpr double kMargin = 2.5;    // mm around the wires
constexpr double kMostScale = 60;  // pixels a mm

struct Region {
  P low{1e18, 1e18}, high{-1e18, -1e18};  // nm
  void see(Point p) {
    low = {std::min(low.x, static_cast<double>(p.x)), std::min(low.y, static_cast<double>(p.y))};
    high = {std::max(high.x, static_cast<double>(p.x)), std::max(high.y, static_cast<double>(p.y))};
  }
};

}  // namespace

void add_board(std::vector<Block>& blocks, const SheetInput& input) {
  std::vector<scene::BoardWire> wires;
  Region region;
  for (const rework::PlannedWire& wire : input.plan.wires) {
    if (wire.route.size() < 2) continue;
    for (const Point p : wire.route) region.see(p);
    wires.push_back({wire.route, wire.number, scene::WireState::kToDo});
  }
  if (wires.empty() || input.packages.empty()) return;
  const double width = (size_of(input.settings.paper).width - 2 * kSideMarginMm) * kPixelsPerMm;
  scene::BoardInput in;
  in.board = input.job.board.get();
  in.job = &input.job.job;
  in.wires = wires;
  in.theme = scene::ThemeName::kStrong;
  in.side = input.packages[0].side == Side::kBottom ? Side::kBottom : Side::kTop;
  in.part = input.packages[0].part;
  const double wide = (region.high.x - region.low.x) / 1e6 + 2 * kMargin;
  const double tall = (region.high.y - region.low.y) / 1e6 + 2 * kMargin;
  in.fixed_scale = std::min({kMostScale, (width - kRulers) / wide, (kMostHeight - kRulers) / tall});
  const scene::Rect area{0, kHeadHeight, width, tall * in.fixed_scale + kRulers};
  const P middle = (region.low + region.high) * 0.5;
  const scene::BoardView whole(in, area);
  in.pan = whole.inner().middle() - whole.to_screen(middle);
  const scene::Theme& theme = scene::theme(in.theme);
  scene::Canvas canvas(theme.stroke);
  scene::BoardView(in, area).draw(canvas);
  Block block;
  block.kind = BlockKind::kPicture;
  block.text = "Where the wires run on the board";
  block.picture = {width, area.y + area.height + 2, clipped(canvas.shapes(), area)};
  scene::Canvas head(theme.stroke);
  head.label({0, 10}, "WIRES", 15, Typeface::kBold, Align::kLeft, theme.ink);
  head.label(
      {64, 10.5},
      fmt::format("on the board's {} side{}, {:.1f} times as large; a number stands at both ends",
                  word(in.side), in.side == Side::kBottom ? ", mirrored" : "", in.fixed_scale / kPixelsPerMm),
      12, Typeface::kPlain, Align::kLeft, theme.ink);
  for (scene::Shape& shape : head.shapes()) block.picture.shapes.push_back(std::move(shape));
  blocks.push_back(std::move(block));
}

}  // namespace landfall::report
