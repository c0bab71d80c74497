// What past verdicts said a repair would bring, and what came of it, over time. Pure.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace landfall::rework::record {

// A repair that a verdict was kept of. Money in the shop's own unit.
struct Decided {
  std::string at;     // UTC, ISO 8601: when the verdict was kept
  double margin = 0;  // expected, as it was said
  // What the shop's figures gave then for a repair that works, and for one that fails; nothing in bench files
  // from before these were kept.
  std::optional<double> if_works, if_fails;
  std::optional<bool> worked;  // nothing: not noted yet
};

enum class Span { kMonth, kQuarter };

struct Period {
  std::string name;    // "2026-03", "2026 Q1"
  int jobs = 0;        // decided in it
  int known = 0;       // of these, what came is noted and has a price
  int worked = 0;      // of those known
  double said = 0;     // margin predicted, of all jobs decided in it
  double said_of = 0;  // the same, of those known alone: what `came` is to be held against
  double came = 0;     // margin of those known, by how they went
  double running = 0;  // `came`, summed up to here
  double running_said = 0;
};

struct Money {
  Span span = Span::kMonth;
  std::vector<Period> periods;  // those with jobs, oldest first
  int jobs = 0, known = 0, open = 0, unpriced = 0;
  double said_of = 0, came = 0;
  std::string says;  // one to three sentences: what it comes to, and what is missing
};

// Months while the jobs lie within twelve of them, quarters beyond, unless `span` says which. What came is by
// the shop's figures of the day of the verdict: nobody enters what a customer paid. A time that is no ISO
// 8601 day goes into the period "no date", first.
Money money(const std::vector<Decided>& decided, std::optional<Span> span = std::nullopt);

}  // namespace landfall::rework::record
