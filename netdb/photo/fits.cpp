#include "netdb/photo/fits.hpp"

#include <cmath>

#include "netdb/photo/linear.hpp"

namespace landfall::photo {

// In two dimensions Umeyama's rotation, scale and shift are one complex factor and one complex sum.
Similar fit_similarity(const std::vector<Pair>& pairs, bool conjugate) {
  const auto n = static_cast<double>(pairs.size());
  Complex from_mean;
  Complex to_mean;
  for (const Pair& pair : pairs) {
    from_mean += (conjugate ? std::conj(pair.from) : pair.from) / n;
    to_mean += pair.to / n;
  }
  Complex cross;
  double own = 0;
  for (const Pair& pair : pairs) {
    const Complex from = (conjugate ? std::conj(pair.from) : pair.from) - from_mean;
    cross += (pair.to - to_mean) * std::conj(from);
    own += std::norm(from);
  }
  Similar answer;
  answer.a = cross / own;
  answer.b = to_mean - answer.a * from_mean;
  for (const Pair& pair : pairs)
    answer.sum += std::norm(pair.to - (answer.a * (conjugate ? std::conj(pair.from) : pair.from) + answer.b));
  return answer;
}

namespace {

// The unit vector h that makes |A h| least, A of two rows a match.
std::optional<Matrix> direct(const std::vector<Pair>& pairs) {
  Square normal{};
  const auto add = [&](const std::array<double, kUnknowns>& row) {
    for (std::size_t i = 0; i < kUnknowns; ++i) {
      for (std::size_t k = 0; k < kUnknowns; ++k) normal[i][k] += row[i] * row[k];
    }
  };
  for (const Pair& pair : pairs) {
    const double x = pair.from.real();
    const double y = pair.from.imag();
    const double u = pair.to.real();
    const double v = pair.to.imag();
    add({-x, -y, -1, 0, 0, 0, u * x, u * y, u});
    add({0, 0, 0, -x, -y, -1, v * x, v * y, v});
  }
  const Eigen found = eigen(normal);
  // A second direction that fits as well: the points leave the map open.
  if (!(found.values[1] > found.values[8] * 1e-7)) return std::nullopt;
  return found.vectors[0];
}

// Turned so that the divisor is above zero at every point; nothing when the horizon runs between them.
std::optional<Matrix> faced(Matrix m, const std::vector<Pair>& pairs) {
  int above = 0;
  for (const Pair& pair : pairs) {
    if (m[6] * pair.from.real() + m[7] * pair.from.imag() + m[8] > 0) ++above;
  }
  if (above != 0 && above != static_cast<int>(pairs.size())) return std::nullopt;
  if (above == 0) {
    for (double& value : m) value = -value;
  }
  return m;
}

double sum_of(const Matrix& m, const std::vector<Pair>& pairs) {
  double sum = 0;
  for (const Pair& pair : pairs) {
    const auto to = mapped(m, pair.from.real(), pair.from.imag());
    if (!to) return HUGE_VAL;
    sum += std::norm(pair.to - Complex((*to)[0], (*to)[1]));
  }
  return sum;
}

// One step of Levenberg and Marquardt with m8 held at one.
std::optional<Matrix> stepped(const Matrix& m, const std::vector<Pair>& pairs, double damping) {
  std::array<std::array<double, 9>, 8> rows{};
  for (const Pair& pair : pairs) {
    const double x = pair.from.real();
    const double y = pair.from.imag();
    const double w = m[6] * x + m[7] * y + m[8];
    const double u = (m[0] * x + m[1] * y + m[2]) / w;
    const double v = (m[3] * x + m[4] * y + m[5]) / w;
    const std::array<double, 9> along{
        x / w, y / w, 1 / w, 0, 0, 0, -u * x / w, -u * y / w, pair.to.real() - u};
    const std::array<double, 9> across{
        0, 0, 0, x / w, y / w, 1 / w, -v * x / w, -v * y / w, pair.to.imag() - v};
    for (std::size_t i = 0; i < 8; ++i) {
      for (std::size_t k = 0; k < 9; ++k) rows[i][k] += along[i] * along[k] + across[i] * across[k];
    }
  }
  for (std::size_t i = 0; i < 8; ++i) rows[i][i] *= 1 + damping;
  const auto change = solve(rows);
  if (!change) return std::nullopt;
  Matrix answer = m;
  for (std::size_t i = 0; i < 8; ++i) answer[i] += (*change)[i];
  return answer;
}

Matrix refined(Matrix m, const std::vector<Pair>& pairs) {
  double sum = sum_of(m, pairs);
  double damping = 1e-3;
  constexpr int kMostSteps = 60;
  for (int step = 0; step < kMostSteps && damping < 1e9; ++step) {
    const auto next = stepped(m, pairs, damping);
    const double next_sum = next ? sum_of(*next, pairs) : HUGE_VAL;
    if (next_sum < sum) {
      const bool settled = sum - next_sum < sum * 1e-14;
      m = *next;
      sum = next_sum;
      damping /= 10;
      if (settled) break;
    } else {
      damping *= 10;
    }
  }
  return m;
}

}  // namespace

std::optional<Matrix> fit_perspective(const std::vector<Pair>& pairs) {
  const auto first = direct(pairs);
  if (!first) return std::nullopt;
  auto m = faced(*first, pairs);
  if (!m) return std::nullopt;
  // The middle of the points is the origin here, and the horizon runs past all of them, so m8 is above zero.
  const double m8 = (*m)[8];
  if (!(m8 > 1e-9)) return std::nullopt;
  for (double& value : *m) value /= m8;
  return faced(refined(*m, pairs), pairs);
}

}  // namespace landfall::photo
