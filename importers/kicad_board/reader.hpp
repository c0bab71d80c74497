// The reader of KiCad boards, shared by the files of this folder only.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "importers/design.hpp"
#include "importers/text/sexpr.hpp"

namespace landfall::importers::kicad_board {

// A graphic as drawn, in the file's own frame turned into ours (y up), before any footprint's place.
struct Drawing {
  std::vector<Point> points;  // a path, or a closed ring when `filled`
  Nm width = 0;
  bool filled = false;
  bool closed = false;
  std::string layer;
};

struct PadDraft {
  bool anchor_is_circle = false;  // of a custom pad
  std::string number, type, shape, net_name, function, pin_type;
  std::size_t offset = 0;
  Point at, drill_offset;
  double angle = 0;
  Nm width = 0, height = 0, drill = 0;
  Nm delta_x = 0, delta_y = 0;  // trapezoid
  double round_ratio = 0.25;
  bool has_place = false;
  bool has_land = true;  // false: a value cannot be read, so that only number and net count
  LayerSet layers = 0;
  bool odd_layer = false;
  Index net = kNone;
  std::vector<Drawing> primitives;
};

struct FootprintDraft {
  std::string name, reference, value, layer;
  std::size_t offset = 0;
  bool placed = false;
  Point at;
  double angle = 0;
  bool fitted = true;
  std::vector<PadDraft> pads;
  std::vector<Drawing> drawings;
};

class Reader {
 public:
  Reader(std::string_view bytes, Diagnostics& log) : in_(bytes), log_(log) {}
  std::optional<Design> run();

 private:
  using Field = SexprReader::Field;

  // reader.cpp: the frame, and the small values
  void read_section(std::string_view name, std::size_t offset);
  void warn(std::size_t offset, std::string_view code, std::string message);
  std::optional<Nm> length();    // the next atom; nothing (and the record is bad) if it is no length
  std::optional<Nm> size();      // the same, and below zero is none
  std::optional<Point> point();  // X Y, y turned up
  std::optional<double> number();
  double angle();      // the next atom in degrees; 0 when there is none
  bool flag();         // the rest of "(x)", "(x yes)", "(x no)"; leaves the list
  std::string text();  // the next atom, cut to 1000 bytes; empty when none
  void skip(std::string_view word,
            std::size_t offset);  // leaves the list `word`; warns of one not known here
  Index net_reference();          // "(net ...": leaves the list
  Index net_named(std::string_view name);
  void finish();

  // header.cpp
  void read_layers();
  void read_net();
  void read_net_class();
  void read_setup();
  void read_tenting(Cover& front, Cover& back);
  void read_title_block();
  LayerSet layer_set();  // the names that follow, then leaves the list; sets odd_layer_
  [[nodiscard]] LayerSet layers_named(std::string_view name) const;
  [[nodiscard]] std::optional<int> copper_layer(std::string_view name) const;
  [[nodiscard]] bool is_layer(std::string_view name) const;  // of any kind, of the table or by its usual name

  // drawings.cpp
  std::optional<Drawing> read_drawing(std::string_view kind, std::size_t offset);
  Nm stroke_width();  // of "(stroke ...": leaves the list
  void read_points(std::vector<Point>& points);
  void add_drawing(const Drawing& drawing);

  // copper.cpp
  struct Stroke {
    std::optional<Point> from, mid, to;
    Nm width = 0;
    int layer = 0;
    Index net = kNone;
  };
  // What a segment and an arc have in common; nothing, after a warning, when it cannot be read. `what` is "a
  // track" or "an arc".
  std::optional<Stroke> read_stroke(std::string_view what, std::size_t offset);
  void read_segment(std::size_t offset);
  void read_arc(std::size_t offset);
  struct Piece {
    LayerSet layers = 0;
    bool has_layer = false;
    std::vector<Point> ring;
    bool strokes = false;  // `ring` is pairs of points
  };
  Piece read_piece(std::string_view kind);
  void read_via(std::size_t offset);
  void read_zone(std::size_t offset);

  // footprints.cpp
  void read_footprint(std::size_t offset);
  void read_pad(FootprintDraft& footprint, std::size_t offset);
  void read_pad_list(PadDraft& pad, const Field& field);
  void read_drill(PadDraft& pad);
  void read_options(PadDraft& pad);
  void read_primitives(PadDraft& pad);
  void read_attributes(FootprintDraft& footprint);
  void add_footprint(const FootprintDraft& footprint);
  void add_pad(const FootprintDraft& footprint, const PadDraft& pad, Index part,
               std::unordered_map<std::string, Index>& pins);
  std::string unique_reference(const FootprintDraft& footprint);

  SexprReader in_;
  Diagnostics& log_;
  Board board_;
  std::string writer_, version_text_;
  std::int64_t version_ = 0;
  bool bad_ = false;        // the present record has a value that cannot be read
  bool odd_layer_ = false;  // the last set of layers has a name that is no layer's
  bool has_net_table_ = false;
  std::unordered_map<std::int64_t, Index> net_by_code_;
  std::unordered_map<std::string, Index> net_by_name_;
  std::map<std::string, int, std::less<>> layer_by_name_;
  std::set<std::string, std::less<>> layer_names_;  // of the table, of any kind
  std::unordered_map<std::string, int> references_;
  std::size_t repeated_references_ = 0;
  std::map<std::string, int, std::less<>> unknown_;
  std::unordered_map<std::string, Nm> class_drill_by_net_;
  Nm default_drill_ = 0;
  std::vector<Index> vias_without_drill_;
  Cover front_ = Cover::kTented, back_ = Cover::kTented;  // vias of a file that says nothing: to be scraped
};

// Whether a list that begins so is known, read or not.
bool is_known_word(std::string_view word);

// Straight pieces of at most 5 degrees for the arc from `from` over `mid` to `to`, both ends included.
std::vector<Point> arc_points(Point from, Point mid, Point to);
// The outline of a stroke of `width` along a path, and of a disc: polygons for a custom land. A Bezier curve.
std::vector<Point> stroke_ring(Point from, Point to, Nm width);
std::vector<Point> disc_ring(Point middle, Nm radius);
std::vector<Point> curve_points(const std::vector<Point>& control);

}  // namespace landfall::importers::kicad_board
