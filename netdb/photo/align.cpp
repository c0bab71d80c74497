#include "netdb/photo/align.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "netdb/photo/fits.hpp"
#include "netdb/photo/linear.hpp"

namespace landfall::photo {
namespace {

constexpr double kUmPerNm = 1e-3;

// The picture with y up, so that a board seen from above keeps its hand.
Complex upright(Pixel pixel) {
  return {pixel.x, -pixel.y};
}
Complex as_complex(Point place) {
  return {static_cast<double>(place.x), static_cast<double>(place.y)};
}

// The thinnest extent of the points over the widest: 0 in a line, 1 for a round cloud.
double roundness(const std::vector<Complex>& points) {
  Complex middle;
  for (const Complex& point : points) middle += point / static_cast<double>(points.size());
  double xx = 0;
  double yy = 0;
  double xy = 0;
  for (const Complex& point : points) {
    const Complex d = point - middle;
    xx += d.real() * d.real();
    yy += d.imag() * d.imag();
    xy += d.real() * d.imag();
  }
  const double half = std::hypot((xx - yy) / 2, xy);
  const double mean = (xx + yy) / 2;
  return mean + half > 0 ? std::sqrt(std::max(mean - half, 0.0) / (mean + half)) : 0;
}

Status check_matches(const std::vector<Match>& matches) {
  if (matches.size() < 2)
    return Error{ErrorCode::kUsage, fmt::format("{} matched; two lands are the least, three say more",
                                                matches.empty() ? "nothing" : "one land")};
  for (std::size_t i = 0; i < matches.size(); ++i) {
    const Match& a = matches[i];
    constexpr double kWidest = 1e7;
    if (!(std::abs(a.pixel.x) < kWidest && std::abs(a.pixel.y) < kWidest))
      return Error{ErrorCode::kUsage, fmt::format("match {} lies at no pixel of a picture", i + 1)};
    for (std::size_t k = 0; k < i; ++k) {
      const Match& b = matches[k];
      const bool same_pixel = std::hypot(a.pixel.x - b.pixel.x, a.pixel.y - b.pixel.y) < 1;
      if (!same_pixel && distance(a.place, b.place) >= 1000) continue;
      return Error{ErrorCode::kUsage, fmt::format("matches {} and {} are the same {}", k + 1, i + 1,
                                                  same_pixel ? "pixel" : "place on the board")};
    }
  }
  return done();
}

Status check_spread(const std::vector<Match>& matches) {
  if (matches.size() < 3) return done();
  std::vector<Complex> pixels;
  std::vector<Complex> places;
  for (const Match& match : matches) {
    pixels.push_back(upright(match.pixel));
    places.push_back(as_complex(match.place));
  }
  // A cloud a fiftieth as thick as long says nothing of its hand once the clicks are a pixel off.
  constexpr double kThinnest = 0.02;
  if (roundness(pixels) < kThinnest || roundness(places) < kThinnest)
    return Error{ErrorCode::kUsage, "the matched lands lie in a line; match one well off it"};
  return done();
}

Normal normal_of(const std::vector<Complex>& points) {
  Normal normal;
  const auto n = static_cast<double>(points.size());
  for (const Complex& point : points) normal.middle += point / n;
  double mean = 0;
  for (const Complex& point : points) mean += std::abs(point - normal.middle) / n;
  normal.scale = std::numbers::sqrt2 / mean;
  return normal;
}

Matrix matrix_of(const Normal& normal) {
  const double s = normal.scale;
  return {s, 0, -s * normal.middle.real(), 0, s, -s * normal.middle.imag(), 0, 0, 1};
}

Matrix matrix_of(const Similar& similar, bool conjugate) {
  const double hand = conjugate ? -1 : 1;
  return {similar.a.real(),
          -hand * similar.a.imag(),
          similar.b.real(),
          similar.a.imag(),
          hand * similar.a.real(),
          similar.b.imag(),
          0,
          0,
          1};
}

// The area of the board's picture of a small square at the pixel, with its hand as the sign.
double swept(const Matrix& m, Pixel pixel) {
  const double w = m[6] * pixel.x + m[7] * pixel.y + m[8];
  const double determinant = m[0] * (m[4] * m[8] - m[5] * m[7]) - m[1] * (m[3] * m[8] - m[5] * m[6]) +
                             m[2] * (m[3] * m[7] - m[4] * m[6]);
  return determinant / (w * w * w);
}

class Fitter {
 public:
  Fitter(const std::vector<Match>& matches, Side expected) : matches_(matches), expected_(expected) {
    std::vector<Complex> pixels;
    std::vector<Complex> places;
    for (const Match& match : matches) {
      pixels.push_back(upright(match.pixel));
      places.push_back(as_complex(match.place));
    }
    from_ = normal_of(pixels);
    to_ = normal_of(places);
    for (std::size_t i = 0; i < matches.size(); ++i)
      pairs_.push_back({(pixels[i] - from_.middle) * from_.scale, (places[i] - to_.middle) * to_.scale});
  }

  [[nodiscard]] Result<Fit> similarity() const {
    const Similar straight = fit_similarity(pairs_, false);
    const Similar turned_over = fit_similarity(pairs_, true);
    const bool both = matches_.size() == 2;
    const bool over = both ? expected_ == Side::kBottom : turned_over.sum < straight.sum;
    auto answer = finished(matrix_of(over ? turned_over : straight, over), FitKind::kSimilarity);
    if (!answer.ok()) return answer;
    if (!both) {
      const double sum = over ? straight.sum : turned_over.sum;
      answer->other_hand_um = std::sqrt(sum / static_cast<double>(matches_.size())) / to_.scale * kUmPerNm;
    }
    answer->checked = !both;
    return answer;
  }

  [[nodiscard]] Result<Fit> perspective() const {
    const auto found = fit_perspective(pairs_);
    if (!found) {
      return Error{ErrorCode::kUsage,
                   "no slanted plane fits these matches: three of them lie in a line, or one is wrong"};
    }
    auto answer = finished(*found, FitKind::kPerspective);
    if (answer.ok()) answer->checked = matches_.size() > 4;
    return answer;
  }

 private:
  // From the normal frame into pixels and nm, with all that is said of it.
  [[nodiscard]] Result<Fit> finished(const Matrix& normal, FitKind kind) const {
    const Error singular{ErrorCode::kUsage, "the matches say no size: the picture would shrink to a point"};
    const auto out = inverse(matrix_of(to_));
    if (!out) return singular;
    const Matrix flip{1, 0, 0, 0, -1, 0, 0, 0, 1};
    Fit answer;
    answer.kind = kind;
    answer.to_board = product(*out, product(normal, product(matrix_of(from_), flip)));
    // In the normal frame it is well conditioned; the product of inverses keeps that.
    const auto back = inverse(normal);
    const auto in = inverse(matrix_of(from_));
    if (!back || !in) return singular;
    answer.to_picture = product(flip, product(*in, product(*back, matrix_of(to_))));
    double squares = 0;
    int top = 0;
    for (const Match& match : matches_) {
      const auto to = mapped(answer.to_board, match.pixel.x, match.pixel.y);
      if (!to) return singular;
      const double off = std::hypot((*to)[0] - static_cast<double>(match.place.x),
                                    (*to)[1] - static_cast<double>(match.place.y)) *
                         kUmPerNm;
      answer.off_um.push_back(off);
      squares += off * off;
      if (swept(answer.to_board, match.pixel) < 0) ++top;  // y runs down in the picture
    }
    const auto n = static_cast<int>(matches_.size());
    answer.rms_um = std::sqrt(squares / n);
    answer.seen_from = top == n ? Side::kTop : Side::kBottom;
    const Pixel middle{from_.middle.real(), -from_.middle.imag()};
    answer.pixel_um = std::sqrt(std::abs(swept(answer.to_board, middle))) * kUmPerNm;
    if (!mapped(answer.to_picture, to_.middle.real(), to_.middle.imag())) {
      for (double& value : answer.to_picture) value = -value;
    }
    return answer;
  }

  const std::vector<Match>& matches_;
  Side expected_;
  Normal from_, to_;
  std::vector<Pair> pairs_;
};

}  // namespace

std::string_view word(FitKind kind) {
  return kind == FitKind::kSimilarity ? "similarity" : "perspective";
}

std::optional<FitKind> fit_kind(std::string_view word_of) {
  for (const FitKind kind : {FitKind::kSimilarity, FitKind::kPerspective}) {
    if (word(kind) == word_of) return kind;
  }
  return std::nullopt;
}

std::optional<std::array<double, 2>> mapped(const Matrix& m, double x, double y) {
  const double w = m[6] * x + m[7] * y + m[8];
  // A divisor that is all cancellation is the horizon itself.
  const double size = std::abs(m[6] * x) + std::abs(m[7] * y) + std::abs(m[8]);
  if (!(w > size * 1e-9)) return std::nullopt;
  return std::array<double, 2>{(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w};
}

Result<Fit> fit(const std::vector<Match>& matches, std::optional<FitKind> kind, Side expected) {
  if (auto checked = check_matches(matches); !checked.ok()) return checked.error();
  if (kind == FitKind::kPerspective && matches.size() < 4)
    return Error{ErrorCode::kUsage,
                 fmt::format("{} lands are matched; a perspective needs four", matches.size())};
  if (auto checked = check_spread(matches); !checked.ok()) return checked.error();
  const Fitter fitter(matches, expected);
  if (kind == FitKind::kPerspective) return fitter.perspective();
  auto similarity = fitter.similarity();
  // Four matches leave a perspective nothing to be checked by: it would swallow a wrong click.
  if (kind || !similarity.ok() || matches.size() < 5) return similarity;
  if (similarity->rms_um <= kSlantPixels * similarity->pixel_um) return similarity;
  auto perspective = fitter.perspective();
  if (!perspective.ok()) return similarity;
  // Each error is weighed by what its fit leaves free: 2n coordinates less 4, or less 8.
  const double freedoms = 2 * static_cast<double>(matches.size());
  const bool better =
      perspective->rms_um / std::sqrt(freedoms - 8) < similarity->rms_um / std::sqrt(freedoms - 4);
  return better ? perspective : similarity;
}

std::optional<Pixel> pixel_of(const Fit& fit, Point place) {
  const auto to = mapped(fit.to_picture, static_cast<double>(place.x), static_cast<double>(place.y));
  if (!to) return std::nullopt;
  return Pixel{(*to)[0], (*to)[1]};
}

std::optional<Point> place_of(const Fit& fit, Pixel pixel) {
  const auto to = mapped(fit.to_board, pixel.x, pixel.y);
  const auto farthest = static_cast<double>(kFarthest);
  if (!to || !(std::abs((*to)[0]) < farthest && std::abs((*to)[1]) < farthest)) return std::nullopt;
  return Point{std::llround((*to)[0]), std::llround((*to)[1])};
}

}  // namespace landfall::photo
