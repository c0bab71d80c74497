// The maps on the sheets: the lands of each lifted part with marks, and on the wiring sheet with needs and
// the wires' ways; on request once more in true size, with a ruler. In the theme that prints best.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "viewer/report/clip.hpp"
#include "viewer/report/sheet_pieces.hpp"
#include "viewer/scene/map.hpp"
#include "viewer/scene/map_wires.hpp"
#include "viewer/scene/signs.hpp"

namespace landfall::report {
namespace {

using scene::Align;
using scene::Canvas;
using scene::P;
using scene::Typeface;

constexpr double kPixelsPerMm = 96 / 25.4;
constexpr double kRulers = 52;
constexpr double kHeadHeight = 24;
constexpr double kMostPitch = 38;

struct Sizes {
  double width = 0, height = 0;  // of the map with its rulers, pixels
  double pitch = 0;              // fixed, for true size; else 0
};

// The map's sign list, in rows of one height.
class Legend {
 public:
  Legend(Canvas& canvas, double top, double width) : canvas_(canvas), y_(top + 10), width_(width) {}

  template <class Draw>
  void entry(const std::string& text, const Draw& draw, scene::Colour ink) {
    const double wide = 22 + scene::text_width(text, 12, Typeface::kPlain) + 12;
    if (x_ + wide > width_ && x_ > 8) {
      x_ = 8;
      y_ += 20;
    }
    draw(P{x_, y_});
    canvas_.label({x_ + 13, y_}, text, 12, Typeface::kPlain, Align::kLeft, ink);
    x_ += wide;
  }
  void next_row() {
    if (x_ == 8) return;
    x_ = 8;
    y_ += 20;
  }
  [[nodiscard]] double bottom() const { return x_ > 8 ? y_ + 12 : y_ - 8; }

 private:
  Canvas& canvas_;
  double x_ = 8, y_, width_;
};

// Signs that only some maps have: the plan's wires, channels' limits.
void add_other_signs(Legend& legend, Canvas& canvas, const scene::MapInput& in, bool wires) {
  const scene::Theme& theme = scene::theme(in.theme);
  const Board& board = in.board->board();
  const auto& sites = in.package->sites;
  if (wires) {
    legend.entry(
        "a wire of the plan, by its number",
        [&](P at) {
          canvas.disc({at.x - 2, at.y}, 6.5, theme.ink);
          canvas.disc({at.x + 2, at.y}, 6.5, theme.ink);
          canvas.label(at, "1", 11, Typeface::kBold, Align::kMiddle, theme.lands);
        },
        theme.ink);
  }
  const bool channel = std::any_of(sites.begin(), sites.end(), [&](const PackageSite& site) {
    const Index net = board.pins[site.pin].net;
    return net != kNone && in.board->signals().nets[net].channel != kNone;
  });
  if (channel) {
    legend.entry(
        "limits of a channel",
        [&](P at) {
          canvas.dashes({at.x - 9, at.y}, {at.x + 9, at.y}, {9, 3, 3, 3}, 1.6, theme.ink);
        },
        theme.ink);
  }
  legend.next_row();
}

void add_legend(Legend& legend, Canvas& canvas, const scene::MapInput& in) {
  const scene::Theme& theme = scene::theme(in.theme);
  const Board& board = in.board->board();
  std::array<std::size_t, kSignalClasses> classes{};
  for (const PackageSite& site : in.package->sites) {
    const Index net = board.pins[site.pin].net;
    const SignalClass c =
        net == kNone ? SignalClass::kUnconnected : in.board->signals().nets[net].signal_class;
    ++classes[static_cast<std::size_t>(c)];
  }
  for (std::size_t c = 0; c < kSignalClasses; ++c) {
    if (classes[c] == 0) continue;
    const auto kind = static_cast<SignalClass>(c);
    legend.entry(
        fmt::format("{} {}", word(kind), classes[c]),
        [&](P at) { scene::draw_class(canvas, kind, at, 6.5, theme.classes[c], theme.field); }, theme.ink);
  }
  legend.next_row();
  std::set<MarkKind> marks;
  for (const Mark& mark : in.job->marks) {
    if (mark.part == board.parts[in.package->part].reference) marks.insert(mark.kind);
  }
  for (const MarkKind kind : marks) {
    legend.entry(
        std::string(word(kind)),
        [&](P at) {
          if (kind == MarkKind::kSound) {
            scene::draw_sound_corner(canvas, at, 6.5, theme.mark);
          } else {
            scene::draw_mark(canvas, kind, at, 6.5, theme.mark, theme.field);
          }
        },
        theme.ink);
  }
  if (in.assessment == nullptr) return legend.next_row();
  std::set<rework::Need> needs;
  for (const auto& site : in.assessment->sites) {
    if (board.pins[site.pin].part == in.package->part) needs.insert(site.need);
  }
  for (const rework::Need need : needs) {
    legend.entry(
        "needs: " + std::string(word(need)), [&](P at) { scene::draw_need(canvas, need, at, 5, theme.ink); },
        theme.ink);
  }
  legend.next_row();
}

void add_ruler(Canvas& canvas, const scene::Theme& theme, P at) {
  constexpr int kCentimetres = 5;
  for (int mm = 0; mm < kCentimetres * 10; ++mm) {
    if (mm % 10 == 0)
      canvas.rect({at.x + mm * kPixelsPerMm, mm % 20 == 0 ? at.y : at.y + 4, 10 * kPixelsPerMm, 4},
                  theme.ink);
    const double tick = mm % 10 == 0 ? 5 : (mm % 5 == 0 ? 4 : 2.5);
    canvas.line({at.x + mm * kPixelsPerMm, at.y - tick}, {at.x + mm * kPixelsPerMm, at.y}, 0.5, theme.ink);
  }
  const double end = at.x + kCentimetres * 10 * kPixelsPerMm;
  canvas.path({{at.x, at.y}, {end, at.y}, {end, at.y + 8}, {at.x, at.y + 8}, {at.x, at.y}}, 0.6, theme.ink);
  canvas.label({end + 8, at.y + 3}, "50 mm: measure it before you trust the size", 12, Typeface::kPlain,
               Align::kLeft, theme.ink);
}

// How far the sites lie from the package's middle at most, nm.
double farthest(const Package& package) {
  Nm far = 1;
  for (const PackageSite& site : package.sites)
    far = std::max({far, std::abs(site.place.x), std::abs(site.place.y)});
  return static_cast<double>(far);
}

Sizes true_sizes(const Package& package) {
  const double far = farthest(package);
  const double unit = package.kind == PackageKind::kAreaArray && package.pitch_x > 0
                          ? static_cast<double>(package.pitch_x)
                          : far / 12;
  Sizes sizes;
  sizes.pitch = unit / static_cast<double>(kNmPerMm) * kPixelsPerMm;
  const double half = (far / unit + 1.2) * sizes.pitch;
  sizes.width = sizes.height = 2 * half + kRulers;
  return sizes;
}

Sizes grid_sizes(const Package& package, double width, double height) {
  Sizes sizes{std::min(width, height), std::min(width, height), 0};
  if (package.kind != PackageKind::kAreaArray) return sizes;
  const double across = package.columns + 1.2;
  const double down = package.rows + 1.2;
  const double pitch = std::min({kMostPitch, (width - kRulers) / across, (height - kRulers) / down});
  return {across * pitch + kRulers, down * pitch + kRulers, 0};
}

scene::MapInput map_input(const SheetInput& input, const Package& package, bool needs) {
  scene::MapInput in;
  in.board = input.job.board.get();
  in.package = &package;
  in.job = &input.job.job;
  if (needs) in.assessment = &input.job.assessment;
  in.theme = scene::ThemeName::kStrong;
  return in;
}

// Rows and columns of a piece of the grid, from 1, both ends within.
struct Piece {
  int top = 0, bottom = 0, left = 0, right = 0;
};

// Where the work lies close together: the sites that need it, parted where several rows are free of them.
std::vector<Piece> crowded(const SheetInput& input, const Package& package) {
  constexpr int kFreeRows = 4;
  constexpr std::size_t kLeastSites = 4;
  constexpr int kAround = 2;  // rows and columns shown beside them
  std::map<Index, Site> site_of;
  for (const PackageSite& site : package.sites) site_of[site.pin] = site.site;
  std::vector<Site> work;
  for (const auto& site : input.job.assessment.sites) {
    if (site.need != rework::Need::kWire && site.need != rework::Need::kRebuild &&
        site.need != rework::Need::kCannot)
      continue;
    const auto at = site_of.find(site.pin);
    if (at != site_of.end() && at->second.row > 0) work.push_back(at->second);
  }
  std::sort(work.begin(), work.end(), [](const Site& a, const Site& b) { return a.row < b.row; });
  std::vector<Piece> pieces;
  for (std::size_t i = 0; i < work.size();) {
    std::size_t end = i + 1;
    while (end < work.size() && work[end].row - work[end - 1].row <= kFreeRows) ++end;
    Piece piece{work[i].row, work[end - 1].row, work[i].column, work[i].column};
    for (std::size_t k = i; k < end; ++k) {
      piece.left = std::min(piece.left, work[k].column);
      piece.right = std::max(piece.right, work[k].column);
    }
    if (end - i >= kLeastSites) {
      pieces.push_back({std::max(1, piece.top - kAround), std::min(package.rows, piece.bottom + kAround),
                        std::max(1, piece.left - kAround), std::min(package.columns, piece.right + kAround)});
    }
    i = end;
  }
  return pieces;
}

// A piece of the grid so near that numbers and names stand apart; nothing where that gains little.
std::optional<Block> close_up(const SheetInput& input, const Package& package, const MapWish& wish,
                              const Piece& piece) {
  constexpr double kNearest = 58;
  constexpr double kGain = 1.4;
  constexpr double kHeightShare = 0.78;  // two on a page
  const double width = (size_of(input.settings.paper).width - 2 * kSideMarginMm) * kPixelsPerMm;
  const double across = piece.right - piece.left + 3;  // and room for the ways out
  const double down = piece.bottom - piece.top + 3;
  const double pitch =
      std::min({kNearest, (width - kRulers) / across, (kHeightShare * wish.height - kRulers) / down});
  const Sizes whole = grid_sizes(package, width, wish.height);
  if (pitch < kGain * (whole.width - kRulers) / (package.columns + 1.2)) return std::nullopt;
  scene::MapInput in = map_input(input, package, wish.needs);
  const scene::Theme& theme = scene::theme(in.theme);
  in.fixed_pitch = pitch;
  in.centre = {(piece.left + piece.right) / 2.0 - (1.0 + package.columns) / 2,
               (1.0 + package.rows) / 2 - (piece.top + piece.bottom) / 2.0};
  const std::string& reference = in.board->board().parts[package.part].reference;
  const std::string from = fmt::format("{}{}", row_letters(piece.top), piece.left);
  const std::string to = fmt::format("{}{}", row_letters(piece.bottom), piece.right);
  Block block;
  block.kind = BlockKind::kPicture;
  block.text = fmt::format("{}, {} to {}, seen on the board, nearer", reference, from, to);
  Canvas canvas(theme.stroke);
  const double wide = across * pitch + kRulers;
  const scene::Rect area{(width - wide) / 2, kHeadHeight, wide, down * pitch + kRulers};
  const scene::MapView map(in, area);
  const scene::WiresOnMap wires{input.job.board->index(), package, map, input.plan, theme.lands};
  map.draw(canvas, [&](Canvas& c) { scene::draw_shut_in(c, theme, wires); });
  scene::draw_wires(canvas, theme, wires);
  Canvas whole_canvas(theme.stroke);
  whole_canvas.shapes() = clipped(canvas.shapes(), area);
  // Balls whose middle lies within the frame's band reach beyond it.
  const double right = area.x + area.width;
  const double bottom = area.y + area.height;
  whole_canvas.rect({area.x - pitch, area.y, pitch - 0.5, area.height + pitch}, theme.field);
  whole_canvas.rect({right + 0.5, area.y, pitch, area.height + pitch}, theme.field);
  whole_canvas.rect({area.x - pitch, bottom + 0.5, area.width + 2 * pitch, pitch}, theme.field);
  whole_canvas.rect({area.x - pitch, area.y - pitch, area.width + 2 * pitch, pitch - 0.5}, theme.field);
  whole_canvas.label({0, 10}, "LANDS", 15, Typeface::kBold, Align::kLeft, theme.ink);
  whole_canvas.label({64, 10.5}, fmt::format("{}, {} to {}: the same, nearer", reference, from, to), 12,
                     Typeface::kPlain, Align::kLeft, theme.ink);
  block.picture = {width, area.y + area.height + 6, std::move(whole_canvas.shapes())};
  return block;
}

Block map_block(const SheetInput& input, const Package& package, const MapWish& wish, bool true_size) {
  const double width = (size_of(input.settings.paper).width - 2 * kSideMarginMm) * kPixelsPerMm;
  scene::MapInput in = map_input(input, package, wish.needs);
  const scene::Theme& theme = scene::theme(in.theme);
  const Sizes sizes = true_size ? true_sizes(package) : grid_sizes(package, width, wish.height);
  in.true_scale = true_size;
  in.fixed_pitch = sizes.pitch;
  const std::string& reference = in.board->board().parts[package.part].reference;
  Block block;
  block.kind = BlockKind::kPicture;
  block.true_size = true_size;
  block.text = fmt::format("{} seen on the board, {} side{}", reference, word(package.side),
                           true_size ? ", in true size" : "");
  Canvas canvas(theme.stroke);
  const scene::Rect area{(width - sizes.width) / 2, kHeadHeight, sizes.width, sizes.height};
  const scene::MapView map(in, area);
  const scene::WiresOnMap wires{input.job.board->index(), package, map, input.plan, theme.lands};
  map.draw(canvas, [&](Canvas& c) {
    if (wish.wires) scene::draw_shut_in(c, theme, wires);
  });
  if (wish.wires) scene::draw_wires(canvas, theme, wires);
  canvas.label({0, 10}, "LANDS", 15, Typeface::kBold, Align::kLeft, theme.ink);
  canvas.label({64, 10.5},
               fmt::format("{}: looking down on the board's {} side{}", reference, word(package.side),
                           true_size ? ", 1:1" : ""),
               12, Typeface::kPlain, Align::kLeft, theme.ink);
  std::string pitch = package.pitch_x > 0 ? fmt::format("pitch {} mm", mm_text(package.pitch_x)) : "";
  if (package.kind == PackageKind::kAreaArray)
    pitch += (pitch.empty() ? "" : "; ") + std::string("A1: cut corner");
  if (true_size) pitch.clear();
  canvas.label({width, 10.5}, pitch, 12, Typeface::kPlain, Align::kRight, theme.ink);
  double bottom = area.y + area.height + 4;
  if (true_size) {
    add_ruler(canvas, theme, {4, bottom + 8});
    bottom += 24;
  } else {
    Legend legend(canvas, bottom, width);
    add_legend(legend, canvas, in);
    add_other_signs(legend, canvas, in, wish.wires && !input.plan.wires.empty());
    bottom = legend.bottom();
  }
  block.picture = {width, bottom, std::move(canvas.shapes())};
  return block;
}

void add_true_size(std::vector<Block>& blocks, const SheetInput& input, const Package& package,
                   const MapWish& wish) {
  const PaperSize paper = size_of(input.settings.paper);
  const std::string& reference = input.job.board->board().parts[package.part].reference;
  if (!package.from_places) {
    blocks.push_back(
        text(reference + " in true size: not possible, only its names are known, not its size."));
    return;
  }
  const Sizes sizes = true_sizes(package);
  const double room_x = (paper.width - 2 * kSideMarginMm) * kPixelsPerMm;
  const double room_y = (paper.height - kTopMarginMm - kBottomMarginMm - 4) * kPixelsPerMm - kHeadHeight - 30;
  if (sizes.width > room_x || sizes.height > room_y) {
    blocks.push_back(text(reference + " in true size does not fit on this paper."));
    return;
  }
  blocks.push_back(map_block(input, package, wish, true));
}

}  // namespace

void add_maps(std::vector<Block>& blocks, const SheetInput& input, const MapWish& wish) {
  for (const Package& package : input.packages) {
    if (package.sites.empty()) continue;
    blocks.push_back(map_block(input, package, wish, false));
    if (wish.wires && package.kind == PackageKind::kAreaArray) {
      for (const Piece& piece : crowded(input, package)) {
        if (auto near = close_up(input, package, wish, piece)) blocks.push_back(std::move(*near));
      }
    }
    if (input.settings.scale_1_to_1) {
      MapWish plain = wish;
      plain.needs = plain.wires = false;
      add_true_size(blocks, input, package, plain);
    }
  }
}

}  // namespace landfall::report
