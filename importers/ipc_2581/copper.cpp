#include <algorithm>

#include <fmt/format.h>

#include "importers/ipc_2581/reader.hpp"

// Layer features: pads, lines, areas, holes. FORMATS.md 4.4.

namespace landfall::importers::ipc_2581 {
namespace {

std::size_t hash_of(Index pin, Point at) {
  std::size_t hash = pin;
  hash = (hash ^ static_cast<std::size_t>(at.x)) * kSpread;
  hash = (hash ^ (hash >> 32U) ^ static_cast<std::size_t>(at.y)) * kSpread;
  return hash ^ (hash >> 32U);
}

}  // namespace

void Reader::read_padstack_definitions(const Node& step) {
  for (const Node& node : step.children()) {
    if (local_name(node) != "PadStackDef") continue;
    PadStack stack;
    for (const Node& own : node.children()) {
      if (local_name(own) == "PadstackHoleDef") {
        stack.drill = std::max<Nm>(0, length(own, "diameter").value_or(0));
        const std::string_view status = attribute(own, "platingStatus");
        stack.plated = status != "NONPLATED";
        stack.via = status.starts_with("VIA");
      } else if (local_name(own) == "PadstackPadDef" && attribute(own, "padUse") == "REGULAR") {
        stack.regular.try_emplace(std::string(attribute(own, "layerRef")), shape_in(own));
      }
    }
    padstacks_.try_emplace(std::string(attribute(node, "name")), std::move(stack));
  }
}

// Revision A: hole and pads together, in the step.
void Reader::read_old_padstack(const Node& stack) {
  const Index net = net_of(attribute(stack, "net"), stack);
  for (const Node& own : stack.children()) {
    if (local_name(own) == "LayerPad") {
      const std::string_view name = attribute(own, "layerRef");
      const auto layer = layers_.find(name);
      if (layer != layers_.end() && layer->second.role == LayerRole::kCopper)
        read_pad(own, stack, layer->second, name, net);
    } else if (local_name(own) == "LayerHole") {
      Layer drill;
      if (const Node span = child_named(own, "Span")) {
        drill.from = attribute(span, "fromLayer");
        drill.to = attribute(span, "toLayer");
      }
      read_hole(own, &drill, net);
    }
  }
}

void Reader::read_section(std::size_t number) {
  const std::string_view text = split_.sections[number];
  section_base_ = static_cast<std::size_t>(text.data() - bytes_.data());
  // A prefix that the root declares is unknown here, which the parser does not mind.
  XmlTree tree;
  const auto parsed = tree.read_any(text, [&](std::size_t offset) { return section_base_ + offset; });
  if (!parsed) {
    fail("xml", parsed.description(),
         section_base_ + static_cast<std::size_t>(std::max<std::ptrdiff_t>(parsed.offset, 0)));
  } else {
    read_layer_feature(tree.document().first_child());
  }
  section_base_ = 0;
}

void Reader::read_layer_feature(const Node& feature) {
  const std::string_view name = attribute(feature, "layerRef");
  const auto known = layers_.find(name);
  if (known == layers_.end())
    return warn(feature, "layer-unknown",
                fmt::format("layer {} is not in the list of layers: left out", name.substr(0, 100)));
  const Layer& layer = known->second;
  if (layer.role == LayerRole::kOther) return;
  if (layer.role == LayerRole::kCopper && layer.negative) {
    return read_negative_layer(feature, layer);
  }
  if (layer.role == LayerRole::kMaskTop) has_mask_top_ = true;
  if (layer.role == LayerRole::kMaskBottom) has_mask_bottom_ = true;
  for (const Node& set : feature.children()) {
    if (local_name(set) == "Set") read_set(set, layer, name);
  }
}

void Reader::read_set(const Node& set, const Layer& layer, std::string_view layer_name) {
  const bool copper = layer.role == LayerRole::kCopper && layer.copper >= 0;
  const bool drill = layer.role == LayerRole::kDrill;
  const Index net = copper || drill ? net_of(attribute(set, "net"), set) : kNone;
  const bool negative = attribute(set, "polarity") == "NEGATIVE";
  for (Node own = set.first_child(); own; own = own.next_sibling()) {
    const std::string_view name = local_name(own);
    if (name == "Hole") {
      read_hole(own, drill ? &layer : nullptr, net);
    } else if (name == "SlotCavity" || name == "Slot") {
      read_slot(own, drill ? &layer : nullptr, net);
    } else if (name == "Pad") {
      if (copper && negative) {
        erase_under(shape_in(own), xform(own), location(own), layer.copper, own);
      } else if (copper) {
        read_pad(own, set, layer, layer_name, net);
      } else if (!drill) {
        read_mask_pad(own, layer);
      }
    } else if (name == "Features" && copper) {
      read_features(own, layer, net, negative);
    } else if (name == "Features" && !drill) {
      read_mask_pad(own, layer);
    }
  }
}

void Reader::read_mask_pad(const Node& pad, const Layer& layer) {
  (layer.role == LayerRole::kMaskTop ? mask_top_ : mask_bottom_).push_back(location(pad));
}

void Reader::read_pad(const Node& pad, const Node& set, const Layer& layer, std::string_view layer_name,
                      Index net) {
  const Point at = location(pad);
  const Xform turn = xform(pad);
  Shape shape = shape_in(pad);
  const auto stack = padstacks_.find(attribute(pad, "padstackDefRef"));
  const bool has_stack = stack != padstacks_.end();
  if (!shape.simple && shape.areas.empty() && shape.strokes.empty() && has_stack) {
    const auto regular = stack->second.regular.find(layer_name);
    if (regular != stack->second.regular.end()) shape = regular->second;
  }
  if (const Node ref = child_named(pad, "PinRef")) {
    const Index pin = pin_of(ref);
    if (pin != kNone) {
      set_pin_net(pin, net, ref);
      add_pin_pad(pin, at, shape, turn, layer.copper, net);
      if (has_stack && stack->second.plated && stack->second.drill > 0)
        holes_.push_back({at, stack->second.drill, net, true, false, 0,
                          static_cast<int>(board_.layers.size()) - 1, false});
      return;
    }
  }
  LoosePad loose{at,   net, kNone, layer.copper, attribute(set, "padUsage") == "VIA", std::move(shape),
                 turn, 0};
  if (has_stack && stack->second.plated) loose.drill = stack->second.drill;
  loose.part = known_part(attribute(set, "componentRef"));
  loose_.push_back(std::move(loose));
}

void Reader::add_pin_pad(Index pin, Point at, const Shape& shape, const Xform& turn, int layer, Index net) {
  const auto entry = land_of_pin_.find_or_add(
      hash_of(pin, at), static_cast<Index>(board_.lands.size()),
      [&](Index i) { return board_.lands[i].pin == pin && board_.lands[i].at == at; });
  if (!entry.second) {
    Land& before = board_.lands[entry.first];
    const LayerSet layers = before.layers | layer_bit(layer);
    if (layer < land_layer_[entry.first]) {  // the outermost pad's shape stands for the land
      const Land newer = land_of(shape, turn, at);
      land_layer_[entry.first] = layer;
      before = {before.part,  before.pin,   before.net,  at, before.side, newer.shape, newer.width,
                newer.height, newer.corner, newer.angle, at, 0,           layers,      newer.outline};
    }
    before.layers = layers;
    return;
  }
  Land land = land_of(shape, turn, at);
  land.part = board_.pins[pin].part;
  land.pin = pin;
  land.net = net;
  land.layers = layer_bit(layer);
  board_.lands.push_back(std::move(land));
  land_layer_.push_back(layer);
}

void Reader::read_features(const Node& features, const Layer& layer, Index net, bool negative) {
  Shape shape = shape_in(features);
  const Point at = location(features);
  const Xform turn = xform(features);
  if (negative) return erase_under(shape, turn, at, layer.copper, features);
  add_shape(shape, turn, at, layer.copper, net, features);
}

void Reader::add_shape(const Shape& shape, const Xform& turn, Point at, int layer, Index net,
                       const Node& node) {
  if (shape.simple) {  // a flash: copper of the net
    Land land = land_of(shape, turn, at);
    land.net = net;
    land.layers = layer_bit(layer);
    board_.lands.push_back(std::move(land));
    land_layer_.push_back(layer);
    return;
  }
  for (const Ring& area : shape.areas) {
    Fill fill{net, layer, 0, {}};
    fill.ring.reserve(area.size());
    for (const Point p : area) fill.ring.push_back(at + turn.place(p));
    if (fill.ring.size() > 2) board_.fills.push_back(std::move(fill));
  }
  for (const Stroke& stroke : shape.strokes) {
    const Point from = at + turn.place(stroke.from);
    const Point to = at + turn.place(stroke.to);
    if (stroke.width <= 0) {
      warn(node, "line-thin", "a line of no width on a copper layer: left out");
    } else if (!stroke.arc) {
      if (from != to) board_.tracks.push_back({from, to, stroke.width, layer, net});
    } else {
      const Point centre = at + turn.place(stroke.centre);
      const bool clockwise = stroke.clockwise != turn.mirror;
      const Point middle = arc_middle(from, to, centre, clockwise);
      if (from == to) {  // a full circle: two halves
        const Point half = centre + (centre - from);
        board_.arcs.push_back({from, arc_middle(from, half, centre, false), half, stroke.width, layer, net});
        board_.arcs.push_back({half, arc_middle(half, from, centre, false), from, stroke.width, layer, net});
      } else {
        board_.arcs.push_back({from, middle, to, stroke.width, layer, net});
      }
    }
  }
}

void Reader::span_of(const Layer* drill, HoleDraft& hole) {
  hole.first = 0;
  hole.last = std::max(0, static_cast<int>(board_.layers.size()) - 1);
  if (drill == nullptr) return;
  const auto from = layers_.find(drill->from);
  const auto to = layers_.find(drill->to);
  if (from == layers_.end() || to == layers_.end() || from->second.copper < 0 || to->second.copper < 0)
    return;
  hole.first = std::min(from->second.copper, to->second.copper);
  hole.last = std::max(from->second.copper, to->second.copper);
}

void Reader::read_hole(const Node& hole, const Layer* drill, Index net) {
  const auto at = child_named(hole, "Location") ? point(child_named(hole, "Location")) : point(hole);
  const auto diameter = length(hole, "diameter");
  if (!at || !diameter || *diameter <= 0)
    return warn(hole, "number", "a hole without a place or a diameter: skipped");
  const std::string_view status = attribute(hole, "platingStatus");
  HoleDraft draft;
  draft.at = *at;
  draft.drill = *diameter;
  draft.net = net;
  draft.plated = status != "NONPLATED";
  draft.via = status.starts_with("VIA");
  span_of(drill, draft);
  holes_.push_back(draft);
}

// A slot is as wide as its narrow side, and lies in the middle of its outline.
void Reader::read_slot(const Node& slot, const Layer* drill, Index net) {
  Shape shape;
  for (const Node& own : slot.children()) {
    if (local_name(own) == "Outline") {
      shape.areas.push_back(read_ring(child_named(own, "Polygon"), unit_));
    } else {
      read_drawing(own, unit_, shape);
    }
  }
  const Point at = location(slot);
  const Xform turn = xform(slot);
  Box box;
  if (shape.simple) box.add(at, std::min(shape.width, shape.height) / 2);
  for (const Ring& ring : shape.areas) {
    for (const Point p : ring) box.add(at + turn.place(p));
  }
  for (const Stroke& stroke : shape.strokes) {
    box.add(at + turn.place(stroke.from), stroke.width / 2);
    box.add(at + turn.place(stroke.to), stroke.width / 2);
  }
  const Nm narrow = std::min(box.high.x - box.low.x, box.high.y - box.low.y);
  if (narrow <= 0) return warn(slot, "number", "a slot without an outline: skipped");
  HoleDraft draft;
  draft.at = {(box.low.x + box.high.x) / 2, (box.low.y + box.high.y) / 2};
  draft.drill = narrow;
  draft.net = net;
  draft.plated = attribute(slot, "platingStatus") != "NONPLATED";
  span_of(drill, draft);
  holes_.push_back(draft);
}

}  // namespace landfall::importers::ipc_2581
