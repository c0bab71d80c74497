// A part known by its ball list alone: what is lost is needed, though nobody knows where it goes.
#include <doctest/doctest.h>

#include "importers/ball_list/ball_list.hpp"
#include "netdb/rework/assess.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

TEST_CASE("a lost signal ball of a list alone is needed, an open one is not, and the count is a bound") {
  Diagnostics log;
  const auto design = importers::read_ball_list("ball,name\nA1,DQ0\nA2,VSS\nA3,VSS\nB1,NC\nB2,DQ1\n", log);
  REQUIRE(design.has_value());
  const BoardIndex index(design->board);
  Job job;
  job.lifted = {"U1"};
  job.marks = {{"U1", "A1", MarkKind::kMissing, ""}, {"U1", "B1", MarkKind::kMissing, ""}};
  const auto signals = signals::analyse(index, {});
  const rework::Copper copper(design->board);
  const auto answer = rework::assess(index, signals, copper, job, SupplyRule{});
  REQUIRE(answer.sites.size() == 2);
  for (const rework::SiteAnswer& site : answer.sites) {
    const bool open = design->board.pins[site.pin].number == "B1";
    CHECK(site.need == (open ? rework::Need::kNone : rework::Need::kWire));
  }
  CHECK(answer.bound);
}
