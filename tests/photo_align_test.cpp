// Pictures laid onto the board: known maps are found again, bad matches are refused, and two independent
// answers agree: a published example (Umeyama 1991) and a closed form for four points (Heckbert 1989).
#include <algorithm>
#include <cmath>
#include <random>

#include <doctest/doctest.h>

#include "netdb/photo/align.hpp"
#include "netdb/photo/fits.hpp"
#include "netdb/photo/linear.hpp"

using namespace landfall;
using namespace landfall::photo;

namespace {

Point at(double x_mm, double y_mm) {
  return {std::llround(x_mm * 1e6), std::llround(y_mm * 1e6)};
}

// A picture of 3,000 x 2,000 pixels that shows some 30 mm of a board, turned, either hand, slanted or not.
struct Truth {
  Truth(std::mt19937& random, bool over, double slant) {
    std::uniform_real_distribution<double> unit(-1, 1);
    const double turn = unit(random) * 3.1;
    const double scale = 60 + 40 * unit(random);  // pixels a mm
    const double hand = over ? 1 : -1;
    middle = at(80 * unit(random), 80 * unit(random));
    m = {scale * std::cos(turn),        -scale * std::sin(turn),       1500,
         hand * scale * std::sin(turn), hand * scale * std::cos(turn), 1000,
         slant * unit(random),          slant * unit(random),          1};
  }
  // In double all along, so that only the test's own rounding to nm remains.
  [[nodiscard]] Pixel pixel(Point place) const {
    const double x = static_cast<double>(place.x - middle.x) * 1e-6;
    const double y = static_cast<double>(place.y - middle.y) * 1e-6;
    const double w = m[6] * x + m[7] * y + m[8];
    return {(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w};
  }
  [[nodiscard]] std::vector<Match> matches(std::mt19937& random, std::size_t count) const {
    // Corners of a grid of lands, then any of them; never two alike.
    std::vector<Point> offsets{at(-8, -9), at(9, -8), at(8, 9), at(-9, 8)};
    std::uniform_int_distribution<int> grid(-7, 7);
    while (offsets.size() < count) {
      const Point next = at(grid(random), grid(random));
      if (std::find(offsets.begin(), offsets.end(), next) == offsets.end()) offsets.push_back(next);
    }
    offsets.resize(count);
    std::vector<Match> answer;
    for (const Point offset : offsets) answer.push_back({pixel(middle + offset), middle + offset});
    return answer;
  }
  Matrix m{};
  Point middle;
};

double off_um(const Fit& fit, const Truth& truth, Point place) {
  const auto found = place_of(fit, truth.pixel(place));
  REQUIRE(found);
  return static_cast<double>(distance(*found, place)) / 1000;
}

}  // namespace

TEST_CASE("Umeyama's own example (1991): rotation, scale, shift and the error that is left") {
  // X = (0,0) (1,0) (0,2), Y = (0,0) (-1,0) (0,2) give R = (0.832 0.555 / -0.555 0.832), c = 0.721 and
  // t = (-0.800, 0.400): the paper's figures from memory. The mean square, 8/15, was worked out by hand. Our
  // pixels have y down; one unit is a mm here.
  const std::vector<Match> matches{{{0, 0}, at(0, 0)}, {{100, 0}, at(-1, 0)}, {{0, -200}, at(0, 2)}};
  // The mirrored fit is exact (a reflection of x), so the example's own answer is the other hand's.
  const auto mirrored = fit(matches, FitKind::kSimilarity, Side::kTop);
  REQUIRE(mirrored.ok());
  CHECK(mirrored->seen_from == Side::kBottom);
  CHECK(mirrored->rms_um == doctest::Approx(0).epsilon(1e-9));
  REQUIRE(mirrored->other_hand_um);
  CHECK(*mirrored->other_hand_um == doctest::Approx(1000 * std::sqrt(8.0 / 15)).epsilon(1e-6));
  // The printed answer itself, of the closed form; x and y are the parts of a complex number.
  const std::vector<Pair> pairs{{{0, 0}, {0, 0}}, {{1, 0}, {-1, 0}}, {{0, 2}, {0, 2}}};
  const Similar printed = fit_similarity(pairs, false);
  CHECK(std::abs(printed.a) == doctest::Approx(0.721).epsilon(0.001));
  CHECK(printed.a.real() / std::abs(printed.a) == doctest::Approx(0.832).epsilon(0.001));
  CHECK(printed.a.imag() / std::abs(printed.a) == doctest::Approx(-0.555).epsilon(0.001));
  CHECK(printed.b.real() == doctest::Approx(-0.8).epsilon(0.001));
  CHECK(printed.b.imag() == doctest::Approx(0.4).epsilon(0.001));
  CHECK(printed.sum / 3 == doctest::Approx(8.0 / 15).epsilon(1e-9));
}

TEST_CASE("200 similarities of either hand are found again to a few nm, and the hand is said") {
  std::mt19937 random(1);
  for (int round = 0; round < 200; ++round) {
    const bool over = round % 2 == 1;
    const Truth truth(random, over, 0);
    const std::size_t count = 3 + static_cast<std::size_t>(round % 6);
    const auto found = fit(truth.matches(random, count), std::nullopt, Side::kTop);
    REQUIRE(found.ok());
    CHECK(found->kind == FitKind::kSimilarity);
    CHECK(found->seen_from == (over ? Side::kBottom : Side::kTop));
    CHECK(found->rms_um < 0.01);
    CHECK(*found->other_hand_um > 500);
    CHECK(found->checked);
    CHECK(off_um(*found, truth, truth.middle + at(15, -13)) < 0.05);
    const auto pixel = pixel_of(*found, truth.middle + at(3, 4));
    REQUIRE(pixel);
    const Pixel expected = truth.pixel(truth.middle + at(3, 4));
    CHECK(std::hypot(pixel->x - expected.x, pixel->y - expected.y) < 1e-3);
  }
}

TEST_CASE(
    "two matches fit both hands exactly: the side that was photographed decides, and nothing is checked") {
  std::mt19937 random(2);
  for (const bool over : {false, true}) {
    const Truth truth(random, over, 0);
    const auto found = fit(truth.matches(random, 2), std::nullopt, over ? Side::kBottom : Side::kTop);
    REQUIRE(found.ok());
    CHECK(found->seen_from == (over ? Side::kBottom : Side::kTop));
    CHECK_FALSE(found->checked);
    CHECK_FALSE(found->other_hand_um);
    CHECK(off_um(*found, truth, truth.middle + at(9, 9)) < 0.05);
  }
}

TEST_CASE(
    "200 slanted planes of either hand are found again, four points or more, by themselves from five on") {
  std::mt19937 random(3);
  for (int round = 0; round < 200; ++round) {
    const bool over = round % 2 == 1;
    const Truth truth(random, over, 0.015);
    const std::size_t count = 4 + static_cast<std::size_t>(round % 5);
    const auto matches = truth.matches(random, count);
    const auto found = fit(matches, FitKind::kPerspective, Side::kTop);
    REQUIRE(found.ok());
    CHECK(found->seen_from == (over ? Side::kBottom : Side::kTop));
    CHECK(found->rms_um < 0.01);
    CHECK(found->checked == (count > 4));
    CHECK(off_um(*found, truth, truth.middle + at(12, -11)) < 0.1);
    const auto by_itself = fit(matches, std::nullopt, Side::kTop);
    REQUIRE(by_itself.ok());
    const auto straight = fit(matches, FitKind::kSimilarity, Side::kTop);
    REQUIRE(straight.ok());
    const bool slanted = straight->rms_um > kSlantPixels * straight->pixel_um;
    CHECK(by_itself->kind == (slanted && count > 4 ? FitKind::kPerspective : FitKind::kSimilarity));
  }
}

TEST_CASE(
    "Heckbert's closed form for a unit square onto a quadrangle (1989, section 2.2.3) gives the same map") {
  std::mt19937 random(4);
  std::uniform_real_distribution<double> off(-0.25, 0.25);
  for (int round = 0; round < 100; ++round) {
    // Pixels (0,0) (1000,0) (1000,1000) (0,1000) onto places near a square of 10 mm.
    std::array<double, 8> q{0, 0, 1, 0, 1, 1, 0, 1};
    for (double& value : q) value = std::round((value + off(random)) * 1e7);
    const auto [x0, y0, x1, y1, x2, y2, x3, y3] = q;
    const double dx1 = x1 - x2, dx2 = x3 - x2, sx = x0 - x1 + x2 - x3;
    const double dy1 = y1 - y2, dy2 = y3 - y2, sy = y0 - y1 + y2 - y3;
    const double below = dx1 * dy2 - dx2 * dy1;
    const double g = (sx * dy2 - dx2 * sy) / below;
    const double h = (dx1 * sy - sx * dy1) / below;
    const Matrix heckbert{
        x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h, 1};
    const auto place = [](double x, double y) { return Point{std::llround(x), std::llround(y)}; };
    const std::vector<Match> matches{{{0, 0}, place(x0, y0)},
                                     {{1000, 0}, place(x1, y1)},
                                     {{1000, 1000}, place(x2, y2)},
                                     {{0, 1000}, place(x3, y3)}};
    const auto found = fit(matches, FitKind::kPerspective, Side::kBottom);
    REQUIRE(found.ok());
    for (const auto& [u, v] : {std::pair{0.5, 0.5}, {0.1, 0.8}, {0.9, 0.3}}) {
      const auto expected = mapped(heckbert, u, v);
      REQUIRE(expected);
      const auto own = place_of(*found, {u * 1000, v * 1000});
      REQUIRE(own);
      CHECK(std::abs(static_cast<double>(own->x) - (*expected)[0]) < 1);  // nm
      CHECK(std::abs(static_cast<double>(own->y) - (*expected)[1]) < 1);  // nm
    }
  }
}

TEST_CASE("noise: the error of the fit shrinks with the matches, and the residual tells the noise") {
  std::mt19937 random(5);
  std::normal_distribution<double> click(0, 1.5);  // pixels
  for (const FitKind kind : {FitKind::kSimilarity, FitKind::kPerspective}) {
    double few = 0;
    double many = 0;
    double told = 0;
    constexpr int kRounds = 100;
    const double slant = kind == FitKind::kPerspective ? 0.01 : 0;
    for (int round = 0; round < kRounds; ++round) {
      const Truth truth(random, round % 2 == 0, slant);
      for (const std::size_t count : {std::size_t{5}, std::size_t{40}}) {
        auto matches = truth.matches(random, count);
        for (Match& match : matches) {
          match.pixel.x += click(random);
          match.pixel.y += click(random);
        }
        const auto found = fit(matches, kind, Side::kTop);
        REQUIRE(found.ok());
        const double off = off_um(*found, truth, truth.middle) / found->pixel_um;
        (count == 5 ? few : many) += off / kRounds;
        if (count == 40) told += found->rms_um / found->pixel_um / kRounds;
      }
    }
    CHECK(few < 2.5);
    CHECK(many < few / 1.8);
    // Two coordinates of 1.5 pixels each.
    CHECK(told == doctest::Approx(1.5 * std::sqrt(2.0)).epsilon(0.12));
  }
}

TEST_CASE("the refined perspective is at least as close as any of 2,000 maps around it") {
  std::mt19937 random(6);
  std::normal_distribution<double> click(0, 4);
  std::normal_distribution<double> nudge(0, 1e-5);
  const Truth truth(random, false, 0.01);
  auto matches = truth.matches(random, 9);
  for (Match& match : matches) match.pixel.x += click(random);
  const auto found = fit(matches, FitKind::kPerspective, Side::kTop);
  REQUIRE(found.ok());
  int better = 0;
  for (int round = 0; round < 2000; ++round) {
    Matrix other = found->to_board;
    for (double& value : other) value *= 1 + nudge(random);
    double sum = 0;
    for (const Match& match : matches) {
      const auto to = mapped(other, match.pixel.x, match.pixel.y);
      REQUIRE(to);
      sum += std::pow((*to)[0] - static_cast<double>(match.place.x), 2) +
             std::pow((*to)[1] - static_cast<double>(match.place.y), 2);
    }
    if (std::sqrt(sum / 9) / 1000 < found->rms_um * (1 - 1e-9)) ++better;
  }
  CHECK(better == 0);
}

TEST_CASE("what cannot be fitted is refused in one line that says why") {
  const auto says = [](const std::vector<Match>& matches, std::optional<FitKind> kind) {
    const auto answer = fit(matches, kind, Side::kTop);
    REQUIRE_FALSE(answer.ok());
    CHECK(answer.error().code == ErrorCode::kUsage);
    CHECK(answer.error().message.find('\n') == std::string::npos);
    return answer.error().message;
  };
  const Match a{{100, 100}, at(0, 0)};
  const Match b{{900, 100}, at(8, 0)};
  const Match c{{900, 900}, at(8, -8)};
  const Match d{{100, 900}, at(0, -8)};
  CHECK(says({}, std::nullopt) == "nothing matched; two lands are the least, three say more");
  CHECK(says({a}, std::nullopt) == "one land matched; two lands are the least, three say more");
  CHECK(says({a, b, c}, FitKind::kPerspective) == "3 lands are matched; a perspective needs four");
  CHECK(says({a, {{100.4, 100}, at(3, 0)}}, std::nullopt) == "matches 1 and 2 are the same pixel");
  CHECK(says({a, b, {{500, 500}, at(8, 0)}}, std::nullopt) ==
        "matches 2 and 3 are the same place on the board");
  CHECK(says({a, b, {{500, 101}, at(4, 0)}}, std::nullopt) ==
        "the matched lands lie in a line; match one well off it");
  CHECK(says({a, b, {{500, 100}, at(4, 0)}, c}, FitKind::kPerspective).find("three of them lie in a line") !=
        std::string::npos);
  CHECK(says({a, {{std::nan(""), 3}, at(3, 0)}}, std::nullopt) == "match 2 lies at no pixel of a picture");
  // Two corners swapped: a bow tie has its horizon between the matches.
  CHECK_FALSE(
      fit({a, b, {{100, 900}, c.place}, {{900, 900}, d.place}}, FitKind::kPerspective, Side::kTop).ok());
}

TEST_CASE("an inverse and a product are those of the matrix, a singular one has none") {
  const Matrix m{2, 1, 0, 0, 3, 1, 1, 0, 1};
  const auto back = inverse(m);
  REQUIRE(back);
  const Matrix one = product(m, *back);
  for (std::size_t i = 0; i < 9; ++i) CHECK(one[i] == doctest::Approx(i % 4 == 0 ? 1 : 0));
  CHECK_FALSE(inverse({1, 2, 3, 2, 4, 6, 0, 0, 1}));
}

TEST_CASE("a wrong click among four stays in sight: the residual tells it, no slant swallows it") {
  std::mt19937 random(8);
  const Truth truth(random, false, 0);
  auto matches = truth.matches(random, 4);
  matches[2].pixel.x += 30;
  const auto found = fit(matches, std::nullopt, Side::kTop);
  REQUIRE(found.ok());
  CHECK(found->kind == FitKind::kSimilarity);
  CHECK(found->rms_um > 5 * found->pixel_um);
  CHECK(*std::max_element(found->off_um.begin(), found->off_um.end()) == found->off_um[2]);
}
