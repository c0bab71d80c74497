#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "importers/ipc_d_356/drafts.hpp"

namespace landfall::importers::ipc_d_356 {
namespace {

constexpr int kThroughAccess = 0;
constexpr int kTopAccess = 1;

// Mask digits of FORMATS.md 3.4: by the standard they name covered sides; some writers name the open ones.
enum class MaskRule { kUnknown, kNamesCovered, kNamesOpen };

class BoardBuilder {
 public:
  BoardBuilder(const Drafts& drafts, Diagnostics& log) : drafts_(drafts), log_(log) {}

  Board build() {
    find_layers();
    mask_rule_ = find_mask_rule();
    for (const Feature& feature : drafts_.features) add(feature);
    place_parts();
    add_conductors();
    check_extent();
    if (unknown_spans_ > 0) {
      log_.warn(0, 0, "span-unknown",
                fmt::format("{} blind or buried vias name one layer only: how deep they go is not known",
                            unknown_spans_));
    }
    for (const auto& [alias, line] : unknown_aliases_) {
      log_.warn(line, 4, "alias", fmt::format("{} stands for no name in this file: kept as the name", alias));
    }
    return std::move(board_);
  }

 private:
  static bool is_head(const Record& r) { return r.code >= 300; }
  static bool is_pin(const Record& r) {
    return !r.reference.empty() && !r.pin.empty() && r.reference != "VIA" && r.reference != "NOREF";
  }

  // The highest access number of surface records is the bottom; L fields and conductors may name more layers.
  void find_layers() {
    int last = kTopAccess;
    int named = 0;
    for (const Feature& feature : drafts_.features) {
      last = std::max(last, feature.record.access);
      named = std::max({named, feature.record.first_layer, feature.record.last_layer});
    }
    for (const Conductor& conductor : drafts_.conductors) named = std::max(named, conductor.layer);
    bottom_ = last;
    layer_count_ = std::clamp(std::max({last, named, 2}), 2, kMostLayers);
    for (int i = 1; i <= layer_count_; ++i) board_.layers.push_back(fmt::format("L{}", i));
  }

  MaskRule find_mask_rule() const {
    std::size_t covered = 0;
    std::size_t open = 0;
    std::size_t through_open = 0;
    std::size_t through_covered = 0;
    for (const Feature& feature : drafts_.features) {
      const Record& r = feature.record;
      if (!is_pin(r) || r.mask < 0) continue;
      if (r.code == 327) {
        const bool top = r.access == kTopAccess;
        if ((top && r.mask == 1) || (!top && r.mask == 2)) ++open;
        if ((top && r.mask == 2) || (!top && r.mask == 1)) ++covered;
      } else if (r.code == 317) {
        if (r.mask == 3) ++through_open;
        if (r.mask == 0) ++through_covered;
      }
    }
    if (open == covered) return MaskRule::kUnknown;
    const MaskRule rule = open > covered ? MaskRule::kNamesOpen : MaskRule::kNamesCovered;
    // Through pins are open on both sides, and must say so by the same rule.
    const bool agree =
        rule == MaskRule::kNamesOpen ? through_open >= through_covered : through_covered >= through_open;
    return agree ? rule : MaskRule::kUnknown;
  }

  Cover cover(int mask, bool top) const {
    if (mask < 0 || mask_rule_ == MaskRule::kUnknown) return Cover::kUnknown;
    const bool named = (mask & (top ? 1 : 2)) != 0;
    return named == (mask_rule_ == MaskRule::kNamesCovered) ? Cover::kTented : Cover::kOpen;
  }

  Nm length(std::int64_t value) const { return value * drafts_.unit; }

  Index net_of(const Feature& feature) {
    std::string name(feature.record.net);
    if (name.empty() || name == "N/C") return kNone;
    if (const auto found = drafts_.long_names.find(name); found != drafts_.long_names.end()) {
      name = found->second;
    } else if (name.starts_with("NNAME") && name.size() > 5) {
      unknown_aliases_.try_emplace(name, feature.line);
    }
    const auto [entry, fresh] = net_by_name_.try_emplace(name, static_cast<Index>(board_.nets.size()));
    if (fresh) {
      Net net;
      net.name = std::move(name);
      board_.nets.push_back(std::move(net));
    }
    return entry->second;
  }

  void add(const Feature& feature) {
    const Record& r = feature.record;
    if (std::abs(r.x) > kFarthest / drafts_.unit || std::abs(r.y) > kFarthest / drafts_.unit) {
      log_.warn(feature.line, 42, "place", "a place further out than 10 m: skipped");
      return;
    }
    const Point at{length(r.x), length(r.y)};
    if (!is_head(r)) return continue_last(feature, at);
    last_land_ = last_via_ = kNone;
    if (r.code == 367 || !r.plated) {
      board_.holes.push_back({at, length(r.drill)});
      return;
    }
    if (is_pin(r)) return add_pin_land(feature, at);
    if (r.drill > 0 || r.reference == "VIA" || r.code == 307) return add_via(feature, at);
    add_land(feature, at, kNone, kNone);
  }

  // 017 and 027 belong to the record before: the pad of a via's hole, or a further land of a pin.
  void continue_last(const Feature& feature, Point at) {
    const Record& r = feature.record;
    if (last_via_ != kNone) {
      Via& via = board_.vias[last_via_];
      if (via.at == at && via.diameter == 0) via.diameter = length(r.width);
      return;
    }
    if (last_land_ == kNone) return;
    Land& before = board_.lands[last_land_];
    if (before.at == at) {
      before.width = std::max(before.width, length(r.width));
      before.height = std::max(before.height, length(r.height == 0 ? r.width : r.height));
      return;
    }
    Land land = before;
    land.at = land.hole = at;
    board_.lands.push_back(std::move(land));
  }

  void add_via(const Feature& feature, Point at) {
    const Record& r = feature.record;
    Via via;
    via.at = at;
    via.diameter = length(r.width);
    via.drill = length(r.drill);
    via.net = net_of(feature);
    via.last = layer_count_ - 1;
    if (r.first_layer > 0 && r.last_layer > 0) {
      via.first = std::min({r.first_layer, r.last_layer, layer_count_}) - 1;
      via.last = std::min(std::max(r.first_layer, r.last_layer), layer_count_) - 1;
    } else if (r.code == 307) {
      ++unknown_spans_;
      via.first = via.last = std::clamp(r.access, kTopAccess, layer_count_) - 1;
    }
    via.top = cover(r.mask, true);
    via.bottom = cover(r.mask, false);
    last_via_ = static_cast<Index>(board_.vias.size());
    board_.vias.push_back(via);
  }

  Index part_of(const std::string& reference) {
    const auto [entry, fresh] =
        part_by_reference_.try_emplace(reference, static_cast<Index>(board_.parts.size()));
    if (fresh) {
      Part part;
      part.reference = reference;
      board_.parts.push_back(std::move(part));
    }
    return entry->second;
  }

  void add_pin_land(const Feature& feature, Point at) {
    const Record& r = feature.record;
    const Index net = net_of(feature);
    const std::string reference(r.reference);
    const std::string number(r.pin);
    const auto [entry, fresh] =
        pins_.try_emplace(reference + "\n" + number, static_cast<Index>(board_.pins.size()));
    Index pin = entry->second;
    if (fresh) {
      board_.pins.push_back({part_of(reference), number, "", PinType::kUnknown, net});
    } else if (board_.pins[pin].net != net) {
      pin = split_pin(feature, net, reference, number);
    }
    // The same record twice is one land.
    if (!lands_seen_.insert({pin, at, r.access}).second) return;
    add_land(feature, at, board_.pins[pin].part, pin);
  }

  // References are cut to 6 signs and pins to 4, so two parts can fold into one: they are told apart by net.
  Index split_pin(const Feature& feature, Index net, const std::string& reference,
                  const std::string& number) {
    const std::string net_name = net == kNone ? "no net" : board_.nets[net].name;
    const std::string own = reference + "\n" + number + "\n" + net_name;
    const auto [entry, fresh] = pins_.try_emplace(own, static_cast<Index>(board_.pins.size()));
    if (fresh) {
      const Index part = part_of(reference + "#2");
      log_.warn(feature.line, 21, "truncated",
                fmt::format("{}.{} is on two nets: names may be cut here, so the second is kept as {}#2.{}",
                            reference, number, reference, number));
      board_.pins.push_back({part, number, "", PinType::kUnknown, net});
    }
    return entry->second;
  }

  void add_land(const Feature& feature, Point at, Index part, Index pin) {
    const Record& r = feature.record;
    Land land;
    land.part = part;
    land.pin = pin;
    land.net = net_of(feature);
    land.at = land.hole = at;
    land.width = length(r.width);
    land.height = r.height == 0 ? land.width : length(r.height);
    land.shape = r.height == 0 || r.height == r.width ? LandShape::kCircle : LandShape::kRect;
    if (r.height == r.width && r.height != 0 && r.drill == 0) land.shape = LandShape::kRect;
    land.angle = normal_degrees(static_cast<double>(r.turn));
    land.drill = length(r.drill);
    const bool through = r.drill > 0 || r.access == kThroughAccess;
    const int access = r.access < kTopAccess ? kTopAccess : std::min(r.access, layer_count_);
    land.side =
        through ? Side::kThrough : (r.access == bottom_ && bottom_ > kTopAccess ? Side::kBottom : Side::kTop);
    const LayerSet all = layer_count_ >= kMostLayers ? ~LayerSet{0} : layer_bit(layer_count_) - 1;
    land.layers = through ? all : layer_bit(land.side == Side::kBottom ? layer_count_ - 1 : access - 1);
    last_land_ = static_cast<Index>(board_.lands.size());
    board_.lands.push_back(std::move(land));
  }

  void place_parts() {
    struct Extent {
      Point low, high;
      bool any = false, bottom = false, top = false;
    };
    std::vector<Extent> extents(board_.parts.size());
    for (const Land& land : board_.lands) {
      if (land.part == kNone) continue;
      Extent& extent = extents[land.part];
      if (!extent.any) extent.low = extent.high = land.at;
      extent.any = true;
      extent.low = {std::min(extent.low.x, land.at.x), std::min(extent.low.y, land.at.y)};
      extent.high = {std::max(extent.high.x, land.at.x), std::max(extent.high.y, land.at.y)};
      extent.bottom = extent.bottom || land.side == Side::kBottom;
      extent.top = extent.top || land.side == Side::kTop;
    }
    for (std::size_t i = 0; i < extents.size(); ++i) {
      if (!extents[i].any) continue;
      Part& part = board_.parts[i];
      part.placed = true;
      part.at = {(extents[i].low.x + extents[i].high.x) / 2, (extents[i].low.y + extents[i].high.y) / 2};
      part.side = extents[i].bottom && !extents[i].top ? Side::kBottom : Side::kTop;
    }
  }

  void add_conductors() {
    for (const Conductor& conductor : drafts_.conductors) {
      Feature named;
      named.record.net = conductor.net;
      const Index net = conductor.outline ? kNone : net_of(named);
      for (std::size_t i = 1; i < conductor.points.size(); ++i) {
        const Point from = conductor.points[i - 1];
        const Point to = conductor.points[i];
        if (conductor.outline) {
          if (conductor.net == "BOARD_EDGE") board_.outline.push_back({from, to});
        } else if (from != to && conductor.layer > 0) {
          board_.tracks.push_back(
              {from, to, conductor.width, std::min(conductor.layer, layer_count_) - 1, net});
        }
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

  const Drafts& drafts_;
  Diagnostics& log_;
  Board board_;
  int bottom_ = kTopAccess;
  int layer_count_ = 2;
  MaskRule mask_rule_ = MaskRule::kUnknown;
  std::unordered_map<std::string, Index> net_by_name_, part_by_reference_, pins_;
  std::set<std::tuple<Index, Point, int>> lands_seen_;
  std::map<std::string, std::size_t> unknown_aliases_;
  std::size_t unknown_spans_ = 0;
  Index last_land_ = kNone, last_via_ = kNone;
};

}  // namespace

Board build_board(const Drafts& drafts, Diagnostics& log) {
  return BoardBuilder(drafts, log).build();
}

}  // namespace landfall::importers::ipc_d_356
