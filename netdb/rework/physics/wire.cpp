#include "netdb/rework/physics/wire.hpp"

#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace landfall::rework::physics {
namespace {

constexpr double kResistivity20 = 1.7241e-8;
constexpr double kPerKelvin = 0.00393;
constexpr double kHeatConductivity = 390;
constexpr double kLongWireMm = 30;

constexpr std::array<WireSize, 6> kEnamelled{
    {{"0.02 mm", 20'000, 22'000, 24'000, "TRADE.md T23h (implied by strand tables)"},
     {"0.03 mm", 30'000, 33'000, 37'000, "TRADE.md T23h"},
     {"0.05 mm", 50'000, 55'000, 60'000, "TRADE.md T23h"},
     {"0.071 mm", 71'000, 78'000, 84'000, "TRADE.md T23h (from memory)"},
     {"0.1 mm", 100'000, 108'000, 117'000, "TRADE.md T23h (a seller's note)"},
     {"0.2 mm", 200'000, 214'000, 226'000, "TRADE.md T23h (from memory)"}}};

double area_m2(double diameter_mm) {
  return wire_area_mm2(diameter_mm) * 1e-6;
}

}  // namespace

std::span<const WireSize> enamelled_wires() {
  return kEnamelled;
}

const WireSize* enamelled_wire(Nm bare) {
  for (const WireSize& size : kEnamelled) {
    if (size.bare == bare) return &size;
  }
  return nullptr;
}

double awg_diameter_mm(int number) {
  return 0.127 * std::pow(92.0, (36 - number) / 39.0);
}

std::span<const WireSize> awg_wires() {
  static const auto all = [] {
    constexpr std::array<std::string_view, 7> kNames{"AWG 42", "AWG 40", "AWG 38", "AWG 36",
                                                     "AWG 34", "AWG 32", "AWG 30"};
    std::array<WireSize, 7> sizes;
    for (std::size_t i = 0; i < sizes.size(); ++i) {
      const Nm bare = std::llround(awg_diameter_mm(42 - 2 * static_cast<int>(i)) * 1e6);
      sizes[i] = {kNames[i], bare, bare, bare, "TRADE.md T23a (ASTM B258)"};
    }
    return sizes;
  }();
  return all;
}

double diameter_for_track_mm(double width_mm, double thickness_mm) {
  assert(width_mm >= 0 && thickness_mm >= 0);
  return std::sqrt(4 * width_mm * thickness_mm / std::numbers::pi);
}

double wire_area_mm2(double diameter_mm) {
  assert(diameter_mm > 0);
  return std::numbers::pi / 4 * diameter_mm * diameter_mm;
}

double copper_resistivity(double celsius) {
  return kResistivity20 * (1 + kPerKelvin * (celsius - 20));
}

double resistance_ohm(double length_mm, double diameter_mm, double celsius) {
  return copper_resistivity(celsius) * length_mm * 1e-3 / area_m2(diameter_mm);
}

double current_for_drop_a(double volt, double length_mm, double diameter_mm, double celsius) {
  assert(length_mm > 0);
  return volt / resistance_ohm(length_mm, diameter_mm, celsius);
}

double middle_rise_k(double ampere, double length_mm, double diameter_mm) {
  const double density = ampere / area_m2(diameter_mm);
  const double length = length_mm * 1e-3;
  return kResistivity20 * density * density * length * length / (8 * kHeatConductivity);
}

double middle_rise_cooled_k(double ampere, double length_mm, double diameter_mm, double side_w_m2k) {
  assert(side_w_m2k > 0);
  const double area = area_m2(diameter_mm);
  const double rim = std::numbers::pi * diameter_mm * 1e-3;
  const double heat_per_m = ampere * ampere * kResistivity20 / area;
  const double m = std::sqrt(side_w_m2k * rim / (kHeatConductivity * area));
  return heat_per_m / (side_w_m2k * rim) * (1 - 1 / std::cosh(m * length_mm * 1e-3 / 2));
}

double current_for_rise_a(double kelvin, double length_mm, double diameter_mm) {
  assert(length_mm > 0);
  return area_m2(diameter_mm) * std::sqrt(8 * kHeatConductivity * kelvin / kResistivity20) /
         (length_mm * 1e-3);
}

double preece_a(double diameter_mm) {
  assert(diameter_mm > 0);
  return 80 * std::pow(diameter_mm, 1.5);
}

double onderdonk_a(double diameter_mm, double seconds, double celsius) {
  assert(diameter_mm > 0 && seconds > 0);
  const double mils = diameter_mm / 0.0254;
  return mils * mils * std::sqrt(std::log10((1083 - celsius) / (234 + celsius) + 1) / (33 * seconds));
}

CurrentLimits current_limits(double length_mm, double diameter_mm, double rise_k,
                             std::optional<double> drop_volt, double celsius) {
  CurrentLimits limits;
  limits.rise_a = current_for_rise_a(rise_k, length_mm, diameter_mm);
  limits.allowed_a = limits.rise_a;
  limits.decided_by = "the rise";
  if (length_mm > kLongWireMm) {
    limits.preece_fifth_a = preece_a(diameter_mm) / 5;
    if (*limits.preece_fifth_a < limits.allowed_a) {
      limits.allowed_a = *limits.preece_fifth_a;
      limits.decided_by = "a fifth of the melting current";
    }
  }
  // Of a wire of a millimetre or two the formulas would promise more than melts a long one: nothing is
  // claimed beyond that (stricter than T23g; common practice, no source).
  if (const double melts = preece_a(diameter_mm); melts < limits.allowed_a) {
    limits.allowed_a = melts;
    limits.decided_by = "what melts a long wire: stay well below it";
  }
  if (drop_volt) {
    limits.drop_a = current_for_drop_a(*drop_volt, length_mm, diameter_mm, celsius);
    if (*limits.drop_a < limits.allowed_a) {
      limits.allowed_a = *limits.drop_a;
      limits.decided_by = "the drop";
    }
  }
  return limits;
}

double skin_depth_um(double hertz) {
  assert(hertz > 0);
  constexpr double kMu0 = 4e-7 * std::numbers::pi;
  return std::sqrt(kResistivity20 / (std::numbers::pi * hertz * kMu0)) * 1e6;
}

}  // namespace landfall::rework::physics
