// What a reading says: good, open, short, doubtful, by boards known good or by the lines beside it. Pure.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/reading.hpp"

namespace landfall::rework {

enum class ReadingWord { kGood, kOpen, kShort, kDoubtful, kUnknown };
std::string_view word(ReadingWord word);  // "good", "open", "short", "doubtful", "nothing to compare with"

// Readings to compare with; none in the list: an open line.
using ReadingValues = std::vector<std::optional<double>>;

struct ReadingRules {
  double limit = 3.5;          // modified z-score beyond which a reading is doubtful
  double diode_floor = 0.015;  // V: what one meter's readings of like lines may differ by at least
  double ohm_floor = 0.05;     // of log10 of the ohms: 12 %
  std::size_t least_siblings = 4;
};

// What is expected, and from where.
struct Expected {
  bool known = false;
  bool open = false;  // most of those compared read OL
  double value = 0;   // the median, volts or ohm
  double spread = 0;  // that a modified z-score of 1 is: volts, or log10 of ohm
  std::string from;   // "2 boards known good", "7 lines of the same bus"
};

// From boards known good if there is one, else from the siblings where there are enough. The spread is
// MAD / 0.6745, so that |value - median| / spread is the modified z-score of Iglewicz and Hoaglin, "How to
// Detect and Handle Outliers" (1993), whose limit is 3.5 (from memory); not below the floor. Ohms are
// compared by their logarithms.
Expected expected_reading(ReadingMode mode, const ReadingValues& good, const ReadingValues& siblings,
                          const ReadingRules& rules = {});

struct JudgedReading {
  ReadingWord word = ReadingWord::kUnknown;
  std::string why;  // one sentence
};

// `value`: none is OL. A short is told by itself below 0.05 V or 2 ohm (common practice, no source) unless
// that is what is expected.
JudgedReading judge_reading(ReadingMode mode, std::optional<double> value, const Expected& expected,
                            const ReadingRules& rules = {});

}  // namespace landfall::rework
