#include "viewer/app/readings.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "netdb/model/unnamed.hpp"
#include "netdb/rework/mend/landing.hpp"
#include "netdb/rework/sites.hpp"

namespace landfall::app {
namespace {

// The nets to be read: those of needed sites first.
std::vector<std::pair<Index, bool>> nets_to_read(const JobAnswer& job) {
  const Board& board = job.board->board();
  const Signals& signals = job.board->signals();
  std::vector<std::pair<Index, bool>> nets;
  std::set<Index> seen;
  std::set<Index> buses;
  for (const rework::SiteAnswer& site : job.assessment.sites) {
    const Index net = board.pins[site.pin].net;
    const bool needed = site.need != rework::Need::kNone;
    if (net == kNone || !needed || is_supply(signals.nets[net].signal_class)) continue;
    if (seen.insert(net).second) nets.emplace_back(net, true);
    if (signals.nets[net].bus != kNone) buses.insert(signals.nets[net].bus);
  }
  for (std::size_t net = 0; net < board.nets.size(); ++net) {
    const auto own = static_cast<Index>(net);
    if (buses.contains(signals.nets[net].bus) && seen.insert(own).second) nets.emplace_back(own, false);
  }
  return nets;
}

// Where the probe reaches the net: where its wire would land, else a pin of a part that is no area array,
// else the bare land of a lifted part if it is whole; under another array only when there is nothing else.
std::string point_of(const JobAnswer& job, Index net) {
  const Board& board = job.board->board();
  const BoardIndex& index = job.board->index();
  for (const rework::NetMend& mend : job.assessment.mends) {
    if (mend.net != net || mend.jumpers.empty()) continue;
    const rework::Landing& to = mend.jumpers.front().to;
    if (to.kind != rework::LandingKind::kUnknown &&
        (to.pin == kNone || !rework::is_area_array(index, board.pins[to.pin].part)))
      return rework::landing_text(index, to);
  }
  const auto is_whole = [&](const Pin& pin) {
    const std::string& part = board.parts[pin.part].reference;
    return std::none_of(job.job.marks.begin(), job.job.marks.end(), [&](const Mark& mark) {
      return mark.part == part && mark.ball == pin.number && takes_copper(mark.kind);
    });
  };
  const auto hard = [&](Index pin) {
    const Pin& p = board.pins[pin];
    const auto& lifted = job.job.lifted;
    const bool off = std::find(lifted.begin(), lifted.end(), board.parts[p.part].reference) != lifted.end();
    if (off) return is_whole(p) ? 1 : 3;
    return rework::is_area_array(index, p.part) ? 2 : 0;
  };
  Index best = kNone;
  for (const Index pin : index.pins_of_net(net)) {
    if (best == kNone || hard(pin) < hard(best)) best = pin;
  }
  return best == kNone ? "" : index.pin_text(best);
}

// One that was taken before its ball had a name counts for the name that it has now.
bool is_of(const MeterReading& reading, const ReadingRow& row) {
  return reading.net == row.net || (stands_for_unnamed(reading.net) && reading.point == row.point);
}

std::optional<MeterReading> reading_of(const std::vector<MeterReading>& readings, const ReadingRow& row,
                                       ReadingMode mode, ReadingStage stage) {
  // The newest, at whatever point of the net.
  for (auto reading = readings.rbegin(); reading != readings.rend(); ++reading) {
    if (is_of(*reading, row) && reading->mode == mode && reading->stage == stage) return *reading;
  }
  return std::nullopt;
}

}  // namespace

Result<ReadingSheet> reading_sheet(store::Bench& bench, const JobAnswer& job, ReadingMode mode) {
  const auto readings = bench.readings(job.job.id);
  if (!readings.ok()) return readings.error();
  const auto good = bench.good_readings(job.job.board, job.job.id);
  if (!good.ok()) return good.error();
  const auto known = bench.known_good(job.job.id);
  if (!known.ok()) return known.error();
  const Board& board = job.board->board();
  const Signals& signals = job.board->signals();
  ReadingSheet sheet;
  sheet.mode = mode;
  sheet.known_good = *known;
  std::vector<Index> buses;
  for (const auto& [net, damaged] : nets_to_read(job)) {
    ReadingRow row;
    row.number = static_cast<int>(sheet.rows.size()) + 1;
    row.net = board.nets[net].name;
    row.point = point_of(job, net);
    row.damaged = damaged;
    row.before = reading_of(*readings, row, mode, ReadingStage::kBefore);
    row.after = reading_of(*readings, row, mode, ReadingStage::kAfter);
    buses.push_back(signals.nets[net].bus);
    sheet.rows.push_back(std::move(row));
  }
  for (std::size_t i = 0; i < sheet.rows.size(); ++i) {
    ReadingRow& row = sheet.rows[i];
    rework::ReadingValues from_good;
    for (const MeterReading& reading : *good) {
      if (is_of(reading, row) && reading.mode == mode) from_good.push_back(reading.value);
    }
    rework::ReadingValues siblings;
    for (std::size_t k = 0; k < sheet.rows.size(); ++k) {
      // A line with a damaged site is under suspicion itself: it is no measure of its neighbours.
      if (k == i || buses[k] == kNone || buses[k] != buses[i] || sheet.rows[k].damaged) continue;
      const auto& other = sheet.rows[k].after ? sheet.rows[k].after : sheet.rows[k].before;
      if (other) siblings.push_back(other->value);
    }
    row.expected = rework::expected_reading(mode, from_good, siblings);
    if (row.before) row.judged_before = rework::judge_reading(mode, row.before->value, row.expected);
    if (row.after) row.judged_after = rework::judge_reading(mode, row.after->value, row.expected);
    const rework::JudgedReading& last = row.after ? row.judged_after : row.judged_before;
    if (!row.damaged && last.word == rework::ReadingWord::kOpen)
      sheet.hints.push_back(
          {row.net, fmt::format("{} reads open and no site of it is marked: look at its balls, or note it: "
                                "landfall fact {} open {}",
                                row.net, job.job.id, row.point)});
    if (last.word == rework::ReadingWord::kShort)
      sheet.hints.push_back(
          {row.net,
           fmt::format("{} is short to ground: look for bridges at its balls before any wire", row.net)});
  }
  return sheet;
}

std::string value_text(ReadingMode mode, std::optional<double> value) {
  if (!value) return "OL";
  return mode == ReadingMode::kDiode ? fmt::format("{:.3f}", *value) : fmt::format("{:.4g}", *value);
}

std::string expected_text(ReadingMode mode, const rework::Expected& expected) {
  if (!expected.known) return "";
  if (expected.open) return "OL";
  return mode == ReadingMode::kDiode ? fmt::format("{:.3f}", expected.value)
                                     : fmt::format("{:.3g}", expected.value);
}

Result<std::optional<double>> read_meter(ReadingMode mode, const std::string& text) {
  const bool diode = mode == ReadingMode::kDiode;
  std::string plain = lower(text);
  // A decimal comma, as half of Europe's meters and hands write it.
  if (std::count(plain.begin(), plain.end(), ',') == 1 && plain.find('.') == std::string::npos)
    plain[plain.find(',')] = '.';
  if (plain == "ol" || plain == "open") return std::optional<double>{};
  double times = 1;
  std::string number = plain;
  // A small m is milli beside volts, and what hands write for mega beside ohms.
  if (diode && number.ends_with('v')) number.pop_back();
  if (!number.empty() && number.back() == 'm') times = diode ? 1e-3 : 1e6;
  if (!number.empty() && number.back() == 'k') times = 1e3;
  if (times != 1) number.pop_back();
  const auto value = parse_decimal(number);
  if (!value || !(*value >= 0))
    return Error{ErrorCode::kUsage, fmt::format("{}: a reading is a number from 0, such as {}, or OL", text,
                                                diode ? "0.452" : "4.7k")};
  const double read = *value * times;
  if (read > (diode ? kMostDiodeVolts : kMostOhm))
    return Error{
        ErrorCode::kUsage,
        diode
            ? fmt::format("{}: in diode mode a meter shows 0 to {} V, then OL (common practice, no source); "
                          "millivolts are written 452m",
                          text, kMostDiodeVolts)
            : fmt::format("{}: a meter shows 0 to 100M ohm, then OL (common practice, no source)", text)};
  return std::optional<double>{read};
}

}  // namespace landfall::app
