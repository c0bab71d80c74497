#include <algorithm>
#include <cstdlib>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "importers/ipc_d_356/drafts.hpp"
#include "importers/ipc_d_356/names.hpp"

namespace landfall::importers::ipc_d_356 {
namespace {

constexpr int kThroughAccess = 0;
constexpr int kTopAccess = 1;

// A land that the same record, written twice, would give again.
struct LandKey {
  Index pin = kNone;
  int access = 0;
  Point at;
  friend bool operator==(const LandKey&, const LandKey&) = default;
};
struct LandHash {
  std::size_t operator()(const LandKey& key) const {
    std::size_t hash = key.pin;
    for (const Nm part : {Nm{key.access}, key.at.x, key.at.y})
      hash = (hash ^ static_cast<std::size_t>(part)) * 0x9E3779B97F4A7C15U;
    return hash ^ (hash >> 32U);
  }
};

class BoardBuilder {
 public:
  BoardBuilder(Drafts& drafts, Diagnostics& log)
      : drafts_(drafts),
        log_(log),
        rules_(find_rules(drafts, log)),
        names_(drafts, rules_.writer, board_, log) {}

  Board build() {
    board_.title = drafts_.title.empty() ? drafts_.job : drafts_.title;
    for (int i = 1; i <= rules_.layer_count; ++i) board_.layers.push_back(fmt::format("L{}", i));
    // Exactly, since a list that grows takes its size twice while it does.
    std::size_t pins = 0;
    for (const Feature& feature : drafts_.features) pins += is_pin(feature.record) ? 1U : 0U;
    board_.lands.reserve(pins);
    names_.reserve(pins);
    first_.reserve(pins);
    drafts_.features.use_up([this](const Feature& feature) { add(feature); });
    place_parts();
    for (const Conductor& conductor : drafts_.conductors) add_conductor(conductor);
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
    names_.report_aliases();
    return std::move(board_);
  }

 private:
  // What 017 and 027 records go on with.
  enum class Head { kNothing, kLand, kVia, kHole };

  Cover cover(int mask, bool top) const {
    if (mask < 0 || rules_.mask == MaskRule::kUnknown) return Cover::kUnknown;
    const bool named = (mask & (top ? 1 : 2)) != 0;
    return named == (rules_.mask == MaskRule::kNamesCovered) ? Cover::kTented : Cover::kOpen;
  }

  Nm length(std::int64_t value) const { return value * drafts_.unit; }

  void add(const Feature& feature) {
    const Record& r = feature.record;
    const bool head = r.code >= 300;
    const Nm most = kFarthest / drafts_.unit;
    if (std::abs(Nm{r.x}) > most || std::abs(Nm{r.y}) > most) {
      log_.warn(feature.line, 42, "place", "a place further out than 10 m: skipped");
      if (head) head_ = Head::kNothing;
      return;
    }
    const Point at{length(r.x), length(r.y)};
    if (!head) return add_more(feature, at);
    net_ = names_.net(r.net, feature.line);
    pin_ = kNone;
    if (r.code == 367 || r.plating == Plating::kUnplated) return add_unplated(feature, at);
    if (is_pin(r)) return add_pin(feature, at);
    if (r.drill > 0 || r.reference == "VIA" || r.code == 307) return add_via(feature, at);
    add_land(feature, at);
  }

  // 017 and 027 belong to the record before: the pad of its hole, or a further land, with a side, a size and
  // a hole of its own.
  void add_more(const Feature& feature, Point at) {
    const Record& r = feature.record;
    const Head head = head_;
    switch (head) {
      case Head::kNothing:
        log_.warn(feature.line, 1, "continuation",
                  "this continues a record that was not read: skipped with it");
        break;
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

  bool widen_via(const Record& r, Point at) {
    Via& via = board_.vias.back();
    if (via.at != at) return false;
    via.diameter = std::max(via.diameter, length(std::max(r.width, r.height)));
    if (via.drill == 0) via.drill = length(r.drill);
    return true;
  }

  // Whether the record only says more of the land before: its size, or that of the pad around its hole.
  bool widen_land(const Record& r, Point at) {
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
    const Record& r = feature.record;
    board_.holes.push_back({at, length(r.drill)});
    if (r.code >= 300 && is_pin(r)) {
      pin_ = names_.pin(r.reference, r.pin, net_, feature.line);
      bare_pins_.emplace_back(board_.pins[pin_].part, at);
    }
    if (std::max(r.width, r.height) > r.drill && (pin_ != kNone || net_ != kNone)) add_ring(feature, at);
    head_ = Head::kHole;
  }

  // Copper around a hole without a barrel: a land on each side that it is on.
  void add_ring(const Feature& feature, Point at) {
    Feature ring = feature;
    ring.record.drill = 0;
    if (feature.record.access == kThroughAccess) {
      ring.record.access = kTopAccess;
      add_land(ring, at);
      ring.record.access = static_cast<std::int16_t>(rules_.layer_count);
    }
    add_land(ring, at);
  }

  void add_via(const Feature& feature, Point at) {
    const Record& r = feature.record;
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
    const Record& r = feature.record;
    pin_ = names_.pin(r.reference, r.pin, net_, feature.line);
    const bool through_all = r.access == kThroughAccess && r.first_layer == 0;
    if (r.code != 307 || through_all) return add_land(feature, at);
    // A blind hole in the pin's own land.
    add_via(feature, at);
    Feature land = feature;
    land.record.drill = 0;
    add_land(land, at);
  }

  // The land that the pin has at this place and side already; kNone: none, and `fresh` is now that land. The
  // same record twice is one land. Most pins have one land only, so the table holds those of the others.
  Index same_land(int access, Point at, Index fresh) {
    if (pin_ >= first_.size())
      first_.resize(std::max<std::size_t>(board_.pins.size(), first_.size() * 2), {kNone, 0});
    auto& [first, first_access] = first_[pin_];
    if (first == kNone) {
      first = fresh;
      first_access = access;
      return kNone;
    }
    lands_.try_emplace({pin_, first_access, board_.lands[first].at}, first);
    const auto [entry, unseen] = lands_.try_emplace({pin_, access, at}, fresh);
    return unseen ? kNone : entry->second;
  }

  LandShape shape_of(const Record& r) const {
    if (r.height == 0) return LandShape::kCircle;
    return r.height == r.width && r.drill > 0 ? LandShape::kCircle : LandShape::kRect;
  }

  double angle_of(const Record& r) const {
    return normal_degrees(static_cast<double>(r.turn) * rules_.degrees_per_turn);
  }

  bool is_through(const Record& r) const { return r.drill > 0 || r.access == kThroughAccess; }

  // The side of a surface record.
  Side side_of(const Record& r) const {
    const bool bottom = r.access == rules_.bottom || r.access >= rules_.layer_count;
    return bottom && r.access > kTopAccess ? Side::kBottom : Side::kTop;
  }

  LayerSet layers_of(const Record& r) const {
    const int count = rules_.layer_count;
    if (is_through(r)) return count >= kMostLayers ? ~LayerSet{0} : layer_bit(count) - 1;
    if (side_of(r) == Side::kBottom) return layer_bit(count - 1);
    return layer_bit(std::clamp<int>(r.access, kTopAccess, count) - 1);
  }

  // A land of the present net, and pin if there is one.
  void add_land(const Feature& feature, Point at) {
    const Record& r = feature.record;
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
    struct Extent {
      Point low, high;
      bool any = false, bottom = false, top = false;
      void take(Point at) {
        if (!any) low = high = at;
        any = true;
        low = {std::min(low.x, at.x), std::min(low.y, at.y)};
        high = {std::max(high.x, at.x), std::max(high.y, at.y)};
      }
    };
    std::vector<Extent> extents(board_.parts.size());
    for (const Land& land : board_.lands) {
      if (land.part == kNone) continue;
      Extent& extent = extents[land.part];
      extent.take(land.at);
      extent.bottom = extent.bottom || land.side == Side::kBottom;
      extent.top = extent.top || land.side == Side::kTop;
    }
    for (const auto& [part, at] : bare_pins_) extents[part].take(at);
    for (std::size_t i = 0; i < extents.size(); ++i) {
      if (!extents[i].any) continue;
      Part& part = board_.parts[i];
      part.placed = true;
      part.at = {(extents[i].low.x + extents[i].high.x) / 2, (extents[i].low.y + extents[i].high.y) / 2};
      part.side = extents[i].bottom && !extents[i].top ? Side::kBottom : Side::kTop;
    }
  }

  void add_conductor(const Conductor& conductor) {
    const Nm most = kFarthest / drafts_.unit;
    const auto far = [most](Point p) { return std::abs(p.x) > most || std::abs(p.y) > most; };
    if (std::any_of(conductor.points.begin(), conductor.points.end(), far)) {
      log_.warn(conductor.line, 1, "conductor",
                "a place further out than 10 m: its two neighbours are not joined");
    }
    const Index net = conductor.outline ? kNone : names_.net(conductor.net, conductor.line);
    for (std::size_t i = 1; i < conductor.points.size(); ++i) {
      if (far(conductor.points[i - 1]) || far(conductor.points[i])) continue;
      const Point from{length(conductor.points[i - 1].x), length(conductor.points[i - 1].y)};
      const Point to{length(conductor.points[i].x), length(conductor.points[i].y)};
      if (conductor.outline) {
        if (conductor.net == "BOARD_EDGE") board_.outline.push_back({from, to});
      } else if (from != to && conductor.layer > 0) {
        board_.tracks.push_back(
            {from, to, length(conductor.width), std::min(conductor.layer, rules_.layer_count) - 1, net});
      }
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
  Names names_;
  std::vector<std::pair<Index, int>> first_;  // a pin's first land, and its access number; by pin
  std::unordered_map<LandKey, Index, LandHash> lands_;
  std::vector<std::pair<Index, Point>> bare_pins_;  // part and place of pins in unplated holes
  Head head_ = Head::kNothing;
  Index net_ = kNone, pin_ = kNone;  // of the present head
  Index last_land_ = kNone;
  std::size_t unknown_spans_ = 0, inner_lands_ = 0;
};

}  // namespace

Board build_board(Drafts& drafts, Diagnostics& log) {
  return BoardBuilder(drafts, log).build();
}

}  // namespace landfall::importers::ipc_d_356
