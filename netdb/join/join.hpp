// Several files of one design become one board: joined by reference designator and pin, each disagreement
// listed with both sides (a stale netlist beside a newer board is common).
#pragma once

#include <set>
#include <string>
#include <vector>

#include "netdb/model/board.hpp"

namespace landfall::join {

struct Source {
  std::string file;    // for messages
  std::string format;  // as the importer names it
  Board board;
  bool newest = false;                   // its names of pins stand over those that are there, but for
  std::set<std::string> contested = {};  // these pins ("U1.A3"), whose names are another file's
  bool words_only = false;               // adds names, values and parts; its nets are not compared
};

enum class DisagreementKind {
  kNet,       // a pin is on different nets
  kPlace,     // a pin is at different places
  kFunction,  // a pin's own name differs
  kMissing,   // one file has parts or pins that another, which should, lacks
};
std::string_view word(DisagreementKind kind);

struct Disagreement {
  DisagreementKind kind = DisagreementKind::kNet;
  std::string what;  // "U1.A3", or a count for kMissing
  std::string says;  // "board.kicad_pcb: GND; stale.net: +3V3"
  std::string net;   // kNet: the net on the joined board, empty when none; its count is a bound then
};

struct Joined {
  Board board;
  std::vector<Disagreement> disagreements;
  std::vector<std::string> notes;  // what was understood: "netlist.net: 1883 of 1883 pins agree"
};

// The most complete source (copper, then places, then pins) is the base; the others add functions, values,
// aliases, parts that it lacks, and are compared with it. What the base says about a pin's net stands.
// Needs at least one source. O(pins log pins).
Joined join(std::vector<Source> sources);

// How two files divide the pins that both have into nets.
struct Agreement {
  std::size_t shared = 0;      // pins in both
  std::size_t compared = 0;    // of these, with a net in at least one
  std::size_t same_name = 0;   // equal but for a leading '/' or case
  std::size_t cut_name = 0;    // equal by IPC-D-356's folding of long names
  std::size_t same_split = 0;  // pins whose set of shared pins on their net is the same in both
};
// `compared` are the shared pins that have a net in `a`. References are compared by their first 6 signs and
// pins by their first 4 when `folded` (IPC-D-356).
Agreement agreement(const Board& a, const Board& b, bool folded);

}  // namespace landfall::join
