// How past verdicts fared, by hand and with simulated shops.
#include <iostream>
#include <random>

#include <doctest/doctest.h>

#include "netdb/rework/record/record.hpp"

using namespace landfall::rework::record;

TEST_CASE("four jobs by hand: Brier score, bands, and too few to tell") {
  const Tally t = tally({{0.9, true}, {0.8, true}, {0.6, false}, {0.6, true}});
  CHECK(t.jobs == 4);
  CHECK(t.worked == 3);
  CHECK(t.said == doctest::Approx(0.725));
  CHECK(t.brier == doctest::Approx((0.01 + 0.04 + 0.36 + 0.16) / 4));
  CHECK(t.brier_mean == doctest::Approx(0.75 * 0.25));
  CHECK(t.bands[1].jobs == 2);
  CHECK(t.bands[2].jobs == 1);
  CHECK(t.bands[3].jobs == 1);
  CHECK(t.says.find("Too few to tell") != std::string::npos);
  CHECK(tally({}).says.find("No job") == 0);
}

TEST_CASE("the interval of 8 of 10 is that of Clopper and Pearson's table: 0.444 to 0.975 (from memory)") {
  std::vector<Past> past(10, {0.8, true});
  past[0].worked = past[1].worked = false;
  const Tally t = tally(past);
  CHECK(t.low == doctest::Approx(0.444).epsilon(0.002));
  CHECK(t.high == doctest::Approx(0.975).epsilon(0.002));
}

TEST_CASE(
    "a shop whose chances hold is said to agree, one whose chances are half of what was said is said so") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> chance(0.3, 0.98);
  std::uniform_real_distribution<double> dice(0, 1);
  int agree = 0, too_high = 0;
  for (int shop = 0; shop < 200; ++shop) {
    std::vector<Past> honest, boasting;
    for (int job = 0; job < 50; ++job) {
      const double p = chance(random);
      honest.push_back({p, dice(random) < p});
      boasting.push_back({p, dice(random) < p / 2});
    }
    agree += tally(honest).says.find("agrees") != std::string::npos ? 1 : 0;
    too_high += tally(boasting).says.find("too high") != std::string::npos ? 1 : 0;
  }
  std::cout << "tally: of 200 shops of 50 jobs " << agree << " honest ones agree, " << too_high
            << " of those whose chances are half are found\n";
  CHECK(agree >= 185);  // a 95 % interval, wider than that by its construction
  CHECK(too_high == 200);
}
