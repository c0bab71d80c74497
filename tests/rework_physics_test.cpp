// The formulas of wires and lines. C and T numbers are those of the trade reference that the
// formulas cite; the outside source stands beside each.
#include <array>
#include <cmath>
#include <optional>

#include <doctest/doctest.h>

#include "netdb/rework/physics/line.hpp"
#include "netdb/rework/physics/wire.hpp"
#include "tests/support/near.hpp"

using namespace landfall;
using namespace landfall::rework::physics;
using landfall::testing::near;

TEST_SUITE("rework/physics") {
  TEST_CASE("AWG diameters: C23, C24 (ASTM B258, from memory)") {
    CHECK(near(awg_diameter_mm(30), 0.2546, 1e-4));
    CHECK(near(awg_diameter_mm(32), 0.2019, 1e-4));
    CHECK(near(awg_diameter_mm(36), 0.1270, 1e-4));
    CHECK(near(awg_diameter_mm(38), 0.1007, 1e-4));
    CHECK(near(awg_diameter_mm(40), 0.0799, 1e-4));
    CHECK(near(awg_diameter_mm(42), 0.0633, 1e-4));
  }

  TEST_CASE("AWG sizes of the T23 table: diameter, ohm a metre, Preece's current") {
    struct Row {
      double diameter, ohm_per_m, preece;
    };
    const std::array<Row, 7> rows{{{0.0633, 5.472, 1.28},
                                   {0.0799, 3.441, 1.81},
                                   {0.1007, 2.164, 2.56},
                                   {0.1270, 1.361, 3.62},
                                   {0.1601, 0.856, 5.13},
                                   {0.2019, 0.538, 7.26},
                                   {0.2546, 0.339, 10.28}}};
    REQUIRE(awg_wires().size() == rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const double diameter = static_cast<double>(awg_wires()[i].bare) * 1e-6;
      CAPTURE(diameter);
      CHECK(near(diameter, rows[i].diameter, 1e-4));
      CHECK(near(resistance_ohm(1000, diameter), rows[i].ohm_per_m, 0.001));
      CHECK(near(preece_a(diameter), rows[i].preece, 0.006));
    }
  }

  TEST_CASE("published wire equivalents of 2 oz tracks lose no copper: T21d (Circuit Technology Center)") {
    struct Row {
      double width, wire;
    };
    for (const Row& row : std::array<Row, 6>{
             {{0.25, 0.15}, {0.38, 0.20}, {0.50, 0.23}, {0.78, 0.28}, {2.08, 0.46}, {3.18, 0.58}}}) {
      CAPTURE(row.width);
      CHECK(diameter_for_track_mm(row.width, 0.07) <= row.wire);
      CHECK(diameter_for_track_mm(row.width, 0.07) > row.wire * 0.85);  // and none is much too thick
    }
  }

  TEST_CASE("resistance and drop: C25 to C30 (IEC 60028 and IACS, from memory)") {
    CHECK(near(resistance_ohm(1000, awg_diameter_mm(30)), 0.339, 0.002));
    CHECK(near(resistance_ohm(1000, awg_diameter_mm(36)), 1.361, 0.002));
    CHECK(near(resistance_ohm(1000, awg_diameter_mm(40)), 3.441, 0.002));
    CHECK(near(resistance_ohm(10, 0.1) * 1e3, 21.95, 0.01));
    CHECK(near(resistance_ohm(10, 0.05) * 1e3, 87.81, 0.01));
    CHECK(near(resistance_ohm(10, 0.02) * 1e3, 548.80, 0.1));
    CHECK(near(resistance_ohm(15, 0.1) * 0.5 * 1e3, 16.46, 0.01));
    CHECK(near(resistance_ohm(10, 0.1, 80) * 1e3, 27.13, 0.05));
    CHECK(near(current_for_drop_a(0.01646, 15, 0.1), 0.5, 0.001));
  }

  TEST_CASE("fusing currents: C31, C32 (Preece and Onderdonk, through Brooks)") {
    CHECK(near(preece_a(0.1), 2.53, 0.0253));
    CHECK(near(preece_a(0.05), 0.894, 0.00894));
    CHECK(near(onderdonk_a(0.1, 1, 25), 2.27, 0.0227));
  }

  TEST_CASE("what heats a short wire: C33 to C36 (T23e, T23f, derived there)") {
    CHECK(near(middle_rise_k(1, 10, 0.1), 8.96, 0.05));
    CHECK(near(middle_rise_k(1, 30, 0.1), 80.6, 0.2));
    CHECK(near(current_for_rise_a(20, 10, 0.05), 0.374, 0.002));
    CHECK(near(middle_rise_cooled_k(1, 30, 0.1, 100), 40.7, 0.2));
  }

  TEST_CASE("the cooled wire is never hotter, and comes to the same without cooling") {
    for (const double length : {2.0, 10.0, 30.0, 60.0}) {
      CHECK(middle_rise_cooled_k(1, length, 0.1, 100) < middle_rise_k(1, length, 0.1));
      CHECK(middle_rise_cooled_k(1, length, 0.1, 1e-3) ==
            doctest::Approx(middle_rise_k(1, length, 0.1)).epsilon(1e-3));
    }
  }

  TEST_CASE("amperes for 20 K at 10, 20 and 30 mm: the table of T23") {
    struct Row {
      double diameter, at10, at20, at30;
    };
    const std::array<Row, 4> rows{{{0.2, 5.98, 2.99, 1.99},
                                   {0.1, 1.49, 0.747, 0.498},
                                   {0.05, 0.374, 0.187, 0.125},
                                   {0.02, 0.0598, 0.0299, 0.0199}}};
    for (const Row& row : rows) {
      CAPTURE(row.diameter);
      CHECK(current_for_rise_a(20, 10, row.diameter) == doctest::Approx(row.at10).epsilon(0.005));
      CHECK(current_for_rise_a(20, 20, row.diameter) == doctest::Approx(row.at20).epsilon(0.005));
      CHECK(current_for_rise_a(20, 30, row.diameter) == doctest::Approx(row.at30).epsilon(0.005));
    }
  }

  TEST_CASE("T23g takes the least of rise, a fifth of Preece beyond 30 mm, and the drop") {
    const auto by_drop = current_limits(10, 0.1, 20, 0.012);  // 1 % of 1.2 V
    CHECK(by_drop.decided_by == "the drop");
    CHECK(by_drop.allowed_a == doctest::Approx(0.012 / 0.02195).epsilon(0.001));
    CHECK_FALSE(by_drop.preece_fifth_a);
    const auto by_rise = current_limits(30, 0.1, 20, std::nullopt);
    CHECK(by_rise.decided_by == "the rise");
    CHECK(by_rise.allowed_a == doctest::Approx(0.498).epsilon(0.005));
    const auto hot = current_limits(31, 0.1, 80, std::nullopt);  // a rise allowed so high that Preece decides
    CHECK(hot.decided_by == "a fifth of the melting current");
    CHECK(hot.allowed_a == doctest::Approx(2.53 / 5).epsilon(0.01));
  }

  TEST_CASE("enamelled wires: overall diameters of T23h, thinnest first, all above the bare one") {
    REQUIRE(enamelled_wire(100'000) != nullptr);
    CHECK(enamelled_wire(100'000)->overall_most == 117'000);
    CHECK(enamelled_wire(50'000)->overall_most == 60'000);
    CHECK(enamelled_wire(30'000)->overall_most == 37'000);
    CHECK(enamelled_wire(20'000)->overall_most == 24'000);
    CHECK(enamelled_wire(123) == nullptr);
    Nm last = 0;
    for (const WireSize& size : enamelled_wires()) {
      CHECK(size.bare > last);
      CHECK(size.overall_least > size.bare);
      CHECK(size.overall_most > size.overall_least);
      last = size.bare;
    }
  }

  TEST_CASE("delay: C37 (exact), C38, C39 (Intel AN 958 and its companion), C40 (T24), C49 (TI SPRSP09B)") {
    CHECK(near(delay_ps_per_mm(Medium::kAir, 4.3), 3.3356, 1e-4));
    CHECK(near(delay_ps_per_mm(Medium::kMicrostrip, 4.3), 5.51, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kStripline, 4.3), 6.94, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kMicrostrip, 4.5), 5.61, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kStripline, 4.5), 7.10, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kLyingWire, 4.3), 5.43, 0.01));
    CHECK(near(delay_ps_per_mm(Medium::kStripline, 4.3) * 0.635, 4.41, 0.01));
  }

  TEST_CASE("inductance and impedance: C41 to C44 (Rosa 1908, Grover, Wadell)") {
    CHECK(near(inductance_free_nh(10, 0.1, false), 10.48, 0.01));
    CHECK(near(inductance_free_nh(10, 0.1), 9.98, 0.01));
    CHECK(near(inductance_free_nh(5, 0.1, false), 4.55, 0.01));
    CHECK(near(inductance_over_plane_nh(10, 0.1, 0.2), 4.13, 0.01));
    CHECK(near(impedance_over_plane_ohm(0.1, 0.2, 1), 123.8, 0.1));
    CHECK(near(impedance_over_plane_ohm(0.1, 0.2, 2.65), 76.1, 0.1));
    CHECK(inductance_free_nh(0.01, 0.1) == 0);  // shorter than thick: never negative
  }

  TEST_CASE("unit interval, edge, skin: C45 to C48 (1/rate, Johnson and Graham), C51") {
    CHECK(near(unit_interval_ps(1600), 625.0, 0.1));
    CHECK(near(unit_interval_ps(3200), 312.5, 0.1));
    CHECK(near(unit_interval_ps(4266.67), 234.4, 0.1));
    CHECK(near(unit_interval_ps(480), 2083.3, 0.1));
    CHECK(near(unit_interval_ps(2500), 400.0, 0.1));
    CHECK(near(unit_interval_ps(8000), 125.0, 0.1));
    CHECK(near(critical_length_mm(100, delay_ps_per_mm(Medium::kMicrostrip, 4.3)), 3.02, 0.01));
    CHECK(near(knee_ghz(100), 5.0, 1e-9));
    CHECK(near(skin_depth_um(800e6), 2.34, 0.01));
  }

  TEST_CASE("net added delay: C50 (T28)") {
    const double added = net_added_delay_ps(12, delay_ps_per_mm(Medium::kLyingWire, 4.3), 8,
                                            delay_ps_per_mm(Medium::kStripline, 4.3));
    CHECK(near(added, 9.65, 0.05));
    CHECK(near(added / 625 * 100, 1.54, 0.01));
  }

  TEST_CASE("a piece of the lines' own impedance only delays, a high one comes to its inductance") {
    const Step same = step_of_piece(50, 50, 50);
    CHECK(same.centre_ps == doctest::Approx(50));
    CHECK(same.rise_ps == doctest::Approx(0));
    // 0.5 ps of 1000 ohm is 0.5 nH: L = Z T (lossless line).
    const Step high = step_of_piece(0.5, 1000, 10);
    const Step lump = step_of_inductance(0.5, 10);
    CHECK(high.centre_ps == doctest::Approx(lump.centre_ps).epsilon(0.001));
    CHECK(high.rise_ps == doctest::Approx(lump.rise_ps).epsilon(0.001));
    CHECK(lump.centre_ps == doctest::Approx(25));  // L / (2 Z0), by hand
  }
}

TEST_CASE("a wire of a millimetre or two is never said to carry what melts a long one: T23c") {
  // 80 d^1.5 = 7.155 A for 0.2 mm; the rise alone would allow 1.6 mm of it some 27 A.
  const auto limits = current_limits(1.6, 0.2, 20, std::nullopt);
  CHECK(limits.rise_a > 20);
  CHECK(limits.allowed_a == doctest::Approx(7.155).epsilon(0.001));
  CHECK(limits.decided_by == "what melts a long wire: stay well below it");
  CHECK(current_limits(10, 0.05, 20, std::nullopt).allowed_a ==
        doctest::Approx(0.374).epsilon(0.006));  // C35 stands
}
