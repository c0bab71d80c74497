#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/suspects.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// suspect: where the symptoms meet.

namespace landfall::cli {
namespace {

struct SuspectArgs {
  std::string board, job;
  std::vector<std::string> dark, good;
};

Json nets_json(const Board& board, const std::vector<Index>& nets) {
  Json list = Json::array();
  for (const Index net : nets) list.push_back(board.nets[net].name);
  return list;
}

Json answer_json(const app::OpenBoard& board, const rework::SuspectAnswer& answer) {
  Json suspects = Json::array();
  for (const auto& s : answer.suspects) {
    suspects.push_back({{"part", board.board().parts[s.part].reference},
                        {"where", s.where},
                        {"score", s.score},
                        {"by_chance", s.by_chance},
                        {"dark", nets_json(board.board(), s.dark)},
                        {"good", nets_json(board.board(), s.good)},
                        {"missed", nets_json(board.board(), s.missed)}});
  }
  Json next = Json::array();
  for (const auto& test : answer.next)
    next.push_back({{"net", board.board().nets[test.net].name}, {"says", test.says}, {"bits", test.bits}});
  return {{"board", board.info().name}, {"lines", answer.lines}, {"says", answer.says},
          {"suspects", suspects},       {"next", next},          {"no_test", name_or_null(answer.no_test)}};
}

void run_suspect(Context& context, const SuspectArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  std::string board_name = args.board;
  app::SymptomNames names{args.dark, args.good};
  if (!args.job.empty()) {
    // What the intake says need not be typed again.
    const auto job = app::find_job(*bench, args.job);
    if (!job.ok()) return context.fail(job.error());
    const auto told = app::symptoms_told(*bench, job->id);
    if (!told.ok()) return context.fail(told.error());
    board_name = std::to_string(job->board);
    if (!args.board.empty()) names.dark.insert(names.dark.begin(), args.board);
    names.dark.insert(names.dark.end(), told->dark.begin(), told->dark.end());
    names.good.insert(names.good.end(), told->good.begin(), told->good.end());
  }
  if (board_name.empty() || names.dark.empty())
    return context.fail({ErrorCode::kUsage,
                         "which nets are dark? suspect BOARD NET..., or --job JOB with intake JOB dark=..."});
  const auto board = app::open_board(*bench, board_name);
  if (!board.ok()) return context.fail(board.error());
  const auto symptoms = app::symptoms_of(**board, names);
  if (!symptoms.ok()) return context.fail(symptoms.error());
  const rework::SuspectAnswer answer = app::suspects_of(**board, *symptoms);
  if (answer.suspects.empty() || answer.suspects.front().by_chance > 0.5) context.exit = 1;
  if (context.json) return context.print(answer_json(**board, answer));
  context.say(context.bold(answer.says));
  if (!answer.suspects.empty()) {
    context.say("");
    Table table({"place", "dark", "good", "elsewhere", "score", "by chance"});
    for (const auto& s : answer.suspects)
      table.row({s.where, std::to_string(s.dark.size()), std::to_string(s.good.size()),
                 std::to_string(s.missed.size()), fmt::format("{:.1f}", s.score),
                 fmt::format("{:.3f}", s.by_chance)});
    table.print(context);
  }
  if (!answer.no_test.empty()) context.say("next: " + answer.no_test);
  for (const auto& test : answer.next)
    context.say(fmt::format("next: {} ({:.2f} bit)", test.says, test.bits));
}

}  // namespace

void add_suspect_command(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<SuspectArgs>();
  auto* suspect = app.add_subcommand("suspect", "where dark lines meet: which corner of which part");
  suspect->add_option("board", args->board, "name or number");
  suspect->add_option("dark", args->dark, "the nets that do not work");
  suspect->add_option("--job", args->job, "a job instead of the board: its intake's dark nets");
  suspect->add_option("--good", args->good, "nets seen to work (else all others of the same channels)");
  suspect->callback([=] { run_suspect(*c, *args); });
}

}  // namespace landfall::cli
