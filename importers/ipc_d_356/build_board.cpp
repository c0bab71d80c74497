#include <algorithm>
#include <cstdlib>
#include <utility>

#include <fmt/format.h>

#include "importers/ipc_d_356/drafts.hpp"
#include "importers/text/name_index.hpp"

namespace landfall::importers::ipc_d_356 {
namespace {

constexpr int kThroughAccess = 0;
constexpr int kTopAccess = 1;

class BoardBuilder {
 public:
  BoardBuilder(Drafts& drafts, Diagnostics& log)
      : drafts_(drafts),
        log_(log),
        rules_(find_rules(drafts, log)),
        resolved_(resolve_names(drafts, rules_.writer, board_, log)) {}

  Board build() {
    board_.title = drafts_.title.empty() ? drafts_.job : drafts_.title;
    for (int i = 1; i <= rules_.layer_count; ++i) board_.layers.push_back(fmt::format("L{}", i));
    // Lists that grow take their size twice; what is reserved and not used takes no memory.
    board_.lands.reserve(resolved_.lands);
    board_.vias.reserve(resolved_.vias);
    known_lands_.reserve(resolved_.repeats);
    land_index_.reserve(resolved_.repeats);
    while (!drafts_.features.empty()) add(drafts_.features.take_first());
    place_parts();
    board_.tracks.reserve(resolved_.tracks);
    board_.outline.reserve(resolved_.edges);
    while (!drafts_.chains.empty()) add_chain(drafts_.chains.take_first());
    check_extent();
    if (unknown_spans_ > 0) {
      log_.warn(0, 0, "span-unknown",
                fmt::format("{} blind or buried vias name one layer only: how deep they go is not known",
                            unknown_spans_));
    }
    if (inner_lands_ > 0) {
      log_.warn(
          0, 0, "layer-inner",
          fmt::format("{} surface records are neither on the top nor on the bottom layer: their side is "
                      "given as top",
                      inner_lands_));
    }
    report_aliases();
    return std::move(board_);
  }

 private:
  // What 017 and 027 records go on with.
  enum class Head { kLand, kVia, kHole };

  Cover cover(int mask, bool top) const {
    if (mask < 0 || rules_.mask == MaskRule::kUnknown) return Cover::kUnknown;
    const bool named = (mask & (top ? 1 : 2)) != 0;
    return named == (rules_.mask == MaskRule::kNamesCovered) ? Cover::kTented : Cover::kOpen;
  }

  Nm length(std::int64_t value) const { return value * drafts_.unit; }

  void add(const Feature& feature) {
    const Measures& r = feature.measures;
    if (r.code == 0) return;
    const Point at{length(r.x), length(r.y)};
    if (r.code < 300) return add_more(feature, at);
    net_ = feature.net;
    pin_ = feature.pin;
    if (r.code == 367 || r.plating == Plating::kUnplated) return add_unplated(feature, at);
    if (pin_ != kNone) return add_pin(feature, at);
    if (r.drill > 0 || feature.part == kViaName || r.code == 307) return add_via(feature, at);
    add_land(feature, at);
  }

  // 017 and 027 belong to the record before: the pad of its hole, or a further land, with a side, a size and
  // a hole of its own.
  void add_more(const Feature& feature, Point at) {
    const Measures& r = feature.measures;
    const Head head = head_;
    switch (head) {
      case Head::kLand:
        if (!widen_land(r, at)) add_land(feature, at);
        break;
      case Head::kVia:
        if (widen_via(r, at)) break;
        if (r.drill > 0) {
          add_via(feature, at);
        } else {
          add_land(feature, at);
        }
        break;
      case Head::kHole:
        if (r.drill > 0 && r.plating != Plating::kPlated) {
          add_unplated(feature, at);
        } else if (r.drill > 0) {
          add_land(feature, at);
        } else {
          add_ring(feature, at);
        }
        break;
    }
    head_ = head;
  }

  bool widen_via(const Measures& r, Point at) {
    Via& via = board_.vias.back();
    if (via.at != at) return false;
    via.diameter = std::max(via.diameter, length(std::max(r.width, r.height)));
    if (via.drill == 0) via.drill = length(r.drill);
    return true;
  }

  // Whether the record only says more of the land before: its size, or that of the pad around its hole.
  bool widen_land(const Measures& r, Point at) {
    Land& before = board_.lands[last_land_];
    const bool barrel = before.side == Side::kThrough;
    if (before.at != at || (r.drill > 0 && before.drill == 0)) return false;
    if (!barrel && before.layers != layers_of(r)) return false;
    const Nm height = length(r.height == 0 ? r.width : r.height);
    if (before.width == 0) {
      before.shape = shape_of(r);
      before.angle = angle_of(r);
    }
    before.width = std::max(before.width, length(r.width));
    before.height = std::max(before.height, height);
    return true;
  }

  void add_unplated(const Feature& feature, Point at) {
    const Measures& r = feature.measures;
    board_.holes.push_back({at, length(r.drill)});
    if (r.code >= 300 && pin_ != kNone) bare_pins_.emplace_back(board_.pins[pin_].part, at);
    if (std::max(r.width, r.height) > r.drill && (pin_ != kNone || net_ != kNone)) add_ring(feature, at);
    head_ = Head::kHole;
  }

  // Copper around a hole without a barrel: a land on each side that it is on.
  void add_ring(const Feature& feature, Point at) {
    Feature ring = feature;
    ring.measures.drill = 0;
    if (feature.measures.access == kThroughAccess) {
      ring.measures.access = kTopAccess;
      add_land(ring, at);
      ring.measures.access = static_cast<std::int16_t>(rules_.layer_count);
    }
    add_land(ring, at);
  }

  void add_via(const Feature& feature, Point at) {
    const Measures& r = feature.measures;
    Via via;
    via.at = at;
    via.diameter = length(std::max(r.width, r.height));
    via.drill = length(r.drill);
    via.net = net_;
    via.last = rules_.layer_count - 1;
    if (r.first_layer > 0 && r.last_layer > 0) {
      via.first = std::min<int>({r.first_layer, r.last_layer, rules_.layer_count}) - 1;
      via.last = std::min<int>(std::max(r.first_layer, r.last_layer), rules_.layer_count) - 1;
    } else if (r.code == 307 && r.access != kThroughAccess) {
      ++unknown_spans_;
      via.first = via.last = std::clamp<int>(r.access, kTopAccess, rules_.layer_count) - 1;
    }
    via.top = cover(r.mask, true);
    via.bottom = cover(r.mask, false);
    board_.vias.push_back(via);
    head_ = Head::kVia;
  }

  void add_pin(const Feature& feature, Point at) {
    const Measures& r = feature.measures;
    const bool through_all = r.access == kThroughAccess && r.first_layer == 0;
    if (r.code != 307 || through_all) return add_land(feature, at);
    // A blind hole in the pin's own land.
    add_via(feature, at);
    Feature land = feature;
    land.measures.drill = 0;
    add_land(land, at);
  }

  // The land that the pin has at this place and side already; kNone: none, and `fresh` is now that land. The
  // same record twice is one land. Most pins have one record only, and are not asked.
  Index same_land(int access, Point at, Index fresh) {
    if (!resolved_.several[pin_]) return kNone;
    const auto same = [&](Index i) {
      const Land& land = board_.lands[known_lands_[i].first];
      return land.pin == pin_ && known_lands_[i].second == access && land.at == at;
    };
    const auto [entry, unseen] =
        land_index_.find_or_add(land_hash(access, at), static_cast<Index>(known_lands_.size()), same);
    if (!unseen) return known_lands_[entry].first;
    known_lands_.emplace_back(fresh, access);
    return kNone;
  }

  std::size_t land_hash(int access, Point at) const {
    std::size_t hash = pin_;
    for (const Nm part : {Nm{access}, at.x, at.y}) hash = (hash ^ static_cast<std::size_t>(part)) * kSpread;
    return hash ^ (hash >> 32U);
  }

  LandShape shape_of(const Measures& r) const {
    if (r.height == 0) return LandShape::kCircle;
    return r.height == r.width && r.drill > 0 ? LandShape::kCircle : LandShape::kRect;
  }

  double angle_of(const Measures& r) const {
    return normal_degrees(static_cast<double>(r.turn) * rules_.degrees_per_turn);
  }

  bool is_through(const Measures& r) const { return r.drill > 0 || r.access == kThroughAccess; }

  // The side of a surface record.
  Side side_of(const Measures& r) const {
    const bool bottom = r.access == rules_.bottom || r.access >= rules_.layer_count;
    return bottom && r.access > kTopAccess ? Side::kBottom : Side::kTop;
  }

  LayerSet layers_of(const Measures& r) const {
    const int count = rules_.layer_count;
    if (is_through(r)) return count >= kMostLayers ? ~LayerSet{0} : layer_bit(count) - 1;
    if (side_of(r) == Side::kBottom) return layer_bit(count - 1);
    return layer_bit(std::clamp<int>(r.access, kTopAccess, count) - 1);
  }

  // A land of the present net, and pin if there is one.
  void add_land(const Feature& feature, Point at) {
    const Measures& r = feature.measures;
    head_ = Head::kLand;
    last_land_ = static_cast<Index>(board_.lands.size());
    if (pin_ != kNone) {
      if (const Index same = same_land(r.access, at, last_land_); same != kNone) {
        last_land_ = same;
        return;
      }
    }
    Land land;
    land.pin = pin_;
    if (pin_ != kNone) land.part = board_.pins[pin_].part;
    land.net = net_;
    land.at = land.hole = at;
    land.width = length(r.width);
    land.height = r.height == 0 ? land.width : length(r.height);
    land.shape = shape_of(r);
    land.angle = angle_of(r);
    land.drill = length(r.drill);
    land.side = is_through(r) ? Side::kThrough : side_of(r);
    land.layers = layers_of(r);
    if (land.side == Side::kTop && land.layers != layer_bit(0)) ++inner_lands_;
    board_.lands.push_back(std::move(land));
  }

  void place_parts() {
    std::vector<PartExtent> extents(board_.parts.size());
    for (const Land& land : board_.lands) {
      if (land.part == kNone) continue;
      PartExtent& extent = extents[land.part];
      take(extent, land.at);
      extent.bottom = extent.bottom || land.side == Side::kBottom;
      extent.top = extent.top || land.side == Side::kTop;
    }
    for (const auto& [part, at] : bare_pins_) take(extents[part], at);
    for (std::size_t i = 0; i < extents.size(); ++i) {
      const PartExtent& extent = extents[i];
      if (!extent.any) continue;
      Part& part = board_.parts[i];
      part.placed = true;
      part.at = {(length(extent.left) + length(extent.right)) / 2,
                 (length(extent.low) + length(extent.high)) / 2};
      part.side = extent.bottom && !extent.top ? Side::kBottom : Side::kTop;
    }
  }

  // In the file's unit again, since there may be as many parts as half the pins.
  struct PartExtent {
    std::int32_t left = 0, right = 0, low = 0, high = 0;
    bool any = false, bottom = false, top = false;
  };
  void take(PartExtent& extent, Point at) const {
    const auto x = static_cast<std::int32_t>(at.x / drafts_.unit);
    const auto y = static_cast<std::int32_t>(at.y / drafts_.unit);
    if (!extent.any) extent = {x, x, y, y, true, extent.bottom, extent.top};
    extent.left = std::min(extent.left, x);
    extent.right = std::max(extent.right, x);
    extent.low = std::min(extent.low, y);
    extent.high = std::max(extent.high, y);
  }

  Point next_point() {
    const DraftPoint p = drafts_.points.take_first();
    return {p.x, p.y};
  }

  void add_chain(const Chain& chain) {
    const Nm most = kFarthest / drafts_.unit;
    const auto far = [most](Point p) { return std::abs(p.x) > most || std::abs(p.y) > most; };
    Point before;
    for (std::size_t i = 0; i < chain.points; ++i) {
      const Point last = std::exchange(before, next_point());
      if (i == 0 || far(last) || far(before)) continue;
      const Point from{length(last.x), length(last.y)};
      const Point to{length(before.x), length(before.y)};
      if (chain.outline) {
        if (chain.board_edge) board_.outline.push_back({from, to});
      } else if (from != to && chain.layer > 0) {
        board_.tracks.push_back(
            {from, to, length(chain.width), std::min<int>(chain.layer, rules_.layer_count) - 1, chain.net});
      }
    }
  }

  void report_aliases() {
    std::sort(resolved_.unexplained.begin(), resolved_.unexplained.end());
    for (const auto& [line, net] : resolved_.unexplained) {
      log_.warn(line, 4, "alias",
                fmt::format("{} stands for no name in this file: kept as the name", board_.nets[net].name));
    }
  }

  // Some home-made writers mean other units than they state.
  void check_extent() {
    if (board_.lands.empty()) return;
    Point low = board_.lands.front().at;
    Point high = low;
    for (const Land& land : board_.lands) {
      low = {std::min(low.x, land.at.x), std::min(low.y, land.at.y)};
      high = {std::max(high.x, land.at.x), std::max(high.y, land.at.y)};
    }
    const Nm extent = std::max(high.x - low.x, high.y - low.y);
    if (board_.lands.size() > 3 && (extent > 1'500 * kNmPerMm || extent < 5 * kNmPerMm)) {
      log_.warn(0, 0, "units-doubtful",
                fmt::format("the board would measure {} mm: are the file's units what it says?",
                            mm_text(extent, 1)));
    }
  }

  Drafts& drafts_;
  Diagnostics& log_;
  Board board_;
  FileRules rules_;
  Resolved resolved_;
  NameIndex land_index_;                            // of pins with several records, into known_lands_
  std::vector<std::pair<Index, int>> known_lands_;  // and the access number of its record
  std::vector<std::pair<Index, Point>> bare_pins_;  // part and place of pins in unplated holes
  Head head_ = Head::kLand;
  Index net_ = kNone, pin_ = kNone;  // of the present head
  Index last_land_ = kNone;
  std::size_t unknown_spans_ = 0, inner_lands_ = 0;
};

}  // namespace

Board build_board(Drafts& drafts, Diagnostics& log) {
  return BoardBuilder(drafts, log).build();
}

}  // namespace landfall::importers::ipc_d_356
