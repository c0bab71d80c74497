// A job's readings in the order of its measuring sheet, each beside what is expected there.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "netdb/model/reading.hpp"
#include "netdb/rework/readings/judge.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

// One place to put the probe.
struct ReadingRow {
  int number = 0;  // from 1, in the order of the sheet
  std::string net;
  std::string point;     // PART.PIN, not on a lifted part where the net has another
  bool damaged = false;  // its net has a site that needs work; the others are the lines beside it
  rework::Expected expected;
  std::optional<MeterReading> before, after;
  rework::JudgedReading judged_before, judged_after;  // where there is a reading
};

// Where a reading speaks for a fact that nobody told yet; never kept by itself.
struct ReadingHint {
  std::string net;
  std::string says;  // one sentence
};

struct ReadingSheet {
  ReadingMode mode = ReadingMode::kDiode;
  std::vector<ReadingRow> rows;
  std::vector<ReadingHint> hints;
  bool known_good = false;  // this job's board
};

// First the nets of sites that need work, then the lines beside them on the same buses, in the board's order.
Result<ReadingSheet> reading_sheet(store::Bench& bench, const JobAnswer& job, ReadingMode mode);

// As a meter says it: "0.452", "4700", "OL"; the expected with as many figures, empty where nothing is known.
std::string value_text(ReadingMode mode, std::optional<double> value);
std::string expected_text(ReadingMode mode, const rework::Expected& expected);

// "0.452", "0,452", "452m" (volts) or "1.2k" (ohm), "OL". kUsage for anything else, and for what no meter
// shows: it says OL beyond its range.
Result<std::optional<double>> read_meter(ReadingMode mode, const std::string& text);

// Common practice, no source: what meters show in diode mode before they say OL, and their highest range.
inline constexpr double kMostDiodeVolts = 3.5;
inline constexpr double kMostOhm = 100e6;

inline constexpr std::string_view kMeterCaution =
    "Battery out, no supply connected, capacitors discharged. Diode mode: red probe on ground, black probe "
    "on the point.";

}  // namespace landfall::app
