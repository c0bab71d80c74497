// Contrast of every text and sign in every theme (WCAG 2.2), and whether the classes' hues stay apart for
// eyes that lack one kind of cone.
#include <array>
#include <cmath>
#include <string>

#include <doctest/doctest.h>

#include "viewer/scene/theme.hpp"

using namespace landfall;
using scene::Colour;
using scene::Theme;
using scene::ThemeName;

namespace {

constexpr std::array<ThemeName, 3> kThemes{ThemeName::kDay, ThemeName::kNight, ThemeName::kStrong};

struct Named {
  const char* name;
  Colour colour;
};

std::array<Named, 8> grounds(const Theme& t) {
  return {{{"ground", t.ground},
           {"sheet", t.sheet},
           {"field", t.field},
           {"pick", t.pick},
           {"lands", t.lands},
           {"zoneL", t.zone_lands},
           {"balls", t.balls},
           {"zoneB", t.zone_balls}}};
}

using Linear = std::array<double, 3>;

double linear(std::uint8_t c) {
  const double v = c / 255.0;
  return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
}

Linear linear_of(Colour c) {
  return {linear(c.r), linear(c.g), linear(c.b)};
}

// Severity 1.0 matrices for linear RGB: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
// Physiologically- based Model for Simulation of Color Vision Deficiency", IEEE TVCG 15 (6), 2009,
// doi:10.1109/TVCG.2009.113, as the authors publish them beside the paper.
using Matrix = std::array<Linear, 3>;
constexpr Matrix kNormal{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
constexpr Matrix kProtan{
    {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}};
constexpr Matrix kDeutan{
    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}};
constexpr Matrix kTritan{
    {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}};

Linear seen(const Matrix& m, Linear c) {
  Linear out{};
  for (std::size_t i = 0; i < 3; ++i)
    out[i] = std::min(1.0, std::max(0.0, m[i][0] * c[0] + m[i][1] * c[1] + m[i][2] * c[2]));
  return out;
}

struct Lab {
  double l, a, b;
};

// CIE 15, D65 white; sRGB primaries by IEC 61966-2-1 (from memory).
Lab lab(Linear c) {
  const double x = (0.4124564 * c[0] + 0.3575761 * c[1] + 0.1804375 * c[2]) / 0.95047;
  const double y = 0.2126729 * c[0] + 0.7151522 * c[1] + 0.0721750 * c[2];
  const double z = (0.0193339 * c[0] + 0.1191920 * c[1] + 0.9503041 * c[2]) / 1.08883;
  const auto f = [](double t) { return t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116; };
  return {116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))};
}

// CIEDE2000: G. Sharma, W. Wu, E. N. Dalal, Color Research and Application 30 (1), 2005.
double difference(Lab p, Lab q) {
  constexpr double kPi = 3.14159265358979323846;
  const auto rad = [](double degrees) { return degrees * kPi / 180; };
  const double mean_c = (std::hypot(p.a, p.b) + std::hypot(q.a, q.b)) / 2;
  const double c7 = std::pow(mean_c, 7);
  const double g = 0.5 * (1 - std::sqrt(c7 / (c7 + std::pow(25.0, 7))));
  const double a1 = p.a * (1 + g);
  const double a2 = q.a * (1 + g);
  const double c1 = std::hypot(a1, p.b);
  const double c2 = std::hypot(a2, q.b);
  const auto hue = [&](double a, double b) {
    if (a == 0 && b == 0) return 0.0;
    const double h = std::atan2(b, a) * 180 / kPi;
    return h < 0 ? h + 360 : h;
  };
  const double h1 = hue(a1, p.b);
  const double h2 = hue(a2, q.b);
  double dh = h2 - h1;
  if (c1 * c2 == 0) dh = 0;
  if (dh > 180) dh -= 360;
  if (dh < -180) dh += 360;
  const double dl = q.l - p.l;
  const double dc = c2 - c1;
  const double big_h = 2 * std::sqrt(c1 * c2) * std::sin(rad(dh / 2));
  const double l = (p.l + q.l) / 2;
  const double c = (c1 + c2) / 2;
  double h = h1 + h2;
  if (c1 * c2 != 0) {
    if (std::abs(h1 - h2) > 180) h += h < 360 ? 360 : -360;
    h /= 2;
  }
  const double t = 1 - 0.17 * std::cos(rad(h - 30)) + 0.24 * std::cos(rad(2 * h)) +
                   0.32 * std::cos(rad(3 * h + 6)) - 0.20 * std::cos(rad(4 * h - 63));
  const double sl = 1 + 0.015 * (l - 50) * (l - 50) / std::sqrt(20 + (l - 50) * (l - 50));
  const double sc = 1 + 0.045 * c;
  const double sh = 1 + 0.015 * c * t;
  const double rc = 2 * std::sqrt(std::pow(c, 7) / (std::pow(c, 7) + std::pow(25.0, 7)));
  const double rt = -std::sin(rad(60 * std::exp(-std::pow((h - 275) / 25, 2)))) * rc;
  return std::sqrt(std::pow(dl / sl, 2) + std::pow(dc / sc, 2) + std::pow(big_h / sh, 2) +
                   rt * (dc / sc) * (big_h / sh));
}

}  // namespace

TEST_CASE("contrast is WCAG's: black on white 21, #777777 on white 4.48, a colour on itself 1") {
  // W3C, Understanding SC 1.4.3: #777777 on white is the well-known near miss (4.48).
  CHECK(scene::contrast(scene::colour("#000000"), scene::colour("#FFFFFF")) == doctest::Approx(21));
  CHECK(scene::contrast(scene::colour("#777777"), scene::colour("#FFFFFF")) ==
        doctest::Approx(4.48).epsilon(0.002));
  CHECK(scene::contrast(scene::colour("#0B5A8E"), scene::colour("#0B5A8E")) == doctest::Approx(1));
}

TEST_CASE("every text has 4.5:1 on every ground that it stands on, in every theme: WCAG 2.2, 1.4.3") {
  for (const ThemeName name : kThemes) {
    const Theme& t = scene::theme(name);
    const std::array<Named, 7> texts{{{"ink", t.ink},
                                      {"ink2", t.ink2},
                                      {"act", t.act},
                                      {"mark", t.mark},
                                      {"ok", t.ok},
                                      {"warn", t.warn},
                                      {"bad", t.bad}}};
    for (const Named& ground : grounds(t)) {
      for (const Named& text : texts) {
        const double ratio = scene::contrast(text.colour, ground.colour);
        CHECK_MESSAGE(ratio >= 4.5, std::string(scene::word(name))
                                        << ": " << text.name << " on " << ground.name);
      }
    }
    CHECK(scene::contrast(t.invert, t.ink) >= 4.5);  // buttons that matter, chosen rulers, legend
    for (const Colour under : {t.lands, t.balls, t.sheet})
      CHECK(scene::contrast(under, t.mark) >= 4.5);  // figures in marks
  }
}

TEST_CASE("every sign and outline has 3:1 on every ground that it stands on: WCAG 2.2, 1.4.11") {
  for (const ThemeName name : kThemes) {
    const Theme& t = scene::theme(name);
    for (const Named& ground : grounds(t)) {
      CHECK_MESSAGE(scene::contrast(t.line, ground.colour) >= 3.0, std::string(scene::word(name))
                                                                       << ": line on " << ground.name);
    }
    for (const Colour ground : {t.lands, t.zone_lands, t.balls, t.zone_balls, t.sheet}) {
      for (std::size_t c = 0; c < kSignalClasses; ++c) {
        CHECK_MESSAGE(scene::contrast(t.classes[c], ground) >= 3.0,
                      std::string(scene::word(name))
                          << ": " << std::string(word(static_cast<SignalClass>(c))));
      }
    }
    // The name inside a ball's tint (16 % of its hue over its ground).
    for (const Colour ground : {t.lands, t.zone_lands, t.balls, t.zone_balls}) {
      for (const Colour hue : t.classes) CHECK(scene::contrast(t.ink, scene::mix(hue, ground, 0.16)) >= 4.5);
    }
  }
}

TEST_CASE(
    "the colour difference agrees with published pairs: Sharma, Wu, Dalal 2005, table 1 (from memory)") {
  CHECK(difference({50, 2.6772, -79.7751}, {50, 0, -82.7485}) == doctest::Approx(2.0425).epsilon(0.0001));
  CHECK(difference({50, 2.5, 0}, {50, 0, -2.5}) == doctest::Approx(4.3065).epsilon(0.0001));
  CHECK(difference({50, 2.5, 0}, {73, 25, -18}) == doctest::Approx(27.1492).epsilon(0.0001));
  CHECK(difference({60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}) ==
        doctest::Approx(1.2644).epsilon(0.0001));
  CHECK(difference({2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}) ==
        doctest::Approx(0.9082).epsilon(0.0001));
}

TEST_CASE("each simulation leaves white white and black black: its rows sum to one") {
  for (const Matrix& m : {kProtan, kDeutan, kTritan}) {
    for (const Linear& row : m) CHECK(row[0] + row[1] + row[2] == doctest::Approx(1).epsilon(0.00001));
  }
}

// Ground and unconnected share a hue by intent: bar or empty ring. Pairs nearer than 10 rely on their second
// sign; the smallest distances here are what the tables of the design state.
TEST_CASE("the classes' hues stay apart, with normal sight and without one kind of cone") {
  for (const ThemeName name : kThemes) {
    const Theme& t = scene::theme(name);
    for (std::size_t a = 0; a < kSignalClasses; ++a) {
      for (std::size_t b = a + 1; b < kSignalClasses; ++b) {
        const auto ca = static_cast<SignalClass>(a);
        const auto cb = static_cast<SignalClass>(b);
        if (ca == SignalClass::kGround && cb == SignalClass::kUnconnected) continue;
        const auto apart = [&](const Matrix& m) {
          return difference(lab(seen(m, linear_of(t.classes[a]))), lab(seen(m, linear_of(t.classes[b]))));
        };
        const std::string pair =
            std::string(scene::word(name)) + ": " + std::string(word(ca)) + ", " + std::string(word(cb));
        const bool grey =
            ca == SignalClass::kGround || cb == SignalClass::kUnconnected || cb == SignalClass::kUnknown;
        CHECK_MESSAGE(apart(kNormal) >= (grey ? 7 : 16), pair);
        CHECK_MESSAGE(apart(kProtan) >= 4, pair);
        CHECK_MESSAGE(apart(kDeutan) >= 5.5, pair);
        CHECK_MESSAGE(apart(kTritan) >= 5, pair);
      }
    }
  }
}

// The three greys (ground, unconnected, unknown) come near to the night theme's pink for eyes without the
// middle cone (3.8): there ring against square, plate and figure carry it alone.
TEST_CASE("no coloured class has the colour of what the technician recorded, for any eyes") {
  for (const ThemeName name : kThemes) {
    const Theme& t = scene::theme(name);
    for (std::size_t c = 0; c < kSignalClasses; ++c) {
      const auto own = static_cast<SignalClass>(c);
      const bool grey =
          own == SignalClass::kGround || own == SignalClass::kUnconnected || own == SignalClass::kUnknown;
      for (const Matrix& m : {kNormal, kProtan, kDeutan, kTritan}) {
        const double far = difference(lab(seen(m, linear_of(t.mark))), lab(seen(m, linear_of(t.classes[c]))));
        CHECK_MESSAGE(far >= (grey ? 3.5 : 8), std::string(scene::word(name))
                                                   << " " << std::string(word(own)));
      }
    }
  }
}
