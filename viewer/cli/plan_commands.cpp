#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/rework/mend/tap.hpp"
#include "viewer/app/facts.hpp"
#include "viewer/app/intake.hpp"
#include "viewer/app/known_files.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// plan, tap: which wires, from where to where, how they run.

namespace landfall::cli {
namespace {

using rework::Plan;
using rework::PlannedRebuild;
using rework::PlannedWire;

// From the board's lower left corner, as all places that people read.
Json place_json(const BoardIndex& index, Point at) {
  const Point from_corner = at - index.corner();
  return {{"x_mm", mm_of(from_corner.x)}, {"y_mm", mm_of(from_corner.y)}};
}

Json landing_json(const BoardIndex& index, const rework::Landing& landing) {
  Json answer{{"kind", word(landing.kind)},
              {"pin", landing.pin == kNone ? Json(nullptr) : Json(index.pin_text(landing.pin))},
              {"side", word(landing.side)}};
  answer.update(place_json(index, landing.at));
  return answer;
}

// Which grade a line is judged at, whether anybody said that it runs so, and the setting that says it.
Json speed_json(const rework::physics::WireJudgement& judged) {
  if (judged.grade.empty()) return nullptr;
  return {{"grade", judged.grade},
          {"assumed", judged.grade_assumed},
          {"setting", name_or_null(judged.grade_setting)}};
}

Json wire_json(const BoardIndex& index, const PlannedWire& wire) {
  const auto& j = wire.judgement;
  Json route = Json::array();
  for (const Point p : wire.route) {
    const Json place = place_json(index, p);
    route.push_back({place["x_mm"], place["y_mm"]});
  }
  return {{"number", wire.number},
          {"done", wire.done},
          {"net", index.board().nets[wire.jumper.net].name},
          {"from", wire.from},
          {"to", wire.to},
          {"landing", landing_json(index, wire.jumper.to)},
          {"length_mm", mm_of(wire.length)},
          {"wire", wire.wire},
          {"ohm", j.ohm},
          {"delay_ps", j.delay_ps},
          {"delay_bound", j.bound},
          {"share", j.share ? Json(*j.share) : Json(nullptr)},
          {"word", word(wire.word)},
          {"why", wire.jumper.why},
          {"signal", j.why},
          {"interface", name_or_null(wire.interface)},
          {"speed", speed_json(j)},
          {"pair_with", name_or_null(wire.pair_with)},
          {"under_part", wire.under_part},
          {"other_side", wire.other_side},
          {"clear_way", wire.clear_way},
          {"procedure", wire.procedure.number},
          {"skill", wire.procedure.skill},
          {"beware", wire.beware},
          {"before", wire.before},
          {"after", wire.after},
          {"route", route}};
}

Json rebuild_json(const PlannedRebuild& rebuild) {
  return {{"number", rebuild.number},
          {"done", rebuild.done},
          {"site", rebuild.at},
          {"net", rebuild.net},
          {"conductors", rebuild.rebuild.conductors},
          {"on_via", rebuild.rebuild.on_via},
          {"why", rebuild.rebuild.why},
          {"procedure", rebuild.procedure.number},
          {"skill", rebuild.procedure.skill},
          {"beware", rebuild.beware},
          {"before", rebuild.before},
          {"after", rebuild.after}};
}

Json plan_json(const app::PlanAnswer& answer) {
  const BoardIndex& index = answer.job.board->index();
  const Plan& plan = answer.plan;
  Json wires = Json::array();
  for (const PlannedWire& wire : plan.wires) wires.push_back(wire_json(index, wire));
  Json rebuilds = Json::array();
  for (const PlannedRebuild& rebuild : plan.rebuilds) rebuilds.push_back(rebuild_json(rebuild));
  Json says = Json::array();
  std::string bottleneck;
  for (const auto& escape : plan.escapes) {
    says.push_back(escape.says);
    if (!escape.escape.fits) bottleneck = escape.says;
  }
  Json sizes = Json::array();
  for (const auto& size : plan.sizes)
    sizes.push_back({{"wire", size.wire},
                     {"fits", size.fits},
                     {"may_fit", size.may_fit},
                     {"found", size.found},
                     {"asked", size.asked}});
  Json cannot = Json::array();
  for (const auto& mend : answer.job.assessment.mends) {
    for (const auto& pin : mend.cannot)
      cannot.push_back({{"pin", index.pin_text(pin.pin)}, {"why", pin.why}});
  }
  Json failed = Json::array();
  for (const auto& one : answer.failed)
    failed.push_back({{"number", one.number > 0 ? Json(one.number) : Json(nullptr)},
                      {"site", one.outcome.site},
                      {"kind", one.outcome.kind},
                      {"at", one.outcome.at},
                      {"note", name_or_null(one.outcome.note)},
                      {"again", one.again}});
  return {{"job", answer.job.job.id},
          {"board", answer.job.board->info().name},
          {"wire", plan.wire},
          {"bound", plan.bound},
          {"because", plan.because_bound},
          {"rebuilds", rebuilds},
          {"jumpers", wires},
          {"cannot", cannot},
          {"failed", failed},
          {"escape",
           {{"fits", plan.fits}, {"bottleneck", name_or_null(bottleneck)}, {"says", says}, {"sizes", sizes}}},
          {"warning", rework::kNearEndWarning}};
}

int word_colour(rework::physics::Word word) {
  switch (word) {
    case rework::physics::Word::kFine:
      return 32;
    case rework::physics::Word::kRisky:
      return 33;
    case rework::physics::Word::kWillNotWork:
      return 31;
    case rework::physics::Word::kNotJudged:
      return 36;
  }
  return 0;
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& one : words) text += (text.empty() ? "" : ", ") + one;
  return text;
}

void print_plan(const Context& context, const app::PlanAnswer& answer) {
  const Plan& plan = answer.plan;
  const Board& board = answer.job.board->board();
  context.say(fmt::format("job {} on {}: {}{}, {}{}", context.bold(std::to_string(answer.job.job.id)),
                          answer.job.board->info().name, plan.bound ? "at most " : "",
                          count_of(plan.wires.size(), "wire"), count_of(plan.rebuilds.size(), "rebuild"),
                          done_text(plan)));
  if (!plan.rebuilds.empty()) {
    context.say("");
    Table table({"no", "rebuild", "net", "procedure", "why"});
    for (const PlannedRebuild& r : plan.rebuilds)
      table.row({std::to_string(r.number), r.at, r.net,
                 fmt::format("{} {}", r.procedure.number, r.procedure.skill),
                 (r.done ? "done; " : "") + r.rebuild.why});
    table.print(context);
  }
  if (!plan.wires.empty()) {
    context.say("");
    Table table({"no", "from", "to", "cut mm", "net", "signal", "how"});
    for (const PlannedWire& w : plan.wires) {
      std::string how = (w.done ? "done; " : "") + w.judgement.why;
      if (w.pair && !w.pair->why.empty()) how += "; " + w.pair->why;
      if (w.under_part) how += "; stays under the chip";
      if (w.other_side) how += "; to the other side";
      if (!w.clear_way && w.length > 0) how += "; no clear way was found, the length is a straight line's";
      table.row({std::to_string(w.number), w.from, w.to, w.length > 0 ? mm_text(w.length, 1) : "?",
                 board.nets[w.jumper.net].name, context.paint(std::string(word(w.word)), word_colour(w.word)),
                 how});
    }
    table.print(context);
    context.say("");
    context.say(context.bold("test for shorts"));
    for (const PlannedWire& w : plan.wires)
      context.say(fmt::format("  {:>2}  {}", w.number,
                              w.beware.empty()
                                  ? (w.length > 0 ? "no neighbour near" : "the neighbours are not known")
                                  : joined(w.beware)));
  }
  if (!answer.failed.empty()) {
    context.say("");
    context.say(context.bold("tried and failed; numbers stay"));
    for (const auto& failed : answer.failed) context.say("  " + app::failed_text(failed));
  }
  context.say("");
  for (const auto& escape : plan.escapes) {
    context.say(fmt::format("between {}'s balls: {}", board.parts[escape.part].reference, escape.says));
  }
  std::string sizes;
  for (const auto& size : plan.sizes) {
    if (size.asked > 0)
      sizes += fmt::format("{}{} {}", sizes.empty() ? "" : ", ", size.wire, rework::fit_text(size));
  }
  if (!sizes.empty()) context.say("with other wires: " + sizes);
  for (const auto& mend : answer.job.assessment.mends) {
    for (const auto& pin : mend.cannot)
      context.say(fmt::format("cannot: {}: {}", answer.job.board->index().pin_text(pin.pin), pin.why));
  }
  for (const std::string& why : plan.because_bound) context.say("at most: " + why);
  if (!plan.wires.empty()) {
    context.say("");
    context.say(std::string(rework::kNearEndWarning));
    context.say("Battery out and capacitors down before heat; mind hot boards, fumes, static and your eyes.");
  }
}

void run_plan(Context& context, const std::string& job) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto answer = app::plan_job(*bench, job);
  if (!answer.ok()) return context.fail(answer.error());
  if (answer->job.job.safety_critical == SafetyAnswer::kYes) {
    if (context.json) {
      context.print({{"job", answer->job.job.id}, {"referral", rework::verdict::kSafetyReferral}});
    } else {
      context.say(std::string(rework::verdict::kSafetyReferral));
    }
    context.exit = 1;
    return;
  }
  const auto rescued = app::rescued_note(*bench, answer->job.board->info().id);
  if (context.json) return context.print(with_rescued(plan_json(*answer), rescued));
  const auto intake = bench->intake(answer->job.job.id);
  if (!intake.ok()) return context.fail(intake.error());
  if (!intake->empty()) {
    for (const std::string& caution : app::intake_cautions(*intake, answer->job.job.safety_critical))
      context.say("! " + caution);
  }
  print_plan(context, *answer);
  if (rescued) context.say(*rescued);
}

struct TapArgs {
  std::string board;
  std::vector<std::string> nets;
  std::string side = "top";
  bool both_sides = false;
};

void run_tap(Context& context, const TapArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, args.board);
  if (!board.ok()) return context.fail(board.error());
  std::vector<Index> nets;
  for (const std::string& name : args.nets) {
    const auto net = app::find_net(**board, name);
    if (!net.ok()) return context.fail(net.error());
    nets.push_back(*net);
  }
  rework::LandingRules rules;
  rules.side = args.side == "bottom" ? Side::kBottom : Side::kTop;
  rules.both_sides = args.both_sides;
  rules.marked.assign((*board)->board().pins.size(), 0);
  const rework::Tap tap = rework::tap((*board)->index(), (*board)->copper(), nets, rules);
  const BoardIndex& index = (*board)->index();
  bool all = true;
  Json points = Json::array();
  Table table({"net", "landing", "side", "place, mm"});
  for (const auto& point : tap.points) {
    const std::string& name = (*board)->board().nets[point.net].name;
    all = all && point.found;
    if (point.found) {
      Json landing = landing_json(index, point.landing);
      landing["net"] = name;
      points.push_back(std::move(landing));
      table.row({name, rework::landing_text(index, point.landing), std::string(word(point.landing.side)),
                 index.place_text(point.landing.at)});
    } else {
      points.push_back({{"net", name}, {"why_not", point.why_not}});
      table.row({name, point.why_not});
    }
  }
  if (!all) context.exit = 1;
  if (context.json)
    return context.print(
        {{"board", (*board)->info().name}, {"points", points}, {"spread_mm", mm_of(tap.spread)}});
  table.print(context);
  context.say(fmt::format("within {} mm of one another", mm_text(tap.spread, 1)));
}

}  // namespace

void add_plan_commands(CLI::App& app, Context& context) {
  Context* c = &context;
  auto job = std::make_shared<std::string>();
  auto* plan = app.add_subcommand("plan", "which wires, from where to where, how they run");
  plan->add_option("job", *job, "number, or how its title begins")->required();
  plan->callback([=] { run_plan(*c, *job); });

  auto args = std::make_shared<TapArgs>();
  auto* tap = app.add_subcommand("tap", "where a set of nets can be reached, close together");
  tap->add_option("board", args->board, "name or number")->required();
  tap->add_option("nets", args->nets, "the nets")->required();
  tap->add_option("--side", args->side, "top or bottom")->check(CLI::IsMember({"top", "bottom"}));
  tap->add_flag("--both-sides", args->both_sides, "either side will do");
  tap->callback([=] { run_tap(*c, *args); });
}

}  // namespace landfall::cli
