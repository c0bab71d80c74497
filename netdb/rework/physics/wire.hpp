// The wire itself: sizes, resistance, what heats and what melts it. Pure formulas; lengths and diameters in
// millimetres as doubles (a wire size from the table in nanometres), temperatures in degrees Celsius.
// Bounds: every length, diameter and current must be > 0 (asserted: callers check what people type).
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "netdb/model/units.hpp"

namespace landfall::rework::physics {

// A round copper wire that a shop has on the shelf.
struct WireSize {
  std::string_view name;  // "0.1 mm", "AWG 30"
  Nm bare = 0;            // conductor's diameter
  Nm overall_least = 0;   // with enamel grade 1 ...
  Nm overall_most = 0;    // ... at most: what the escape is sized with (TRADE.md T23h)
  std::string_view source;
};

// Enamelled wires, thinnest first: 0.02, 0.03, 0.05, 0.071, 0.1, 0.2 mm. Source: TRADE.md T23h.
std::span<const WireSize> enamelled_wires();
// The table's wire of this bare diameter; nothing when the table has none.
const WireSize* enamelled_wire(Nm bare);

// Diameter of a bare AWG wire, d = 0.127 * 92^((36 - n) / 39) mm. Source: TRADE.md T23a (ASTM B258).
double awg_diameter_mm(int number);

// The even AWG sizes from 42 to 30, bare: thinnest first, overall = bare, diameter rounded to a nanometre.
std::span<const WireSize> awg_wires();

// Diameter of the wire whose copper is no less than that of a track: sqrt(4 w t / pi) mm. Wanted for
// supplies, needless for signals. Source: TRADE.md T21d.
double diameter_for_track_mm(double width_mm, double thickness_mm);

// Cross-section in mm2.
double wire_area_mm2(double diameter_mm);

// Copper's resistivity in ohm m, 1.7241e-8 at 20 degrees, 0.00393 more a kelvin. Source: TRADE.md T23b.
double copper_resistivity(double celsius);

// R = rho l / A at `celsius`, in ohm. Source: TRADE.md T23b (IEC 60028, IACS).
double resistance_ohm(double length_mm, double diameter_mm, double celsius = 20);

// Current at which the wire drops `volt` over its length, in A. Ohm's law.
double current_for_drop_a(double volt, double length_mm, double diameter_mm, double celsius = 20);

// Temperature rise in kelvin of the wire's middle at `ampere`, both ends held at the board's temperature,
// nothing lost sideways: rho J^2 L^2 / (8 k), k = 390 W/mK, rho at 20. Source: TRADE.md T23e (derived there).
double middle_rise_k(double ampere, double length_mm, double diameter_mm);

// The same with heat lost sideways at `side_w_m2k` (about 100 W/m2K for 0.1 mm in still air, common
// practice): the fin equation. Source: TRADE.md T23f.
double middle_rise_cooled_k(double ampere, double length_mm, double diameter_mm, double side_w_m2k);

// Current for a rise of `kelvin`: T23e turned round, the safe side of T23f. In A.
double current_for_rise_a(double kelvin, double length_mm, double diameter_mm);

// Current that melts a long wire in free air sooner or later: 80 d^1.5 A. No rating. Source: TRADE.md T23c
// (Preece).
double preece_a(double diameter_mm);

// Current that melts the wire within `seconds` when no heat leaves it, copper's 1083 degrees from `celsius`:
// good below some seconds. Source: TRADE.md T23d (Onderdonk).
double onderdonk_a(double diameter_mm, double seconds, double celsius = 25);

// What a supply wire may carry, TRADE.md T23g: the least of the current for the rise, a fifth of Preece's
// where the wire is longer than 30 mm, and the current for the drop where one is given; never above Preece's
// own.
struct CurrentLimits {
  double rise_a = 0;
  std::optional<double> preece_fifth_a;  // longer than 30 mm only
  std::optional<double> drop_a;          // only when a drop is given
  double allowed_a = 0;                  // the least of them
  std::string_view
      decided_by;  // "the rise", "a fifth of the melting current", "what melts a long wire", "the drop"
};
CurrentLimits current_limits(double length_mm, double diameter_mm, double rise_k,
                             std::optional<double> drop_volt, double celsius = 20);

// Depth in which a current of `hertz` flows, in micrometres: sqrt(rho / (pi f mu0)). Source: TRADE.md C51.
double skin_depth_um(double hertz);

}  // namespace landfall::rework::physics
