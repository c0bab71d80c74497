#include "netdb/photo/linear.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace landfall::photo {

Matrix product(const Matrix& a, const Matrix& b) {
  Matrix answer{};
  for (std::size_t row = 0; row < 3; ++row) {
    for (std::size_t column = 0; column < 3; ++column) {
      for (std::size_t k = 0; k < 3; ++k) answer[row * 3 + column] += a[row * 3 + k] * b[k * 3 + column];
    }
  }
  return answer;
}

std::optional<Matrix> inverse(const Matrix& m) {
  const Matrix adjoint{m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
                       m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
                       m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
  const double determinant = m[0] * adjoint[0] + m[1] * adjoint[3] + m[2] * adjoint[6];
  const double size = std::abs(m[0] * adjoint[0]) + std::abs(m[1] * adjoint[3]) + std::abs(m[2] * adjoint[6]);
  if (!std::isfinite(determinant) || !(std::abs(determinant) > size * 1e-13)) return std::nullopt;
  Matrix answer = adjoint;
  for (double& value : answer) value /= determinant;
  return answer;
}

namespace {

// One rotation that takes matrix[p][q] to zero.
void rotate(Square& matrix, Square& vectors, std::size_t p, std::size_t q) {
  const double theta = (matrix[q][q] - matrix[p][p]) / (2 * matrix[p][q]);
  const double t = (theta < 0 ? -1.0 : 1.0) / (std::abs(theta) + std::sqrt(theta * theta + 1));
  const double c = 1 / std::sqrt(t * t + 1);
  const double s = t * c;
  for (std::size_t k = 0; k < kUnknowns; ++k) {
    const double kp = matrix[k][p];
    const double kq = matrix[k][q];
    matrix[k][p] = c * kp - s * kq;
    matrix[k][q] = s * kp + c * kq;
  }
  for (std::size_t k = 0; k < kUnknowns; ++k) {
    const double pk = matrix[p][k];
    const double qk = matrix[q][k];
    matrix[p][k] = c * pk - s * qk;
    matrix[q][k] = s * pk + c * qk;
    const double vp = vectors[p][k];
    const double vq = vectors[q][k];
    vectors[p][k] = c * vp - s * vq;
    vectors[q][k] = s * vp + c * vq;
  }
}

}  // namespace

Eigen eigen(Square matrix) {
  Square vectors{};
  for (std::size_t i = 0; i < kUnknowns; ++i) vectors[i][i] = 1;
  constexpr int kMostSweeps = 60;
  for (int sweep = 0; sweep < kMostSweeps; ++sweep) {
    double beside = 0;
    double along = 0;
    for (std::size_t p = 0; p < kUnknowns; ++p) {
      along += matrix[p][p] * matrix[p][p];
      for (std::size_t q = p + 1; q < kUnknowns; ++q) beside += matrix[p][q] * matrix[p][q];
    }
    if (!(beside > along * 1e-34)) break;
    for (std::size_t p = 0; p < kUnknowns; ++p) {
      for (std::size_t q = p + 1; q < kUnknowns; ++q) {
        if (std::abs(matrix[p][q]) > std::numeric_limits<double>::min()) rotate(matrix, vectors, p, q);
      }
    }
  }
  std::array<std::size_t, kUnknowns> order{};
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return matrix[a][a] < matrix[b][b]; });
  Eigen answer;
  for (std::size_t i = 0; i < kUnknowns; ++i) {
    answer.values[i] = matrix[order[i]][order[i]];
    answer.vectors[i] = vectors[order[i]];
  }
  return answer;
}

std::optional<std::array<double, 8>> solve(std::array<std::array<double, 9>, 8> rows) {
  for (std::size_t column = 0; column < 8; ++column) {
    std::size_t pivot = column;
    for (std::size_t row = column + 1; row < 8; ++row) {
      if (std::abs(rows[row][column]) > std::abs(rows[pivot][column])) pivot = row;
    }
    if (!(std::abs(rows[pivot][column]) > 1e-300)) return std::nullopt;
    std::swap(rows[pivot], rows[column]);
    for (std::size_t row = 0; row < 8; ++row) {
      if (row == column) continue;
      const double share = rows[row][column] / rows[column][column];
      for (std::size_t k = column; k < 9; ++k) rows[row][k] -= share * rows[column][k];
    }
  }
  std::array<double, 8> answer{};
  for (std::size_t i = 0; i < 8; ++i) answer[i] = rows[i][8] / rows[i][i];
  return answer;
}

}  // namespace landfall::photo
