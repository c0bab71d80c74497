#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "importers/ipc_2581/reader.hpp"

// Dictionaries and drawings. FORMATS.md 4.4.

namespace landfall::importers::ipc_2581 {
namespace {

constexpr int kDeepestSpecial = 16;

Ring ring_of(const Shape& shape) {
  const bool round = shape.kind == LandShape::kCircle;
  Ring ring;
  if (round) {
    ring = disc_ring({}, shape.width / 2);
  } else if (shape.kind == LandShape::kOval) {
    ring = rect_ring(shape.width, shape.height, std::min(shape.width, shape.height) / 2);
  } else {
    ring = rect_ring(shape.width, shape.height, shape.kind == LandShape::kRoundRect ? shape.corner : 0);
  }
  for (Point& p : ring) p = turned(p, shape.angle);
  return ring;
}

void merge(Shape& into, Shape other) {
  const bool empty = !into.simple && into.areas.empty() && into.strokes.empty();
  if (empty) {
    into = std::move(other);
    return;
  }
  if (into.simple) {
    into.areas.push_back(ring_of(into));
    into.simple = false;
  }
  if (other.simple) into.areas.push_back(ring_of(other));
  std::move(other.areas.begin(), other.areas.end(), std::back_inserter(into.areas));
  into.strokes.insert(into.strokes.end(), other.strokes.begin(), other.strokes.end());
}

void transform(Shape& shape, const Xform& xform) {
  if (shape.simple) {
    shape.angle = xform.angle(shape.angle);
    return;
  }
  for (Ring& ring : shape.areas) {
    for (Point& p : ring) p = xform.place(p);
  }
  for (Stroke& s : shape.strokes) {
    s = {xform.place(s.from),        xform.place(s.to), xform.place(s.centre), s.width, s.arc,
         s.clockwise != xform.mirror};
  }
}

void outline_only(Shape& shape, Nm width) {
  std::vector<Ring> rings = std::move(shape.areas);
  if (shape.simple) rings.push_back(ring_of(shape));
  shape.simple = false;
  shape.areas.clear();
  if (width <= 0) return;
  for (const Ring& ring : rings) {
    for (std::size_t i = 0; i < ring.size(); ++i)
      shape.strokes.push_back({ring[i], ring[i + 1 < ring.size() ? i + 1 : 0], {}, width, false, false});
  }
}

// What a step of an outline says, in one walk over its attributes: most of a large file is such steps.
struct StepText {
  std::string_view x, y, centre_x, centre_y, clockwise;
};

StepText text_of(const XmlNode& step) {
  StepText text;
  for (const auto* own = step.attributes_begin(); own != step.attributes_end(); ++own) {
    const std::string_view name = own->name();
    std::string_view* which = nullptr;
    if (name == "x") which = &text.x;
    if (name == "y") which = &text.y;
    if (name == "centerX") which = &text.centre_x;
    if (name == "centerY") which = &text.centre_y;
    if (name == "clockwise") which = &text.clockwise;
    if (which != nullptr && which->data() == nullptr)
      *which = own->value();  // of one that stands twice the first
  }
  return text;
}

bool yes(std::string_view word) {
  return word == "true" || word == "TRUE" || word == "1";
}

}  // namespace

Nm Reader::line_width(const Node& node, Unit unit) {
  for (const Node& own : node.children()) {
    if (local_name(own) == "LineDesc")
      return std::max<Nm>(0, parse_length(attribute(own, "lineWidth"), unit).value_or(0));
    if (local_name(own) != "LineDescRef") continue;
    const auto known = line_widths_.find(attribute(own, "id"));
    if (known != line_widths_.end()) return known->second;
    warn(own, "line-unknown",
         fmt::format("line {} is in no dictionary: taken as of no width",
                     attribute(own, "id").substr(0, 100)));
  }
  return 0;
}

const Shape* Reader::referenced(const Node& node) {
  const std::string_view id = attribute(node, "id");
  const auto known = shapes_.find(id);
  if (known != shapes_.end()) return &known->second;
  warn(node, "shape-unknown", fmt::format("shape {} is in no dictionary: left out", id.substr(0, 100)));
  return nullptr;
}

Ring Reader::read_ring(const Node& polygon, Unit unit) {
  Ring ring;
  for (Node step = polygon.first_child(); step; step = step.next_sibling()) {
    const std::string_view name = local_name(step);
    if (name != "PolyBegin" && name != "PolyStepSegment" && name != "PolyStepCurve") continue;
    const StepText text = text_of(step);
    const auto x = parse_length(text.x, unit);
    const auto y = parse_length(text.y, unit);
    if (!x || !y) {
      warn(step, "number", "a corner that is no number or lies beyond 10 m: left out");
      continue;
    }
    const Point to{*x, *y};
    const bool curve = name == "PolyStepCurve" && !ring.empty();
    const auto cx = curve ? parse_length(text.centre_x, unit) : std::nullopt;
    const auto cy = curve ? parse_length(text.centre_y, unit) : std::nullopt;
    if (cx && cy) {
      append_arc(ring, ring.back(), to, {*cx, *cy}, yes(text.clockwise));
    } else if (ring.empty() || ring.back() != to) {
      ring.push_back(to);
    }
  }
  if (ring.size() > 1 && ring.front() == ring.back()) ring.pop_back();
  return ring;
}

void Reader::read_polyline(const Node& node, Unit unit, Shape& shape) {
  const Nm width = line_width(node, unit);
  std::optional<Point> at;
  for (Node step = node.first_child(); step; step = step.next_sibling()) {
    const std::string_view name = local_name(step);
    if (name != "PolyBegin" && name != "PolyStepSegment" && name != "PolyStepCurve") continue;
    const StepText text = text_of(step);
    const auto x = parse_length(text.x, unit);
    const auto y = parse_length(text.y, unit);
    if (!x || !y) {
      warn(step, "number", "a line's point that is no number or lies beyond 10 m: the line is cut there");
      at.reset();
      continue;
    }
    const Point to{*x, *y};
    if (at && name == "PolyStepCurve") {
      const auto cx = parse_length(text.centre_x, unit);
      const auto cy = parse_length(text.centre_y, unit);
      if (cx && cy) {
        shape.strokes.push_back({*at, to, {*cx, *cy}, width, true, yes(text.clockwise)});
      } else {
        warn(step, "number", "an arc without a centre: taken as straight");
        shape.strokes.push_back({*at, to, {}, width, false, false});
      }
    } else if (at && name == "PolyStepSegment") {
      shape.strokes.push_back({*at, to, {}, width, false, false});
    }
    at = to;
  }
}

void Reader::read_contour(const Node& node, Unit unit, Shape& shape) {
  Ring outline;
  std::vector<Ring> holes;
  bool hollow = false;
  Nm width = 0;
  for (const Node& own : node.children()) {
    const std::string_view name = local_name(own);
    if (name == "Polygon") {
      outline = read_ring(own, unit);
      width = line_width(own, unit);
      const std::string_view fill = attribute(child_named(own, "FillDesc"), "fillProperty");
      hollow = fill == "HOLLOW" || hollow_fills_.contains(attribute(child_named(own, "FillDescRef"), "id"));
    } else if (name == "Cutout") {
      holes.push_back(read_ring(own, unit));
    }
  }
  if (outline.size() < 3) return;
  Shape own;
  if (hollow) {
    own.areas.push_back(std::move(outline));
    for (Ring& hole : holes) own.areas.push_back(std::move(hole));
    outline_only(own, width);
  } else if (auto ring = slit(std::move(outline), std::move(holes), slit_budget_)) {
    own.areas.push_back(std::move(*ring));
  } else {
    warn(node, "area-large", "an area with more holes than can be cut out here: left out");
    return;
  }
  merge(shape, std::move(own));
}

Shape Reader::read_primitive(const Node& node, Unit unit) {
  const std::string_view name = local_name(node);
  const auto size = [&](std::string_view attribute_name) {
    return std::max<Nm>(0, parse_length(attribute(node, attribute_name), unit).value_or(0));
  };
  Shape shape;
  shape.simple = true;
  shape.width = size("width");
  shape.height = size("height");
  if (name == "Circle" || name == "Donut" || name == "Thermal" || name == "Moire" || name == "Butterfly") {
    shape.kind = LandShape::kCircle;
    shape.width = shape.height = size(name == "Donut" || name == "Thermal" ? "outerDiameter" : "diameter");
  } else if (name == "Oval" || name == "Ellipse") {
    shape.kind = LandShape::kOval;
  } else if (name == "RectRound") {
    shape.kind = LandShape::kRoundRect;
    shape.corner = size("radius");
  } else if (name == "RectCorner") {
    const auto x1 = parse_length(attribute(node, "lowerLeftX"), unit);
    const auto y1 = parse_length(attribute(node, "lowerLeftY"), unit);
    const auto x2 = parse_length(attribute(node, "upperRightX"), unit);
    const auto y2 = parse_length(attribute(node, "upperRightY"), unit);
    shape.simple = false;
    if (x1 && y1 && x2 && y2) shape.areas.push_back({{*x1, *y1}, {*x2, *y1}, {*x2, *y2}, {*x1, *y2}});
  } else if (name == "Hexagon" || name == "Octagon") {
    shape.kind = LandShape::kCircle;
    shape.width = shape.height = size("length");
  } else {
    shape.kind = LandShape::kRect;  // RectCenter, RectCham, Diamond and other boxes
  }
  if (shape.simple && shape.width == 0) return {};
  transform(shape, xform_of(child_named(node, "Xform"), unit));
  const std::string_view fill = attribute(child_named(node, "FillDesc"), "fillProperty");
  if (fill == "HOLLOW" || hollow_fills_.contains(attribute(child_named(node, "FillDescRef"), "id")))
    outline_only(shape, line_width(node, unit));
  return shape;
}

bool Reader::read_drawing(const Node& node, Unit unit, Shape& shape) {
  static constexpr std::array<std::string_view, 15> kPrimitives{
      "Circle",  "RectCenter", "RectRound", "Oval",  "RectCham", "RectCorner", "Ellipse",  "Diamond",
      "Hexagon", "Octagon",    "Triangle",  "Donut", "Thermal",  "Moire",      "Butterfly"};
  const std::string_view name = local_name(node);
  if (name == "Polyline") {
    Shape own;
    read_polyline(node, unit, own);
    merge(shape, std::move(own));
  } else if (name == "Line" || name == "Arc") {
    const auto from_x = parse_length(attribute(node, "startX"), unit);
    const auto from_y = parse_length(attribute(node, "startY"), unit);
    const auto to_x = parse_length(attribute(node, "endX"), unit);
    const auto to_y = parse_length(attribute(node, "endY"), unit);
    const auto cx = parse_length(attribute(node, "centerX"), unit);
    const auto cy = parse_length(attribute(node, "centerY"), unit);
    const bool arc = name == "Arc";
    if (!from_x || !from_y || !to_x || !to_y || (arc && (!cx || !cy))) {
      warn(node, "number", "a line with a place that is no number or lies beyond 10 m: left out");
      return true;
    }
    Shape own;
    own.strokes.push_back({{*from_x, *from_y},
                           {*to_x, *to_y},
                           {cx.value_or(0), cy.value_or(0)},
                           line_width(node, unit),
                           arc,
                           yes(attribute(node, "clockwise"))});
    merge(shape, std::move(own));
  } else if (name == "Contour") {
    read_contour(node, unit, shape);
  } else if (name == "Outline") {
    Shape own;
    own.areas.push_back(read_ring(child_named(node, "Polygon"), unit));
    outline_only(own, line_width(node, unit));
    merge(shape, std::move(own));
  } else if (name == "StandardPrimitiveRef" || name == "UserPrimitiveRef") {
    if (const Shape* known = referenced(node)) merge(shape, *known);
  } else if (std::find(kPrimitives.begin(), kPrimitives.end(), name) != kPrimitives.end()) {
    merge(shape, read_primitive(node, unit));
  } else {
    return false;
  }
  return true;
}

void Reader::read_special(const Node& special, Unit unit, int depth, Shape& shape) {
  for (Node own = special.first_child(); own; own = own.next_sibling()) {
    if (local_name(own) == "UserSpecial") {
      if (depth < kDeepestSpecial) read_special(own, unit, depth + 1, shape);
    } else {
      read_drawing(own, unit, shape);
    }
  }
}

Shape Reader::shape_in(const Node& node) {
  Shape shape;
  read_special(node, unit_, 0, shape);
  return shape;
}

void Reader::read_dictionaries(const Node& content) {
  const auto unit_of = [&](const Node& dictionary) {
    return unit_named(attribute(dictionary, "units")).value_or(unit_);
  };
  for (const Node& dictionary : content.children()) {
    const std::string_view name = local_name(dictionary);
    for (const Node& entry : dictionary.children()) {
      std::string id(attribute(entry, "id"));
      if (name == "DictionaryLineDesc") {
        line_widths_.try_emplace(std::move(id), line_width(entry, unit_of(dictionary)));
      } else if (name == "DictionaryFillDesc") {
        if (attribute(child_named(entry, "FillDesc"), "fillProperty") == "HOLLOW")
          hollow_fills_.insert(std::move(id));
      }
    }
  }
  for (const Node& dictionary : content.children()) {
    const std::string_view name = local_name(dictionary);
    if (name != "DictionaryStandard" && name != "DictionaryUser") continue;
    for (const Node& entry : dictionary.children()) {
      Shape shape;
      read_special(entry, unit_of(dictionary), 0, shape);
      shapes_.try_emplace(std::string(attribute(entry, "id")), std::move(shape));
    }
  }
}

}  // namespace landfall::importers::ipc_2581
