#include <iostream>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/intake.hpp"
#include "viewer/app/readings.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// reading: what the meter said, in the order of the measuring sheet, beside what is expected.

namespace landfall::cli {
namespace {

struct ReadingArgs {
  std::string job;
  std::vector<std::string> words;
};

Json reading_json(const std::optional<MeterReading>& reading, const rework::JudgedReading& judged) {
  if (!reading) return nullptr;
  return {{"number", reading->id},
          {"point", reading->point},
          {"value", reading->value ? Json(*reading->value) : Json("OL")},
          {"word", word(judged.word)},
          {"why", judged.why},
          {"at", reading->at}};
}

void print_sheet(Context& context, const Job& job, const app::ReadingSheet& sheet,
                 const std::vector<std::string>& cautions) {
  if (context.json) {
    Json rows = Json::array();
    for (const app::ReadingRow& row : sheet.rows) {
      Json expected = nullptr;
      if (row.expected.known) {
        expected = {{"value", row.expected.open ? Json("OL") : Json(row.expected.value)},
                    {"spread", row.expected.spread},
                    {"from", row.expected.from}};
      }
      rows.push_back({{"no", row.number},
                      {"net", row.net},
                      {"point", row.point},
                      {"damaged", row.damaged},
                      {"expected", expected},
                      {"before", reading_json(row.before, row.judged_before)},
                      {"after", reading_json(row.after, row.judged_after)}});
    }
    Json hints = Json::array();
    for (const app::ReadingHint& hint : sheet.hints)
      hints.push_back({{"net", hint.net}, {"says", hint.says}});
    return context.print({{"job", job.id},
                          {"mode", word(sheet.mode)},
                          {"known_good", sheet.known_good},
                          {"rows", rows},
                          {"hints", hints},
                          {"cautions", cautions}});
  }
  for (const std::string& caution : cautions) context.say("! " + caution);
  context.say(fmt::format("job {}: readings in {} mode, {}{}", job.id, word(sheet.mode),
                          sheet.mode == ReadingMode::kDiode ? "volts" : "ohm to ground",
                          sheet.known_good ? "; this board is known good" : ""));
  context.say(std::string(app::kMeterCaution));
  if (sheet.rows.empty()) return context.say("Nothing to read: no site needs work.");
  Table table({"no", "net", "at", "expected", "before", "after", "says"});
  for (const app::ReadingRow& row : sheet.rows) {
    const auto& last = row.after ? row.judged_after : row.judged_before;
    const bool read = row.before || row.after;
    table.row({std::to_string(row.number), (row.damaged ? "* " : "  ") + row.net, row.point,
               app::expected_text(sheet.mode, row.expected),
               row.before ? app::value_text(sheet.mode, row.before->value) : "",
               row.after ? app::value_text(sheet.mode, row.after->value) : "",
               read ? fmt::format("{}: {}", word(last.word), last.why) : ""});
  }
  table.print(context);
  context.say("* a site of this net needs work; the others are the lines beside it");
  for (const app::ReadingHint& hint : sheet.hints) context.say(hint.says);
}

// Values in the order of the sheet ("-" skips one), or NO=VALUE and NET=VALUE.
Result<std::vector<MeterReading>> readings_of(const app::ReadingSheet& sheet, ReadingStage stage,
                                              const std::vector<std::string>& words) {
  std::vector<MeterReading> readings;
  std::size_t next = 0;
  for (const std::string& text : words) {
    const auto equals = text.find('=');
    const app::ReadingRow* row = nullptr;
    if (equals == std::string::npos) {
      if (next >= sheet.rows.size())
        return Error{ErrorCode::kUsage,
                     fmt::format("{}: the sheet has {} only", text, count_of(sheet.rows.size(), "row"))};
      row = &sheet.rows[next++];
    } else {
      const std::string name = text.substr(0, equals);
      for (const app::ReadingRow& one : sheet.rows) {
        if (app::lower(one.net) == app::lower(name) || std::to_string(one.number) == name) row = &one;
      }
      if (row == nullptr)
        return Error{ErrorCode::kNotFound, fmt::format("{} is not on this job's sheet", name)};
    }
    const std::string value = equals == std::string::npos ? text : text.substr(equals + 1);
    if (value == "-") continue;
    const auto read = app::read_meter(sheet.mode, value);
    if (!read.ok()) return read.error();
    MeterReading reading;
    reading.net = row->net;
    reading.point = row->point;
    reading.mode = sheet.mode;
    reading.stage = stage;
    reading.value = *read;
    readings.push_back(std::move(reading));
  }
  return readings;
}

std::vector<std::string> lines_of(std::istream& in) {
  std::vector<std::string> words;
  for (std::string word; in >> word;) words.push_back(word);
  return words;
}

void run_reading(Context& context, ReadingArgs& args) {
  if (const Status taken = take_options(context, args.words); !taken.ok()) return context.fail(taken.error());
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::assess_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  std::vector<std::string> words = args.words;
  const auto take = [&](std::string_view word) {
    if (words.empty() || words.front() != word) return false;
    words.erase(words.begin());
    return true;
  };
  if (take("good") || take("not-good")) {
    const bool good = args.words.front() == "good";
    if (auto kept = bench->set_known_good(job->job.id, good, app::now_utc()); !kept.ok())
      return context.fail(kept.error());
  } else if (take("withdraw")) {
    if (!takes_work(context, job->job)) return;
    const auto number = words.size() == 1 ? parse_integer(words[0]) : std::nullopt;
    if (!number) return context.fail({ErrorCode::kUsage, "withdraw which? reading JOB withdraw NUMBER"});
    if (auto gone = bench->withdraw_reading(job->job.id, *number, app::now_utc()); !gone.ok())
      return context.fail(gone.error());
    words.clear();
  }
  std::optional<ReadingStage> stage;
  if (take("before")) stage = ReadingStage::kBefore;
  if (!stage && take("after")) stage = ReadingStage::kAfter;
  ReadingMode mode = ReadingMode::kDiode;
  if (take("ohm")) {
    mode = ReadingMode::kOhm;
  } else {
    take("diode");
  }
  if (!words.empty() && !stage)
    return context.fail(
        {ErrorCode::kUsage, words.front() + ": reading JOB before|after [diode|ohm] VALUE..."});
  if (stage) {
    if (!takes_work(context, job->job)) return;
    const auto sheet = app::reading_sheet(*bench, *job, mode);
    if (!sheet.ok()) return context.fail(sheet.error());
    if (words.empty()) words = lines_of(std::cin);
    const auto readings = readings_of(*sheet, *stage, words);
    if (!readings.ok()) return context.fail(readings.error());
    if (auto kept = bench->add_readings(job->job.id, *readings, app::now_utc()); !kept.ok())
      return context.fail(kept.error());
  }
  const auto now = app::reading_sheet(*bench, *job, mode);
  if (!now.ok()) return context.fail(now.error());
  const auto intake = bench->intake(job->job.id);
  if (!intake.ok()) return context.fail(intake.error());
  print_sheet(context, job->job, *now, app::power_cautions(*intake));
}

}  // namespace

void add_reading_command(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<ReadingArgs>();
  auto* reading = app.add_subcommand("reading", "what the meter said, beside what is expected");
  reading->add_option("job", args->job, "number, or how its title begins")->required();
  reading->add_option(
      "words", args->words,
      "before|after [diode|ohm] VALUE...: in the order of the sheet (- skips, OL is open; none: from "
      "standard input), or NET=VALUE | good | not-good: this board | withdraw NUMBER | [diode|ohm]");
  reading->positionals_at_end();
  reading->callback([=] { run_reading(*c, *args); });
}

}  // namespace landfall::cli
