// The wire as a piece of another impedance between two lines, our formula against a circuit simulator:
// ngspice, Debian's package, `ngspice -b`. Skipped, visibly, where it is not installed.
#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <optional>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/rework/physics/line.hpp"
#include "tests/support/files.hpp"

using namespace landfall;
using namespace landfall::rework::physics;

namespace {

// What a command prints, and whether it ended well.
std::pair<std::string, bool> run(const std::string& command) {
  std::string out;
  FILE* pipe = popen((command + " 2>&1").c_str(), "r");  // NOLINT(cert-env33-c): the simulator is a program
  if (pipe == nullptr) return {out, false};
  std::array<char, 4096> part{};
  for (std::size_t n = 0; (n = fread(part.data(), 1, part.size(), pipe)) > 0;) out.append(part.data(), n);
  return {out, pclose(pipe) == 0};
}

bool have_ngspice() {
  static const bool there = run("ngspice --version").second;
  if (!there) std::cout << "SKIPPED: the package ngspice is not installed\n";
  return there;
}

// "t50   =   7.71720e-10" of the simulator's output, in ps.
std::optional<double> measured_ps(const std::string& text, const std::string& name) {
  std::size_t at = text.find("\n" + name);
  if (at == std::string::npos) return std::nullopt;
  at = text.find('=', at);
  if (at == std::string::npos) return std::nullopt;
  at = text.find_first_not_of(' ', at + 1);
  if (at == std::string::npos) return std::nullopt;
  double seconds = 0;
  if (std::from_chars(text.data() + at, text.data() + text.size(), seconds).ec != std::errc())
    return std::nullopt;
  return seconds * 1e12;
}

struct Passage {
  double middle_ps = 0;  // how much later than without the piece half the swing is passed
  double rise_ps = 0;    // 10 to 90 %
};

constexpr double kLineOhm = 50;
constexpr double kLinePs = 200;
constexpr double kStartPs = 100;

// A ramp of `ramp_ps` from 0 to full through 50 ohm, 200 ps of line, `piece` from node b to c, 200 ps of
// line, 50 ohm. The step at the far end is 1 V.
Passage simulate(const std::string& piece, double ramp_ps) {
  const testing::ScratchFolder folder;
  const auto file = folder.file("wire.cir");
  std::ofstream(file) << fmt::format(
      "* line, wire, line\n"
      "V1 src 0 PWL(0 0 {0}p 0 {1}p 2)\n"
      "RS src a 50\n"
      "T1 a 0 b 0 Z0=50 TD={2}p\n"
      "{3}\n"
      "T3 c 0 out 0 Z0=50 TD={2}p\n"
      "RL out 0 50\n"
      ".tran 0.5p {4}p 0 0.5p\n"
      ".meas tran t10 when v(out)=0.1\n"
      ".meas tran t50 when v(out)=0.5\n"
      ".meas tran t90 when v(out)=0.9\n"
      ".end\n",
      kStartPs, kStartPs + ramp_ps, kLinePs, piece, 2500 + 2 * ramp_ps);
  const std::string text = run("ngspice -b " + file.string()).first;
  const auto t10 = measured_ps(text, "t10");
  const auto t50 = measured_ps(text, "t50");
  const auto t90 = measured_ps(text, "t90");
  CAPTURE(text);
  REQUIRE(t10);
  REQUIRE(t50);
  REQUIRE(t90);
  return {*t50 - (kStartPs + ramp_ps / 2 + 2 * kLinePs), *t90 - *t10};
}

struct Case {
  const char* what;
  double length_mm;
  double ohm;      // of the wire as a line; 0: it is a lumped inductance
  double nh;       // of the lumped one
  double ramp_ps;  // 0 to 100 %
};

// The wire's impedance by T25: 0.1 mm over a plane at 0.2 and 0.5 mm on FR-4, and as L / T of free space.
std::array<Case, 9> cases() {
  const double per_mm = delay_ps_per_mm(Medium::kLyingWire, 4.3);
  const double low = impedance_over_plane_ohm(0.1, 0.2, 2.65);
  const double high = impedance_over_plane_ohm(0.1, 0.5, 2.65);
  const double free10 = inductance_free_nh(10, 0.1) / (10 * per_mm) * 1e3;
  return {{{"5 mm, plane at 0.2 mm, slow edge", 5, low, 0, 200},
           {"10 mm, plane at 0.5 mm, slow edge", 10, high, 0, 500},
           {"10 mm, free, slow edge", 10, free10, 0, 1000},
           {"30 mm, plane at 0.2 mm, slow edge", 30, low, 0, 1000},
           {"10 mm lumped, over a plane", 10, 0, inductance_over_plane_nh(10, 0.1, 0.2), 400},
           {"10 mm lumped, free", 10, 0, inductance_free_nh(10, 0.1), 1000},
           {"10 mm, plane at 0.5 mm, fast edge", 10, high, 0, 60},
           {"20 mm, plane at 0.5 mm, fast edge", 20, high, 0, 100},
           {"30 mm, free, fast edge", 30, free10, 0, 150}}};
}

}  // namespace

TEST_SUITE("ngspice") {
  TEST_CASE("a wire of the lines' own impedance delays by its length, and changes no edge") {
    if (!have_ngspice()) return;
    const Passage edge = simulate("T2 b 0 c 0 Z0=50 TD=54.3p", 300);
    CHECK(edge.middle_ps == doctest::Approx(54.3).epsilon(0.01));
    CHECK(edge.rise_ps == doctest::Approx(0.8 * 300).epsilon(0.01));
  }

  TEST_CASE("line, wire, line: the middle of the edge and its rise by our formula and by the simulator") {
    if (!have_ngspice()) return;
    for (const Case& c : cases()) {
      CAPTURE(c.what);
      const double own = c.length_mm * delay_ps_per_mm(Medium::kLyingWire, 4.3);
      const bool lumped = c.ohm == 0;
      const Step step = lumped ? step_of_inductance(c.nh, kLineOhm) : step_of_piece(own, c.ohm, kLineOhm);
      const Passage edge = simulate(
          lumped ? fmt::format("L2 b c {}n", c.nh) : fmt::format("T2 b 0 c 0 Z0={} TD={}p", c.ohm, own),
          c.ramp_ps);
      const double rise = std::hypot(0.8 * c.ramp_ps, step.rise_ps);
      std::cout << fmt::format(
          "{}: middle {:.1f} ps by the simulator, {:.1f} by the formula ({:+.1f} %); rise {:.0f} and {:.0f} "
          "ps "
          "({:+.1f} %)\n",
          c.what, edge.middle_ps, step.centre_ps, (step.centre_ps / edge.middle_ps - 1) * 100, edge.rise_ps,
          rise, (rise / edge.rise_ps - 1) * 100);
      // An edge that is slow against the piece: the first moment is the middle. A faster one passes half
      // earlier, after no less than the wire's own delay: the bounds that line.hpp states.
      if (c.ramp_ps >= 4 * step.centre_ps)
        CHECK(step.centre_ps == doctest::Approx(edge.middle_ps).epsilon(0.01));
      CHECK(edge.middle_ps <= step.centre_ps * 1.01);
      if (!lumped) CHECK(edge.middle_ps >= own * 0.99);
      CHECK(rise == doctest::Approx(edge.rise_ps).epsilon(0.10));
    }
  }
}
