// The two fits behind align.hpp, on points that were checked and are close to one in size.
#pragma once

#include <complex>
#include <optional>
#include <vector>

#include "netdb/photo/align.hpp"

namespace landfall::photo {

using Complex = std::complex<double>;

// Picture and board each shifted to its middle and scaled to a mean distance of sqrt 2 (Hartley 1997).
struct Normal {
  Complex middle;
  double scale = 1;  // normal = (raw - middle) * scale
};
struct Pair {
  Complex from, to;
};

// to = a from + b, or a conj(from) + b.
struct Similar {
  Complex a, b;
  double sum = 0;  // of the squares that are left
};
Similar fit_similarity(const std::vector<Pair>& pairs, bool conjugate);

// Nothing when the points do not say which (three of four in a line) or a point lies beyond the horizon.
std::optional<Matrix> fit_perspective(const std::vector<Pair>& pairs);

}  // namespace landfall::photo
