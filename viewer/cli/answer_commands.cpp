#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/about.hpp"
#include "viewer/app/find_board.hpp"
#include "viewer/app/landings.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// find, ball, net.

namespace landfall::cli {
namespace {

using app::OpenBoard;

constexpr std::size_t kMostHits = 50;

void run_find(Context& context, const std::string& text, const std::string& board_text) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  std::vector<store::BoardInfo> boards;
  if (!board_text.empty()) {
    auto info = app::find_board(*bench, board_text);
    if (!info.ok()) return context.fail(info.error());
    boards.push_back(std::move(info).value());
  } else {
    auto all = bench->boards();
    if (!all.ok()) return context.fail(all.error());
    boards = std::move(all).value();
  }
  Json list = Json::array();
  Table table({"kind", "name", "where", "class", "net", "board"});
  std::size_t total = 0;
  for (const store::BoardInfo& info : boards) {
    const auto found = app::find_on_board(*bench, info.id, text, kMostHits, !context.json);
    if (!found.ok()) return context.fail(found.error());
    total += found->total;
    for (const app::FoundThing& thing : found->things) {
      list.push_back({{"board", info.name},
                      {"kind", word(thing.kind)},
                      {"name", thing.name},
                      {"where", name_or_null(thing.where)},
                      {"net", name_or_null(thing.net)}});
      table.row({std::string(word(thing.kind)), thing.name, thing.where == thing.name ? "" : thing.where,
                 thing.on_net ? std::string(word(thing.signal_class)) : "",
                 thing.kind == app::HitKind::kNet ? "" : thing.net, info.name});
    }
  }
  if (list.empty())
    return context.fail(
        {ErrorCode::kNotFound, fmt::format("No net, ball, part or function has \"{}\".", text)});
  if (context.json) return context.print({{"hits", list}, {"total", total}});
  table.print(context);
  if (total > list.size()) context.say(fmt::format("and {} more", total - list.size()));
}

Json pin_json(const app::PinOnNet& pin) {
  Json entry{{"pin", pin.name},
             {"value", pin.value},
             {"function", name_or_null(pin.function)},
             {"fitted", pin.fitted}};
  entry["side"] = pin.placed ? Json(word(pin.side)) : Json(nullptr);
  entry["mm"] = pin.from_here ? Json(mm_of(*pin.from_here)) : Json(nullptr);
  return entry;
}

Json net_json(const OpenBoard& open, const app::AboutNet& about) {
  const Net& net = open.board().nets[about.net];
  Json answer{{"net", net.name}, {"aliases", net.aliases}};
  add_groups(answer, open.signals(), about.net);
  answer["why"] = why_json(open.signals(), about.net);
  Json pins = Json::array();
  for (const auto& pin : about.pins) pins.push_back(pin_json(pin));
  answer["pins"] = pins;
  Json beyond = Json::array();
  for (const auto& b : about.beyond) {
    Json far = Json::array();
    for (const auto& pin : b.pins) far.push_back(pin_json(pin));
    beyond.push_back({{"through", b.through}, {"net", open.board().nets[b.net].name}, {"pins", far}});
  }
  answer["beyond"] = beyond;
  answer["vias"] = about.vias;
  return answer;
}

void print_pins(const Context& context, const std::vector<app::PinOnNet>& pins, const std::string& indent) {
  constexpr std::size_t kShown = 24;
  for (std::size_t i = 0; i < pins.size() && i < kShown; ++i) {
    const auto& pin = pins[i];
    std::string line = fmt::format("{}{:<12}", indent, pin.name);
    line += fmt::format(" {:<10}", pin.function);
    line += fmt::format(" {:<22}", pin.value.size() > 22 ? pin.value.substr(0, 19) + "..." : pin.value);
    if (pin.placed) line += fmt::format(" {:<8}", word(pin.side));
    if (pin.from_here) line += fmt::format(" {:>7} mm", mm_text(*pin.from_here, 1));
    if (!pin.fitted) line += "  not fitted";
    line.resize(line.find_last_not_of(' ') + 1);
    context.say(line);
  }
  if (pins.size() > kShown) context.say(fmt::format("{}and {} more", indent, pins.size() - kShown));
}

void print_net(const Context& context, const OpenBoard& open, const app::AboutNet& about) {
  const Net& net = open.board().nets[about.net];
  const NetSignal& signal = open.signals().nets[about.net];
  std::string aliases;
  for (const std::string& alias : net.aliases) aliases += (aliases.empty() ? "  also " : ", ") + alias;
  context.say(fmt::format("net      {}{}", context.bold(net.name), aliases));
  context.say(fmt::format("class    {}{}", word(signal.signal_class),
                          signal.why.empty() ? "" : "  <-  " + signal.why.front().source));
  if (signal.bus != kNone) context.say("bus      " + bus_name(open.signals(), about.net));
  if (signal.lane != kNone) context.say("lane     " + lane_name(open.signals(), about.net));
  if (signal.channel != kNone) {
    context.say(fmt::format("channel  {}  ({})", channel_name(open.signals(), about.net),
                            open.signals().channels[signal.channel].what));
  }
  context.say(about.pins.empty() ? "pins     no other"
                                 : fmt::format("pins     {}", count_of(about.pins.size(), "pin")));
  print_pins(context, about.pins, "  ");
  for (const auto& beyond : about.beyond) {
    context.say(fmt::format("beyond   {}: {}", beyond.through, open.board().nets[beyond.net].name));
    print_pins(context, beyond.pins, "  ");
  }
}

void run_ball(Context& context, const std::string& board_text, const std::string& what) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, board_text);
  if (!board.ok()) return context.fail(board.error());
  const auto pin = app::find_pin(**board, what);
  if (!pin.ok()) return context.fail(pin.error());
  const app::AboutBall about = app::about_ball(**board, *pin);
  const std::string& part = (*board)->board().parts[(*board)->board().pins[*pin].part].reference;
  const auto landings = app::landings_near(**board, *pin, {part}, {}, 6);
  if (context.json) {
    Json answer{
        {"ball", about.name}, {"function", name_or_null(about.function)}, {"neighbours", about.neighbours}};
    Json list = Json::array();
    for (const app::NearLanding& one : landings) {
      list.push_back(Json{{"landing", one.text},
                          {"kind", word(one.landing.kind)},
                          {"side", word(one.landing.side)},
                          {"from_here_mm", mm_of(one.from_here)}});
    }
    answer["landings"] = std::move(list);
    answer["on"] = about.net == kNone ? Json(nullptr) : net_json(**board, about.on_net);
    return context.print(answer);
  }
  context.say(fmt::format("{}{}", context.bold(about.name),
                          about.function.empty() ? "" : "  the chip calls it " + about.function));
  std::string neighbours;
  for (const std::string& name : about.neighbours) neighbours += " " + name;
  if (about.net == kNone) {
    context.say("net      none: it is not connected");
  } else {
    print_net(context, **board, about.on_net);
  }
  for (const app::NearLanding& one : landings) {
    context.say(
        fmt::format("landing  {}, {} mm, {}", one.text, mm_text(one.from_here, 1), word(one.landing.side)));
  }
  if (!neighbours.empty()) context.say("next to " + neighbours);
}

void run_net(Context& context, const std::string& board_text, const std::string& what) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, board_text);
  if (!board.ok()) return context.fail(board.error());
  const auto net = app::find_net(**board, what);
  if (!net.ok()) return context.fail(net.error());
  const app::AboutNet about = app::about_net(**board, *net, kNone);
  if (context.json) return context.print(net_json(**board, about));
  print_net(context, **board, about);
}

}  // namespace

void add_answer_commands(CLI::App& app, Context& context) {
  struct Args {
    std::string board, what;
  };
  auto args = std::make_shared<Args>();
  Context* c = &context;
  auto* find = app.add_subcommand("find", "nets, balls, parts, functions, values");
  find->add_option("text", args->what, "part of a name; case and separators do not matter")->required();
  find->add_option("--board", args->board, "only on this board");
  find->callback([=] { run_find(*c, args->what, args->board); });
  auto* ball = app.add_subcommand("ball", "everything known about one site");
  ball->add_option("board", args->board, "name or number")->required();
  ball->add_option("ball", args->what, "PART.BALL, such as U1.AB14")->required();
  ball->callback([=] { run_ball(*c, args->board, args->what); });
  auto* net = app.add_subcommand("net", "everything known about one net");
  net->add_option("board", args->board, "name or number")->required();
  net->add_option("net", args->what, "its name")->required();
  net->callback([=] { run_net(*c, args->board, args->what); });
}

}  // namespace landfall::cli
