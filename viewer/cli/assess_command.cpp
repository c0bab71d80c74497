#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/known_files.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// assess: what was lost, and what it takes.

namespace landfall::cli {
namespace {

using rework::Assessment;
using rework::GroupAnswer;
using rework::Need;
using rework::State;

Json group_json(const std::string& name, const GroupAnswer& group) {
  return {{"name", name}, {"state", word(group.state)}, {"because", group.because}};
}

Json assess_json(const app::JobAnswer& answer) {
  const Board& board = answer.board->board();
  const Signals& signals = answer.board->signals();
  const Assessment& a = answer.assessment;
  Json sites = Json::array();
  for (const auto& site : a.sites) {
    const Pin& pin = board.pins[site.pin];
    Json entry{{"part", board.parts[pin.part].reference},
               {"ball", pin.number},
               {"net", name_or_null(net_name(board, pin.net))},
               {"mark", word(site.mark)},
               {"need", word(site.need)},
               {"reason", site.reason}};
    add_groups(entry, signals, pin.net);
    sites.push_back(std::move(entry));
  }
  Json nets = Json::array();
  Json buses = Json::array();
  Json lanes = Json::array();
  Json channels = Json::array();
  for (const auto& g : a.nets) nets.push_back(group_json(board.nets[g.group].name, g));
  for (const auto& g : a.buses) buses.push_back(group_json(signals.buses[g.group].name, g));
  for (const auto& g : a.lanes) lanes.push_back(group_json(signals.lanes[g.group].name, g));
  for (const auto& g : a.channels) channels.push_back(group_json(signals.channels[g.group].name, g));
  Json cut_off = Json::array();
  for (const Index pin : a.cut_off) cut_off.push_back(answer.board->index().pin_text(pin));
  Json strays = Json::array();
  for (const Mark& mark : a.strays) strays.push_back(mark.part + "." + mark.ball);
  return {{"job", answer.job.id},
          {"board", answer.board->info().name},
          {"safety_critical", word(answer.job.safety_critical)},
          {"sites", sites},
          {"cut_off", cut_off},
          {"not_inspected", a.not_inspected},
          {"sound", a.sound},
          {"strays", strays},
          {"nets", nets},
          {"buses", buses},
          {"lanes", lanes},
          {"channels", channels},
          {"jumpers",
           {{"count", a.wires},
            {"rebuilds", a.rebuilds},
            {"optional", a.optional},
            {"none", a.none},
            {"cannot", a.cannot},
            {"bound", a.bound},
            {"because", a.because_bound}}}};
}

int state_colour(State state) {
  switch (state) {
    case State::kUp:
      return 32;
    case State::kDegraded:
      return 33;
    case State::kDown:
      return 31;
    case State::kUnknown:
      return 36;
  }
  return 0;
}

void print_sites(const Context& context, const app::JobAnswer& answer) {
  const Board& board = answer.board->board();
  const Signals& signals = answer.board->signals();
  Table table({"site", "mark", "need", "net", "group", "why"});
  // What must be done first, what needs nothing last.
  for (const Need need : {Need::kCannot, Need::kWire, Need::kRebuild, Need::kOptional, Need::kNone}) {
    for (const auto& site : answer.assessment.sites) {
      if (site.need != need) continue;
      const Pin& pin = board.pins[site.pin];
      const std::string lane = lane_name(signals, pin.net);
      table.row({answer.board->index().pin_text(site.pin), std::string(word(site.mark)),
                 std::string(word(site.need)), net_name(board, pin.net),
                 lane.empty() ? bus_name(signals, pin.net) : lane, site.reason});
    }
  }
  if (!table.empty()) table.print(context);
}

bool is_marked(const rework::Assessment& assessment, Index pin) {
  return std::any_of(assessment.sites.begin(), assessment.sites.end(),
                     [&](const auto& site) { return site.pin == pin; });
}

void print_channels(const Context& context, const app::JobAnswer& answer) {
  const Signals& signals = answer.board->signals();
  std::size_t untouched = 0;
  context.say(context.bold("effect"));
  for (const auto& g : answer.assessment.channels) {
    const Channel& channel = signals.channels[g.group];
    if (g.state == State::kUp && channel.kind != InterfaceKind::kMemory) {
      ++untouched;
      continue;
    }
    context.say(fmt::format("  {:<10} {}  ({}): {}",
                            context.paint(std::string(word(g.state)), state_colour(g.state)),
                            context.bold(channel.name), channel.what, g.because));
    for (const auto& lane : answer.assessment.lanes) {
      if (signals.lanes[lane.group].channel != g.group || lane.state == State::kUp) continue;
      context.say(fmt::format("      {} {}: {}", signals.lanes[lane.group].name, word(lane.state),
                              count_of(lane.lost.size(), "line")));
    }
  }
  if (untouched > 0) context.say(fmt::format("  {} up, untouched", count_of(untouched, "other interface")));
  std::string lone;
  for (const auto& g : answer.assessment.nets) {
    const NetSignal& signal = signals.nets[g.group];
    if (g.state == State::kUp || is_supply(signal.signal_class) || signal.channel != kNone) continue;
    lone +=
        fmt::format("  {:<10} {}: {}\n", word(g.state), answer.board->board().nets[g.group].name, g.because);
  }
  if (!lone.empty()) context.say(lone.substr(0, lone.size() - 1));
  std::string cut_off;
  std::string open;
  for (const auto& mend : answer.assessment.mends) {
    for (const Index pin : mend.cut_off) {
      const bool read = std::find(mend.open.begin(), mend.open.end(), pin) != mend.open.end();
      std::string& list = read ? open : cut_off;
      list += (list.empty() ? "" : ", ") + answer.board->index().pin_text(pin);
    }
  }
  if (!cut_off.empty()) context.say("  cut off by the marks, though nobody marked them: " + cut_off);
  if (!open.empty()) context.say("  measured open, though nobody marked them: " + open);
  std::string unmarked;  // counted with the sites that cannot be mended, but no row of the table
  for (const auto& mend : answer.assessment.mends) {
    for (const auto& pin : mend.cannot) {
      if (!is_marked(answer.assessment, pin.pin))
        unmarked += fmt::format("\n  cannot     {}, though nobody marked it: {}",
                                answer.board->index().pin_text(pin.pin), pin.why);
    }
  }
  if (!unmarked.empty()) context.say(unmarked.substr(1));
  std::string supplies;
  for (const auto& g : answer.assessment.nets) {
    if (g.state == State::kUp || !is_supply(signals.nets[g.group].signal_class)) continue;
    supplies += fmt::format("  {:<10} supply {}: {}\n", word(g.state),
                            answer.board->board().nets[g.group].name, g.because);
  }
  if (!supplies.empty()) context.say(supplies.substr(0, supplies.size() - 1));
}

void run_assess(Context& context, const std::string& job) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto answer = app::assess_job(*bench, job);
  if (!answer.ok()) return context.fail(answer.error());
  const auto rescued = app::rescued_note(*bench, answer->board->info().id);
  if (context.json) return context.print(with_rescued(assess_json(*answer), rescued));
  const Assessment& a = answer->assessment;
  context.say(fmt::format("job {} on {}{}", context.bold(std::to_string(answer->job.id)),
                          answer->board->info().name,
                          answer->job.title.empty() ? "" : ": " + answer->job.title));
  if (answer->job.safety_critical == SafetyAnswer::kYes) {
    context.say(
        "Safety-critical: this board goes to the maker's authorised repair. What follows tells what was "
        "lost, not how to mend it.");
  }
  context.say(fmt::format("{} marked, {} sound, {} not inspected", count_of(a.sites.size(), "site"), a.sound,
                          a.not_inspected));
  for (const Mark& mark : a.strays)
    context.say(fmt::format("{}.{} is marked {} but is not on the board any more", mark.part, mark.ball,
                            word(mark.kind)));
  context.say("");
  print_sites(context, *answer);
  context.say("");
  print_channels(context, *answer);
  context.say("");
  context.say(context.bold((a.bound ? "at most " : "") + count_of(a.wires, "wire")) +
              fmt::format(", {}, {} cannot be mended on the board; {} optional, {} need nothing",
                          count_of(a.rebuilds, "rebuild"), a.cannot, a.optional, a.none));
  for (const std::string& why : a.because_bound) context.say("  " + why);
  if (rescued) context.say("  " + *rescued);
  const auto limit = app::setting(*bench, *find_setting("wires.rarely-pays"));
  if (limit.ok() && static_cast<double>(a.wires) > *limit) {
    context.say(fmt::format(
        "  beyond {} wires on fast lines a repair rarely pays (common practice, no source)", *limit));
  }
}

}  // namespace

void add_assess_command(CLI::App& app, Context& context) {
  auto job = std::make_shared<std::string>();
  Context* c = &context;
  auto* assess = app.add_subcommand("assess", "need per site; nets, buses, lanes, channels; wires, rebuilds");
  assess->add_option("job", *job, "number, or how its title begins")->required();
  assess->callback([=] { run_assess(*c, *job); });
}

}  // namespace landfall::cli
