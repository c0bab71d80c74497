#include "netdb/rework/readings/judge.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace landfall::rework {
namespace {

constexpr double kShortVolts = 0.05;
constexpr double kShortOhm = 2;
// Above it a change of resistance to ground says little: leakage and the meter's own range.
constexpr double kLeastOhm = 0.1;

double scale(ReadingMode mode, double value) {
  return mode == ReadingMode::kDiode ? value : std::log10(std::max(value, kLeastOhm));
}

double unscale(ReadingMode mode, double value) {
  return mode == ReadingMode::kDiode ? value : std::pow(10.0, value);
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

Expected from_values(ReadingMode mode, const ReadingValues& readings, const ReadingRules& rules) {
  Expected expected;
  expected.known = true;
  std::vector<double> values;
  for (const auto& reading : readings) {
    if (reading) values.push_back(scale(mode, *reading));
  }
  expected.open = values.size() * 2 < readings.size();
  if (expected.open || values.empty()) {
    expected.open = true;
    return expected;
  }
  const double middle = median(values);
  std::vector<double> off;
  for (const double value : values) off.push_back(std::abs(value - middle));
  constexpr double kOfNormal = 0.6745;  // the median of |z| of a normal distribution
  const double floor = mode == ReadingMode::kDiode ? rules.diode_floor : rules.ohm_floor;
  expected.spread = std::max(median(off) / kOfNormal, floor);
  expected.value = unscale(mode, middle);
  return expected;
}

std::string text(ReadingMode mode, double value) {
  return mode == ReadingMode::kDiode ? fmt::format("{:.3f} V", value) : fmt::format("{:.3g} ohm", value);
}

}  // namespace

std::string_view word(ReadingWord word) {
  switch (word) {
    case ReadingWord::kGood:
      return "good";
    case ReadingWord::kOpen:
      return "open";
    case ReadingWord::kShort:
      return "short";
    case ReadingWord::kDoubtful:
      return "doubtful";
    case ReadingWord::kUnknown:
      return "nothing to compare with";
  }
  return "";
}

Expected expected_reading(ReadingMode mode, const ReadingValues& good, const ReadingValues& siblings,
                          const ReadingRules& rules) {
  if (!good.empty()) {
    Expected expected = from_values(mode, good, rules);
    expected.from = good.size() == 1 ? "a board known good"
                                     : fmt::format("{} readings of boards known good", good.size());
    return expected;
  }
  if (siblings.size() < rules.least_siblings) return {};
  Expected expected = from_values(mode, siblings, rules);
  expected.from = fmt::format("{} lines beside it", siblings.size());
  return expected;
}

JudgedReading judge_reading(ReadingMode mode, std::optional<double> value, const Expected& expected,
                            const ReadingRules& rules) {
  const double bottom = mode == ReadingMode::kDiode ? kShortVolts : kShortOhm;
  const bool low_is_usual = expected.known && !expected.open && expected.value <= 2 * bottom;
  if (value && *value < bottom && !low_is_usual)
    return {ReadingWord::kShort, fmt::format("{} is a short to ground", text(mode, *value))};
  if (!expected.known)
    return {ReadingWord::kUnknown, "no board known good and too few lines beside it to compare with"};
  if (!value) {
    if (expected.open) return {ReadingWord::kGood, "OL, as " + expected.from + " read"};
    return {ReadingWord::kOpen,
            fmt::format("OL where {} read {}", expected.from, text(mode, expected.value))};
  }
  if (expected.open)
    return {ReadingWord::kDoubtful, fmt::format("{} where {} read OL", text(mode, *value), expected.from)};
  const double off = std::abs(scale(mode, *value) - scale(mode, expected.value)) / expected.spread;
  const std::string beside =
      fmt::format("{} against {} of {}", text(mode, *value), text(mode, expected.value), expected.from);
  if (off > rules.limit) return {ReadingWord::kDoubtful, fmt::format("{}: {:.1f} spreads off", beside, off)};
  return {ReadingWord::kGood, beside};
}

}  // namespace landfall::rework
