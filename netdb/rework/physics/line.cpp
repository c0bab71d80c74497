#include "netdb/rework/physics/line.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace landfall::rework::physics {
namespace {

constexpr double kLight = 1e9 / 299'792'458.0;  // ps/mm, exact by the metre's definition
constexpr double kMmPerInch = 25.4;
constexpr double kRisePerSigma = 2.2;  // ln 9, a single pole's 10-90 rise

}  // namespace

double delay_ps_per_mm(Medium medium, double er) {
  assert(er >= 1);
  switch (medium) {
    case Medium::kAir:
      return kLight;
    case Medium::kLyingWire:
      return kLight * std::sqrt((er + 1) / 2);
    case Medium::kMicrostrip:
      return 85 * std::sqrt(0.475 * er + 0.67) / kMmPerInch;
    case Medium::kStripline:
      return 85 * std::sqrt(er) / kMmPerInch;
  }
  return kLight;
}

double inductance_free_nh(double length_mm, double diameter_mm, bool high_frequency) {
  assert(length_mm > 0 && diameter_mm > 0);
  // Below l = d the formula has left its ground, and would go negative.
  const double shape = std::log(4 * length_mm / diameter_mm) - (high_frequency ? 1 : 0.75);
  return shape > 0 ? 0.2 * length_mm * shape : 0;
}

double inductance_over_plane_nh(double length_mm, double diameter_mm, double height_mm) {
  assert(2 * height_mm > diameter_mm && diameter_mm > 0);
  return 0.2 * length_mm * std::acosh(2 * height_mm / diameter_mm);
}

double impedance_over_plane_ohm(double diameter_mm, double height_mm, double er_effective) {
  assert(2 * height_mm > diameter_mm && diameter_mm > 0 && er_effective >= 1);
  return 60 * std::acosh(2 * height_mm / diameter_mm) / std::sqrt(er_effective);
}

double unit_interval_ps(double mbps) {
  assert(mbps > 0);
  return 1e6 / mbps;
}

double knee_ghz(double rise_ps) {
  assert(rise_ps > 0);
  return 500 / rise_ps;
}

double critical_length_mm(double rise_ps, double ps_per_mm) {
  assert(ps_per_mm > 0);
  return rise_ps / (6 * ps_per_mm);
}

double net_added_delay_ps(double wire_mm, double wire_ps_per_mm, double track_mm, double track_ps_per_mm) {
  return wire_mm * wire_ps_per_mm - track_mm * track_ps_per_mm;
}

Step step_of_piece(double piece_ps, double piece_ohm, double line_ohm) {
  assert(piece_ohm > 0 && line_ohm > 0);
  const double ratio = piece_ohm / line_ohm;
  const double m = (ratio + 1 / ratio) / 2;
  return {m * piece_ps, kRisePerSigma * piece_ps * std::sqrt(std::max(0.0, m * m - 1))};
}

Step step_of_inductance(double nh, double line_ohm) {
  assert(line_ohm > 0);
  const double tau = nh / (2 * line_ohm) * 1e3;
  return {tau, kRisePerSigma * tau};
}

}  // namespace landfall::rework::physics
