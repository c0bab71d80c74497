#include <algorithm>
#include <memory>
#include <optional>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/shelf.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// shelf: donor boards, and who has a part. tally: how past verdicts fared.

namespace landfall::cli {
namespace {

struct ShelfArgs {
  std::string job, part, text, note, by;
};

void run_add(Context& context, const ShelfArgs& args, bool off) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  const Status kept = off ? bench->unshelve(job->id) : bench->shelve(job->id, args.note, app::now_utc());
  if (!kept.ok()) return context.fail(kept.error());
  if (context.json) return context.print({{"job", job->id}, {"shelved", !off}});
  context.say(fmt::format("job {} {} the shelf", job->id, off ? "is off" : "is on"));
}

void run_take(Context& context, const ShelfArgs& args, bool taken) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  const auto reference = app::take_part(*bench, *job, args.part, taken);
  if (!reference.ok()) return context.fail(reference.error());
  if (context.json) return context.print({{"job", job->id}, {taken ? "taken" : "put_back", *reference}});
  context.say(fmt::format("job {}: {} {}", job->id, *reference, taken ? "was taken off" : "is there again"));
}

void run_list(Context& context) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto shelf = bench->shelf();
  if (!shelf.ok()) return context.fail(shelf.error());
  Json list = Json::array();
  Table table({"job", "board", "title", "since", "taken", "note"});
  for (const store::Shelved& one : *shelf) {
    const auto job = bench->job(one.job);
    if (!job.ok()) return context.fail(job.error());
    const auto board = bench->board_info(job->board);
    if (!board.ok()) return context.fail(board.error());
    std::string taken;
    for (const std::string& part : one.taken) taken += (taken.empty() ? "" : ", ") + part;
    list.push_back({{"job", one.job},
                    {"board", board->name},
                    {"title", job->title},
                    {"since", one.at},
                    {"taken", one.taken},
                    {"note", one.note}});
    table.row({std::to_string(one.job), board->name, job->title, one.at.substr(0, 10), taken, one.note});
  }
  if (context.json) return context.print({{"shelf", list}});
  if (table.empty()) return context.say("The shelf is empty: shelf add JOB puts a board there.");
  table.print(context);
}

void run_find(Context& context, const ShelfArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto donors = app::find_donors(*bench, args.text);
  if (!donors.ok()) return context.fail(donors.error());
  if (donors->empty()) context.exit = 1;
  Json list = Json::array();
  Table table({"job", "board", "part", "value", "state", "why"});
  for (const app::Donor& donor : *donors) {
    list.push_back({{"job", donor.job},
                    {"board", donor.board},
                    {"part", donor.part},
                    {"value", donor.value},
                    {"footprint", donor.footprint},
                    {"state", word(donor.state)},
                    {"why", donor.why}});
    table.row({std::to_string(donor.job), donor.board, donor.part, donor.value,
               std::string(word(donor.state)), donor.why});
  }
  if (context.json) return context.print({{"donors", list}});
  if (table.empty()) return context.say(fmt::format("no donor on the shelf has {}", args.text));
  table.print(context);
}

// What was predicted and what came, a row a month or quarter.
Json show_money(const Context& context, const rework::record::Money& money) {
  const bool quarters = money.span == rework::record::Span::kQuarter;
  Json periods = Json::array();
  Table table(
      {quarters ? "quarter" : "month", "jobs", "known", "worked", "predicted", "came", "sum of what came"});
  for (const rework::record::Period& period : money.periods) {
    periods.push_back({{"period", period.name},
                       {"jobs", period.jobs},
                       {"known", period.known},
                       {"worked", period.worked},
                       {"predicted", period.said},
                       {"predicted_of_known", period.said_of},
                       {"came", period.came},
                       {"running", period.running},
                       {"running_predicted", period.running_said}});
    table.row({period.name, std::to_string(period.jobs), std::to_string(period.known),
               std::to_string(period.worked), fmt::format("{:.2f}", period.said_of),
               fmt::format("{:.2f}", period.came), fmt::format("{:.2f}", period.running)});
  }
  if (!context.json) {
    context.say("");
    if (!table.empty()) table.print(context);
    context.say(money.says);
  }
  return {{"by", quarters ? "quarter" : "month"},
          {"jobs", money.jobs},
          {"known", money.known},
          {"not_noted", money.open},
          {"without_sums", money.unpriced},
          {"predicted_of_known", money.said_of},
          {"came", money.came},
          {"periods", periods},
          {"says", money.says}};
}

void run_tally(Context& context, const std::string& by) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto tally = app::tally_of(*bench);
  if (!tally.ok()) return context.fail(tally.error());
  std::optional<rework::record::Span> span;
  if (!by.empty()) span = by == "quarter" ? rework::record::Span::kQuarter : rework::record::Span::kMonth;
  const auto money = app::money_of(*bench, span);
  if (!money.ok()) return context.fail(money.error());
  Json bands = Json::array();
  Table table({"said", "jobs", "mean said", "worked", "of what came (95 %)"});
  for (const rework::record::Band& band : tally->bands) {
    if (band.jobs == 0) continue;
    bands.push_back({{"from", band.from},
                     {"to", band.to},
                     {"jobs", band.jobs},
                     {"said", band.said},
                     {"worked", band.worked},
                     {"low", band.low},
                     {"high", band.high}});
    table.row({fmt::format("{:.0f} to {:.0f} %", band.from * 100, band.to * 100), std::to_string(band.jobs),
               fmt::format("{:.0f} %", band.said * 100), std::to_string(band.worked),
               fmt::format("{:.0f} to {:.0f} %", band.low * 100, band.high * 100)});
  }
  if (context.json) {
    return context.print({{"jobs", tally->jobs},
                          {"said", tally->said},
                          {"worked", tally->worked},
                          {"low", tally->low},
                          {"high", tally->high},
                          {"brier", tally->brier},
                          {"brier_always_the_mean", tally->brier_mean},
                          {"bands", bands},
                          {"says", tally->says},
                          {"money", show_money(context, *money)}});
  }
  if (!table.empty()) table.print(context);
  context.say(tally->says);
  show_money(context, *money);
}

}  // namespace

void add_shelf_commands(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<ShelfArgs>();
  auto* shelf = app.add_subcommand("shelf", "donor boards, and who has a part");
  shelf->require_subcommand(1);
  auto* add = shelf->add_subcommand("add", "a job's board onto the shelf");
  add->add_option("job", args->job, "number, or how its title begins")->required();
  add->add_option("--note", args->note, "a line on it");
  add->callback([=] { run_add(*c, *args, false); });
  auto* off = shelf->add_subcommand("off", "off the shelf again");
  off->add_option("job", args->job, "number, or how its title begins")->required();
  off->callback([=] { run_add(*c, *args, true); });
  auto* take = shelf->add_subcommand("take", "a part was taken off it");
  take->add_option("job", args->job, "number, or how its title begins")->required();
  take->add_option("part", args->part, "its reference")->required();
  take->callback([=] { run_take(*c, *args, true); });
  auto* back = shelf->add_subcommand("put-back", "a part that was taken is there again");
  back->add_option("job", args->job, "number, or how its title begins")->required();
  back->add_option("part", args->part, "its reference")->required();
  back->callback([=] { run_take(*c, *args, false); });
  shelf->add_subcommand("list", "what is there")->callback([=] { run_list(*c); });
  auto* find = shelf->add_subcommand("find", "who has this part: value, footprint, or reference");
  find->add_option("text", args->text, "a piece of it")->required();
  find->callback([=] { run_find(*c, *args); });
  auto* tally =
      app.add_subcommand("tally", "how past verdicts fared: chances said, and what came, in money too");
  tally->add_option("--by", args->by, "a row of money a month or a quarter (months up to a year)")
      ->check(CLI::IsMember({"month", "quarter"}));
  tally->callback([=] { run_tally(*c, args->by); });
}

}  // namespace landfall::cli
