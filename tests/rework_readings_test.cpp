// Readings judged by boards known good and by the lines beside them.
#include <iostream>
#include <random>

#include <doctest/doctest.h>

#include "netdb/rework/readings/judge.hpp"

using namespace landfall;
using rework::expected_reading;
using rework::judge_reading;
using rework::ReadingWord;

TEST_CASE("median and spread by hand: seven lines of a bus") {
  // Sorted 0.441 0.445 0.448 0.450 0.452 0.455 0.512: median 0.450; distances 0 2 2 5 5 9 62 mV: MAD 5 mV,
  // spread 5 / 0.6745 = 7.41 mV, raised to the floor.
  const rework::ReadingValues lines{0.450, 0.448, 0.452, 0.445, 0.455, 0.441, 0.512};
  const auto expected = expected_reading(ReadingMode::kDiode, {}, lines);
  REQUIRE(expected.known);
  CHECK(expected.value == doctest::Approx(0.450));
  CHECK(expected.spread == doctest::Approx(0.015));
  rework::ReadingRules bare;
  bare.diode_floor = 0;
  CHECK(expected_reading(ReadingMode::kDiode, {}, lines, bare).spread == doctest::Approx(0.005 / 0.6745));
  CHECK(judge_reading(ReadingMode::kDiode, 0.455, expected).word == ReadingWord::kGood);
  CHECK(judge_reading(ReadingMode::kDiode, 0.512, expected).word ==
        ReadingWord::kDoubtful);                                                          // 62 mV / 15 = 4.1
  CHECK(judge_reading(ReadingMode::kDiode, 0.501, expected).word == ReadingWord::kGood);  // 51 mV / 15 = 3.4
  CHECK(judge_reading(ReadingMode::kDiode, std::nullopt, expected).word == ReadingWord::kOpen);
  CHECK(judge_reading(ReadingMode::kDiode, 0.003, expected).word == ReadingWord::kShort);
}

TEST_CASE("a board known good outranks the lines beside, too few lines say nothing") {
  const auto expected = expected_reading(ReadingMode::kDiode, {0.61}, {0.45, 0.45, 0.45, 0.45});
  CHECK(expected.value == doctest::Approx(0.61));
  CHECK(judge_reading(ReadingMode::kDiode, 0.45, expected).word == ReadingWord::kDoubtful);
  CHECK_FALSE(expected_reading(ReadingMode::kDiode, {}, {0.45, 0.45, 0.45}).known);
  CHECK(judge_reading(ReadingMode::kDiode, 0.45, {}).word == ReadingWord::kUnknown);
  // Lines that read OL on a good board are good so, and a path there is doubtful.
  const auto open = expected_reading(ReadingMode::kDiode, {std::nullopt, std::nullopt, 0.5}, {});
  CHECK(judge_reading(ReadingMode::kDiode, std::nullopt, open).word == ReadingWord::kGood);
  CHECK(judge_reading(ReadingMode::kDiode, 0.5, open).word == ReadingWord::kDoubtful);
}

TEST_CASE("ohms are compared by their logarithms, a rail of half an ohm is no short where that is usual") {
  const auto expected = expected_reading(ReadingMode::kOhm, {}, {1000, 1100, 950, 1050, 1020});
  CHECK(judge_reading(ReadingMode::kOhm, 1200, expected).word == ReadingWord::kGood);
  CHECK(judge_reading(ReadingMode::kOhm, 4700, expected).word == ReadingWord::kDoubtful);
  CHECK(judge_reading(ReadingMode::kOhm, 0.4, expected).word == ReadingWord::kShort);
  const auto core = expected_reading(ReadingMode::kOhm, {0.5}, {});
  CHECK(judge_reading(ReadingMode::kOhm, 0.45, core).word == ReadingWord::kGood);
}

TEST_CASE("planted opens and shorts on a bus of 16: how many are found, how many good lines are called bad") {
  std::mt19937 random(5);
  std::normal_distribution<double> line(0.450, 0.006);
  int planted = 0, found = 0, good = 0, called_bad = 0;
  for (int round = 0; round < 500; ++round) {
    std::vector<std::optional<double>> bus;
    for (int i = 0; i < 16; ++i) bus.emplace_back(line(random));
    const int faults = static_cast<int>(random() % 5);
    std::vector<int> kind(16, 0);
    for (int k = 0; k < faults; ++k) {
      const auto at = random() % 16;
      kind[at] = 1 + static_cast<int>(random() % 2);
      bus[at] = kind[at] == 1 ? std::nullopt : std::optional<double>(0.004);
    }
    for (std::size_t i = 0; i < 16; ++i) {
      rework::ReadingValues others;
      for (std::size_t k = 0; k < 16; ++k) {
        if (k != i) others.push_back(bus[k]);
      }
      const auto word =
          judge_reading(ReadingMode::kDiode, bus[i], expected_reading(ReadingMode::kDiode, {}, others)).word;
      if (kind[i] == 0) {
        ++good;
        called_bad += word == ReadingWord::kGood ? 0 : 1;
      } else {
        ++planted;
        found += word == (kind[i] == 1 ? ReadingWord::kOpen : ReadingWord::kShort) ? 1 : 0;
      }
    }
  }
  std::cout << "readings: " << found << " of " << planted << " planted opens and shorts found, " << called_bad
            << " of " << good << " good lines called bad\n";
  CHECK(found == planted);
  CHECK(called_bad * 1000 <= good);
}
