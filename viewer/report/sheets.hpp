// The sheets a repair leaves the bench with: to wire by, to measure by, for the customer to decide by, and
// the job's record. Pure: the same input gives the same document. TRADE.md section 10, ranks 1, 4, 7, 8, 10.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/rework/plan/plan.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/photos.hpp"
#include "viewer/app/readings.hpp"
#include "viewer/report/document.hpp"

namespace landfall::report {

enum class SheetKind { kWiring, kMeasuring, kDecision, kRecord };
// "wiring", "measuring", "decision", "record".
std::string_view word(SheetKind kind);

struct SheetSettings {
  Paper paper = Paper::kA4;
  bool scale_1_to_1 = false;  // the maps in true size, with a ruler
  std::string date;           // ISO 8601, as it is printed
};

// A photo of the job as the record shows it.
struct SheetPhoto {
  app::LaidPhoto laid;
  std::vector<app::SeenLand> lands;               // app::lands_seen
  std::shared_ptr<const photo::Picture> picture;  // may be shrunk
};

struct SheetInput {
  const app::JobAnswer& job;
  const rework::Plan& plan;
  const std::optional<rework::verdict::Verdict>& verdict;
  const std::vector<Package>& packages;  // of the lifted parts; each gets its map
  SheetSettings settings;
  std::span<const Outcome> outcomes{};       // of this job, oldest first
  std::span<const IntakeAnswer> intake{};    // of this job
  std::span<const SheetPhoto> photos{};      // of this job, for its record
  const app::ReadingSheet* diode = nullptr;  // its readings in diode mode, and
  const app::ReadingSheet* ohm = nullptr;    // those in ohm; none: the sheet has no such tables
};

// A job that is safety-critical gets neither wiring nor measuring sheet; its decision sheet is the referral,
// and its record says what was lost, not what it takes (TRADE.md T45).
bool is_given(SheetKind kind, SafetyAnswer safety);

// The sheets of these kinds that are given, in this order, each a new page.
Document make_document(const SheetInput& input, const std::vector<SheetKind>& kinds);

// The cautions, the same on screen and paper.
inline constexpr std::string_view kCautionHeat =
    "Before heat: battery out, capacitors discharged, moisture-sensitive parts baked. Board, hot air and "
    "iron "
    "burn.";
inline constexpr std::string_view kCautionBench =
    "Extract fumes at the source; mat and wrist strap checked; eyes shielded while scraping and cutting; no "
    "food at the bench, hands washed after solder.";
inline constexpr std::string_view kCautionWire =
    "Bond each wire at every bend and about every 25 mm; bend it no tighter than 3 of its diameters; keep it "
    "off edges, heat sinks and test points.";
inline constexpr std::string_view kCautionNearEnd =
    "The near end of each wire melts again when the chip goes back on: fix it and mask it, or it lifts.";
inline constexpr std::string_view kCautionMeter =
    "Measure with the battery out, no supply connected and capacitors discharged. Null the probes first.";
inline constexpr std::string_view kCautionChance =
    "A chance is an estimate, not a promise; a repair that fails may leave the board worse than it came.";
inline constexpr std::string_view kCautionAsk =
    "Nobody has said yet whether this board is safety-critical: ask before any work.";
inline constexpr std::string_view kCautionLaw =
    "Where local codes or a licence say otherwise, they stand above this sheet.";

}  // namespace landfall::report
