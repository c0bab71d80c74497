// What a meter said about a net, and what was asked when the board came in.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace landfall {

// Diode mode: volts, the red probe on ground, the black one on the net (common practice, no source).
// Resistance: ohm to ground.
enum class ReadingMode { kDiode, kOhm };
enum class ReadingStage { kBefore, kAfter };
std::string_view word(ReadingMode mode);    // "diode", "ohm"
std::string_view word(ReadingStage stage);  // "before", "after"

struct MeterReading {
  std::int64_t id = 0;
  std::int64_t job = 0;
  std::string net;    // its name on the board
  std::string point;  // where the probe stood: PART.PIN
  ReadingMode mode = ReadingMode::kDiode;
  ReadingStage stage = ReadingStage::kBefore;
  std::optional<double> value;  // volts or ohm; none: the meter said OL, an open line
  std::string at;               // UTC, ISO 8601
};

// One answer of the intake. `topic` is a word of app::intake_topics().
struct IntakeAnswer {
  std::string topic, answer;
  std::string at = {};    // UTC, ISO 8601
  std::int64_t turn = 0;  // how often it was changed, on whichever bench
};

}  // namespace landfall
