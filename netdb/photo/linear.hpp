// The few pieces of linear algebra that the fits need.
#pragma once

#include <array>
#include <cstddef>
#include <optional>

#include "netdb/photo/align.hpp"

namespace landfall::photo {

// `a` after `b`.
Matrix product(const Matrix& a, const Matrix& b);
// Nothing when it has none to the precision of a double.
std::optional<Matrix> inverse(const Matrix& m);

inline constexpr std::size_t kUnknowns = 9;
using Square = std::array<std::array<double, kUnknowns>, kUnknowns>;
struct Eigen {
  std::array<double, kUnknowns> values{};                          // rising
  std::array<std::array<double, kUnknowns>, kUnknowns> vectors{};  // vectors[i] belongs to values[i]
};
// Of a symmetric matrix, by Jacobi's rotations.
Eigen eigen(Square matrix);

// The solution of an 8 x 8 system by elimination with pivots; nothing when it is singular.
std::optional<std::array<double, 8>> solve(std::array<std::array<double, 9>, 8> rows);

}  // namespace landfall::photo
