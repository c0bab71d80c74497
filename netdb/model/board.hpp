// One board design as plain data: parts, pins, nets, lands, copper. Things refer to one another by their
// place in the board's own lists (Index). Lengths in nm, angles in degrees counter-clockwise, both sides in
// the one frame of units.hpp.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/units.hpp"

namespace landfall {

using Index = std::uint32_t;
inline constexpr Index kNone = std::numeric_limits<Index>::max();

// Copper layers count from 0 (front) to layers.size() - 1 (back); bit n of a set is layer n.
using LayerSet = std::uint64_t;
inline constexpr int kMostLayers = 64;
inline constexpr LayerSet layer_bit(int layer) {
  return LayerSet{1} << static_cast<unsigned>(layer);
}

enum class PinType {
  kUnknown,
  kInput,
  kOutput,
  kBidirectional,
  kTristate,
  kPassive,
  kPowerIn,
  kPowerOut,
  kOpenDrain,
  kNotConnected,
};

enum class LandShape { kCircle, kRect, kOval, kRoundRect, kTrapezoid, kCustom };

// Whether solder mask covers a via, per side.
enum class Cover { kUnknown, kOpen, kTented };

struct Part {
  std::string reference;  // unique on the board; a repeated one carries "#2", "#3" ...
  std::string value;
  std::string footprint;  // LIB:NAME as the file wrote it
  std::string library;    // the symbol's LIB:NAME, from a netlist
  bool placed = false;    // at, angle and side are known
  Point at;
  double angle = 0;
  Side side = Side::kTop;
  bool fitted = true;  // false: marked "do not populate"
  friend bool operator==(const Part&, const Part&) = default;
};

struct Pin {
  Index part = kNone;
  std::string number;    // "AB14", "1"; unique in its part
  std::string function;  // the part's own word for it ("DQ5"); empty: not stated
  PinType type = PinType::kUnknown;
  Index net = kNone;  // kNone: on no net
  friend bool operator==(const Pin&, const Pin&) = default;
};

struct Net {
  std::string name;                  // as the file wrote it
  bool automatic = false;            // a name that a program made up ("Net-(R1-Pad2)", "N-00000175")
  std::vector<std::string> aliases;  // other files' names of it
  friend bool operator==(const Net&, const Net&) = default;
};

// The copper of one pad. A pin may have several; copper without a pin number (a fiducial) has none.
struct Land {
  Index part = kNone;
  Index pin = kNone;
  Index net = kNone;
  Point at;                // the copper's middle
  Side side = Side::kTop;  // kThrough: plated through
  LandShape shape = LandShape::kCircle;
  Nm width = 0;   // before turning
  Nm height = 0;  // before turning
  Nm corner = 0;  // radius of the corners of a rounded rectangle or a custom land's anchor; half the
                  // difference of a trapezoid's sides
  double angle = 0;
  Point hole;  // where the hole is, if drill > 0
  Nm drill = 0;
  LayerSet layers = 0;
  std::vector<Point> outline;  // kCustom: the polygon in board coordinates, in addition to width x height
  friend bool operator==(const Land&, const Land&) = default;
};

struct Track {
  Point from;
  Point to;
  Nm width = 0;
  int layer = 0;
  Index net = kNone;
  friend bool operator==(const Track&, const Track&) = default;
};

struct Arc {
  Point from;
  Point mid;  // a point of the arc between its ends
  Point to;
  Nm width = 0;
  int layer = 0;
  Index net = kNone;
  friend bool operator==(const Arc&, const Arc&) = default;
};

struct Via {
  Point at;
  Nm diameter = 0;
  Nm drill = 0;   // 0: not known
  int first = 0;  // uppermost layer
  int last = 0;   // lowest layer
  Index net = kNone;
  Cover top = Cover::kUnknown;
  Cover bottom = Cover::kUnknown;
  friend bool operator==(const Via&, const Via&) = default;
};

// One connected piece of a filled zone: the ring, by non-zero winding, plus a pen of `pen` along its edge.
struct Fill {
  Index net = kNone;
  int layer = 0;
  Nm pen = 0;
  std::vector<Point> ring;
  friend bool operator==(const Fill&, const Fill&) = default;
};

struct Zone {
  Index net = kNone;
  LayerSet layers = 0;
  bool filled = false;  // false: the file does not say where its copper is
  bool keepout = false;
  friend bool operator==(const Zone&, const Zone&) = default;
};

struct Hole {  // not plated
  Point at;
  Nm drill = 0;
  friend bool operator==(const Hole&, const Hole&) = default;
};

struct Edge {  // a piece of the board's outline
  Point from;
  Point to;
  friend bool operator==(const Edge&, const Edge&) = default;
};

struct Board {
  std::string title;
  Nm thickness = 0;                 // 0: not known
  std::vector<std::string> layers;  // copper layers, front first; empty: copper is not known
  std::vector<Part> parts;
  std::vector<Pin> pins;
  std::vector<Net> nets;
  std::vector<Land> lands;
  std::vector<Track> tracks;
  std::vector<Arc> arcs;
  std::vector<Via> vias;
  std::vector<Fill> fills;
  std::vector<Zone> zones;
  std::vector<Hole> holes;
  std::vector<Edge> outline;
  friend bool operator==(const Board&, const Board&) = default;
};

// The least box about the board: about its outline, else about its lands and tracks; nothing when it has
// neither, or when they have no extent. O(outline), else O(lands + tracks).
struct Extent {
  Point low, high;
};
std::optional<Extent> extent_of(const Board& board);

// A net that means 'not connected' by its own name ("unconnected-(U1-PadA1)", "N/C", empty).
bool names_no_connection(std::string_view net);

// `{slash}` and its kin undone and overbars taken off, for people and for search: "~{CS}" -> "CS",
// "A{slash}B" -> "A/B". FORMATS 1.1.
std::string plain_name(std::string_view name);

// The last step of a hierarchical name: "/cpu/RAM0_D5" -> "RAM0_D5".
std::string_view leaf_name(std::string_view name);

}  // namespace landfall
