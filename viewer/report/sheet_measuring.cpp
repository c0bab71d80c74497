// The measuring sheet: a reading before and after each wire and rebuild, and the neighbours to test against.
#include <fmt/format.h>

#include "viewer/report/sheet_pieces.hpp"

namespace landfall::report {
namespace {

const std::vector<Column> kReadings{{"number", "no.", Holds::kNumber}, {"between", "between", Holds::kName},
                                    {"net", "net", Holds::kName},      {"expected", "should read"},
                                    {"read", "reads", Holds::kWrite},  {"right", "right", Holds::kTick}};

// One of the two tables: the readings before, or those after.
Table readings(const SheetInput& input, bool after) {
  Table made;
  made.key = after ? "after" : "before";
  made.title = after ? "After: each wire and rebuild, before the chip goes on"
                     : "Before: at the bare site, before any wire";
  made.columns = kReadings;
  made.none = "Nothing to measure: no wire and no rebuild.";
  for (const auto& rebuild : input.plan.rebuilds) {
    made.rows.push_back({number(rebuild.number, "R"), say(rebuild.at), say(rebuild.net),
                         say(after ? rebuild.after : rebuild.before), blank(), blank()});
  }
  for (const auto& wire : input.plan.wires) {
    made.rows.push_back({number(wire.number), say(wire.from + " to " + wire.to),
                         say(net_name(input.job, wire.jumper.net)), say(after ? wire.after : wire.before),
                         blank(), blank()});
  }
  return made;
}

Table shorts(const SheetInput& input) {
  Table made;
  made.key = "shorts";
  made.title = "No short: each against its neighbours, after wiring and again with the chip on";
  made.columns = {{"number", "no.", Holds::kNumber},
                  {"at", "at", Holds::kName},
                  {"against", "against", Holds::kName},
                  {"read", "reads", Holds::kWrite},
                  {"open", "open", Holds::kTick}};
  made.none = "No neighbour to test against.";
  const auto add = [&](const Cell& no, const std::string& at, const std::vector<std::string>& beware) {
    for (const std::string& neighbour : beware)
      made.rows.push_back({no, say(at), say(neighbour), blank(), blank()});
  };
  for (const auto& rebuild : input.plan.rebuilds)
    add(number(rebuild.number, "R"), rebuild.at, rebuild.beware);
  for (const auto& wire : input.plan.wires) add(number(wire.number), wire.from, wire.beware);
  return made;
}

}  // namespace

Sheet measuring_sheet(const SheetInput& input) {
  Sheet sheet;
  sheet.title = "Measuring sheet";
  auto& blocks = sheet.blocks;
  blocks.push_back(text(job_line(input)));
  if (input.job.job.safety_critical == SafetyAnswer::kNotAsked) blocks.push_back(caution(kCautionAsk));
  blocks.push_back(caution(kCautionMeter));
  blocks.push_back(form({"meter", "probes nulled at, ohm", "measured by", "date"}));
  blocks.push_back(table(readings(input, false)));
  blocks.push_back(table(readings(input, true)));
  blocks.push_back(table(shorts(input)));
  blocks.push_back(caution(kCautionLaw));
  return sheet;
}

}  // namespace landfall::report
