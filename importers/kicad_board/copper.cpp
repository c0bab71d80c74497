#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "importers/kicad_board/reader.hpp"

// Tracks, arcs, vias and zones. FORMATS.md 1.6, 1.7.

namespace landfall::importers::kicad_board {

std::optional<Reader::Stroke> Reader::read_stroke(std::string_view what, std::size_t offset) {
  Stroke stroke;
  bool has_layer = false;
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "net") {
      stroke.net = net_reference();
      continue;
    }
    if (field.text == "start") {
      stroke.from = point();
    } else if (field.text == "mid") {
      stroke.mid = point();
    } else if (field.text == "end") {
      stroke.to = point();
    } else if (field.text == "width") {
      stroke.width = size().value_or(0);
    } else if (field.text == "layer") {
      const auto layer = copper_layer(in_.atom().text);
      has_layer = layer.has_value();
      stroke.layer = layer.value_or(0);
    } else {
      skip(field.text, field.offset);
      continue;
    }
    in_.leave();
  }
  const auto without = [&](std::string_view code, std::string_view lacking) {
    warn(offset, code, fmt::format("{} {}: skipped", what, lacking));
    return std::nullopt;
  };
  if (bad_) return without("number", "with a value that is no length");
  if (!has_layer) return without("layer", "on no copper layer");
  if (!stroke.from || !stroke.to) return without("place", "without an end");
  return stroke;
}

void Reader::read_segment(std::size_t offset) {
  const auto stroke = read_stroke("a track", offset);
  if (!stroke || *stroke->from == *stroke->to)
    return;  // stubs of no length occur in real files and carry nothing
  board_.tracks.push_back({*stroke->from, *stroke->to, stroke->width, stroke->layer, stroke->net});
}

void Reader::read_arc(std::size_t offset) {
  const auto stroke = read_stroke("an arc", offset);
  if (!stroke) return;
  if (!stroke->mid) return warn(offset, "place", "an arc without a middle: skipped");
  board_.arcs.push_back(
      {*stroke->from, *stroke->mid, *stroke->to, stroke->width, stroke->layer, stroke->net});
}

void Reader::read_via(std::size_t offset) {
  Via via;
  via.last = std::max(0, static_cast<int>(board_.layers.size()) - 1);
  via.top = front_;
  via.bottom = back_;
  bool has_drill = false;
  bool has_place = false;
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "at") {
      via.at = point().value_or(Point{});
      has_place = true;
    } else if (field.text == "size") {
      via.diameter = size().value_or(0);
    } else if (field.text == "drill") {
      via.drill = size().value_or(0);
      has_drill = via.drill > 0;
    } else if (field.text == "layers") {
      const auto a = copper_layer(in_.atom().text);
      const auto b = copper_layer(in_.atom().text);
      if (a && b) {
        via.first = std::min(*a, *b);
        via.last = std::max(*a, *b);
      } else {
        warn(offset, "layer", "a via between layers that are not copper: taken as through");
      }
    } else if (field.text == "net") {
      via.net = net_reference();
      continue;
    } else if (field.text == "tenting") {
      read_tenting(via.top, via.bottom);
      continue;
    } else {
      skip(field.text, field.offset);
      continue;
    }
    in_.leave();
  }
  if (bad_) return warn(offset, "number", "a via with a value that is no length: skipped");
  if (!has_place) return warn(offset, "place", "a via without a place: skipped");
  if (!has_drill) vias_without_drill_.push_back(static_cast<Index>(board_.vias.size()));
  board_.vias.push_back(via);
}

Reader::Piece Reader::read_piece(std::string_view kind) {
  Piece piece;
  piece.strokes = kind == "fill_segments";
  while (const Field part = in_.next()) {
    if (!part.list()) continue;
    if (part.text == "layer") {
      piece.has_layer = true;
      piece.layers = layer_set();
    } else if (part.text == "pts") {
      read_points(piece.ring);
    } else {
      skip(part.text, part.offset);
    }
  }
  return piece;
}

void Reader::read_zone(std::size_t offset) {
  Zone zone;
  std::vector<Piece> pieces;
  Nm thickness = 0;
  bool pen = true;
  bool whole = true;  // no piece of its copper was left out
  const auto without = [&](std::string_view code, std::string_view why) {
    if (!zone.keepout)
      warn(offset, code, fmt::format("a zone's fill {}: where its copper runs is not known", why));
    whole = false;
  };
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    const std::string name(field.text);
    if (name == "net") {
      zone.net = net_reference();
    } else if (name == "layer" || name == "layers") {
      zone.layers |= layer_set();
    } else if (name == "min_thickness") {
      thickness = size().value_or(0);
      in_.leave();
    } else if (name == "filled_areas_thickness") {
      pen = flag();
    } else if (name == "keepout") {
      zone.keepout = true;
      in_.leave();
    } else if (name == "filled_polygon" || name == "fill_segments") {
      const bool was_bad = std::exchange(bad_, false);
      Piece piece = read_piece(name);
      if (bad_) {
        without("number", "has a value that is no length");
      } else if (piece.has_layer && piece.layers == 0) {
        if (zone.layers != 0) without("layer", "is on no copper layer");  // else a zone of mask or paste
      } else {
        pieces.push_back(std::move(piece));
      }
      bad_ = was_bad;
    } else {
      skip(name, field.offset);
    }
  }
  if (bad_) warn(offset, "number", "a zone with a value that is no length: the value is left out");
  if (zone.keepout) {
    zone.net = kNone;
    pieces.clear();
  }
  for (Piece& piece : pieces) {
    const LayerSet layers = piece.has_layer ? piece.layers : zone.layers;
    for (int layer = 0; layer < static_cast<int>(board_.layers.size()); ++layer) {
      if ((layers & layer_bit(layer)) == 0) continue;
      zone.filled = whole;
      if (!piece.strokes) {
        board_.fills.push_back({zone.net, layer, pen ? thickness : 0, std::move(piece.ring)});
        break;  // one polygon is on one layer
      }
      for (std::size_t i = 1; i < piece.ring.size(); i += 2) {
        board_.fills.push_back({zone.net, layer, thickness, {piece.ring[i - 1], piece.ring[i]}});
      }
    }
  }
  if (!zone.filled && whole && !zone.keepout && zone.net != kNone) {
    warn(offset, "zone-unfilled",
         fmt::format("the zone of net {} is not filled in the file: where its copper runs is "
                     "not known",
                     board_.nets[zone.net].name));
  }
  board_.zones.push_back(zone);
}

}  // namespace landfall::importers::kicad_board
