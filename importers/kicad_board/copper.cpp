#include <algorithm>

#include <fmt/format.h>

#include "importers/kicad_board/reader.hpp"

// Tracks, arcs, vias and zones. FORMATS.md 1.6, 1.7.

namespace landfall::importers::kicad_board {

void Reader::read_segment(std::size_t offset) {
  Track track;
  bool has_layer = false;
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "start") {
      track.from = point().value_or(Point{});
    } else if (field.text == "end") {
      track.to = point().value_or(Point{});
    } else if (field.text == "width") {
      track.width = length().value_or(0);
    } else if (field.text == "layer") {
      const auto layer = copper_layer(in_.atom().text);
      has_layer = layer.has_value();
      track.layer = layer.value_or(0);
    } else if (field.text == "net") {
      track.net = net_reference();
      continue;
    }
    in_.leave();
  }
  if (bad_) return warn(offset, "number", "a track with a value that is no length: skipped");
  if (!has_layer) return warn(offset, "layer", "a track on no copper layer: skipped");
  if (track.from == track.to) return;  // such stubs occur in real files and carry nothing
  board_.tracks.push_back(track);
}

void Reader::read_arc(std::size_t offset) {
  Arc arc;
  bool has_layer = false;
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "start") {
      arc.from = point().value_or(Point{});
    } else if (field.text == "mid") {
      arc.mid = point().value_or(Point{});
    } else if (field.text == "end") {
      arc.to = point().value_or(Point{});
    } else if (field.text == "width") {
      arc.width = length().value_or(0);
    } else if (field.text == "layer") {
      const auto layer = copper_layer(in_.atom().text);
      has_layer = layer.has_value();
      arc.layer = layer.value_or(0);
    } else if (field.text == "net") {
      arc.net = net_reference();
      continue;
    }
    in_.leave();
  }
  if (bad_) return warn(offset, "number", "an arc with a value that is no length: skipped");
  if (!has_layer) return warn(offset, "layer", "an arc on no copper layer: skipped");
  board_.arcs.push_back(arc);
}

void Reader::read_via(std::size_t offset) {
  Via via;
  via.last = std::max(0, static_cast<int>(board_.layers.size()) - 1);
  via.top = front_;
  via.bottom = back_;
  bool has_drill = false;
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "at") {
      via.at = point().value_or(Point{});
    } else if (field.text == "size") {
      via.diameter = length().value_or(0);
    } else if (field.text == "drill") {
      via.drill = length().value_or(0);
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
    }
    in_.leave();
  }
  if (bad_) return warn(offset, "number", "a via with a value that is no length: skipped");
  if (!has_drill) vias_without_drill_.push_back(static_cast<Index>(board_.vias.size()));
  board_.vias.push_back(via);
}

void Reader::read_zone(std::size_t offset) {
  struct Piece {
    LayerSet layers = 0;
    std::vector<Point> ring;
    bool strokes = false;
  };
  Zone zone;
  std::vector<Piece> pieces;
  Nm thickness = 0;
  bool pen = true;
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    const std::string name(field.text);
    if (name == "net") {
      zone.net = net_reference();
    } else if (name == "layer" || name == "layers") {
      zone.layers |= layer_set();
    } else if (name == "min_thickness") {
      thickness = length().value_or(0);
      in_.leave();
    } else if (name == "filled_areas_thickness") {
      pen = flag();
    } else if (name == "keepout") {
      zone.keepout = true;
      in_.leave();
    } else if (name == "filled_polygon" || name == "fill_segments") {
      Piece piece;
      piece.strokes = name == "fill_segments";
      while (const Field part = in_.next()) {
        if (!part.list()) continue;
        if (part.text == "layer") {
          piece.layers = layer_set();
        } else if (part.text == "pts") {
          read_points(piece.ring);
        } else {
          in_.leave();
        }
      }
      pieces.push_back(std::move(piece));
    } else {
      in_.leave();
    }
  }
  if (bad_) warn(offset, "number", "a zone with a value that is no length: the value is left out");
  if (zone.keepout) {
    zone.net = kNone;
    pieces.clear();
  }
  for (Piece& piece : pieces) {
    const LayerSet layers = piece.layers != 0 ? piece.layers : zone.layers;
    for (int layer = 0; layer < static_cast<int>(board_.layers.size()); ++layer) {
      if ((layers & layer_bit(layer)) == 0) continue;
      zone.filled = true;
      if (!piece.strokes) {
        board_.fills.push_back({zone.net, layer, pen ? thickness : 0, std::move(piece.ring)});
        break;  // one polygon is on one layer
      }
      for (std::size_t i = 1; i < piece.ring.size(); i += 2) {
        board_.fills.push_back({zone.net, layer, thickness, {piece.ring[i - 1], piece.ring[i]}});
      }
    }
  }
  if (!zone.filled && !zone.keepout && zone.net != kNone) {
    warn(offset, "zone-unfilled",
         fmt::format("the zone of net {} is not filled in the file: where its copper runs is "
                     "not known",
                     board_.nets[zone.net].name));
  }
  board_.zones.push_back(zone);
}

}  // namespace landfall::importers::kicad_board
