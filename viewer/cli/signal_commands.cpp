#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// signals, why, rule.

namespace landfall::cli {
namespace {

using app::OpenBoard;

void run_signals(Context& context, const std::string& text) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, text);
  if (!board.ok()) return context.fail(board.error());
  const OpenBoard& open = **board;
  const Signals& signals = open.signals();
  std::vector<Index> nets(open.board().nets.size());
  for (Index i = 0; i < nets.size(); ++i) nets[i] = i;
  std::sort(nets.begin(), nets.end(), [&](Index a, Index b) {
    return natural_less(open.board().nets[a].name, open.board().nets[b].name);
  });
  if (context.json) {
    Json list = Json::array();
    for (const Index net : nets) {
      Json entry{{"net", open.board().nets[net].name}};
      add_groups(entry, signals, net);
      entry["why"] = why_json(signals, net);
      list.push_back(std::move(entry));
    }
    Json channels = Json::array();
    for (const Channel& channel : signals.channels)
      channels.push_back({{"name", channel.name}, {"what", channel.what}});
    return context.print({{"board", open.info().name}, {"nets", list}, {"channels", channels}});
  }
  Table table({"net", "class", "lane or bus", "channel", "from"});
  for (const Index net : nets) {
    const std::string lane = lane_name(signals, net);
    const auto& why = signals.nets[net].why;
    table.row({open.board().nets[net].name, class_name(signals, net),
               lane.empty() ? bus_name(signals, net) : lane, channel_name(signals, net),
               why.empty() ? "" : why.front().source});
  }
  table.print(context);
}

// A net's name or PART.BALL.
Result<Index> net_or_ball(const OpenBoard& open, const std::string& text) {
  auto net = app::find_net(open, text);
  if (net.ok() || net.error().code == ErrorCode::kChoice) return net;
  const auto pin = app::find_pin(open, text);
  if (!pin.ok()) return text.find('.') == std::string::npos ? net : Result<Index>(pin.error());
  const Index found = open.board().pins[*pin].net;
  if (found == kNone) return Error{ErrorCode::kNotFound, fmt::format("{} is on no net", text)};
  return found;
}

void run_why(Context& context, const std::string& text, const std::string& what) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, text);
  if (!board.ok()) return context.fail(board.error());
  const OpenBoard& open = **board;
  const auto net = net_or_ball(open, what);
  if (!net.ok()) return context.fail(net.error());
  const NetSignal& signal = open.signals().nets[*net];
  Json answer{{"net", open.board().nets[*net].name}};
  add_groups(answer, open.signals(), *net);
  answer["why"] = why_json(open.signals(), *net);
  if (context.json) return context.print(answer);
  context.say(
      fmt::format("{}: {}", context.bold(open.board().nets[*net].name), class_name(open.signals(), *net)));
  if (signal.why.empty()) context.say("  nothing says what it is for");
  for (const Evidence& evidence : signal.why)
    context.say(fmt::format("  {}  <-  {}", evidence.says, evidence.source));
}

struct RuleArgs {
  std::string board, pattern, signal_class, bus, lane, channel;
  std::int64_t id = 0;
};

void run_rule_add(Context& context, const RuleArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto info = app::find_board(*bench, args.board);
  if (!info.ok()) return context.fail(info.error());
  NameRule rule{0, args.pattern, std::nullopt, args.bus, args.lane, args.channel};
  if (!args.signal_class.empty()) {
    rule.signal_class = signal_class(app::lower(args.signal_class));
    if (!rule.signal_class)
      return context.fail(
          {ErrorCode::kUsage, args.signal_class +
                                  " is no class; power, ground, clock, strobe, data, mask, address, command, "
                                  "control, differential, analogue, unconnected, unknown are"});
  }
  if (!rule.signal_class && rule.bus.empty() && rule.lane.empty() && rule.channel.empty()) {
    return context.fail(
        {ErrorCode::kUsage, "the rule says nothing: give --class, --bus, --lane or --channel"});
  }
  const auto id = bench->add_rule(info->id, rule);
  if (!id.ok()) return context.fail(id.error());
  if (context.json) return context.print({{"rule", *id}});
  context.say(fmt::format("rule {} added", *id));
}

void run_rule_list(Context& context, const RuleArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto info = app::find_board(*bench, args.board);
  if (!info.ok()) return context.fail(info.error());
  const auto rules = bench->rules(info->id);
  if (!rules.ok()) return context.fail(rules.error());
  Json list = Json::array();
  Table table({"no", "names", "class", "bus", "lane", "channel"});
  for (const NameRule& rule : *rules) {
    const std::string c = rule.signal_class ? std::string(word(*rule.signal_class)) : "";
    list.push_back({{"id", rule.id},
                    {"pattern", rule.pattern},
                    {"class", name_or_null(c)},
                    {"bus", name_or_null(rule.bus)},
                    {"lane", name_or_null(rule.lane)},
                    {"channel", name_or_null(rule.channel)}});
    table.row({std::to_string(rule.id), rule.pattern, c, rule.bus, rule.lane, rule.channel});
  }
  if (context.json) return context.print({{"rules", list}});
  if (table.empty())
    return context.say("No rules yet. landfall rule add BOARD 'PATTERN' --class data adds one.");
  table.print(context);
}

void run_rule_remove(Context& context, const RuleArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto info = app::find_board(*bench, args.board);
  if (!info.ok()) return context.fail(info.error());
  if (auto removed = bench->remove_rule(info->id, args.id); !removed.ok())
    return context.fail(removed.error());
  if (context.json) return context.print({{"removed", args.id}});
  context.say(fmt::format("rule {} removed", args.id));
}

}  // namespace

void add_signal_commands(CLI::App& app, Context& context) {
  struct Args {
    std::string board, what;
    RuleArgs rule;
  };
  auto args = std::make_shared<Args>();
  Context* c = &context;
  auto* signals =
      app.add_subcommand("signals", "class, bus, lane and channel of every net, and from what evidence");
  signals->add_option("board", args->board, "name or number")->required();
  signals->callback([=] { run_signals(*c, args->board); });
  auto* why = app.add_subcommand("why", "the evidence for one net or ball");
  why->add_option("board", args->board, "name or number")->required();
  why->add_option("what", args->what, "a net, or PART.BALL")->required();
  why->callback([=] { run_why(*c, args->board, args->what); });

  auto* rule = app.add_subcommand("rule", "your own rules for names, kept with the board");
  rule->require_subcommand(1);
  auto* add = rule->add_subcommand("add", "nets whose names match belong there");
  add->add_option("board", args->rule.board, "name or number")->required();
  add->add_option("pattern", args->rule.pattern, "'*' any text, '?' one sign")->required();
  add->add_option("--class", args->rule.signal_class, "their class");
  add->add_option("--bus", args->rule.bus, "their bus");
  add->add_option("--lane", args->rule.lane, "their lane");
  add->add_option("--channel", args->rule.channel, "their channel");
  add->callback([=] { run_rule_add(*c, args->rule); });
  auto* list = rule->add_subcommand("list", "the board's rules");
  list->add_option("board", args->rule.board, "name or number")->required();
  list->callback([=] { run_rule_list(*c, args->rule); });
  auto* remove = rule->add_subcommand("remove", "take a rule away");
  remove->add_option("board", args->rule.board, "name or number")->required();
  remove->add_option("rule", args->rule.id, "its number")->required();
  remove->callback([=] { run_rule_remove(*c, args->rule); });
}

}  // namespace landfall::cli
