#include <algorithm>
#include <memory>
#include <optional>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/app/shelf.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// fact: what was measured or read. outcome: what came of the work.

namespace landfall::cli {
namespace {

Json fact_json(const BoardIndex& index, const Fact& fact) {
  return {
      {"number", fact.id},         {"kind", word(fact.kind)},         {"a", name_or_null(fact.a)},
      {"b", name_or_null(fact.b)}, {"name", name_or_null(fact.name)}, {"says", app::fact_text(index, fact)},
      {"created", fact.created}};
}

void list_facts(Context& context, store::Bench& bench, const Job& job) {
  const auto board = app::open_board(bench, job.board);
  if (!board.ok()) return context.fail(board.error());
  const BoardIndex& index = (*board)->index();
  if (context.json) {
    Json list = Json::array();
    for (const Fact& fact : job.facts) list.push_back(fact_json(index, fact));
    return context.print({{"job", job.id}, {"facts", list}});
  }
  if (job.facts.empty()) return context.say(fmt::format("job {}: no facts", job.id));
  Table table({"no", "fact", "since"});
  for (const Fact& fact : job.facts)
    table.row({std::to_string(fact.id), app::fact_text(index, fact), fact.created});
  table.print(context);
}

struct FactArgs {
  std::string job;
  std::vector<std::string> words;
};

void run_fact(Context& context, FactArgs& args) {
  if (const Status taken = take_options(context, args.words); !taken.ok()) return context.fail(taken.error());
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  if (args.words.empty() || args.words[0] == "list") return list_facts(context, *bench, *job);
  if (!takes_work(context, *job)) return;
  std::optional<Fact> said;
  if (args.words[0] == "withdraw") {
    const auto number = args.words.size() == 2 ? parse_integer(args.words[1]) : std::nullopt;
    if (!number) return context.fail({ErrorCode::kUsage, "withdraw which? fact JOB withdraw NUMBER"});
    const Status status = bench->withdraw_fact(job->id, *number, app::now_utc());
    if (!status.ok()) return context.fail(status.error());
  } else {
    const auto board = app::open_board(*bench, job->board);
    if (!board.ok()) return context.fail(board.error());
    const auto told = app::board_as_told(*bench, *board, *job);
    const auto fact = app::tell_fact(*bench, *told, *job, args.words, app::now_utc());
    if (!fact.ok()) return context.fail(fact.error());
    said = *fact;
  }
  const auto now = bench->job(job->id);
  if (!now.ok()) return context.fail(now.error());
  list_facts(context, *bench, *now);
  if (context.json) return;
  if (said && said->kind == FactKind::kSpared) {
    const auto answer = app::assess_job(*bench, std::to_string(job->id));
    if (!answer.ok()) return context.fail(answer.error());
    const std::string counts = app::fact_remark(answer->board->index(), answer->assessment, *said);
    if (!counts.empty()) context.say(counts);
  }
  if (const std::string remark = end_remark(*bench, job->id); !remark.empty()) context.say(remark);
}

struct OutcomeArgs {
  std::string job;
  std::string what;
  std::string result;
  std::string note;
};

void list_outcomes(Context& context, store::Bench& bench, std::int64_t job) {
  const auto outcomes = bench.outcomes(job);
  if (!outcomes.ok()) return context.fail(outcomes.error());
  if (context.json) {
    Json list = Json::array();
    for (const Outcome& o : *outcomes)
      list.push_back({{"kind", o.kind},
                      {"site", name_or_null(o.site)},
                      {"worked", o.withdrawn ? Json(nullptr) : Json(o.worked)},
                      {"taken_back", o.withdrawn},
                      {"note", o.note},
                      {"at", o.at}});
    return context.print({{"job", job}, {"outcomes", list}});
  }
  if (outcomes->empty()) return context.say(fmt::format("job {}: nothing is noted yet", job));
  Table table({"what", "site", "came of it", "at", "note"});
  for (const Outcome& o : *outcomes) table.row({o.kind, o.site, std::string(app::word_of(o)), o.at, o.note});
  table.print(context);
}

// On paper a rebuild is R2 and a wire 2: the other one is a slip.
Status is_called_so(const app::PlanAnswer& plan, int number, bool rebuild) {
  for (const auto& wire : plan.plan.wires) {
    if (rebuild && wire.number == number)
      return Error{ErrorCode::kUsage,
                   fmt::format("R{0}: {0} is no rebuild but the wire {1} to {2}: write {0}", number,
                               wire.from, wire.to)};
  }
  for (const auto& one : plan.plan.rebuilds) {
    if (!rebuild && one.number == number)
      return Error{ErrorCode::kUsage,
                   fmt::format("{0}: that is no wire but the rebuild at {1}: write R{0}", number, one.at)};
  }
  return done();
}

// A number that is in no plan any more was given out once: for what, and what became of it.
Error where_it_went(store::Bench& bench, const app::PlanAnswer& plan, int number, Error error) {
  const bool failed = std::any_of(plan.failed.begin(), plan.failed.end(),
                                  [&](const app::FailedPiece& one) { return one.number == number; });
  if (failed) return error;  // it says so
  const auto kept = bench.kept_numbers(plan.job.job.id);
  if (!kept.ok()) return kept.error();
  for (const KeptNumber& one : *kept) {
    if (one.number != number) continue;
    error.message = fmt::format(
        "the plan of job {} has no number {} any more: it was the {} {}; the plan now has another way there, "
        "or none",
        plan.job.job.id, number, one.rebuild ? "rebuild at" : "wire", one.site);
  }
  return error;
}

// Notes what came of a number of the plan, or of the job.
Status note_outcome(store::Bench& bench, const Job& job, const OutcomeArgs& args) {
  // The sheets write rebuilds as R1, R2.
  const bool rebuild = args.what.size() > 1 && (args.what[0] == 'R' || args.what[0] == 'r');
  const auto number = parse_integer(rebuild ? args.what.substr(1) : args.what);
  if (args.what != "job" && (!number || *number < 1 || *number > 1'000'000))
    return Error{ErrorCode::kUsage, fmt::format("{}: a number of the plan, or 'job'", args.what)};
  const auto plan = app::plan_job(bench, std::to_string(job.id));
  if (!plan.ok()) return plan.error();
  const bool worked = args.result == "worked";
  const bool back = args.result == "undone";
  if (args.what == "job" && !back)
    return app::note_job_outcome(bench, *plan, worked, args.note, app::now_utc());
  const auto noted = bench.outcomes(job.id);
  if (!noted.ok()) return noted.error();
  // The job's own outcome has number 0.
  const int piece = args.what == "job" ? 0 : static_cast<int>(*number);
  if (const Status called = is_called_so(*plan, piece, rebuild); piece > 0 && !called.ok()) return called;
  auto outcome = back ? app::withdrawal_of(*plan, *noted, piece) : app::outcome_of(*plan, piece);
  if (!outcome.ok()) {
    if (piece == 0 || back) return outcome.error();
    return where_it_went(bench, *plan, piece, outcome.error());
  }
  if (!back) outcome->worked = worked;
  outcome->note = args.note;
  outcome->at = app::now_utc();
  if (auto numbered = app::give_out_numbers(bench, *plan); !numbered.ok()) return numbered;
  const auto id = bench.add_outcome(*outcome);
  return id.ok() ? done() : Status(id.error());
}

void run_outcome(Context& context, const OutcomeArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  std::string remark;
  if (!args.what.empty()) {
    if (args.result.empty())
      return context.fail(
          {ErrorCode::kUsage, "what came of it? outcome JOB NUMBER|job worked|failed|undone"});
    if (!takes_work(context, *job)) return;
    if (args.what != "job") remark = end_remark(*bench, job->id);
    if (auto kept = note_outcome(*bench, *job, args); !kept.ok()) return context.fail(kept.error());
    if (args.what == "job" && args.result != "undone")
      remark = fmt::format("landfall job close {} closes it: then it takes no more until it is opened again",
                           job->id);
  }
  list_outcomes(context, *bench, job->id);
  if (!remark.empty() && !context.json) context.say(remark);
}

}  // namespace

void add_fact_commands(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<FactArgs>();
  auto* fact = app.add_subcommand("fact", "what was measured or read: joined, open, named, and more");
  fact->add_option("job", args->job, "number, or how its title begins")->required();
  fact->add_option("words", args->words,
                   "joined PIN PIN | open PIN [PIN] | named PIN NET | via-good BALL | toward BALL n|ne|e... "
                   "| spare BALL | "
                   "ban X,Y [MM] | point NAME X,Y PIN | withdraw NUMBER | list");
  fact->positionals_at_end();
  fact->callback([=] { run_fact(*c, *args); });

  auto done = std::make_shared<OutcomeArgs>();
  auto* outcome = app.add_subcommand("outcome", "what came of a wire, a rebuild or the job");
  outcome->add_option("job", done->job, "number, or how its title begins")->required();
  outcome->add_option("what", done->what, "a number of the plan, or 'job'");
  outcome->add_option("result", done->result, "worked, failed, or undone: what was noted is taken back")
      ->check(CLI::IsMember({"worked", "failed", "undone"}));
  outcome->add_option("--note", done->note, "a line on it");
  outcome->callback([=] { run_outcome(*c, *done); });
}

}  // namespace landfall::cli
