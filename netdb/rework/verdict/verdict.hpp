// Does the repair pay? DESIGN.md section 7; TRADE.md T34 to T37. Every option with every term, the chance
// with its interval, and what would have to change for the answer to change. The tool advises, it does not
// decide.
//
// Of a job that has begun only what is left decides: a wire or rebuild that is done takes no more time, and
// its own chance is behind. What it must still show counts on: whether a fast line works through it is known
// when the board runs (kFast, kWillNotWork), and the base process counts in full until the job's outcome. The
// time behind is spent whichever option is taken, so that it belongs to none; it is shown beside them.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "netdb/model/result.hpp"
#include "netdb/rework/verdict/chance.hpp"
#include "netdb/rework/verdict/figures.hpp"

namespace landfall::rework::verdict {

// What is said in place of plan and verdict when the job is safety-critical (TRADE.md T45). To ask, and to
// refuse, is the caller's.
inline constexpr std::string_view kSafetyReferral =
    "This board is safety-critical (medical, automotive, aviation, rail, alarm or protective equipment): no "
    "plan "
    "and no verdict; refer it to the maker's authorised repair.";

// So many wires or rebuilds of one kind. `kind` is none of kBase, kFast, kWillNotWork. 0 <= count <= 10000.
struct WorkGroup {
  ChanceKind kind = ChanceKind::kVia;
  int count = 0;
  bool fast = false;           // of a pair or a fast line: kFast counts for each
  bool will_not_work = false;  // physics::Word::kWillNotWork: kWillNotWork counts for each
  bool done = false;           // noted as done: no time, and no chance of its own kind
};

struct Work {
  int parts = 1;  // to be taken off and put back; 0 to 100
  std::vector<WorkGroup> groups;
  int cannot = 0;  // needed sites that nothing mends: the repair is then not offered
};

struct HarvestPart {
  std::string name;
  double value = 0;       // money, >= 0
  double test_yield = 1;  // share that passes its test, 0 to 1
};

struct VerdictCase {
  Work repair;
  std::optional<Work> one_channel;  // the wires that one channel and everything shared need
  std::string channel;              // its name
  std::string no_channel;           // why there is no such option, one sentence; may be empty
  ShopFigures shop;
  std::array<Tally, kChanceKinds> outcomes{};  // the shop's own, by kind
  std::vector<HarvestPart> parts;              // what the board could give; beside shop.harvest_value
};

enum class OptionKind { kRepair, kOneChannel, kSwap, kHarvest, kDecline };
inline constexpr std::size_t kOptions = 5;
// "repair", "repair one channel", "swap the board", "harvest", "decline".
std::string_view word(OptionKind kind);

struct Term {
  std::string name;  // "kept if it fails"
  std::string how;   // "0.267 x 25.00": chance, price, time as they went in
  double money = 0;  // signed; an option's terms add up to its margin
};

struct Option {
  OptionKind kind = OptionKind::kDecline;
  bool offered = false;
  std::string why_not;  // one sentence when not offered
  std::vector<Term> terms;
  double margin = 0;
  double margin_low = 0;  // at the ends of the chance's interval; equal to margin without a chance
  double margin_high = 0;
  std::optional<Interval> chance;  // of repair, one channel, swap
  double price = 0;                // what the customer pays when it works (decline: the bench fee)
  double minutes = 0;
};

// One chance as it went in: prior, the shop's own cases, what came of them.
struct ChanceShown {
  ChanceKind kind = ChanceKind::kBase;
  int n = 0;  // how often what is left of the repair needs it
  double prior = 0;
  double prior_weight = 0;
  Tally own;
  double mean = 0;   // of the estimate
  double power = 0;  // E[p^n]
};

// How many wires still pay, searched one by one since cost grows with them (T35).
struct BreakEvenWires {
  std::optional<int> most;  // wires in all at which the repair still beats `against`; none: not even without
  bool beyond_search = false;          // more than 500 more: then `most` is only 'at least'
  ChanceKind kind = ChanceKind::kVia;  // the kind that was varied: the job's commonest, the rest stays
  int now = 0;                         // wires of the job that are left
  // The repair's margin by the number of wires in all, the same kind varied: from the least to some beyond
  // the job's and beyond `most`, at most 60.
  std::vector<std::pair<int, double>> margins;
  OptionKind against = OptionKind::kDecline;  // the best option without wires
};

// What is done of the repair, and what it took by the shop's own times.
struct Behind {
  int done = 0;        // wires and rebuilds
  int all = 0;         // with those that are left
  int wires_done = 0;  // of them
  double minutes = 0;
  double money = 0;  // at the shop's rate; part of no option's margin
};

// A setting that would turn the answer.
struct Flip {
  std::string setting;
  double from = 0;  // in the setting's unit
  double to = 0;    // the first value found at which the best option is another (bisected to 1e-5 of `from`)
  double relative = 0;  // (to - from) / from
  OptionKind then = OptionKind::kDecline;
};

struct Verdict {
  std::array<Option, kOptions> options;  // in OptionKind's order
  OptionKind best = OptionKind::kDecline;
  std::optional<double>
      break_even_chance;  // p* of the repair against the best other option; may lie outside 0..1
  OptionKind break_even_against = OptionKind::kDecline;
  std::string break_even_says;  // one sentence
  BreakEvenWires wires;
  Behind behind;
  std::vector<ChanceShown> chances;  // those that the repair needs
  std::vector<Flip> soonest;         // at most three, smallest relative change first
  std::vector<std::string> read;     // settings that move an offered option's margin, or what is offered
  std::vector<std::string> remarks;  // "14 wires on fast lines: beyond 12 it rarely pays"
  std::string says;                  // the answer in one sentence
  [[nodiscard]] const Option& option(OptionKind kind) const {
    return options[static_cast<std::size_t>(kind)];
  }
};

// The whole answer. The best option is that of the greatest margin; of equal ones the one that risks least
// (decline, harvest, swap, one channel, repair), since a repair is worth trying when E > M (T34).
// Errors: kUsage when a count, chance or sum breaks its bounds. Pure; some thousand evaluations: about 3 ms
// for ten wires in a release build, growing with the number of wires.
Result<Verdict> give_verdict(const VerdictCase& input);

// T34: (C + M - S' + H) / (price - w Cw - S' + H); nothing when the denominator is not above 0, that is when
// a repair that works brings no more than one that fails. At most 0: always try; above 1: never.
struct BreakEvenInput {
  double cost = 0;          // C: labour + consumables
  double other_margin = 0;  // M
  double kept = 0;          // S'
  double spoilt = 0;        // H
  double price = 0;
  double returns = 0;  // w Cw
};
std::optional<double> break_even_chance(const BreakEvenInput& input);

}  // namespace landfall::rework::verdict
