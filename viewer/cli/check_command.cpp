#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/rework/copper/check.hpp"
#include "viewer/app/known_files.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// check: the board against itself.

namespace landfall::cli {
namespace {

std::string touch_net(const Board& board, Index net) {
  return net == kNone ? "copper without a net" : board.nets[net].name;
}

std::string layer_name(const Board& board, int layer) {
  const auto at = static_cast<std::size_t>(layer);
  return at < board.layers.size() ? board.layers[at] : std::to_string(layer);
}

Json check_json(const app::OpenBoard& open, const rework::CopperCheck& check,
                const std::vector<store::KeptDisagreement>& disagreements) {
  const Board& board = open.board();
  Json splits = Json::array();
  for (const auto& split : check.splits) {
    Json islands = Json::array();
    for (const auto& island : split.islands) {
      Json pins = Json::array();
      for (const Index pin : island) pins.push_back(open.index().pin_text(pin));
      islands.push_back(std::move(pins));
    }
    splits.push_back({{"net", board.nets[split.net].name}, {"islands", islands}});
  }
  Json unknown = Json::array();
  for (const auto& one : check.unknown)
    unknown.push_back({{"net", board.nets[one.net].name}, {"because", one.because}});
  Json touches = Json::array();
  for (const auto& touch : check.touches) {
    Json nets = Json::array();
    nets.push_back(name_or_null(net_name(board, touch.first)));
    nets.push_back(name_or_null(net_name(board, touch.second)));
    touches.push_back({{"nets", nets},
                       {"x_mm", static_cast<double>(touch.at.x) / 1e6},
                       {"y_mm", static_cast<double>(touch.at.y) / 1e6},
                       {"layer", layer_name(board, touch.layer)}});
  }
  Json list = Json::array();
  for (const auto& d : disagreements) list.push_back(disagreement_json(d));
  return {{"board", open.info().name}, {"nets", check.nets}, {"splits", splits},
          {"unknown", unknown},        {"touches", touches}, {"touches_cut", check.touches_cut},
          {"disagreements", list}};
}

void print_check(const Context& context, const app::OpenBoard& open, const rework::CopperCheck& check,
                 const std::vector<store::KeptDisagreement>& disagreements) {
  const Board& board = open.board();
  context.say(
      fmt::format("{}: {} with two pins or more; {}, {} unknown, {}, {}", open.info().name,
                  count_of(check.nets, "net"), count_of(check.splits.size(), "split"), check.unknown.size(),
                  check.touches.size() == 1 ? "1 touch" : fmt::format("{} touches", check.touches.size()),
                  count_of(disagreements.size(), "disagreement")));
  for (const auto& split : check.splits) {
    std::string islands;
    constexpr std::size_t kShown = 6;
    for (std::size_t i = 0; i < std::min(split.islands.size(), kShown); ++i)
      islands += fmt::format("{}{} and {} more", i == 0 ? "" : "; ",
                             open.index().pin_text(split.islands[i].front()), split.islands[i].size() - 1);
    if (split.islands.size() > kShown) islands += fmt::format("; {} further", split.islands.size() - kShown);
    context.say(fmt::format("split: {} in {}: {}", board.nets[split.net].name,
                            count_of(split.islands.size(), "piece"), islands));
  }
  constexpr std::size_t kMostShown = 40;
  for (std::size_t i = 0; i < check.unknown.size(); ++i) {
    if (i == kMostShown) {
      context.say(fmt::format("unknown: {} more", check.unknown.size() - i));
      break;
    }
    context.say(
        fmt::format("unknown: {}: {}", board.nets[check.unknown[i].net].name, check.unknown[i].because));
  }
  for (const auto& touch : check.touches)
    context.say(fmt::format("touch: {} and {} at {} on {}", touch_net(board, touch.first),
                            touch_net(board, touch.second), open.index().place_text(touch.at),
                            layer_name(board, touch.layer)));
  if (check.touches_cut)
    context.say("touch: not all were looked for: too much copper of this board lies on one spot");
  if (disagreements.empty()) return;
  context.say("");
  Table table({"about", "what", "the files say"});
  for (const auto& d : disagreements) table.row({d.kind, d.what, d.says});
  table.print(context);
}

void run_check(Context& context, const std::string& text) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, text);
  if (!board.ok()) return context.fail(board.error());
  const auto disagreements = bench->disagreements((*board)->info().id);
  if (!disagreements.ok()) return context.fail(disagreements.error());
  const rework::CopperCheck check = rework::check_copper((*board)->copper());
  if (!check.splits.empty() || !check.touches.empty()) context.exit = 1;
  const auto rescued = app::rescued_note(*bench, (*board)->info().id);
  if (context.json) return context.print(with_rescued(check_json(**board, check, *disagreements), rescued));
  print_check(context, **board, check, *disagreements);
  if (rescued) context.say(*rescued);
}

}  // namespace

void add_check_command(CLI::App& app, Context& context) {
  Context* c = &context;
  auto board = std::make_shared<std::string>();
  auto* check =
      app.add_subcommand("check", "nets split or touching in copper, and where the board's files disagree");
  check->add_option("board", *board, "name or number")->required();
  check->callback([=] { run_check(*c, *board); });
}

}  // namespace landfall::cli
