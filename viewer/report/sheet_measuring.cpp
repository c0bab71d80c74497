// The measuring sheet: a reading before and after each wire and rebuild, and the neighbours to test against.
#include <algorithm>
#include <set>

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
  // Two sites that both need work are each other's neighbours: one reading tells about both.
  std::set<std::pair<std::string, std::string>> asked;
  const auto add = [&](const Cell& no, const std::string& at, const std::vector<std::string>& beware) {
    for (const std::string& neighbour : beware) {
      const std::string site = neighbour.substr(0, neighbour.find(" ("));
      if (asked.insert(std::minmax<std::string>(at, site)).second)
        made.rows.push_back({no, say(at), say(neighbour), blank(), blank()});
    }
  };
  for (const auto& rebuild : input.plan.rebuilds)
    add(number(rebuild.number, "R"), rebuild.at, rebuild.beware);
  for (const auto& wire : input.plan.wires) add(number(wire.number), wire.from, wire.beware);
  return made;
}

std::string meter_text(ReadingMode mode, bool known, bool open, double value) {
  if (!known) return "";
  if (open) return "OL";
  return mode == ReadingMode::kDiode ? fmt::format("{:.3f}", value) : fmt::format("{:.3g}", value);
}

Cell read_or_blank(ReadingMode mode, const std::optional<MeterReading>& reading) {
  if (!reading) return blank();
  return say(meter_text(mode, true, !reading->value, reading->value.value_or(0)));
}

// A column for one word: nothing to compare with is no judgement.
std::string said_text(rework::ReadingWord said) {
  return said == rework::ReadingWord::kUnknown ? "kept" : std::string(word(said));
}

// The nets of the sites that need work and the lines beside them: what `landfall reading` takes, in its
// order.
Table meter_table(const app::ReadingSheet& sheet) {
  const bool diode = sheet.mode == ReadingMode::kDiode;
  Table made;
  made.key = diode ? "diode" : "resistance";
  made.title = diode ? "Diode mode, volts: red probe on ground, black probe on the point"
                     : "Resistance to ground, ohm";
  made.columns = {{"number", "no.", Holds::kNumber},
                  {"net", "net", Holds::kName},
                  {"at", "at", Holds::kName},
                  {"expected", "expected"},
                  {"before", "before", Holds::kWrite},
                  {"after", "after", Holds::kWrite},
                  {"says", "says"}};
  made.none = "Nothing to read: no site needs work.";
  for (const app::ReadingRow& row : sheet.rows) {
    const auto& last = row.after ? row.judged_after : row.judged_before;
    made.rows.push_back(
        {number(row.number), say(plain_name(row.net)), say(row.point),
         say(meter_text(sheet.mode, row.expected.known, row.expected.open, row.expected.value)),
         read_or_blank(sheet.mode, row.before), read_or_blank(sheet.mode, row.after),
         say(row.before || row.after ? said_text(last.word) : "")});
  }
  return made;
}

}  // namespace

Sheet measuring_sheet(const SheetInput& input) {
  Sheet sheet;
  sheet.title = "Measuring sheet";
  auto& blocks = sheet.blocks;
  blocks.push_back(text(job_line(input)));
  if (input.job.job.safety_critical == SafetyAnswer::kNotAsked) blocks.push_back(caution(kCautionAsk));
  add_intake_cautions(blocks, input);
  blocks.push_back(caution(kCautionMeter));
  blocks.push_back(form({"meter", "probes nulled at, ohm", "measured by", "date"}));
  blocks.push_back(table(readings(input, false)));
  blocks.push_back(table(readings(input, true)));
  blocks.push_back(table(shorts(input)));
  if (input.diode != nullptr) blocks.push_back(table(meter_table(*input.diode)));
  // Resistance only where somebody reads it: a page of blanks helps nobody.
  const auto read = [](const app::ReadingRow& row) { return row.before || row.after; };
  if (input.ohm != nullptr && std::any_of(input.ohm->rows.begin(), input.ohm->rows.end(), read))
    blocks.push_back(table(meter_table(*input.ohm)));
  blocks.push_back(caution(kCautionLaw));
  return sheet;
}

}  // namespace landfall::report
