#include "netdb/rework/verdict/chance.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include <boost/math/distributions/beta.hpp>

namespace landfall::rework::verdict {
namespace {

namespace bm = boost::math;
// No exception leaves this room: what Boost cannot do comes back as a number that is checked.
using Quiet = bm::policies::policy<bm::policies::domain_error<bm::policies::ignore_error>,
                                   bm::policies::pole_error<bm::policies::ignore_error>,
                                   bm::policies::overflow_error<bm::policies::ignore_error>,
                                   bm::policies::evaluation_error<bm::policies::ignore_error>>;

// Below this share of the greatest possible variance the product is as good as a number.
constexpr double kAsGoodAsKnown = 1e-9;

}  // namespace

Beta estimate(double prior_mean, double weight, Tally own) {
  assert(prior_mean >= 0 && prior_mean <= 1 && weight > 0 && own.worked >= 0 && own.failed >= 0);
  return {prior_mean * weight + static_cast<double>(own.worked),
          (1 - prior_mean) * weight + static_cast<double>(own.failed)};
}

double mean(const Beta& p) {
  return p.a / (p.a + p.b);
}

double power_mean(const Beta& p, int n) {
  double product = 1;
  for (int i = 0; i < n; ++i) product *= (p.a + i) / (p.a + p.b + i);
  return product;
}

double quantile(const Beta& p, double q) {
  if (p.a <= 0) return 0;
  if (p.b <= 0) return 1;
  const double found = bm::quantile(bm::beta_distribution<double, Quiet>(p.a, p.b), std::clamp(q, 0.0, 1.0));
  return std::isfinite(found) ? std::clamp(found, 0.0, 1.0) : mean(p);
}

Interval product_interval(std::span<const Factor> factors, double level) {
  double first = 1;
  double second = 1;
  for (const Factor& factor : factors) {
    first *= power_mean(factor.p, factor.n);
    second *= power_mean(factor.p, 2 * factor.n);
  }
  const double variance = second - first * first;
  const double most = first * (1 - first);
  if (variance <= kAsGoodAsKnown * most || most <= 0) return {first, first, first};
  const double size = std::max(most / variance - 1, kAsGoodAsKnown);
  const Beta matched{first * size, (1 - first) * size};
  const double tail = (1 - std::clamp(level, 0.0, 1.0)) / 2;
  return {first, std::min(first, quantile(matched, tail)), std::max(first, quantile(matched, 1 - tail))};
}

}  // namespace landfall::rework::verdict
