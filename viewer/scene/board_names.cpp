#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>

#include "viewer/scene/board_scene.hpp"

// Where the names stand: in the part, else beside it where there is room. Never turned, never cut.

namespace landfall::scene {
namespace {

constexpr double kInside = 13;
constexpr double kBeside = 11;
constexpr double kLeastNamed = 9;  // pixels: a smaller part is named only when all are
constexpr std::size_t kMostPinNames = 16;

// What is taken already, in cells of 48 pixels.
class Taken {
 public:
  void add(const Rect& r) {
    for_cells(r, [&](long key) { cells_[key].push_back(r); });
  }
  // How much of `r` is taken, in square pixels; what lies there twice counts twice.
  [[nodiscard]] double overlap(const Rect& r) const {
    double sum = 0;
    for_cells(r, [&](long key) {
      const auto found = cells_.find(key);
      if (found == cells_.end()) return;
      for (const Rect& other : found->second) {
        const double wide = std::min(r.x + r.width, other.x + other.width) - std::max(r.x, other.x);
        const double high = std::min(r.y + r.height, other.y + other.height) - std::max(r.y, other.y);
        if (wide > 0 && high > 0) sum += wide * high;
      }
    });
    return sum;
  }

 private:
  static constexpr double kCell = 48;
  static void for_cells(const Rect& r, const auto& visit) {
    const auto cell = [](double v) { return std::lround(std::floor(v / kCell)); };
    for (long x = cell(r.x); x <= cell(r.x + r.width); ++x) {
      for (long y = cell(r.y); y <= cell(r.y + r.height); ++y) visit(x * 100'003 + y);
    }
  }
  std::unordered_map<long, std::vector<Rect>> cells_;
};

Rect around(const std::array<P, 4>& ring) {
  Rect r{ring[0].x, ring[0].y, 0, 0};
  double right = ring[0].x;
  double bottom = ring[0].y;
  for (const P p : ring) {
    r.x = std::min(r.x, p.x);
    r.y = std::min(r.y, p.y);
    right = std::max(right, p.x);
    bottom = std::max(bottom, p.y);
  }
  r.width = right - r.x;
  r.height = bottom - r.y;
  return r;
}

bool within(const Rect& r, const Rect& outer) {
  return r.x >= outer.x && r.y >= outer.y && r.x + r.width <= outer.x + outer.width &&
         r.y + r.height <= outer.y + outer.height;
}

// Beside the box: above, below, right, left, then the corners and farther off.
std::array<Rect, 12> places_beside(const Rect& box, double wide, double high) {
  const P m = box.middle();
  const double left = box.x - wide - 2;
  const double right = box.x + box.width + 2;
  const double above = box.y - high - 1;
  const double below = box.y + box.height + 1;
  return {Rect{m.x - wide / 2, above, wide, high},
          Rect{m.x - wide / 2, below, wide, high},
          Rect{right, m.y - high / 2, wide, high},
          Rect{left, m.y - high / 2, wide, high},
          Rect{box.x, above, wide, high},
          Rect{box.x + box.width - wide, above, wide, high},
          Rect{box.x, below, wide, high},
          Rect{box.x + box.width - wide, below, wide, high},
          Rect{right, above + high / 2, wide, high},
          Rect{left, above + high / 2, wide, high},
          Rect{right, below - high / 2, wide, high},
          Rect{left, below - high / 2, wide, high}};
}

}  // namespace

// One pass over the names of a view.
struct BoardView::Names {
  const BoardView& view;
  Canvas& canvas;
  Taken taken;
  std::vector<Rect> boxes;  // by part
  Rect free;

  Names(const BoardView& v, Canvas& c) : view(v), canvas(c), boxes(v.boxes_.size()) {
    free = {v.inner_.x + 2, v.inner_.y + 2, v.inner_.width - 4, v.inner_.height - 4};
    for (const Index part : v.parts_) {
      const auto& ring = v.boxes_[part].corners;
      boxes[part] =
          around({v.to_screen(ring[0]), v.to_screen(ring[1]), v.to_screen(ring[2]), v.to_screen(ring[3])});
      taken.add(boxes[part]);
    }
  }

  // The least taken place; nothing when even that is taken and the name need not stand.
  [[nodiscard]] std::optional<Rect> place(const Rect& box, double wide, double high, bool must) const {
    std::optional<Rect> best;
    double least = 1e18;
    for (const Rect& r : places_beside(box, wide, high)) {
      if (!within(r, free)) continue;
      const double overlap = taken.overlap(r);
      if (overlap >= least) continue;
      least = overlap;
      best = r;
      if (overlap <= 0) break;
    }
    return least <= 0 || must ? best : std::nullopt;
  }

  [[nodiscard]] int free_places(Index part, double wide) const {
    int count = 0;
    for (const Rect& r : places_beside(boxes[part], wide, kBeside + 1))
      count += within(r, free) && taken.overlap(r) <= 0 ? 1 : 0;
    return count;
  }

  // The pins of the net under study, where they are few: they are what was asked for.
  void pins() {
    const BoardIndex& index = view.in_.board->index();
    const auto all = view.net_ == kNone ? std::span<const Index>() : index.pins_of_net(view.net_);
    if (all.size() > kMostPinNames) return;
    for (const Index pin : all) {
      const auto lands = index.lands_of_pin(pin);
      if (lands.empty()) continue;
      const Land& land = view.board_.lands[lands.front()];
      const P at = view.to_screen(place_of(land.at));
      if (!view.on_side(land) || !view.inner_.contains(at)) continue;
      const double r =
          std::max(static_cast<double>(std::min(land.width, land.height)) / 2 * view.scale_ + 4, 7.0);
      const std::string text = clean_text(index.pin_text(pin));
      const double wide = text_width(text, 12, Typeface::kMonoBold) + 4;
      const auto spot = place({at.x - r, at.y - r, 2 * r, 2 * r}, wide, 15, true);
      if (!spot) continue;
      taken.add(*spot);
      canvas.rect(*spot, view.theme_.lands);
      canvas.label(spot->middle(), text, 12, Typeface::kMonoBold, Align::kMiddle, view.theme_.act);
    }
  }

  // True when the part is dealt with: its name stands inside, or it has none to show.
  bool inside(Index part) {
    const PartBox& own = view.boxes_[part];
    const Rect& box = boxes[part];
    const std::string name = clean_text(view.board_.parts[part].reference);
    // '?' stands for no name in a file: fiducials, logos.
    if (name.empty() || name.front() == '?' || !view.inner_.contains(box.middle())) return true;
    const bool chosen = view.strong(part);
    const double size = chosen ? 17 : kInside;
    const Typeface face = chosen ? Typeface::kBold : Typeface::kPlain;
    const double wide = text_width(name, size, face) + 6;
    if (wide > box.width - 2 || size + 4 > box.height || own.lands < 2) {
      return !chosen && !view.in_.name_all && std::max(box.width, box.height) < kLeastNamed;
    }
    const Rect plate{box.middle().x - wide / 2, box.middle().y - size * 0.62, wide, size * 1.24};
    canvas.rect(plate, own.side == view.in_.side ? view.theme_.sheet : view.theme_.lands);
    canvas.label(plate.middle(), name, size, face, Align::kMiddle,
                 chosen ? view.theme_.ink : view.theme_.ink2);
    taken.add(plate);
    return true;
  }

  void beside(Index part) {
    const bool chosen = view.strong(part);
    const Typeface face = chosen ? Typeface::kBold : Typeface::kPlain;
    const std::string name = clean_text(view.board_.parts[part].reference);
    const auto spot =
        place(boxes[part], text_width(name, kBeside, face), kBeside + 1, view.in_.name_all || chosen);
    if (!spot) return;
    taken.add(*spot);
    if (view.net_ != kNone)
      canvas.rect(*spot, view.theme_.lands);  // else copper of the net might run through it
    canvas.label(spot->middle(), name, kBeside, face, Align::kMiddle,
                 chosen ? view.theme_.ink : view.theme_.ink2);
  }
};

void BoardView::draw_names(Canvas& canvas) const {
  Names names(*this, canvas);
  names.pins();
  // Those with the fewest free places choose first.
  std::vector<std::pair<int, Index>> rest;
  for (const Index part : parts_) {
    if (names.inside(part)) continue;
    const double wide = text_width(board_.parts[part].reference, kBeside, Typeface::kPlain);
    rest.emplace_back(strong(part) ? -1 : names.free_places(part, wide), part);
  }
  std::stable_sort(rest.begin(), rest.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (const auto& entry : rest) names.beside(entry.second);
}

}  // namespace landfall::scene
