// What a file's records say, before the whole file is known: long names may be explained at its end, and the
// bottom layer's number and the mask's polarity come from the majority.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "importers/ipc_d_356/record.hpp"
#include "netdb/model/board.hpp"
#include "netdb/model/diagnostics.hpp"

namespace landfall::importers::ipc_d_356 {

struct Feature {
  Record record;         // views into the file
  std::size_t line = 0;  // from 1
};

struct Conductor {
  std::string_view net;
  int layer = 0;              // from 1; 0 for an outline
  std::int64_t width = 0;     // like the points in the file's unit, each below 10 m of the finest one
  std::vector<Point> points;  // one chain
  std::size_t line = 0;
  bool outline = false;
};

struct Drafts {
  Nm unit = kNmPerTenthMil;
  bool radians = false;  // the angles, by the file's units
  bool units_stated = false;
  bool ended = false;      // a 999 was there
  bool latin_1 = false;    // the bytes are no UTF-8
  bool array_dim = false;  // KiCad's own parameter
  std::string version, writer, job, title;
  std::unordered_map<std::string, std::string> long_names;
  std::vector<Feature> features;
  std::vector<Conductor> conductors;
  std::size_t other_images = 0;
};

// A name as the bytes of the file say it, as UTF-8, control characters shown and cut to 1000 bytes.
std::string name_text(const Drafts& drafts, std::string_view raw);

// Reads every line. Never fails; what it skipped is in `log`. `kept` holds names that a tab moved: it must
// live as long as the drafts.
Drafts read_lines(std::string_view bytes, Diagnostics& log, std::deque<std::string>& kept);

// Whether a record is of a part's pin: it has reference and pin, and is neither a via nor without a part.
bool is_pin(const Record& record);

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

// The board that the drafts are of.
Board build_board(const Drafts& drafts, Diagnostics& log);

}  // namespace landfall::importers::ipc_d_356
