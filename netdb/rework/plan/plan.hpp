// The repair plan: which wires, from where to where, how they run, whether the signal survives them, in an
// order that a hand can follow. DESIGN.md sections 5 and 9. Pure.
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/package.hpp"
#include "netdb/rework/assess.hpp"
#include "netdb/rework/escape/escape.hpp"
#include "netdb/rework/physics/judge.hpp"
#include "netdb/rework/verdict/figures.hpp"
#include "netdb/rework/verdict/verdict.hpp"

namespace landfall::rework {

// A procedure by its IPC-7721 number (TRADE.md T19).
struct Procedure {
  std::string_view number;       // "6.2.1"; empty: none fits
  std::string_view name;         // "BGA jumper, circuit track"
  std::string_view skill;        // "Expert"
  std::string_view conformance;  // "Medium"
};

struct PlannedWire {
  Jumper jumper;
  int number = 0;                // in the order of work, from 1
  std::string from, to;          // in words: "U1.K4", "via at 31.20, -14.05"
  std::vector<Point> route;      // on the board, from end to end; straight where no way was found
  bool under_part = false;       // it stays beneath the chip
  bool other_side = false;       // its far end is on the other side: around the edge or through the board
  bool done = false;             // noted so; work_of() then counts it as behind. make_plan() leaves it false
  bool clear_way = true;         // false: no way around the parts was found, the route is straight
  Nm length = 0;                 // to be cut: route and slack
  std::optional<Nm> lost_track;  // length of the copper that it replaces, where that is known
  Nm bare = 0;                   // its diameter: a supply's may be thicker than a signal's
  std::string wire;              // the same in words: "0.10 mm"
  std::string interface;         // "DDR3-1600"; empty: none
  bool fast = false;             // a pair's or an interface's line that is judged
  physics::WireJudgement judgement;
  std::string pair_with;  // the other leg's net, of a differential pair
  std::optional<physics::PairJudgement> pair;
  physics::Word word = physics::Word::kNotJudged;  // the worse of the two
  verdict::ChanceKind chance = verdict::ChanceKind::kVia;
  Procedure procedure;
  std::vector<std::string> beware;  // neighbours to test against for shorts: "U1.K5 (VDD)"
  std::string before, after;        // the readings: what a meter should say
};

struct PlannedRebuild {
  Rebuild rebuild;
  int number = 0;
  std::string at;  // "U1.B3"
  std::string net;
  bool done = false;  // as of a wire
  Procedure procedure;
  std::vector<std::string> beware;
  std::string before, after;
};

// One lifted array's way out.
struct EscapeAnswer {
  Index part = kNone;
  Escape escape;
  EscapeGrid grid;
  std::vector<std::size_t> wires;  // places in Plan::wires, beside escape.routes
  std::string says;                // one sentence
  // On the board, where not all can leave: from site to site each gap that is closed by what passes it, and
  // the corners of each cell that cannot be left through any other gap. Both empty where all can, or where
  // that they cannot is not proven.
  std::vector<std::pair<Point, Point>> closed;
  std::vector<std::array<Point, 4>> shut_in;
  std::vector<std::size_t> stay;  // places in Plan::wires: those that found no way out
};

// How the same plan fits with another wire. Supplies keep their own where that is thicker.
struct WireSizeAnswer {
  std::string wire;  // "0.05 mm"
  Nm overall = 0;
  bool fits = false;
  bool may_fit = false;  // not all found a way, but that they cannot is not proven
  std::size_t found = 0, asked = 0;
};
// "all fit", "2 of 3 fit", "2 of 3 found a way; that all fit could not be shown, nor that they do not".
std::string fit_text(const WireSizeAnswer& size);

struct Plan {
  std::vector<PlannedRebuild> rebuilds;  // first, inner before outer
  std::vector<PlannedWire> wires;        // what must lie beneath first, inner before outer, short before long
  std::vector<EscapeAnswer> escapes;     // one a lifted area array that wires must leave
  std::vector<WireSizeAnswer> sizes;
  bool fits = true;  // all escapes
  std::string wire;  // the size that the plan is made with: "0.10 mm", "0.10 mm, supplies 0.20 mm"
  bool bound = false;
  std::vector<std::string> because_bound;
};

// "; 2 of 7 done", of wires and rebuilds; empty while none is.
std::string done_text(const Plan& plan);

// A piece of work and its number. The same site keeps its number when the way to mend it changes.
struct NumberedPiece {
  int number = 0;
  std::string site;  // near end of a wire, site of a rebuild: "U1.B3"
  Index net = kNone;
  bool rebuild = false;
};

struct PlanInput {
  const BoardIndex* index = nullptr;
  const Signals* signals = nullptr;
  const Copper* copper = nullptr;
  const Assessment* assessment = nullptr;
  std::vector<Package> packages;  // of the lifted parts
  Nm wire = 100'000;              // bare diameter: one of physics::enamelled_wires()
  Nm supply_wire = 0;             // the same for supplies; not above `wire`: the same wire
  Nm clearance = 50'000;          // between a wire and a joint
  double slack_share = 0.10;      // of the route, and
  Nm slack = 1'000'000;           // so much at least: what a wire is cut longer
  physics::Limits limits;
  // The numbers that hold already, as number_pieces() gave them: a piece keeps that of its site, else of its
  // net; what is new comes after them. Empty: numbered in the order of work.
  std::vector<NumberedPiece> numbers;
  // The rate of an interface as the shop set it, in Mb/s; 0: its usual one.
  std::function<double(std::string_view interface_id)> rate;
  // Whether somebody set it; where nobody did the grade is said to be assumed.
  std::function<bool(std::string_view interface_id)> rate_stated;
};

// O(wires x cells) for the way out and a search over the board for each wire.
Plan make_plan(const PlanInput& input);

// The plan's pieces and their numbers alone: no way out, no lengths.
std::vector<NumberedPiece> number_pieces(const PlanInput& input);

// The wires and rebuilds as the verdict counts them. `only_nets`: one a net of the board, those that count;
// empty: all.
verdict::Work work_of(const Plan& plan, const Assessment& assessment, int parts,
                      const std::vector<char>& only_nets = {});

// The standing warning of every plan (TRADE.md T19, T21).
inline constexpr std::string_view kNearEndWarning =
    "The near end of each wire melts again when the chip goes back on: fix it and mask it, or it lifts. "
    "Wires that "
    "run between the balls depart from the usual rules for jumper wires: say so on the sheet.";

}  // namespace landfall::rework
