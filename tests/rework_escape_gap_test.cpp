// The room between the joints. C and T numbers are those of the trade reference that the
// formulas cite; the outside source stands beside each.
#include <array>
#include <cmath>

#include <doctest/doctest.h>

#include "netdb/rework/escape_gap.hpp"
#include "tests/support/near.hpp"

using namespace landfall;
using namespace landfall::rework;
using landfall::testing::near;

TEST_SUITE("rework/escape_gap") {
  Gap gap(double pitch, double joint, double spacing = 0) {
    return {std::llround(pitch * 1e6), std::llround(joint * 1e6), 50'000, std::llround(spacing * 1e6)};
  }

  TEST_CASE("wires per gap: C52 to C55 (T31, derived there)") {
    CHECK(wires_through(gap(0.80, 0.50), 117'000).value() == 1);
    CHECK(wires_through(gap(1.00, 0.50), 117'000).value() == 3);
    CHECK(wires_through_diagonal(gap(0.80, 0.50), 800'000, 117'000).value() == 4);
    CHECK(diagonal_gap(gap(0.80, 0.50), 800'000) == 631'370);
    CHECK(wires_through(gap(0.65, 0.40), 50'000).value() == 3);
  }

  TEST_CASE("the whole table of section 8") {
    struct Row {
      double pitch, joint;
      int w117, w60, w24;
      double diagonal;
      int diagonal117;
    };
    const std::array<Row, 8> rows{{{1.27, 0.75, 3, 7, 17, 1.046, 8},
                                   {1.00, 0.60, 2, 5, 12, 0.814, 6},
                                   {1.00, 0.50, 3, 6, 16, 0.914, 6},
                                   {0.80, 0.50, 1, 3, 8, 0.631, 4},
                                   {0.80, 0.45, 2, 4, 10, 0.681, 4},
                                   {0.65, 0.40, 1, 2, 6, 0.519, 3},
                                   {0.50, 0.30, 0, 1, 4, 0.407, 2},
                                   {0.40, 0.25, 0, 0, 2, 0.316, 1}}};
    for (const Row& row : rows) {
      CAPTURE(row.pitch);
      CAPTURE(row.joint);
      const Gap g = gap(row.pitch, row.joint);
      CHECK(wires_through(g, 117'000).value() == row.w117);
      CHECK(wires_through(g, 60'000).value() == row.w60);
      CHECK(wires_through(g, 24'000).value() == row.w24);
      CHECK(near(static_cast<double>(diagonal_gap(g, g.pitch)) * 1e-6, row.diagonal, 0.0006));
      CHECK(wires_through_diagonal(g, g.pitch, 117'000).value() == row.diagonal117);
    }
  }

  TEST_CASE("spacing between wires costs room, and an exact fit counts") {
    // 0.30 - 0.10 = 0.20 free: two of 0.06 with 0.08 between fit exactly, one nanometre more does not.
    CHECK(wires_through(gap(0.80, 0.50, 0.08), 60'000).value() == 2);
    CHECK(wires_through(gap(0.80, 0.50, 0.080001), 60'000).value() == 1);
    CHECK(usable_width(gap(0.80, 0.50)) == 200'000);
    CHECK(usable_width({800'000, 790'000, 50'000, 0}) == 0);
    CHECK(wires_through({800'000, 790'000, 50'000, 0}, 24'000).value() == 0);
  }

  TEST_CASE("what breaks the bounds is an error, not a number") {
    CHECK_FALSE(wires_through(gap(0.80, 0.50), 0).ok());
    CHECK_FALSE(wires_through(gap(0.80, 0.80), 60'000).ok());
    CHECK_FALSE(wires_through({800'000, 500'000, -1, 0}, 60'000).ok());
    CHECK_FALSE(wires_through({200 * kNmPerMm, 500'000, 0, 0}, 60'000).ok());
    CHECK_FALSE(wires_through_diagonal(gap(0.80, 0.50), 100'000, 60'000).ok());
  }

  TEST_CASE("the joint's default diameter: T32, T33 and the table") {
    CHECK(joint_after_soldering(800'000)->diameter == 500'000);
    CHECK(joint_after_soldering(1'270'000)->diameter == 750'000);
    CHECK(joint_after_soldering(500'000)->diameter == 300'000);
    CHECK(joint_after_soldering(650'000)->diameter == 400'000);
    CHECK(joint_after_soldering(800'000, 400'000)->diameter == 500'000);    // T32: land 0.40, 0.50 after
    CHECK(joint_after_soldering(1'000'000, 450'000)->diameter == 600'000);  // T33: 0.60 -> 0.45
    CHECK(joint_after_soldering(500'000, 250'000)->diameter == 300'000);    // T33: 0.30 -> 0.25
    CHECK(joint_after_soldering(800'000, 350'000)->diameter == 450'000);    // T33: 0.45 -> 0.35 (from memory)
    CHECK_FALSE(joint_after_soldering(0));
    for (Nm pitch = 200'000; pitch <= 2'000'000; pitch += 10'000) {
      for (Nm land = 100'000; land < pitch * 9 / 10; land += 50'000) {
        const Nm joint = joint_after_soldering(pitch, land)->diameter;
        CHECK(joint >= land);
        CHECK(joint < pitch);
      }
      CHECK(joint_after_soldering(pitch)->diameter < pitch);
    }
    CHECK(joint_height(800'000) == 250'000);
    CHECK(joint_height(1'270'000) == 250'000);
    CHECK(joint_height(400'000) == 125'000);
  }
}
