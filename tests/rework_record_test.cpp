// How past verdicts fared, by hand and with simulated shops.
#include <iostream>
#include <random>

#include <doctest/doctest.h>

#include "netdb/rework/record/money.hpp"
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

TEST_CASE("five jobs in money by hand: months with what was predicted, what came, and the running sum") {
  const Money m = money({{"2026-01-05T10:00:00Z", 80, 150.0, -60.0, true},
                         {"2026-01-31T23:59:59Z", 40, 100.0, -50.0, false},
                         {"2026-03-01T00:00:00Z", 70, 120.0, -30.0, true},
                         {"2026-03-09T00:00:00Z", 55, 120.0, -30.0, std::nullopt},
                         {"2026-03-10T00:00:00Z", 20, std::nullopt, std::nullopt, true}});
  CHECK(m.span == Span::kMonth);
  REQUIRE(m.periods.size() == 2);
  CHECK(m.periods[0].name == "2026-01");
  CHECK(m.periods[0].jobs == 2);
  CHECK(m.periods[0].worked == 1);
  CHECK(m.periods[0].said_of == doctest::Approx(120));
  CHECK(m.periods[0].came == doctest::Approx(100));
  CHECK(m.periods[0].running == doctest::Approx(100));
  CHECK(m.periods[1].name == "2026-03");
  CHECK(m.periods[1].jobs == 3);
  CHECK(m.periods[1].known == 1);
  CHECK(m.periods[1].said == doctest::Approx(145));
  CHECK(m.periods[1].came == doctest::Approx(120));
  CHECK(m.periods[1].running == doctest::Approx(220));
  CHECK(m.periods[1].running_said == doctest::Approx(190));
  CHECK(m.open == 1);
  CHECK(m.unpriced == 1);
  CHECK(m.says.find("190.00 was predicted, 220.00 came (+30.00)") != std::string::npos);
  CHECK(m.says.find("What came of 1 is not noted") != std::string::npos);
  CHECK(m.says.find("Too few") != std::string::npos);
}

TEST_CASE(
    "beyond a year money goes by quarters unless months are asked for, and a bad date is shown as none") {
  const std::vector<Decided> jobs{{"2024-12-31T00:00:00Z", 10, 20.0, -5.0, true},
                                  {"2026-04-01T00:00:00Z", 10, 20.0, -5.0, false},
                                  {"yesterday", 10, 20.0, -5.0, true}};
  const Money quarters = money(jobs);
  REQUIRE(quarters.periods.size() == 3);
  CHECK(quarters.periods[0].name == "no date");
  CHECK(quarters.periods[1].name == "2024 Q4");
  CHECK(quarters.periods[2].name == "2026 Q2");
  CHECK(quarters.periods[2].running == doctest::Approx(35));
  CHECK(money(jobs, Span::kMonth).periods[1].name == "2024-12");
}

TEST_CASE("no job, one job, and jobs without an outcome say what is missing in money") {
  CHECK(money({}).says.find("No verdict on a repair has been kept yet") == 0);
  CHECK(money({}).periods.empty());
  const Money one = money({{"2026-01-05T10:00:00Z", 80, 150.0, -60.0, true}});
  CHECK(one.says.find("1 of 1 repair: 80.00 was predicted, 150.00 came (+70.00).") == 0);
  CHECK(one.says.find("10 are wanted") != std::string::npos);
  const Money open = money({{"2026-01-05T10:00:00Z", 80, 150.0, -60.0, std::nullopt}});
  CHECK(open.says.find("of none is it known what came") != std::string::npos);
  CHECK(open.says.find("outcome JOB job worked|failed") != std::string::npos);
}
