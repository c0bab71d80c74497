#pragma once

#include <cmath>

#include <doctest/doctest.h>

namespace landfall::testing {

// Within an absolute tolerance, both figures told where it is not.
inline bool near(double got, double wanted, double tolerance) {
  CAPTURE(got);
  CAPTURE(wanted);
  return std::abs(got - wanted) <= tolerance;
}

}  // namespace landfall::testing
