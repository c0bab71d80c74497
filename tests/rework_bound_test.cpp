// Thousands of lands on one spot: what touches grows with their square. The work has a bound, and says so.
#include <doctest/doctest.h>

#include "netdb/rework/copper/check.hpp"
#include "tests/support/made_board.hpp"

using namespace landfall;

namespace {

// `lands` pins of one part on one net, all on one spot, and a track, so that copper is known.
testing::MadeBoard heap(int lands) {
  testing::MadeBoard made;
  const Index net = made.net("HEAP");
  made.track(net, 20, 20, 21, 20);
  const Index part = made.part("J1", lands, 20, 20);
  for (Pin& pin : made.board.pins) {
    if (pin.part == part) pin.net = net;
  }
  for (Land& land : made.board.lands) {
    if (land.part != part) continue;
    land.net = net;
    land.at = {testing::mm(20), testing::mm(20)};
  }
  return made;
}

}  // namespace

TEST_CASE("a heap of lands that can be followed is one island, a higher one is said to be unknown") {
  const auto small = heap(500);
  const rework::Copper followed(small.board);
  const Index net = 0;
  CHECK(followed.doubt(net).empty());
  CHECK(followed.net(net).joints.size() >= 500 * 499 / 2);
  const auto large = heap(3'000);
  const rework::Copper copper(large.board);
  CHECK(copper.doubt(net) == "its copper overlaps in more than 4 million places: not followed");
  CHECK(copper.net(net).joints.empty());
  for (const rework::Node island : copper.net(net).island) CHECK(island == copper.net(net).island.front());
  const auto check = rework::check_copper(copper);
  CHECK(check.splits.empty());
  REQUIRE(check.unknown.size() == 1);
  CHECK(check.unknown[0].because.find("not followed") != std::string::npos);
  CHECK_FALSE(check.touches_cut);
}

TEST_CASE("the search for touches ends at its bound and says so") {
  const auto made = heap(500);
  const rework::Copper copper(made.board);
  CHECK_FALSE(rework::check_copper(copper).touches_cut);
  CHECK(rework::check_copper(copper, 100'000).touches_cut);
}
