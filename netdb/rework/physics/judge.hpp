// Will the signal survive the wire? DESIGN.md section 5, "Wire physics"; TRADE.md T23 to T30. One word, the
// figures behind it and a sentence; never a promise (T29).
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "netdb/model/settings.hpp"
#include "netdb/model/units.hpp"
#include "netdb/rework/physics/interfaces.hpp"
#include "netdb/rework/physics/line.hpp"
#include "netdb/rework/physics/wire.hpp"

namespace landfall::rework::physics {

enum class Word { kFine, kRisky, kWillNotWork, kNotJudged };
// "fine", "risky", "will not work", "not judged".
std::string_view word(Word w);

// The shop's limits; the settings of netdb/model/settings.cpp have the same defaults and give the source.
struct Limits {
  double fine_share = 0.05;    // of the unit interval: up to this fine ...
  double risky_share = 0.30;   // ... up to this risky, beyond it will not work (DESIGN.md section 5)
  double drop_share = 0.01;    // of a rail's voltage (TRADE.md T23g)
  double rise_k = 20;          // of a supply wire's middle (T23g)
  double er = 4.3;             // the board's relative permittivity (T24)
  double line_ohm = 50;        // impedance of the tracks at both ends; common practice, no source
  double copper_celsius = 20;  // for resistance
};

// The limits as the shop set them; `value` answers for one setting, in the setting's unit.
Limits shop_limits(const std::function<double(const SettingInfo&)>& value);

struct WireCase {
  Nm length = 0;      // > 0
  Nm bare = 100'000;  // conductor's diameter, > 0
  LineUse use = LineUse::kUnknown;
  std::string interface_id;       // id, see interfaces(); needed for data and address
  double mbps = 0;                // its grade; 0: the interface's usual one
  bool mbps_stated = false;       // somebody said so (the setting speed.ID); else the grade is assumed
  std::optional<double> rise_ps;  // the driver's, where it is known better than the table's default
  std::optional<Nm> height;       // wire's centre over a plane; unknown: free space, an upper bound
  std::optional<Nm> lost_track;   // length of the track that the wire replaces; unknown: a bound
  Medium lost_medium = Medium::kMicrostrip;
  std::optional<double> rail_volt;  // of a supply
  std::optional<double> current_a;  // of a supply, when somebody knows it; none is assumed
};

struct WireJudgement {
  double ohm = 0;
  CurrentLimits current;       // for supplies and signals alike
  double own_delay_ps = 0;     // the wire's own
  double delay_ps = 0;         // net added (T28); the wire's own where the lost track is not known
  bool bound = true;           // delay_ps is 'at most'
  std::string grade;           // "DDR3-1600"; empty where nothing is judged by one
  bool grade_assumed = false;  // nobody said that it runs so; `why` says it too
  std::string grade_setting;   // "speed.ddr3" changes it; empty: the interface has one grade only
  std::optional<double> unit_interval_ps;  // what the line is judged against (twice data's for an address)
  std::optional<double> share;             // |delay_ps| / unit_interval_ps
  double inductance_nh = 0;                // high frequency
  bool inductance_bound = true;            // free space: no plane's height is known
  std::optional<double> rise_ps;           // the driver's edge
  // What delay alone does not show (T29): the wire is a piece of another impedance, by its inductance and
  // delay.
  std::optional<double> rise_after_ps;   // the same edge behind the wire
  std::optional<double> middle_late_ps;  // how late the edge's middle may come, at most; the wire's own delay
                                         // is the least. Not part of the word.
  std::optional<double> critical_mm;     // shorter wires are lumped for this edge (T26)
  std::optional<bool> within_matching;   // |delay_ps| within the makers' figure; nothing where they give none
  std::string matching;                  // the makers' rule with its source, in words
  Word word = Word::kNotJudged;
  std::string why;   // one sentence
  std::string edge;  // one more for a judged signal: what the inductance does to its edge; else empty
};

// Rule: a signal by the share of its unit interval that its net added delay takes, at the limits above. A
// slow line is fine, and so is one that stands still (reference, calibration, termination): that a reference
// bears no noise is said beside it. A supply is fine within the allowed current, risky up to twice of it
// (common practice: a rise of 80 K, a drop of 2 %), beyond it will not work; with no current known it is not
// judged and the limit is said. Unknown use or interface: not judged. Inductance and edge are shown and do
// not change the word. A wire of no length or diameter is not judged either. Pure, O(1).
WireJudgement judge_wire(const WireCase& wire, const Limits& limits = {});

// A differential pair: the legs that are wired; at least one.
struct PairCase {
  std::optional<WireCase> positive;
  std::optional<WireCase> negative;
};

struct PairJudgement {
  std::optional<WireJudgement> positive;
  std::optional<WireJudgement> negative;
  double skew_ps = 0;  // between the legs, by the wires
  bool bound = true;   // 'at most': one leg is wired and its lost track is not known
  std::optional<double> share;
  std::optional<bool> within_matching;
  std::string matching;
  std::string grade, grade_setting;  // as of a wire
  bool grade_assumed = false;
  Word word = Word::kNotJudged;
  std::string why;      // one sentence
  std::string offer;    // "wire both legs alike ..." where that would take skew away; else empty
  Nm alike_length = 0;  // of each leg's wire in the offer: the longer one's
};

// Rule: the skew as a share of the unit interval, at the same limits; where a clock or strobe stands beside
// the pair (Coupling other than self-clocked) also the later leg's net added delay, and the worse word
// counts. Two wires without known tracks: the tracks of a pair are taken as alike, so the skew is the wires'
// difference.
PairJudgement judge_pair(const PairCase& pair, const Limits& limits = {});

}  // namespace landfall::rework::physics
