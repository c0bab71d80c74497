#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "importers/kicad_board/reader.hpp"
#include "importers/text/kicad_words.hpp"

// Footprints and pads. FORMATS.md 1.5.

namespace landfall::importers::kicad_board {
namespace {

bool is_pad_type(std::string_view word) {
  return word == "smd" || word == "thru_hole" || word == "np_thru_hole" || word == "connect";
}

std::optional<LandShape> shape_named(std::string_view word) {
  if (word == "circle") return LandShape::kCircle;
  if (word == "rect") return LandShape::kRect;
  if (word == "oval") return LandShape::kOval;
  if (word == "roundrect") return LandShape::kRoundRect;
  if (word == "trapezoid") return LandShape::kTrapezoid;
  if (word == "custom") return LandShape::kCustom;
  return std::nullopt;
}

double ring_area(const std::vector<Point>& ring) {
  double area = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[(i + 1) % ring.size()];
    area += static_cast<double>(a.x) * static_cast<double>(b.y) -
            static_cast<double>(b.x) * static_cast<double>(a.y);
  }
  return area;
}

// Joins a ring to a slit polygon: there along a seam of no width, round, and back. All rings run the same way
// round, so that the non-zero rule fills each.
void join_ring(std::vector<Point>& slit, std::vector<Point> ring) {
  if (ring.size() < 2) return;
  if (ring_area(ring) < 0) std::reverse(ring.begin(), ring.end());
  const Point start = ring.front();
  if (slit.empty()) {
    slit = std::move(ring);
    return;
  }
  const Point home = slit.front();
  slit.push_back(home);
  slit.insert(slit.end(), ring.begin(), ring.end());
  slit.push_back(start);
  slit.push_back(home);
}

std::vector<Point> custom_outline(const PadDraft& pad, Point at) {
  std::vector<Point> slit;
  for (const Drawing& drawing : pad.primitives) {
    std::vector<Point> points = drawing.points;
    for (Point& p : points) p = at + turned(p, pad.angle);
    if (drawing.filled) join_ring(slit, points);
    if (drawing.width <= 0) continue;
    for (std::size_t i = 1; i < points.size(); ++i)
      join_ring(slit, stroke_ring(points[i - 1], points[i], drawing.width));
    if (drawing.closed) join_ring(slit, stroke_ring(points.back(), points.front(), drawing.width));
  }
  return slit;
}

}  // namespace

void Reader::read_drill(PadDraft& pad) {
  bool oval = false;
  std::vector<Nm> sizes;
  while (const Field field = in_.next()) {
    if (field.list()) {
      if (field.text == "offset") pad.drill_offset = point().value_or(Point{});
      in_.leave();
    } else if (field.text == "oval") {
      oval = true;
    } else if (const auto size = parse_mm(field.text)) {
      sizes.push_back(*size);
    } else {
      bad_ = true;
    }
  }
  if (sizes.empty()) return;
  // A slot is as wide as its narrow side.
  pad.drill = oval && sizes.size() > 1 ? std::min(sizes[0], sizes[1]) : sizes[0];
}

// A custom pad's anchor is a rectangle unless it says circle.
void Reader::read_options(PadDraft& pad) {
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "anchor") pad.anchor_is_circle = text() == "circle";
    in_.leave();
  }
}

void Reader::read_primitives(PadDraft& pad) {
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    const std::string name(field.text);
    if (!name.starts_with("gr_")) {
      skip(name, field.offset);
    } else if (auto drawing = read_drawing(name, field.offset)) {
      pad.primitives.push_back(std::move(*drawing));
    }
  }
}

void Reader::read_pad_list(PadDraft& pad, const Field& field) {
  const std::string name(field.text);
  if (name == "net") {
    pad.net = net_reference();
    return;
  }
  if (name == "layers") {
    pad.layers = layer_set();
    pad.odd_layer = odd_layer_;
    return;
  }
  if (name == "drill") return read_drill(pad);
  if (name == "primitives") return read_primitives(pad);
  if (name == "options") return read_options(pad);
  if (name == "at") {
    const auto at = point();
    pad.has_place = at.has_value();
    pad.at = at.value_or(Point{});
    pad.angle = angle();
  } else if (name == "size") {
    pad.width = size().value_or(0);
    pad.height = size().value_or(0);
  } else if (name == "rect_delta") {
    pad.delta_y = length().value_or(0);
    pad.delta_x = length().value_or(0);
  } else if (name == "roundrect_rratio") {
    pad.round_ratio = number().value_or(0.25);
  } else if (name == "pinfunction") {
    pad.function = text();
  } else if (name == "pintype") {
    pad.pin_type = text();
  } else {
    return skip(name, field.offset);
  }
  in_.leave();
}

double Reader::angle() {
  const Field field = in_.atom();
  if (!field) return 0;
  const auto value = parse_decimal(field.text);
  if (!value) bad_ = true;
  return value.value_or(0);
}

void Reader::read_pad(FootprintDraft& footprint, std::size_t offset) {
  PadDraft pad;
  pad.offset = offset;
  pad.number = text();
  pad.type = text();
  pad.shape = text();
  bad_ = false;
  while (const Field field = in_.next()) {
    if (field.list()) read_pad_list(pad, field);
  }
  if (!is_pad_type(pad.type) || !shape_named(pad.shape)) {
    warn(offset, "pad-type",
         fmt::format("pad {} is of a type or shape not known here ({} {}): taken as plated, and as a circle",
                     pad.number, pad.type, pad.shape));
  }
  pad.has_land = !bad_ && pad.has_place;
  if (!pad.has_land) {
    warn(offset, bad_ ? "number" : "place",
         fmt::format("pad {} {}: where its copper lies is not known", pad.number,
                     bad_ ? "has a value that is no length" : "has no place"));
    bad_ = false;
  }
  footprint.pads.push_back(std::move(pad));
}

void Reader::read_attributes(FootprintDraft& footprint) {
  while (const Field word = in_.next()) {
    if (word.list()) {
      in_.leave();
    } else if (word.text == "dnp") {
      footprint.fitted = false;
    }
  }
}

void Reader::read_footprint(std::size_t offset) {
  FootprintDraft footprint;
  footprint.offset = offset;
  footprint.name = text();
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    const std::string name(field.text);
    const std::size_t at = field.offset;
    if (name == "pad") {
      read_pad(footprint, at);
      continue;
    }
    if (name == "attr") {
      read_attributes(footprint);
      continue;
    }
    if (name == "fp_line" || name == "fp_arc" || name == "fp_circle" || name == "fp_rect" ||
        name == "fp_poly" || name == "fp_curve") {
      if (auto drawing = read_drawing(name, at)) footprint.drawings.push_back(std::move(*drawing));
      continue;
    }
    if (name == "layer") {
      footprint.layer = text();
    } else if (name == "at") {
      bad_ = false;
      footprint.at = point().value_or(Point{});
      footprint.angle = angle();
      footprint.placed = !bad_;
      bad_ = false;
    } else if (name == "fp_text") {
      const std::string kind = text();
      if (kind == "reference") footprint.reference = text();
      if (kind == "value") footprint.value = text();
    } else if (name == "property") {
      const std::string key = text();
      if (key == "Reference") footprint.reference = text();
      if (key == "Value") footprint.value = text();
    } else {
      skip(name, at);
      continue;
    }
    in_.leave();
  }
  add_footprint(footprint);
}

std::string Reader::unique_reference(const FootprintDraft& footprint) {
  const std::string base = footprint.reference.empty() ? "?" : footprint.reference;
  int& count = references_[base];
  if (++count == 1 && !footprint.reference.empty()) return base;
  ++repeated_references_;
  if (count == 1) return base;
  std::string own = fmt::format("{}#{}", base, count);
  while (references_.contains(own)) own += "'";
  references_[own] = 1;
  return own;
}

void Reader::add_footprint(const FootprintDraft& footprint) {
  Part part;
  part.reference = unique_reference(footprint);
  part.value = footprint.value;
  part.footprint = footprint.name;
  part.placed = footprint.placed;
  part.at = footprint.at;
  part.angle = normal_degrees(footprint.angle);
  const auto layer = copper_layer(footprint.layer);
  part.side = layer && *layer > 0 ? Side::kBottom : Side::kTop;
  part.fitted = footprint.fitted;
  if (!footprint.placed) {
    warn(footprint.offset, "place",
         fmt::format("{} has no place that can be read: its pins are kept, its copper is left out",
                     part.reference));
  }
  if (!layer) {
    warn(footprint.offset, "layer",
         fmt::format("{} is on no copper layer: taken as on the top side", part.reference));
  }
  const auto index = static_cast<Index>(board_.parts.size());
  board_.parts.push_back(std::move(part));
  std::unordered_map<std::string, Index> pins;
  for (const PadDraft& pad : footprint.pads) add_pad(footprint, pad, index, pins);
  if (!footprint.placed) return;
  for (Drawing drawing : footprint.drawings) {
    for (Point& p : drawing.points) p = footprint.at + turned(p, footprint.angle);
    add_drawing(drawing);
  }
}

void Reader::add_pad(const FootprintDraft& footprint, const PadDraft& pad, Index part,
                     std::unordered_map<std::string, Index>& pins) {
  const bool plated = pad.type != "np_thru_hole";
  Land land;
  land.part = part;
  land.net = pad.net;
  land.hole = footprint.at + turned(pad.at, footprint.angle);
  land.angle = normal_degrees(pad.angle);  // stored absolute, not relative to the footprint
  land.at = land.hole + turned(pad.drill_offset, land.angle);
  land.shape = shape_named(pad.shape).value_or(LandShape::kCircle);
  land.width = pad.width;
  land.height = pad.height;
  land.drill = pad.drill;
  land.layers = pad.layers;
  const Nm narrow = std::min(pad.width, pad.height);
  if (land.shape == LandShape::kRoundRect)
    land.corner = std::llround(pad.round_ratio * static_cast<double>(narrow));
  if (land.shape == LandShape::kCustom && pad.anchor_is_circle) land.corner = narrow / 2;
  if (land.shape == LandShape::kTrapezoid) land.corner = std::max(pad.delta_x, pad.delta_y) / 2;
  if (land.shape == LandShape::kCustom) land.outline = custom_outline(pad, land.at);
  const bool front = (pad.layers & layer_bit(0)) != 0;
  land.side = pad.drill > 0 ? Side::kThrough : (front ? Side::kTop : Side::kBottom);
  const bool has_land = pad.has_land && footprint.placed;
  if (!plated) {
    if (has_land) board_.holes.push_back({land.hole, pad.drill});
    if (std::min(pad.width, pad.height) <= pad.drill) return;  // no ring
    land.drill = 0;
    land.side = front ? Side::kTop : Side::kBottom;
  } else if (!pad.number.empty()) {
    const auto [entry, fresh] = pins.try_emplace(pad.number, static_cast<Index>(board_.pins.size()));
    if (fresh) {
      board_.pins.push_back({part, pad.number, pad.function, pin_type_named(pad.pin_type), pad.net});
    } else if (board_.pins[entry->second].net != pad.net) {
      Pin& pin = board_.pins[entry->second];
      if (pin.net != kNone && pad.net != kNone) {
        warn(pad.offset, "pin-twice",
             fmt::format("pad {} of {} is on two nets: the first stands for the pin", pad.number,
                         board_.parts[part].reference));
      }
      if (pin.net == kNone) pin.net = pad.net;
    }
    land.pin = entry->second;
  }
  // A pad of paste alone, without a net, is nothing that a repair needs.
  if (land.layers == 0 && plated && !pad.number.empty() && (pad.net != kNone || pad.odd_layer)) {
    warn(pad.offset, "layer",
         fmt::format("pad {} of {} is on no copper layer", pad.number, board_.parts[part].reference));
  }
  if (land.layers != 0 && has_land) board_.lands.push_back(std::move(land));
}

}  // namespace landfall::importers::kicad_board
