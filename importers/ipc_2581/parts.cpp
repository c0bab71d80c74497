#include <algorithm>

#include <fmt/format.h>

#include "importers/ipc_2581/reader.hpp"
#include "importers/text/kicad_words.hpp"
#include "netdb/model/counted.hpp"

// Packages, components, and the three places that tell a pin's net. FORMATS.md 4.2 and 4.3.

namespace landfall::importers::ipc_2581 {
namespace {

// Some writers call each unconnected pin's net so, after an address in their memory.
bool is_unused(std::string_view name) {
  constexpr std::string_view kStart = "Unused_";
  if (!name.starts_with(kStart) || name.size() < kStart.size() + 8) return false;
  return name.substr(kStart.size()).find_first_not_of("0123456789abcdefABCDEF") == std::string_view::npos;
}

// KiCad's words for pads without a number.
bool is_made_up_pin(std::string_view number) {
  for (const std::string_view start : {"NPTH", "PAD"}) {
    if (number.starts_with(start) && number.size() > start.size() &&
        number.substr(start.size()).find_first_not_of("0123456789") == std::string_view::npos) {
      return true;
    }
  }
  return false;
}

}  // namespace

Index Reader::net_of(std::string_view raw, const Node& node) {
  if (raw.empty() || is_unused(raw) || raw == "No Net" || raw == "N/C") return kNone;
  std::string name = name_of(raw, node);
  const auto entry = net_by_name_.find_or_add(NameHash()(name), static_cast<Index>(board_.nets.size()),
                                              [&](Index i) { return board_.nets[i].name == name; });
  if (entry.second) {
    Net net;
    net.automatic = is_automatic_net_name(leaf_name(name));
    net.name = std::move(name);
    board_.nets.push_back(std::move(net));
  }
  return entry.first;
}

void Reader::read_packages(const Node& step) {
  for (const Node& node : step.children()) {
    if (local_name(node) != "Package") continue;
    std::vector<PackagePin> pins;
    for (const Node& own : node.children()) {
      if (local_name(own) != "Pin") continue;
      PackagePin pin;
      pin.number = name_of(attribute(own, "number"), own);
      pin.at = location(own);
      pin.turn = xform(own);
      pin.shape = shape_in(own);
      pin.electrical = attribute(own, "electricalType") != "MECHANICAL";
      pin.through = attribute(own, "type") == "THRU";
      pins.push_back(std::move(pin));
    }
    packages_.try_emplace(std::string(attribute(node, "name")), std::move(pins));
  }
}

void Reader::read_components(const Node& step) {
  for (const Node& node : step.children()) {
    if (local_name(node) != "Component") continue;
    const std::string raw(attribute(node, "refDes"));
    Part part;
    part.reference = name_of(raw.empty() ? "?" : raw, node);
    for (std::size_t n = 2; known_part(part.reference) != kNone; ++n)
      part.reference = fmt::format("{}#{}", name_of(raw.empty() ? "?" : raw, node), n);
    if (raw.empty() || part.reference.find('#') != std::string::npos)
      warn(node, "reference-repeated",
           fmt::format("a part without a reference, or with another's: kept as {}", part.reference));
    part.footprint = name_of(attribute(node, "packageRef"), node);
    part.value = name_of(attribute(node, "part"), node);
    for (const Node& own : node.children()) {
      if (local_name(own) == "NonstandardAttribute" && attribute(own, "name") == "VALUE")
        part.value = name_of(attribute(own, "value"), own);
    }
    Placed placed;
    placed.turn = xform(node);
    placed.at = location(node);
    const auto package = packages_.find(attribute(node, "packageRef"));
    if (package != packages_.end()) {
      placed.pins = &package->second;
    } else {
      warn(node, "package-unknown",
           fmt::format("{} is in a package that the file does not draw", part.reference));
    }
    part.placed = true;
    part.at = placed.at;
    part.angle = normal_degrees(placed.turn.mirror ? 180 - placed.turn.rotation : placed.turn.rotation);
    const auto layer = layers_.find(attribute(node, "layerRef"));
    const bool on_outer = layer != layers_.end() && layer->second.side != Side::kThrough;
    const bool bottom = on_outer ? layer->second.side == Side::kBottom : placed.turn.mirror;
    part.side = bottom ? Side::kBottom : Side::kTop;
    const auto index = static_cast<Index>(board_.parts.size());
    part_by_reference_.find_or_add(NameHash()(part.reference), index, [](Index) { return false; });
    board_.parts.push_back(std::move(part));
    placed_.push_back(placed);
    if (placed.pins == nullptr) continue;
    for (const PackagePin& pin : *placed.pins) {
      if (pin.electrical && !pin.number.empty() && !(from_kicad_ && is_made_up_pin(pin.number)))
        pin_named(index, pin.number);
    }
  }
}

Index Reader::known_part(std::string_view reference) const {
  return part_by_reference_.find(NameHash()(reference),
                                 [&](Index i) { return board_.parts[i].reference == reference; });
}

Index Reader::known_pin(Index part, std::string_view number) const {
  return pin_by_name_.find(NameIndex::pin_hash(part, number), [&](Index i) {
    return board_.pins[i].part == part && board_.pins[i].number == number;
  });
}

Index Reader::part_of(std::string_view reference) {
  std::string name = name_of(reference, {});
  const auto entry =
      part_by_reference_.find_or_add(NameHash()(name), static_cast<Index>(board_.parts.size()),
                                     [&](Index i) { return board_.parts[i].reference == name; });
  if (entry.second) {
    Part part;
    part.reference = std::move(name);
    board_.parts.push_back(std::move(part));
    placed_.push_back({});
  }
  return entry.first;
}

Index Reader::pin_named(Index part, const std::string& number) {
  const auto entry = pin_by_name_.find_or_add(
      NameIndex::pin_hash(part, number), static_cast<Index>(board_.pins.size()),
      [&](Index i) { return board_.pins[i].part == part && board_.pins[i].number == number; });
  if (entry.second) board_.pins.push_back({part, number, "", PinType::kUnknown, kNone});
  return entry.first;
}

Index Reader::pin_of(const Node& pin_ref) {
  const std::string_view component = attribute(pin_ref, "componentRef");
  const std::string number = name_of(attribute(pin_ref, "pin"), pin_ref);
  if (component.empty() || number.empty() || (from_kicad_ && is_made_up_pin(number))) return kNone;
  return pin_named(part_of(component), number);
}

void Reader::set_pin_net(Index pin, Index net, const Node& node) {
  Pin& own = board_.pins[pin];
  if (net == kNone || own.net == net) return;
  if (own.net == kNone) {
    own.net = net;
    return;
  }
  if (logical_) {
    ++contradictions_;
    return;
  }
  warn(node, "pin-twice",
       fmt::format("pin {} of {} is on {} and on {}: the first stands", own.number,
                   board_.parts[own.part].reference, board_.nets[own.net].name, board_.nets[net].name));
}

void Reader::read_logical_nets(const Node& step) {
  for (const Node& node : step.children()) {
    if (local_name(node) != "LogicalNet") continue;
    const Index net = net_of(attribute(node, "name"), node);
    for (const Node& ref : node.children()) {
      if (local_name(ref) != "PinRef") continue;
      const Index pin = pin_of(ref);
      if (pin != kNone) set_pin_net(pin, net, ref);
    }
  }
  // Only now: a pin that stands on two nets of the list itself is warned about.
  logical_ = static_cast<bool>(child_named(step, "LogicalNet"));
}

void Reader::read_phy_nets(const Node& step) {
  for (const Node& group : step.children()) {
    if (local_name(group) != "PhyNetGroup") continue;
    for (const Node& node : group.children()) {
      if (local_name(node) != "PhyNet") continue;
      const Index net = net_of(attribute(node, "name"), node);
      for (const Node& own : node.children()) {
        const auto at = local_name(own) == "PhyNetPoint" ? point(own) : std::nullopt;
        if (!at) continue;
        if (net != kNone) phy_points_.emplace_back(*at, net);
        const std::string_view word = attribute(own, "exposure");
        if (word == "EXPOSED") exposure_[*at] = {Cover::kOpen, Cover::kOpen};
        if (word == "COVERED") exposure_[*at] = {Cover::kTented, Cover::kTented};
        if (word == "COVERED_PRIMARY") exposure_[*at] = {Cover::kTented, Cover::kOpen};
        if (word == "COVERED_SECONDARY") exposure_[*at] = {Cover::kOpen, Cover::kTented};
      }
    }
  }
}

// A file that says nets by places alone: what lies at such a point is on its net.
void Reader::match_phy_nets() {
  const bool known =
      std::any_of(board_.pins.begin(), board_.pins.end(), [](const Pin& p) { return p.net != kNone; });
  if (known || phy_points_.empty()) return;
  std::map<Point, Index> net_at;
  for (const auto& [at, net] : phy_points_) net_at.try_emplace(at, net);
  std::size_t matched = 0;
  const auto at = [&](Point place) {
    const auto found = net_at.find(place);
    return found == net_at.end() ? kNone : found->second;
  };
  for (Land& land : board_.lands) {
    if (land.net == kNone) land.net = at(land.at);
    if (land.pin == kNone || land.net == kNone || board_.pins[land.pin].net != kNone) continue;
    board_.pins[land.pin].net = land.net;
    ++matched;
  }
  for (Via& via : board_.vias) {
    if (via.net == kNone) via.net = at(via.at);
  }
  log_.warn(0, 0, "nets-by-place",
            fmt::format("the file lists no pins of nets: {} found by place", count_of(matched, "pin")));
}

// Pins whose pad no copper layer holds: from the package, which some writers draw otherwise for flipped
// parts.
void Reader::add_missing_lands() {
  std::vector<bool> have(board_.pins.size(), false);
  for (const Land& land : board_.lands) {
    if (land.pin != kNone) have[land.pin] = true;
  }
  for (std::size_t i = 0; i < placed_.size(); ++i) {
    if (placed_[i].pins == nullptr) continue;
    for (const PackagePin& own : *placed_[i].pins) {
      const Index pin = known_pin(static_cast<Index>(i), own.number);
      if (pin == kNone || have[pin]) continue;
      Xform turn = placed_[i].turn;
      const Point at = placed_[i].at + turn.place(own.at);
      turn.rotation += own.turn.rotation;
      Land land = land_of(own.shape, turn, at);
      land.part = static_cast<Index>(i);
      land.pin = pin;
      land.net = board_.pins[land.pin].net;
      const bool bottom = board_.parts[i].side == Side::kBottom;
      const int outer = bottom && !board_.layers.empty() ? static_cast<int>(board_.layers.size()) - 1 : 0;
      land.layers = board_.layers.empty() ? 0 : (own.through ? all_layers() : layer_bit(outer));
      land.side = own.through ? Side::kThrough : (bottom ? Side::kBottom : Side::kTop);
      board_.lands.push_back(std::move(land));
      land_layer_.push_back(outer);
      ++without_pads_;
    }
  }
}

}  // namespace landfall::importers::ipc_2581
