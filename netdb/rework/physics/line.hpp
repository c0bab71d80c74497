// The line: delay, inductance, impedance, unit interval, edges. Pure formulas; lengths in millimetres, times
// in picoseconds, `er` the board's relative permittivity (FR-4 about 4.3). Bounds asserted: lengths,
// diameters, rates and times > 0, er >= 1.
#pragma once

#include "netdb/model/units.hpp"

namespace landfall::rework::physics {

// Where a conductor runs, which decides how fast it is.
enum class Medium {
  kAir,         // a wire standing off the board
  kLyingWire,   // a wire lying on the board, far from a plane
  kMicrostrip,  // a track on an outer layer
  kStripline,   // a track between planes
};

// Delay in ps/mm. Source: TRADE.md T24: vacuum 3.3356 (exact); stripline 85 sqrt(er) and microstrip
// 85 sqrt(0.475 er + 0.67) ps/inch; lying wire 3.3356 sqrt((er + 1) / 2).
double delay_ps_per_mm(Medium medium, double er);

// Inductance of a straight round wire in free space, in nH: 0.2 l (ln(4 l / d) - 0.75), at high frequency
// - 1 instead. An upper bound where a plane is near. Source: TRADE.md T25 (Rosa). Holds for l > d.
double inductance_free_nh(double length_mm, double diameter_mm, bool high_frequency = true);

// Over a plane, wire's centre at `height_mm`: 0.2 l acosh(2 h / d) nH. Source: TRADE.md T25. 2 h > d.
double inductance_over_plane_nh(double length_mm, double diameter_mm, double height_mm);

// Impedance over a plane: 60 acosh(2 h / d) / sqrt(er_eff) ohm. Source: TRADE.md T25. 2 h > d.
double impedance_over_plane_ohm(double diameter_mm, double height_mm, double er_effective);

// Unit interval of `mbps` million symbols a second, in ps. Source: TRADE.md T27.
double unit_interval_ps(double mbps);

// 0.5 / Tr in GHz. Source: TRADE.md T26.
double knee_ghz(double rise_ps);

// Length below which a connection is lumped: Tr / (6 x delay per mm). Source: TRADE.md T26.
double critical_length_mm(double rise_ps, double ps_per_mm);

// What a wire adds over the track that it replaces; negative when it is faster. Source: TRADE.md T28.
double net_added_delay_ps(double wire_mm, double wire_ps_per_mm, double track_mm, double track_ps_per_mm);

// What a short piece of another impedance does to an edge that passes it, both sides matched to `line_ohm`.
struct Step {
  double centre_ps = 0;  // delay of the edge's centre: the piece's own delay times (r + 1/r) / 2
  double rise_ps = 0;    // 10-90 rise of the piece by itself; an edge of Tr leaves with hypot(Tr, rise)
};

// A piece of line of impedance `piece_ohm`, delay `piece_ps`. Derived: the transfer of a line between equal
// terminations is 1 / (cosh x + m sinh x), x = s T, m = (r + 1/r) / 2, r = piece / line; its logarithm is
// -m x + (m^2 - 1) x^2 / 2 ..., so the first moment is m T and the second sqrt(m^2 - 1) T; 2.2 times that is
// the rise, which for a lumped inductance L is the known 2.2 L / (2 Z0). The centre is a first moment: it
// is the time at 50 % for edges that are slow against it (0 to 100 % in four times the centre and more:
// within 1 % of a circuit simulator); a faster edge passes half earlier, after no less than T. The rise is
// within 10 % for either (tests/ngspice_delay_test.cpp).
Step step_of_piece(double piece_ps, double piece_ohm, double line_ohm);

// The same for a lumped inductance in nH: centre L / (2 Z0), rise 2.2 times it.
Step step_of_inductance(double nh, double line_ohm);

}  // namespace landfall::rework::physics
