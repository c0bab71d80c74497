// The reader of IPC-2581, shared by the files of this folder only.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "importers/design.hpp"
#include "importers/ipc_2581/rings.hpp"
#include "importers/text/name_index.hpp"
#include "importers/text/xml.hpp"
#include "importers/text/xml_tree.hpp"

namespace landfall::importers::ipc_2581 {

// Lengths of a file: nanometres a unit, exact for plain decimals.
struct Unit {
  std::int64_t nm = 0;  // 1'000'000, 1'000, 25'400'000; 0: not stated
};
std::optional<Unit> unit_named(std::string_view word);
// An xsd:double in this unit; nothing for other text or beyond 10 m.
std::optional<Nm> parse_length(std::string_view text, Unit unit);
std::optional<double> parse_double(std::string_view text);

// Turned counter-clockwise, then mirrored (x -> -x), then scaled, then moved: 81A and 81C 3.3.
struct Xform {
  double rotation = 0;
  bool mirror = false;
  double scale = 1;
  Point offset;  // the new origin, before all else
  [[nodiscard]] Point place(Point p) const;
  // How a shape that is its own mirror image lies.
  [[nodiscard]] double angle(double own) const;
};

struct Stroke {
  Point from, to, centre;
  Nm width = 0;
  bool arc = false, clockwise = false;
};

// What a primitive draws about its own origin.
struct Shape {
  bool simple = false;  // one of LandShape's own: kind, width, height, corner, angle
  LandShape kind = LandShape::kCustom;
  Nm width = 0, height = 0, corner = 0;
  double angle = 0;
  std::vector<Ring> areas;
  std::vector<Stroke> strokes;
};

template <class Value>
using ByName = std::unordered_map<std::string, Value, NameHash, std::equal_to<>>;

struct Box {
  Point low{kFarthest * 4, kFarthest * 4}, high{-kFarthest * 4, -kFarthest * 4};
  void add(Point p) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  void add(Point p, Nm around) {
    add(p - Point{around, around});
    add(p + Point{around, around});
  }
  [[nodiscard]] bool meets(const Box& o) const {
    return low.x <= o.high.x && o.low.x <= high.x && low.y <= o.high.y && o.low.y <= high.y;
  }
};

class Reader {
 public:
  Reader(std::string_view bytes, Diagnostics& log) : bytes_(bytes), log_(log) {}
  std::optional<Design> run();

 private:
  using Node = XmlNode;
  enum class LayerRole { kOther, kCopper, kDrill, kMaskTop, kMaskBottom };
  struct Layer {
    LayerRole role = LayerRole::kOther;
    Side side = Side::kThrough;
    bool internal = false, negative = false;
    int copper = -1;
    std::string from, to;  // a drill layer's span
  };
  struct PackagePin {
    std::string number;
    Point at;
    Xform turn;
    Shape shape;
    bool electrical = true, through = false;
  };
  struct Placed {
    const std::vector<PackagePin>* pins = nullptr;
    Xform turn;
    Point at;
  };
  struct PadStack {
    Nm drill = 0;
    bool plated = true, via = false;
    ByName<Shape> regular;  // by layer
  };
  struct LoosePad {  // no pin's: a via's ring, a fiducial
    Point at;
    Index net = kNone, part = kNone;
    int layer = 0;
    bool via = false;
    Shape shape;
    Xform turn;
    Nm drill = 0;  // by its padstack
  };
  struct HoleDraft {
    Point at;
    Nm drill = 0;
    Index net = kNone;
    bool plated = true, via = false;
    int first = 0, last = 0;
    bool used = false;
  };

  // reader.cpp: the frame, the header, small values
  bool read_tree();
  void read_layer_features(const Node& step);
  bool fail(std::string_view code, std::string message, std::size_t offset);
  void warn(const Node& node, std::string_view code, std::string message);
  std::optional<Nm> length(const Node& node, std::string_view name);
  std::optional<Point> point(const Node& node, std::string_view x = "x", std::string_view y = "y");
  Point location(const Node& node);  // its Location, or the origin
  static Xform xform_of(const Node& node, Unit unit);
  Xform xform(const Node& node) const { return xform_of(child_named(node, "Xform"), unit_); }
  std::string name_of(std::string_view raw, const Node& node);
  bool read_units(const Node& header);
  void read_layers(const Node& data);
  void read_stackup(const Node& data);
  Node step_of(const Node& data, std::string_view wanted);
  void read_profile(const Node& profile);
  void read_bom(const Node& root);
  std::string writer_of(const Node& root) const;
  void finish();

  // shapes.cpp
  void read_dictionaries(const Node& content);
  Shape read_primitive(const Node& node, Unit unit);
  void read_special(const Node& special, Unit unit, int depth, Shape& shape);
  bool read_drawing(const Node& node, Unit unit, Shape& shape);
  void read_contour(const Node& node, Unit unit, Shape& shape);
  Ring read_ring(const Node& polygon, Unit unit);
  void read_polyline(const Node& node, Unit unit, Shape& shape);
  Nm line_width(const Node& node, Unit unit);
  const Shape* referenced(const Node& node);
  Shape shape_in(const Node& node);  // the shape that a Pad, a Pin or a Features holds

  // parts.cpp
  void read_packages(const Node& step);
  void read_components(const Node& step);
  void read_logical_nets(const Node& step);
  void read_phy_nets(const Node& step);
  [[nodiscard]] Index known_part(std::string_view reference) const;  // kNone: none
  [[nodiscard]] Index known_pin(Index part, std::string_view number) const;
  Index part_of(std::string_view reference);
  Index pin_of(const Node& pin_ref);
  Index pin_named(Index part, const std::string& number);
  Index net_of(std::string_view raw, const Node& node);
  void set_pin_net(Index pin, Index net, const Node& node);
  void add_missing_lands();
  void match_phy_nets();

  // copper.cpp
  void read_padstack_definitions(const Node& step);
  void read_old_padstack(const Node& stack);
  void read_section(std::size_t number);
  void read_layer_feature(const Node& feature);
  void read_set(const Node& set, const Layer& layer, std::string_view layer_name);
  void read_pad(const Node& pad, const Node& set, const Layer& layer, std::string_view layer_name, Index net);
  void read_mask_pad(const Node& pad, const Layer& layer);
  void read_features(const Node& features, const Layer& layer, Index net, bool negative);
  void read_hole(const Node& hole, const Layer* drill, Index net);
  void read_slot(const Node& slot, const Layer* drill, Index net);
  void add_pin_pad(Index pin, Point at, const Shape& shape, const Xform& turn, int layer, Index net);
  void add_shape(const Shape& shape, const Xform& turn, Point at, int layer, Index net, const Node& node);

  // negative.cpp
  void read_negative_layer(const Node& feature, const Layer& layer);
  void erase_under(const Shape& shape, const Xform& turn, Point at, int layer, const Node& node);
  bool takes_hole(const Fill& fill, std::vector<Ring>& before, const std::vector<Ring>& holes);
  void cut_holes();
  void doubt_negative_layers();
  void span_of(const Layer* drill, HoleDraft& hole);

  // assemble.cpp
  Land land_of(const Shape& shape, const Xform& turn, Point at) const;
  void assemble_holes();
  void assemble_loose_pads();
  void cover_vias();
  void add_zones();
  void settle_sides();
  void strip_prefixes();
  [[nodiscard]] LayerSet all_layers() const;

  std::string_view bytes_;
  Diagnostics& log_;
  bool plain_ = false;  // `tree_` is the whole file; else it is `split_.rest`
  XmlTree tree_;
  XmlSections split_;
  std::size_t section_base_ = 0;  // where the section begins that is read; 0: none is
  Board board_;
  Unit unit_;
  std::string mode_;
  bool from_kicad_ = false, logical_ = false;
  ByName<Layer> layers_;
  ByName<Shape> shapes_;
  ByName<Nm> line_widths_;
  std::unordered_set<std::string, NameHash, std::equal_to<>> hollow_fills_;
  ByName<std::vector<PackagePin>> packages_;
  ByName<PadStack> padstacks_;
  std::vector<Placed> placed_;                               // one a part
  NameIndex part_by_reference_, net_by_name_, pin_by_name_;  // of the board's own lists
  NameIndex land_of_pin_;                                    // by pin and place
  std::vector<int> land_layer_;                              // of whose layer a land's shape is
  std::vector<LoosePad> loose_;
  std::vector<HoleDraft> holes_;
  std::vector<Point> mask_top_, mask_bottom_;  // openings
  bool has_mask_top_ = false, has_mask_bottom_ = false;
  std::map<Point, std::pair<Cover, Cover>> exposure_;
  std::vector<std::pair<Point, Index>> phy_points_;
  std::set<std::pair<Index, int>> unknown_fills_;
  std::vector<std::vector<Ring>> fill_holes_;  // by fill: what was drawn in the negative within it
  std::vector<int> unnamed_planes_;            // layers drawn in the negative that name no net
  // Steps that a hostile file may cost; what lies beyond is said to be not known.
  std::size_t slit_budget_ = 2'000'000'000;
  std::size_t erase_budget_ = 1'000'000'000;
  std::size_t without_pads_ = 0, contradictions_ = 0;
};

}  // namespace landfall::importers::ipc_2581
