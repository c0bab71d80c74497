#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/session_inside.hpp"

// The readings' page: values typed in the order of the measuring sheet, each judged as soon as it is kept.

namespace landfall::app {
namespace {

constexpr const char* kWhatNeeds = "Readings";

bool same_place(const MeterReading& a, const MeterReading& b) {
  return a.net == b.net && a.point == b.point && a.mode == b.mode && a.stage == b.stage;
}

std::vector<std::string> pieces_of(std::string_view text) {
  std::vector<std::string> pieces(1);
  for (const char c : text) {
    if (c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == ';') {
      pieces.emplace_back();
    } else {
      pieces.back() += c;
    }
  }
  std::erase(pieces, "");
  return pieces;
}

// The row's net on the map and in the sheet.
void show_row(Session& s) {
  const ReadingRow* row = s.readings->row();
  if (row == nullptr) return;
  if (const auto net = find_net(*s.board, row->net); net.ok()) go_to_net(s, *net);
}

std::string what_next(const ReadingDesk& desk) {
  const ReadingRow* row = desk.row();
  if (row == nullptr) return "";
  return fmt::format(" Next: {}, {}.", row->number, row->net);
}

// What the row says of its reading, once it is judged.
std::string judged_text(const ReadingDesk& desk, const std::string& net) {
  const auto& rows = desk.sheet.rows;
  const auto found =
      std::find_if(rows.begin(), rows.end(), [&](const ReadingRow& r) { return r.net == net; });
  if (found == rows.end()) return net + ": no site of its bus needs work any more.";
  const ReadingRow& row = *found;
  const bool before = desk.stage == ReadingStage::kBefore;
  const auto& reading = before ? row.before : row.after;
  const rework::JudgedReading& judged = before ? row.judged_before : row.judged_after;
  if (!reading) return fmt::format("{}: no reading.", row.net);
  return fmt::format("{} {}: {}, {}.", row.net, value_text(desk.sheet.mode, reading->value),
                     rework::word(judged.word), judged.why);
}

std::optional<MeterReading> standing(const std::vector<MeterReading>& all, const MeterReading& place) {
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const MeterReading& one) { return same_place(one, place); });
  return found == all.end() ? std::nullopt : std::optional(*found);
}

// Makes each place as `before` or `after` says. All new values are kept in one go.
Status put(Session& s, const std::vector<ReadingChange>& changes, bool after) {
  const auto all = s.bench->readings(s.job->id);
  if (!all.ok()) return all.error();
  std::vector<MeterReading> kept;
  for (const ReadingChange& change : changes) {
    const auto& wanted = after ? change.after : change.before;
    if (wanted) {
      kept.push_back(*wanted);
      continue;
    }
    const auto& was = after ? change.before : change.after;
    const auto there = standing(*all, *was);
    if (!there) continue;  // taken back elsewhere meanwhile
    if (auto gone = s.bench->withdraw_reading(s.job->id, there->id, now_utc()); !gone.ok()) return gone;
  }
  if (kept.empty()) return std::monostate{};
  return s.bench->add_readings(s.job->id, kept, now_utc());
}

// Keeps them as one undo. False: refused, and said.
bool keep(Session& s, std::vector<ReadingChange> changes) {
  if (!takes_work(s)) return false;
  if (const Status kept = put(s, changes, true); !kept.ok()) {
    fail(s, kept.error());
    return false;
  }
  s.readings->done.push_back(std::move(changes));
  s.readings->undone.clear();
  reload_job(s, "");
  return true;
}

// What a value typed for that row changes.
Result<ReadingChange> change_at(Session& s, const std::vector<MeterReading>& all, std::size_t at,
                                const std::string& value) {
  const ReadingRow& row = s.readings->sheet.rows[at];
  const auto read = read_meter(s.readings->sheet.mode, value);
  if (!read.ok()) return read.error();
  MeterReading reading;
  reading.net = row.net;
  reading.point = row.point;
  reading.mode = s.readings->sheet.mode;
  reading.stage = s.readings->stage;
  reading.value = *read;
  return ReadingChange{standing(all, reading), reading};
}

}  // namespace

void make_readings_anew(Session& s) {
  if (!s.job || !s.board) return s.readings.reset();
  if (!s.readings) s.readings.emplace();
  ReadingDesk& desk = *s.readings;
  const std::string net = desk.row() == nullptr ? "" : desk.row()->net;
  auto sheet = reading_sheet(*s.bench, JobAnswer{*s.job, s.board, s.assessment}, desk.sheet.mode);
  if (!sheet.ok()) return fail(s, sheet.error());
  desk.sheet = std::move(sheet).value();
  desk.at = 0;
  for (std::size_t i = 0; i < desk.sheet.rows.size(); ++i) {
    if (desk.sheet.rows[i].net == net) desk.at = i;
  }
}

void step_readings(Session& s, bool redo) {
  if (!s.readings || !takes_work(s)) return;
  auto& from = redo ? s.readings->undone : s.readings->done;
  auto& to = redo ? s.readings->done : s.readings->undone;
  if (from.empty())
    return fail(s, {ErrorCode::kNotFound, redo ? "There is no reading to do again."
                                               : "There is no reading of this sitting to undo."});
  if (const Status kept = put(s, from.back(), redo); !kept.ok()) return fail(s, kept.error());
  to.push_back(std::move(from.back()));
  from.pop_back();
  const ReadingChange& first = to.back().front();
  const std::string net = first.after ? first.after->net : first.before->net;
  reload_job(s, "");
  for (std::size_t i = 0; i < s.readings->sheet.rows.size(); ++i) {
    if (s.readings->sheet.rows[i].net == net) s.readings->at = i;
  }
  show_row(s);
  say(s, (redo ? "done again: " : "undone: ") + judged_text(*s.readings, net));
}

void act(Session& s, const ShowReadings&) {
  if (!needs_job(s, kWhatNeeds)) return;
  if (s.page == JobPage::kReadings && !s.bench_page) return s.page.reset();
  make_readings_anew(s);
  if (!s.readings) return;
  s.bench_page = false;
  leave_pages(s);
  s.page = JobPage::kReadings;
  // Where one was: the selected ball's net, else the first that has no reading yet.
  const auto& rows = s.readings->sheet.rows;
  if (rows.empty()) return say(s, "Nothing to read: no site needs work by the marks so far.");
  const Index net = s.selected == kNone ? kNone : s.board->board().pins[s.selected].net;
  const auto own = std::find_if(rows.begin(), rows.end(), [&](const ReadingRow& row) {
    return net != kNone && row.net == s.board->board().nets[net].name;
  });
  const auto bare = std::find_if(rows.begin(), rows.end(), [&](const ReadingRow& row) {
    return !(s.readings->stage == ReadingStage::kBefore ? row.before : row.after);
  });
  const auto at = own != rows.end() ? own : bare != rows.end() ? bare : rows.begin();
  s.readings->at = static_cast<std::size_t>(at - rows.begin());
  show_row(s);
  const bool off_sheet = net != kNone && own == rows.end();
  say(s, off_sheet ? fmt::format("{} is not on this sheet: no site of its bus needs work.{}",
                                 s.board->board().nets[net].name, what_next(*s.readings))
                   : fmt::format("{} to read.{}", count_of(rows.size(), "line"), what_next(*s.readings)));
}

void act(Session& s, const ReadAs& a) {
  if (!needs_job(s, kWhatNeeds) || !s.readings) return;
  s.readings->sheet.mode = a.mode;
  s.readings->stage = a.stage;
  make_readings_anew(s);
  make_sheet_anew(s);
  say(s, fmt::format("{} readings, {} the repair: {}.", word(a.mode), word(a.stage),
                     a.mode == ReadingMode::kDiode ? "volts" : "ohm to ground"));
}

void act(Session& s, const GoToReading& a) {
  if (!s.readings || a.row >= s.readings->sheet.rows.size()) return;
  s.readings->at = a.row;
  show_row(s);
}

void act(Session& s, const StepReading& a) {
  if (!s.readings || s.readings->sheet.rows.empty()) return;
  const std::size_t last = s.readings->sheet.rows.size() - 1;
  const std::size_t at = s.readings->at;
  act(s, GoToReading{a.back ? at - std::min<std::size_t>(at, 1) : std::min(at + 1, last)});
}

void act(Session& s, const TypeReadings& a) {
  if (!needs_job(s, kWhatNeeds) || !s.readings) return;
  std::vector<std::string> values = pieces_of(a.text);
  if (values.empty()) values.emplace_back("-");
  const std::size_t rows = s.readings->sheet.rows.size();
  if (s.readings->at + values.size() > rows)
    return fail(s, {ErrorCode::kUsage,
                    fmt::format("{} typed, and {} left from here on.", count_of(values.size(), "value"),
                                count_of(rows - std::min(s.readings->at, rows), "row"))});
  const auto all = s.bench->readings(s.job->id);
  if (!all.ok()) return fail(s, all.error());
  std::vector<ReadingChange> changes;
  std::size_t at = s.readings->at;
  std::string read;  // the net that got the last value
  for (const std::string& value : values) {
    if (value != "-") {
      auto change = change_at(s, *all, at, value);
      if (!change.ok()) return fail(s, change.error());
      changes.push_back(std::move(change).value());
      read = s.readings->sheet.rows[at].net;
    }
    ++at;
  }
  const std::size_t kept = changes.size();
  if (kept > 0 && !keep(s, std::move(changes))) return;
  // Marks that another window took off meanwhile take rows with them.
  const std::size_t now = s.readings->sheet.rows.size();
  const bool over = at >= std::min(rows, now);
  s.readings->at = now == 0 ? 0 : std::min(at, now - 1);
  show_row(s);
  const std::string said = kept > 1    ? fmt::format("{} readings kept.", kept)
                           : kept == 1 ? judged_text(*s.readings, read)
                                       : std::string("Passed.");
  say(s, said + (over ? " That was the last row." : what_next(*s.readings)));
}

void act(Session& s, const TakeBackReading&) {
  if (!needs_job(s, kWhatNeeds) || !s.readings) return;
  const ReadingRow* row = s.readings->row();
  const auto* reading =
      row == nullptr ? nullptr : &(s.readings->stage == ReadingStage::kBefore ? row->before : row->after);
  if (reading == nullptr || !*reading)
    return fail(s, {ErrorCode::kNotFound, fmt::format("This row has no reading {} the repair to take back.",
                                                      word(s.readings->stage))});
  const std::string net = row->net;
  if (keep(s, {{*reading, std::nullopt}})) say(s, fmt::format("The reading of {} is taken back.", net));
}

void act(Session& s, const KnowGood& a) {
  if (!needs_job(s, kWhatNeeds)) return;
  if (const auto kept = s.bench->set_known_good(s.job->id, a.good, now_utc()); !kept.ok())
    return fail(s, kept.error());
  reload_job(s, a.good ? "This board is known good: its readings are what others of its kind are judged by."
                       : "This board is not known good: others are not judged by it.");
}

}  // namespace landfall::app
