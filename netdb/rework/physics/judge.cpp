#include "netdb/rework/physics/judge.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace landfall::rework::physics {
namespace {

constexpr std::array<std::string_view, 4> kWords{"fine", "risky", "will not work", "not judged"};

// Rounding of the inputs must not turn "up to 5 %" into "beyond".
constexpr double kAtTheLimit = 1e-9;

// A wire shorter than thick has no inductance by the formula; its impedance must still be a number above 0.
constexpr double kLeastNh = 1e-3;

double mm(Nm nm) {
  return static_cast<double>(nm) * 1e-6;
}

Word word_of_share(double share, const Limits& limits) {
  if (share <= limits.fine_share + kAtTheLimit) return Word::kFine;
  return share <= limits.risky_share + kAtTheLimit ? Word::kRisky : Word::kWillNotWork;
}

// "fine up to 5 %", "risky from 5 to 30 %", "beyond 30 %".
std::string limit_words(Word w, const Limits& limits) {
  const double fine = limits.fine_share * 100;
  const double risky = limits.risky_share * 100;
  if (w == Word::kFine) return fmt::format("fine up to {:.3g} %", fine);
  if (w == Word::kRisky) return fmt::format("risky from {:.3g} to {:.3g} %", fine, risky);
  return fmt::format("beyond {:.3g} % it will not work", risky);
}

std::string percent(double share) {
  return fmt::format("{:.1f} %", share * 100);
}

struct Speed {
  const InterfaceInfo* info = nullptr;
  double mbps = 0;
  double interval_ps = 0;  // of this line
  bool assumed = false;
  std::string setting;

  // "DDR3-1600 (assumed, the setting speed.ddr3 changes it)".
  [[nodiscard]] std::string text() const {
    const std::string name = grade_name(*info, mbps);
    if (setting.empty()) return name;
    return fmt::format("{} ({} {}{})", name, assumed ? "assumed, the setting" : "as the setting", setting,
                       assumed ? " changes it" : " says");
  }
};

// The speed a line is judged at; without `info` when there is none to judge by.
Speed speed_of(const WireCase& wire) {
  if (wire.use != LineUse::kData && wire.use != LineUse::kAddress) return {};
  const InterfaceInfo* info = find_interface(wire.interface_id);
  if (info == nullptr || info->slow()) return {};
  Speed speed{info, wire.mbps > 0 ? wire.mbps : info->usual_mbps, 0, false, ""};
  if (info->grades.size() > 1) {
    speed.setting = fmt::format("speed.{}", info->id);
    speed.assumed = !(wire.mbps_stated && wire.mbps > 0);
  }
  speed.interval_ps = unit_interval_ps(speed.mbps);
  if (wire.use == LineUse::kAddress) speed.interval_ps *= info->address_intervals;
  return speed;
}

bool stands_still(const WireCase& wire) {
  return wire.use == LineUse::kReference || wire.use == LineUse::kSteady;
}

bool is_slow(const WireCase& wire) {
  return wire.use == LineUse::kSlow || (wire.use != LineUse::kSupply && wire.interface_id == "slow");
}

std::string matching_of(const InterfaceInfo& info) {
  return fmt::format("{} ({})", info.matching, info.matching_source);
}

void judge_supply(const WireCase& wire, WireJudgement& out) {
  std::string limit =
      fmt::format("carries up to {:.2f} A, decided by {}", out.current.allowed_a, out.current.decided_by);
  if (!wire.rail_volt) limit += " alone, since the rail's voltage is not known";
  limit += " (both ends no hotter than the board; never a lead of a battery or of the mains)";  // TRADE T23g
  if (!wire.current_a) {
    out.why = fmt::format("the wire {}; what it would have to carry is not known", limit);
    return;
  }
  const double current = std::abs(*wire.current_a);
  const double share = current / out.current.allowed_a;
  out.word = share <= 1 + kAtTheLimit   ? Word::kFine
             : share <= 2 + kAtTheLimit ? Word::kRisky
                                        : Word::kWillNotWork;
  out.why = fmt::format("{:.2f} A; the wire {}{}", current, limit,
                        out.word == Word::kFine    ? ""
                        : out.word == Word::kRisky ? "; up to twice of it is risky"
                                                   : "");
}

void judge_signal(const WireCase& wire, const Speed& speed, const Limits& limits, WireJudgement& out) {
  out.unit_interval_ps = speed.interval_ps;
  out.share = std::abs(out.delay_ps) / speed.interval_ps;
  out.word = word_of_share(*out.share, limits);
  const InterfaceInfo& info = *speed.info;
  out.grade = grade_name(info, speed.mbps);
  out.grade_assumed = speed.assumed;
  out.grade_setting = speed.setting;
  out.rise_ps = wire.rise_ps.value_or(rise_of(info, speed.mbps));
  // Z = L / T of a lossless line; nH over ps is kilo-ohm.
  const Step step = step_of_piece(
      out.own_delay_ps, std::max(out.inductance_nh, kLeastNh) / out.own_delay_ps * 1e3, limits.line_ohm);
  out.rise_after_ps = std::hypot(*out.rise_ps, step.rise_ps);
  out.middle_late_ps = step.centre_ps;
  out.critical_mm = critical_length_mm(*out.rise_ps, delay_ps_per_mm(Medium::kLyingWire, limits.er));
  out.edge = fmt::format(
      "its {}{:.1f} nH slow an edge of {:.0f} ps to {:.0f} ps and may bring its middle {:.0f} ps late",
      out.inductance_bound ? "at most " : "", out.inductance_nh, *out.rise_ps, *out.rise_after_ps,
      *out.middle_late_ps);
  out.matching = matching_of(info);
  if (info.matching_ps) out.within_matching = std::abs(out.delay_ps) <= *info.matching_ps;
  const std::string interval =
      wire.use == LineUse::kAddress && info.address_intervals > 1
          ? fmt::format("the {:.0f} ps of an address line of {}", speed.interval_ps, speed.text())
          : fmt::format("the {:.0f} ps unit interval of {}", speed.interval_ps, speed.text());
  if (out.bound) {
    out.why = fmt::format("at most {:.1f} ps later (the lost track's length is not known), {} of {}: {}",
                          out.delay_ps, percent(*out.share), interval, limit_words(out.word, limits));
  } else {
    out.why = fmt::format("{:.1f} ps {} than the lost track, {} of {}: {}", std::abs(out.delay_ps),
                          out.delay_ps < 0 ? "earlier" : "later", percent(*out.share), interval,
                          limit_words(out.word, limits));
  }
}

Word worse(Word a, Word b) {
  return std::max(a, b);  // both judged: the order of Word is from good to bad
}

}  // namespace

std::string_view word(Word w) {
  return kWords[static_cast<std::size_t>(w)];
}

Limits shop_limits(const std::function<double(const SettingInfo&)>& value) {
  Limits out;
  const auto read = [&](std::string_view name) { return value(*find_setting(name)); };
  out.fine_share = read("wire.fine-share") / 100;
  out.risky_share = read("wire.risky-share") / 100;
  out.drop_share = read("wire.drop") / 100;
  out.rise_k = read("wire.rise");
  out.er = read("board.permittivity");
  out.line_ohm = read("board.line");
  return out;
}

WireJudgement judge_wire(const WireCase& wire, const Limits& limits) {
  WireJudgement out;
  if (wire.length <= 0 || wire.bare <= 0) {
    out.why = "the wire has no length or no diameter";
    return out;
  }
  const double length = mm(wire.length);
  const double diameter = mm(wire.bare);
  out.ohm = resistance_ohm(length, diameter, limits.copper_celsius);
  std::optional<double> drop;
  if (wire.use == LineUse::kSupply && wire.rail_volt) drop = std::abs(*wire.rail_volt) * limits.drop_share;
  out.current = current_limits(length, diameter, limits.rise_k, drop, limits.copper_celsius);

  const double per_mm = delay_ps_per_mm(Medium::kLyingWire, limits.er);
  out.own_delay_ps = length * per_mm;
  out.bound = !wire.lost_track;
  out.delay_ps = wire.lost_track ? net_added_delay_ps(length, per_mm, mm(*wire.lost_track),
                                                      delay_ps_per_mm(wire.lost_medium, limits.er))
                                 : out.own_delay_ps;
  out.inductance_bound = !wire.height || 2 * *wire.height <= wire.bare;
  out.inductance_nh = out.inductance_bound ? inductance_free_nh(length, diameter)
                                           : inductance_over_plane_nh(length, diameter, mm(*wire.height));

  if (wire.use == LineUse::kSupply) {
    judge_supply(wire, out);
  } else if (wire.use == LineUse::kReference) {
    out.word = Word::kFine;
    out.why =
        "a reference or bias line: it stands still, so that a wire's delay does no harm, but noise does: "
        "lead "
        "it short and away from fast lines, with 100 nF to ground at its end (common practice, no source)";
  } else if (wire.use == LineUse::kSteady) {
    out.word = Word::kFine;
    out.why = "a calibration or termination line: it stands still, so that a wire's delay does no harm";
  } else if (is_slow(wire)) {
    out.word = Word::kFine;
    out.why = "a slow line: a wire's delay does not matter to it";
  } else if (const Speed speed = speed_of(wire); speed.info != nullptr) {
    judge_signal(wire, speed, limits, out);
  } else {
    out.why =
        fmt::format("how fast the line runs is not known; the wire itself takes {:.1f} ps", out.own_delay_ps);
  }
  return out;
}

namespace {

// The skew that the wires make, and whether it is 'at most'.
void find_skew(const PairCase& pair, PairJudgement& out) {
  if (out.positive && out.negative) {
    const bool known = pair.positive->lost_track && pair.negative->lost_track;
    out.skew_ps = known ? std::abs(out.positive->delay_ps - out.negative->delay_ps)
                        : std::abs(out.positive->own_delay_ps - out.negative->own_delay_ps);
    out.bound = false;
    return;
  }
  const WireJudgement& only = out.positive ? *out.positive : *out.negative;
  out.skew_ps = std::abs(only.delay_ps);
  out.bound = only.bound;
}

void offer_alike(const PairCase& pair, PairJudgement& out) {
  const Nm p = pair.positive ? pair.positive->length : 0;
  const Nm n = pair.negative ? pair.negative->length : 0;
  if (p == n) return;
  out.alike_length = std::max(p, n);
  out.offer =
      fmt::format("wire both legs alike, {:.1f} mm each, side by side: no skew is then left by the wires",
                  mm(out.alike_length));
}

}  // namespace

PairJudgement judge_pair(const PairCase& pair, const Limits& limits) {
  PairJudgement out;
  if (!pair.positive && !pair.negative) {
    out.why = "no leg of the pair is wired";
    return out;
  }
  if (pair.positive) out.positive = judge_wire(*pair.positive, limits);
  if (pair.negative) out.negative = judge_wire(*pair.negative, limits);
  const WireCase& first = pair.positive ? *pair.positive : *pair.negative;
  find_skew(pair, out);
  offer_alike(pair, out);
  if (is_slow(first) || stands_still(first)) {
    out.word = Word::kFine;
    out.why = "a slow pair: a wire's delay does not matter to it";
    return out;
  }
  const Speed speed = speed_of(first);
  const bool legs_judged = (!out.positive || out.positive->share) && (!out.negative || out.negative->share);
  if (speed.info == nullptr || !legs_judged) {
    out.why =
        fmt::format("how fast the pair runs is not known; the wires make {:.1f} ps of skew", out.skew_ps);
    return out;
  }
  out.share = out.skew_ps / speed.interval_ps;
  out.word = word_of_share(*out.share, limits);
  out.grade = grade_name(*speed.info, speed.mbps);
  out.grade_assumed = speed.assumed;
  out.grade_setting = speed.setting;
  out.matching = matching_of(*speed.info);
  if (speed.info->matching_ps) out.within_matching = out.skew_ps <= *speed.info->matching_ps;
  out.why = fmt::format("{}{:.1f} ps of skew between the legs, {} of the {:.0f} ps unit interval of {}: {}",
                        out.bound ? "at most " : "", out.skew_ps, percent(*out.share), speed.interval_ps,
                        grade_name(*speed.info, speed.mbps), limit_words(out.word, limits));
  if (speed.info->coupling == Coupling::kSelfClocked) return out;
  const Word by_skew = out.word;
  for (const auto* leg : {&out.positive, &out.negative}) {
    if (leg->has_value()) out.word = worse(out.word, (*leg)->word);
  }
  if (out.word != by_skew) {
    double latest = 0;
    for (const auto* leg : {&out.positive, &out.negative}) {
      if (leg->has_value()) latest = std::max(latest, std::abs((*leg)->delay_ps));
    }
    out.why += fmt::format("; but the pair as a whole moves {:.1f} ps against the lines beside it: {}",
                           latest, limit_words(out.word, limits));
  }
  return out;
}

}  // namespace landfall::rework::physics
