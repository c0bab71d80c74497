// Chances that are themselves uncertain: Beta estimates, powers of one unknown chance, products, intervals.
// Pure; probabilities from 0 to 1.
#pragma once

#include <cstdint>
#include <span>

namespace landfall::rework::verdict {

// What came of it, as the shop wrote it down. Both >= 0.
struct Tally {
  std::int64_t worked = 0;
  std::int64_t failed = 0;
};

// A chance p known as Beta(a, b); a, b >= 0, not both 0. a = 0 means never, b = 0 always.
struct Beta {
  double a = 1;
  double b = 1;
};

// Prior of this mean (0 to 1) that counts as much as `weight` (> 0) cases, plus the shop's own outcomes:
// Beta(mean weight + worked, (1 - mean) weight + failed). The Beta-binomial rule, a textbook's.
Beta estimate(double prior_mean, double weight, Tally own);

double mean(const Beta& p);

// E[p^n] = product over i < n of (a + i) / (a + b + i): the chance that n independent trials which share one
// unknown p all work. Not mean(p)^n, which is less. n >= 0; O(n).
double power_mean(const Beta& p, int n);

// The value below which p lies with probability q (0 to 1). Boost.Math's inverse of the incomplete beta.
double quantile(const Beta& p, double q);

struct Factor {
  Beta p;
  int n = 0;  // how many trials share this p
};

struct Interval {
  double mean = 0;
  double low = 0;
  double high = 0;
};

// Mean and central interval (share `level` of it, between 0 and 1) of the product of p_k^n_k, the p_k
// independent. Method: mean and second moment are exact (E[p^n] and E[p^2n]); the interval is that of the
// Beta with these two moments. Exact for one factor with n = 1; for products as a verdict meets them its ends
// are within 0.015 of those by numeric convolution (tests/rework_verdict_test.cpp). Where a lopsided
// distribution has its mean outside, the interval is widened to hold it.
Interval product_interval(std::span<const Factor> factors, double level);

}  // namespace landfall::rework::verdict
