#include <algorithm>
#include <cstdlib>

#include <fmt/format.h>

#include "importers/ipc_2581/reader.hpp"
#include "netdb/model/counted.hpp"

// Holes meet pads; vias come of it.

namespace landfall::importers::ipc_2581 {
namespace {

// Writers round a hole and its pad apart.
constexpr Nm kSamePlace = 2'600;

// Things by their place, sorted once; those of one place in their own order.
class ByPlace {
 public:
  using Entry = std::pair<Point, std::size_t>;
  void add(Point at, std::size_t which) { entries_.emplace_back(at, which); }
  void sort() { std::sort(entries_.begin(), entries_.end()); }
  [[nodiscard]] const std::vector<Entry>& all() const { return entries_; }
  // What lies no further off than writers round.
  [[nodiscard]] std::vector<Entry> near(Point at) const {
    std::vector<Entry> found;
    auto entry =
        std::lower_bound(entries_.begin(), entries_.end(), Entry{{at.x - kSamePlace, -kFarthest * 2}, 0});
    for (; entry != entries_.end() && entry->first.x <= at.x + kSamePlace; ++entry) {
      if (std::abs(entry->first.y - at.y) <= kSamePlace) found.push_back(*entry);
    }
    return found;
  }

 private:
  std::vector<Entry> entries_;
};

}  // namespace

LayerSet Reader::all_layers() const {
  const auto count = static_cast<int>(board_.layers.size());
  return count >= kMostLayers ? ~LayerSet{0} : layer_bit(count) - 1;
}

Land Reader::land_of(const Shape& shape, const Xform& turn, Point at) const {
  Land land;
  land.at = land.hole = at;
  if (shape.simple) {
    land.shape = shape.kind;
    land.width = shape.width;
    land.height = shape.height;
    land.corner = shape.corner;
    land.angle = turn.angle(shape.angle);
    return land;
  }
  land.shape = LandShape::kCustom;
  for (Ring ring : shape.areas) {
    for (Point& p : ring) p = at + turn.place(p);
    join_ring(land.outline, std::move(ring));
  }
  for (const Stroke& stroke : shape.strokes) {
    if (stroke.width > 0)
      join_ring(land.outline,
                stroke_ring(at + turn.place(stroke.from), at + turn.place(stroke.to), stroke.width));
  }
  return land;
}

void Reader::assemble_holes() {
  // Plated holes that are no vias belong to the pin whose land lies there.
  ByPlace lands_at;
  for (std::size_t i = 0; i < board_.lands.size(); ++i) {
    if (board_.lands[i].pin != kNone) lands_at.add(board_.lands[i].at, i);
  }
  lands_at.sort();
  for (HoleDraft& hole : holes_) {
    if (!hole.plated) {
      board_.holes.push_back({hole.at, hole.drill});
      hole.used = true;
      continue;
    }
    if (hole.via) continue;
    for (const auto& [place, index] : lands_at.near(hole.at)) {
      Land& land = board_.lands[index];
      const Index net = land.net == kNone ? board_.pins[land.pin].net : land.net;
      if (hole.net != kNone && net != kNone && hole.net != net) continue;
      land.drill = std::max(land.drill, hole.drill);
      land.hole = hole.at;
      if (hole.first == 0 && hole.last + 1 == static_cast<int>(board_.layers.size()))
        land.side = Side::kThrough;
      hole.used = true;
    }
  }
}

void Reader::assemble_loose_pads() {
  ByPlace pads_at;
  for (std::size_t i = 0; i < loose_.size(); ++i) pads_at.add(loose_[i].at, i);
  pads_at.sort();
  std::vector<bool> taken(loose_.size(), false);
  for (const HoleDraft& hole : holes_) {
    if (hole.used) continue;
    Via via{hole.at, 0, hole.drill, hole.first, hole.last, hole.net, Cover::kUnknown, Cover::kUnknown};
    for (const auto& [place, i] : pads_at.near(hole.at)) {
      if (loose_[i].layer < hole.first || loose_[i].layer > hole.last) continue;
      via.diameter = std::max({via.diameter, loose_[i].shape.width, loose_[i].shape.height});
      if (via.net == kNone) via.net = loose_[i].net;
      taken[i] = true;
    }
    board_.vias.push_back(via);
  }
  // Rings of vias whose holes no drill layer holds: their padstack may know the hole.
  std::size_t no_hole = 0;
  std::map<Index, Via> vias;  // of one place, by net
  for (auto pad_at = pads_at.all().begin(); pad_at != pads_at.all().end();) {
    const Point at = pad_at->first;
    for (; pad_at != pads_at.all().end() && pad_at->first == at; ++pad_at) {
      const LoosePad& pad = loose_[pad_at->second];
      if (taken[pad_at->second] || !pad.via) continue;
      const auto [entry, fresh] = vias.try_emplace(
          pad.net, Via{at, 0, 0, pad.layer, pad.layer, pad.net, Cover::kUnknown, Cover::kUnknown});
      Via& via = entry->second;
      via.first = std::min(via.first, pad.layer);
      via.last = std::max(via.last, pad.layer);
      via.drill = std::max(via.drill, pad.drill);
      via.diameter = std::max({via.diameter, pad.shape.width, pad.shape.height});
      taken[pad_at->second] = true;
    }
    for (const auto& [net, via] : vias) {
      if (via.drill == 0) ++no_hole;
      board_.vias.push_back(via);
    }
    vias.clear();
  }
  if (no_hole > 0)
    log_.warn(0, 0, "drill-unknown",
              count_of(no_hole, "via") + " without a hole in the file: no drill is known of it");
  // The rest is copper without a pin: fiducials, shields, pads that have no number.
  std::map<std::pair<Point, Index>, Index> merged;
  for (std::size_t i = 0; i < loose_.size(); ++i) {
    if (taken[i]) continue;
    const LoosePad& pad = loose_[i];
    const auto [entry, fresh] =
        merged.try_emplace({pad.at, pad.net}, static_cast<Index>(board_.lands.size()));
    if (!fresh) {
      board_.lands[entry->second].layers |= layer_bit(pad.layer);
      continue;
    }
    Land land = land_of(pad.shape, pad.turn, pad.at);
    land.part = pad.part;
    land.net = pad.net;
    land.layers = layer_bit(pad.layer);
    land.drill = pad.drill;
    board_.lands.push_back(std::move(land));
    land_layer_.push_back(pad.layer);
  }
}

// By the list of points where it speaks of them; else by the openings of the mask layers, if there are any.
void Reader::cover_vias() {
  std::sort(mask_top_.begin(), mask_top_.end());
  std::sort(mask_bottom_.begin(), mask_bottom_.end());
  const auto open = [](const std::vector<Point>& mask, Point at) {
    return std::binary_search(mask.begin(), mask.end(), at) ? Cover::kOpen : Cover::kTented;
  };
  for (Via& via : board_.vias) {
    if (has_mask_top_) via.top = open(mask_top_, via.at);
    if (has_mask_bottom_) via.bottom = open(mask_bottom_, via.at);
    if (const auto known = exposure_.find(via.at); known != exposure_.end()) {
      via.top = known->second.first;
      via.bottom = known->second.second;
    }
  }
}

void Reader::settle_sides() {
  const int last = std::max(0, static_cast<int>(board_.layers.size()) - 1);
  for (Land& land : board_.lands) {
    if (land.pin != kNone) land.net = board_.pins[land.pin].net;
    if (land.side == Side::kThrough) {
      land.layers = all_layers();
      continue;
    }
    if (board_.layers.empty()) continue;
    const bool top = (land.layers & layer_bit(0)) != 0;
    const bool bottom = (land.layers & layer_bit(last)) != 0;
    if (top && bottom && last > 0) {
      land.side = Side::kThrough;
    } else if (bottom && last > 0) {
      land.side = Side::kBottom;
    } else if (!top && land.part != kNone) {
      land.side = board_.parts[land.part].side;  // inside the board
    }
  }
}

void Reader::add_zones() {
  std::set<std::pair<Index, int>> filled;
  for (const Fill& fill : board_.fills) filled.insert({fill.net, fill.layer});
  for (const auto& [net, layer] : unknown_fills_)
    board_.zones.push_back({net, layer_bit(layer), false, false});
  for (const auto& [net, layer] : filled) board_.zones.push_back({net, layer_bit(layer), true, false});
}

// Some writers put what a name is in front of it: all names of a kind or none.
void Reader::strip_prefixes() {
  const auto strip = [](auto& items, std::initializer_list<std::string_view> starts, auto member) {
    for (const std::string_view start : starts) {
      const bool all = !items.empty() && std::all_of(items.begin(), items.end(), [&](auto& item) {
        return (item.*member).starts_with(start) && (item.*member).size() > start.size();
      });
      if (!all) continue;
      for (auto& item : items) (item.*member).erase(0, start.size());
      return true;
    }
    return false;
  };
  if (!strip(board_.parts, {"CMP_", "CMP:"}, &Part::reference)) return;
  strip(board_.pins, {"PIN_", "PIN:"}, &Pin::number);
  strip(board_.nets, {"NET_", "NET:"}, &Net::name);
}

}  // namespace landfall::importers::ipc_2581
