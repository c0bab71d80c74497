// Uncertain chances: quantiles, powers, products. C and T numbers are those of the trade reference; the
// outside source or the closed form stands beside each.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include <doctest/doctest.h>

#include "netdb/rework/verdict/chance.hpp"

using namespace landfall::rework::verdict;

namespace {

constexpr double kCertain = 1e12;  // a prior that nothing moves: chances as plain numbers

// The distribution of a product by numeric convolution: the masses of -n ln p on a grid, folded with each
// other; the values below which it lies with probability q. An independent way to what product_interval
// approximates.
double convolved_quantile(const std::vector<Factor>& factors, double q) {
  constexpr std::size_t kBins = 3000;
  double widest = 0;
  for (const Factor& factor : factors) widest += -factor.n * std::log(quantile(factor.p, 1e-6));
  const double step = widest / kBins;
  std::vector<double> mass{1.0};
  for (const Factor& factor : factors) {
    std::vector<double> own;
    double before = 0;
    // P(-n ln p <= y) = P(p >= exp(-y / n)); the Beta's distribution function by its density on a fine grid.
    constexpr int kFine = 40000;
    std::vector<double> below(kFine + 1, 0.0);
    const double scale =
        std::lgamma(factor.p.a + factor.p.b) - std::lgamma(factor.p.a) - std::lgamma(factor.p.b);
    for (int i = 1; i <= kFine; ++i) {
      const double x = (i - 0.5) / kFine;
      below[static_cast<std::size_t>(i)] =
          below[static_cast<std::size_t>(i - 1)] +
          std::exp(scale + (factor.p.a - 1) * std::log(x) + (factor.p.b - 1) * std::log1p(-x)) / kFine;
    }
    const auto less_than = [&](double p) {
      const double at = p * kFine;
      const auto i = std::min(static_cast<std::size_t>(at), static_cast<std::size_t>(kFine - 1));
      return (below[i] + (below[i + 1] - below[i]) * (at - static_cast<double>(i))) / below.back();
    };
    for (std::size_t i = 0; i < kBins && before < 1 - 1e-7; ++i) {
      const double upto = 1 - less_than(std::exp(-(static_cast<double>(i) + 0.5) * step / factor.n));
      own.push_back(upto - before);
      before = upto;
    }
    std::vector<double> folded(std::min(mass.size() + own.size(), 2 * kBins), 0.0);
    for (std::size_t i = 0; i < mass.size(); ++i) {
      for (std::size_t j = 0; j < own.size() && i + j < folded.size(); ++j) folded[i + j] += mass[i] * own[j];
    }
    mass = std::move(folded);
  }
  double sum = 0;
  for (std::size_t i = 0; i < mass.size(); ++i) {
    sum += mass[i];
    if (sum >= 1 - q) return std::exp(-static_cast<double>(i) * step);
  }
  return 0;
}

}  // namespace

TEST_SUITE("rework/chance") {
  TEST_CASE("quantiles of a Beta with a closed form: Beta(a, 1), Beta(1, b), the arcsine law") {
    for (const double q : {0.025, 0.1, 0.5, 0.9, 0.975}) {
      CAPTURE(q);
      CHECK(quantile({7, 1}, q) == doctest::Approx(std::pow(q, 1.0 / 7)).epsilon(1e-9));
      CHECK(quantile({1, 9}, q) == doctest::Approx(1 - std::pow(1 - q, 1.0 / 9)).epsilon(1e-9));
      const double sine = std::sin(std::numbers::pi * q / 2);
      CHECK(quantile({0.5, 0.5}, q) == doctest::Approx(sine * sine).epsilon(1e-9));
    }
  }

  TEST_CASE("5 of 10 lie between 0.187 and 0.813 (Clopper and Pearson 1934, the usual table, from memory)") {
    CHECK(quantile({5, 6}, 0.025) == doctest::Approx(0.187).epsilon(0.001));
    CHECK(quantile({6, 5}, 0.975) == doctest::Approx(0.813).epsilon(0.001));
  }

  TEST_CASE("E[p^n] with a closed form: a/(a+n) for b = 1, 1/(n+1) for a uniform p, and b = 2") {
    for (const int n : {0, 1, 2, 5, 13, 40}) {
      CAPTURE(n);
      CHECK(power_mean({9, 1}, n) == doctest::Approx(9.0 / (9 + n)));
      CHECK(power_mean({1, 1}, n) == doctest::Approx(1.0 / (n + 1)));
      CHECK(power_mean({4, 2}, n) == doctest::Approx(4.0 * 5 / ((4.0 + n) * (5 + n))));
    }
  }

  TEST_CASE("a shared unknown chance is worth more than its mean to the power n, and never rises with n") {
    for (const Beta p : {Beta{9.5, 0.5}, Beta{8, 2}, Beta{2, 8}, Beta{190, 10}}) {
      double last = 1;
      for (int n = 2; n < 30; ++n) {
        CHECK(power_mean(p, n) > std::pow(mean(p), n));
        CHECK(power_mean(p, n) <= last);
        last = power_mean(p, n);
      }
    }
  }

  TEST_CASE("an estimate is the prior's cases plus the shop's own") {
    const Beta p = estimate(0.9, 10, {30, 2});
    CHECK(p.a == doctest::Approx(39));
    CHECK(p.b == doctest::Approx(3));
    CHECK(mean(p) == doctest::Approx(39.0 / 42));
    CHECK(mean(estimate(0.9, 10, {3000, 1000})) == doctest::Approx(0.75).epsilon(0.001));
    CHECK(power_mean(estimate(1, 10, {}), 50) == 1);
    CHECK(quantile(estimate(1, 10, {}), 0.1) == 1);
    CHECK(quantile(estimate(0, 10, {}), 0.9) == 0);
  }

  TEST_CASE("how many wires keep a chance of one half: C56, C57 (T36)") {
    const auto most = [](double base, double q) {
      int n = 0;
      while (base * power_mean(estimate(q, kCertain, {}), n + 1) >= 0.5) ++n;
      return n;
    };
    CHECK(most(1, 0.95) == 13);
    CHECK(most(1, 0.97) == 22);
    CHECK(most(1, 0.99) == 68);
    CHECK(most(0.9, 0.95) == 11);
    CHECK(power_mean(estimate(0.95, kCertain, {}), 13) == doctest::Approx(0.5133).epsilon(0.0001));
    CHECK(power_mean(estimate(0.95, kCertain, {}), 14) == doctest::Approx(0.4877).epsilon(0.0001));
  }

  TEST_CASE("one factor alone has the Beta's own interval") {
    const std::vector<Factor> one{{{18, 2}, 1}};
    const Interval found = product_interval(one, 0.8);
    CHECK(found.mean == doctest::Approx(0.9));
    CHECK(found.low == doctest::Approx(quantile({18, 2}, 0.1)));
    CHECK(found.high == doctest::Approx(quantile({18, 2}, 0.9)));
  }

  TEST_CASE("products: the matched Beta's interval agrees with numeric convolution within 0.015") {
    const std::vector<std::vector<Factor>> products{
        {{{9, 1}, 1}, {{9.5, 0.5}, 4}},
        {{{9, 1}, 1}, {{9.5, 0.5}, 7}, {{9.5, 0.5}, 7}},
        {{{39, 3}, 1}, {{60, 4}, 5}, {{8, 2}, 2}},
        {{{9, 1}, 1}, {{9.8, 0.2}, 3}, {{9.5, 0.5}, 6}, {{9.3, 0.7}, 2}, {{9.2, 0.8}, 1}, {{9.5, 0.5}, 4}},
    };
    for (const auto& factors : products) {
      const Interval found = product_interval(factors, 0.8);
      CHECK(std::abs(found.low - convolved_quantile(factors, 0.1)) < 0.015);
      CHECK(std::abs(found.high - convolved_quantile(factors, 0.9)) < 0.015);
    }
  }

  TEST_CASE("a power of one Beta has a closed interval too: quantile^n") {
    const std::vector<Factor> six{{{19, 1}, 6}};
    const Interval found = product_interval(six, 0.8);
    CHECK(std::abs(found.low - std::pow(quantile({19, 1}, 0.1), 6)) < 0.01);
    CHECK(std::abs(found.high - std::pow(quantile({19, 1}, 0.9), 6)) < 0.01);
  }

  TEST_CASE("the interval holds the mean, lies in 0 to 1, and grows with its level") {
    for (const Beta p : {Beta{9.5, 0.5}, Beta{0.3, 4}, Beta{50, 50}, Beta{1e12, 1e11}}) {
      for (const int n : {0, 1, 3, 12, 200}) {
        const std::vector<Factor> factors{{p, n}, {{9, 1}, 1}};
        Interval last = product_interval(factors, 0.3);
        for (const double level : {0.5, 0.8, 0.95}) {
          const Interval found = product_interval(factors, level);
          CHECK(found.low <= found.mean);
          CHECK(found.high >= found.mean);
          CHECK(found.low >= 0);
          CHECK(found.high <= 1);
          CHECK(found.low <= last.low);
          CHECK(found.high >= last.high);
          last = found;
        }
      }
    }
  }
}
