#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// verdict: the options in figures.

namespace landfall::cli {
namespace {

using rework::verdict::Option;
using rework::verdict::Verdict;

Json interval_json(const rework::verdict::Interval& interval) {
  return {{"mean", interval.mean}, {"low", interval.low}, {"high", interval.high}};
}

Json option_json(const Option& option) {
  Json terms = Json::array();
  for (const auto& term : option.terms)
    terms.push_back({{"name", term.name}, {"how", term.how}, {"money", term.money}});
  return {{"option", word(option.kind)},
          {"offered", option.offered},
          {"why_not", name_or_null(option.why_not)},
          {"margin", option.margin},
          {"margin_low", option.margin_low},
          {"margin_high", option.margin_high},
          {"chance", option.chance ? interval_json(*option.chance) : Json(nullptr)},
          {"price", option.price},
          {"minutes", option.minutes},
          {"terms", terms}};
}

Json stays_lost_json(const app::PlanAnswer& answer) {
  const Signals& signals = answer.job.board->signals();
  const auto groups = [](const std::vector<rework::GroupAnswer>& list, const auto& name_of) {
    Json out = Json::array();
    for (const auto& group : list)
      out.push_back(
          {{"name", name_of(group.group)}, {"state", word(group.state)}, {"because", group.because}});
    return out;
  };
  const auto& lost = answer.stays_lost;
  return {{"wires", lost.wires},
          {"nets", groups(lost.nets, [&](Index n) { return answer.job.board->board().nets[n].name; })},
          {"lanes", groups(lost.lanes, [&](Index n) { return signals.lanes[n].name; })},
          {"channels", groups(lost.channels, [&](Index n) { return signals.channels[n].name; })}};
}

Json verdict_json(const app::PlanAnswer& answer) {
  const Verdict& v = *answer.verdict;
  Json options = Json::array();
  for (const Option& option : v.options) options.push_back(option_json(option));
  Json chances = Json::array();
  for (const auto& chance : v.chances) {
    chances.push_back({{"kind", word(chance.kind)},
                       {"n", chance.n},
                       {"prior", chance.prior},
                       {"prior_weight", chance.prior_weight},
                       {"worked", chance.own.worked},
                       {"failed", chance.own.failed},
                       {"mean", chance.mean},
                       {"all", chance.power}});
  }
  Json soonest = Json::array();
  for (const auto& flip : v.soonest)
    soonest.push_back({{"setting", flip.setting},
                       {"from", flip.from},
                       {"to", flip.to},
                       {"relative", flip.relative},
                       {"then", word(flip.then)}});
  return {{"job", answer.job.job.id},
          {"board", answer.job.board->info().name},
          {"best", word(v.best)},
          {"says", v.says},
          {"options", options},
          {"break_even_chance", v.break_even_chance ? Json(*v.break_even_chance) : Json(nullptr)},
          {"break_even_against", word(v.break_even_against)},
          {"break_even_wires", v.wires.most ? Json(*v.wires.most) : Json(nullptr)},
          {"wires", v.wires.now},
          {"done",
           {{"pieces", v.behind.done},
            {"of", v.behind.all},
            {"wires", v.behind.wires_done},
            {"minutes", v.behind.minutes},
            {"money", v.behind.money}}},
          {"chances", chances},
          {"soonest", soonest},
          {"stays_lost", stays_lost_json(answer)},
          {"remarks", v.remarks}};
}

void print_option(const Context& context, const Option& option, bool best) {
  const std::string name(word(option.kind));
  if (!option.offered) {
    context.say(fmt::format("  {:<20} not offered: {}", name, option.why_not));
    return;
  }
  std::string line = fmt::format("  {:<20} {:>9.2f}", name, option.margin);
  if (option.chance) {
    line += fmt::format("  ({:.2f} to {:.2f}); chance {:.0f} % ({:.0f} to {:.0f} %)", option.margin_low,
                        option.margin_high, 100 * option.chance->mean, 100 * option.chance->low,
                        100 * option.chance->high);
  }
  context.say(best ? context.bold(line) : line);
  for (const auto& term : option.terms)
    context.say(fmt::format("      {:<26} {:>9.2f}   {}", term.name, term.money, term.how));
}

void print_verdict(const Context& context, const app::PlanAnswer& answer) {
  const Verdict& v = *answer.verdict;
  if (answer.job.job.marks.empty()) context.say(std::string(app::kNothingMarked));
  context.say(context.bold(v.says));
  context.say("");
  for (const Option& option : v.options) print_option(context, option, option.kind == v.best);
  context.say("");
  context.say(v.break_even_says);
  if (v.wires.most)
    context.say(fmt::format("wires: {} {}; with up to {}{} the repair still beats {}", v.wires.now,
                            v.behind.wires_done > 0 ? "left" : "now", *v.wires.most,
                            v.wires.beyond_search ? " and more" : "", word(v.wires.against)));
  if (!v.chances.empty()) {
    context.say("");
    Table table({"chance", "times", "prior", "own cases", "now", "all of them"});
    for (const auto& c : v.chances)
      table.row({std::string(word(c.kind)), std::to_string(c.n),
                 fmt::format("{:.2f} as {:.0f} cases", c.prior, c.prior_weight),
                 fmt::format("{} of {}", c.own.worked, c.own.worked + c.own.failed),
                 fmt::format("{:.3f}", c.mean), fmt::format("{:.3f}", c.power)});
    table.print(context);
  }
  if (!v.soonest.empty()) {
    context.say("");
    context.say("what would change the answer soonest:");
    for (const auto& flip : v.soonest)
      context.say(fmt::format("  {} from {:g} to {:.4g}: then {}", flip.setting, flip.from, flip.to,
                              word(flip.then)));
  }
  for (const std::string& remark : v.remarks) {
    if (remark != app::kNothingMarked) context.say(remark);  // that stands first
  }
  if (v.option(rework::verdict::OptionKind::kOneChannel).offered) {
    context.say(
        "One channel: whether the firmware starts with one, and skips one that failed its training, is the "
        "board's own matter (common practice, no source).");
  }
  context.say("");
  context.say("This advises; you decide. Prices, times and chances are the shop's own: landfall settings.");
}

struct VerdictArgs {
  std::string job;
  std::vector<std::string> set;
  std::vector<int> without;
};

void run_verdict(Context& context, const VerdictArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  app::Overlay what_if;
  for (const std::string& one : args.set) {
    const auto equals = one.find('=');
    const auto value =
        equals == std::string::npos ? std::nullopt : parse_decimal(std::string_view(one).substr(equals + 1));
    if (!value)
      return context.fail(
          {ErrorCode::kUsage, fmt::format("{}: write NAME=VALUE, such as price.repair=250", one)});
    what_if[one.substr(0, equals)] = *value;
  }
  auto job = app::assess_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  const auto stands = app::plan_job(*bench, std::move(job).value(), {});
  if (!stands.ok()) return context.fail(stands.error());
  const bool trial = !what_if.empty() || !args.without.empty();
  const auto answer =
      trial && stands->verdict ? app::try_out(*bench, *stands, what_if, args.without) : stands;
  if (!answer.ok()) return context.fail(answer.error());
  if (!answer->verdict) {
    context.exit = 1;
    if (context.json)
      return context.print({{"job", answer->job.job.id}, {"referral", rework::verdict::kSafetyReferral}});
    return context.say(std::string(rework::verdict::kSafetyReferral));
  }
  if (context.json) {
    Json out = verdict_json(*answer);
    // What is tried stands beside what holds.
    if (trial) out["as_it_stands"] = verdict_json(*stands);
    return context.print(out);
  }
  print_verdict(context, *answer);
  if (trial) {
    context.say("");
    context.say("A trial, kept nowhere. As it stands: " + stands->verdict->says + ".");
  }
}

}  // namespace

void add_verdict_command(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<VerdictArgs>();
  auto* verdict = app.add_subcommand("verdict", "repair, one channel, swap, harvest or decline, in figures");
  verdict->add_option("job", args->job, "number, or how its title begins")->required();
  verdict->add_option("--set", args->set, "NAME=VALUE: try another figure, kept nowhere");
  verdict->add_option("--without", args->without, "leave out these wires of the plan");
  verdict->callback([=] { run_verdict(*c, *args); });
}

}  // namespace landfall::cli
