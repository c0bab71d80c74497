// What a file's records say, before the whole file is known: long names may be explained at its end, and the
// bottom layer's number and the mask's polarity come from the majority. The drafts of a large file are small:
// they stand beside the file's bytes and the board.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "importers/ipc_d_356/block_list.hpp"
#include "importers/ipc_d_356/name_table.hpp"
#include "importers/ipc_d_356/record.hpp"
#include "netdb/model/board.hpp"
#include "netdb/model/diagnostics.hpp"

namespace landfall::importers::ipc_d_356 {

// The reference VIA, which is no part's, in place of a part's number.
inline constexpr Index kViaName = kNone - 1;

// A record. Its names are numbers in the drafts' tables, of heads only, till they are resolved: then net and
// pin are the board's.
struct Feature {
  Measures measures;
  std::uint32_t line = 0;  // from 1
  Index net = kNone;       // kNone: on none
  Index part = kNone;      // kNone, kViaName: not of a part's pin
  Index pin = kNone;
};

static_assert(sizeof(Feature) == 44, "a million of them is half of its file's size");

// A place in a file's unit. None is further out than 10 m of the finest unit.
struct DraftPoint {
  std::int32_t x = 0, y = 0;
};

// A stretch of a conductor or an outline: so many of the drafts' points.
struct Chain {
  Index net = kNone;  // in the drafts' table; once resolved, the board's
  std::uint32_t line = 0;
  std::uint32_t points = 0;
  std::int32_t width = 0;  // in the file's unit
  std::int32_t reach = 0;  // the largest coordinate, without sign
  std::int16_t layer = 0;  // from 1; 0 for an outline
  bool outline = false;
  bool board_edge = false;  // an outline that is the board's
};

// What only all records together tell, counted as they are read.
struct Tally {
  int access = 1;  // the highest access number
  int bottom = 1;  // the highest of surface records
  int layer = 0;   // the highest layer that is named otherwise
  struct Pads {    // whose mask digit names the pad's own side (through pins: both), or the other (none)
    std::size_t own = 0, other = 0;
  };
  Pads top, below, through;   // of pins; `below`: those whose access is `bottom`
  std::size_t over_turn = 0;  // line of the first angle of more than 2 pi; 0: none

  void add(const Feature& feature);
};

struct Drafts {
  Nm unit = kNmPerTenthMil;
  bool radians = false;  // the angles, by the file's units
  bool units_stated = false;
  bool ended = false;      // a 999 was there
  bool latin_1 = false;    // the bytes are no UTF-8
  bool array_dim = false;  // KiCad's own parameter
  std::string version, writer, job, title;
  NameTable nets, references, numbers;
  NameTable aliases;                         // NNAME00001 and its kin
  std::vector<std::string_view> long_names;  // what they stand for
  BlockList<Feature> features;
  std::size_t pins = 0;  // features of parts' pins
  BlockList<Chain> chains;
  BlockList<DraftPoint> points;  // of all chains in order
  Tally tally;
  std::size_t other_images = 0;
};

// A name as the bytes of the file say it, as UTF-8, control characters shown and cut to 1000 bytes.
std::string name_text(const Drafts& drafts, std::string_view raw);

// Reads every line. Never fails; what it skipped is in `log`.
Drafts read_lines(std::string_view bytes, Diagnostics& log);

// What only the whole file tells.
enum class MaskRule { kUnknown, kNamesCovered, kNamesOpen };  // what the digits after S name, FORMATS.md 3.4
enum class Writer { kOther, kKicad, kEagle, kGeda, kAllegro, kLibrepcb };  // FORMATS.md 3.5

struct FileRules {
  Writer writer = Writer::kOther;
  int bottom = 1;       // access number of the bottom side; 1: nothing is there
  int layer_count = 2;  // copper layers, at least
  MaskRule mask = MaskRule::kUnknown;
  double degrees_per_turn = 1;  // of one unit in the R field, counter-clockwise
};
FileRules find_rules(const Drafts& drafts, Diagnostics& log);

// Whether a program made this name up, by the writer's own pattern; `net` as it stands in the file or in its
// table of long names.
bool is_made_up(Writer writer, std::string_view net);

// What was found while the names were resolved.
struct Resolved {
  std::size_t lands = 0, vias = 0, tracks = 0, edges = 0;    // no more than so many come
  std::vector<bool> several;                                 // pins that have more than one record
  std::size_t repeats = 0;                                   // records of such pins
  std::vector<std::pair<std::uint32_t, Index>> unexplained;  // line and net of aliases that mean nothing
};

// Makes the board's parts, nets and pins, says so in the features and chains, and takes out features that
// cannot stand (their code is 0 then). Uses up the tables of names: nothing needs the file's bytes from then
// on. O(records).
Resolved resolve_names(Drafts& drafts, Writer writer, Board& board, Diagnostics& log);

// The board that the drafts are of. Uses them up.
Board build_board(Drafts& drafts, Diagnostics& log);

}  // namespace landfall::importers::ipc_d_356
