// A job's sheets, from the bench to a file: what the command and the window both do.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/result.hpp"
#include "netdb/store/bench.hpp"
#include "viewer/report/sheets.hpp"

namespace landfall::report {

struct SheetsOrder {
  std::string job;             // number, or how its title begins
  std::filesystem::path file;  // .html, .pdf, .csv, .json
  std::vector<SheetKind> kinds{SheetKind::kWiring, SheetKind::kMeasuring, SheetKind::kDecision,
                               SheetKind::kRecord};
  SheetSettings settings{};
};

struct SheetsWritten {
  std::int64_t job = 0;
  std::vector<std::string> sheets;  // their keys, as word(SheetKind) has them
  int pages = 0;                    // of a PDF, else 0
  bool numbers_kept = true;         // false: the bench could not be written
  bool safety_critical = false;
  std::string rescued;  // app::rescued_note, else empty
};

inline constexpr std::string_view kNumbersNotKept =
    "the plan's numbers could not be kept: a mark that is set later may move them";

// Writes the sheets that are given of these kinds; from then on the plan's numbers stay with their sites.
// kNotFound when the job is safety-critical and none is given; else what plan_job and write_document say.
Result<SheetsWritten> write_sheets(store::Bench& bench, const SheetsOrder& order);

// "wiring, measuring; 4 pages".
std::string says(const SheetsWritten& written);

}  // namespace landfall::report
