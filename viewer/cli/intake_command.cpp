#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/intake.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// intake: what is asked when the board comes in.

namespace landfall::cli {
namespace {

struct IntakeArgs {
  std::string job;
  std::vector<std::string> answers;
};

// Only answers that name nets need the board.
Status check(store::Bench& bench, const Job& job, const IntakeAnswer& answer) {
  if ((answer.topic != "dark" && answer.topic != "good") || answer.answer.empty()) return done();
  const auto board = app::open_board(bench, job.board);
  return board.ok() ? app::check_intake(**board, answer) : Status(board.error());
}

void run_intake(Context& context, const IntakeArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  if (!args.answers.empty() && !takes_work(context, *job)) return;
  std::vector<IntakeAnswer> answers;
  std::optional<SafetyAnswer> safety;
  for (const std::string& text : args.answers) {
    if (text == "safety-critical=yes" || text == "safety-critical=no") {
      safety = text.ends_with("yes") ? SafetyAnswer::kYes : SafetyAnswer::kNo;
      continue;
    }
    auto answer = app::read_intake(text);
    if (!answer.ok()) return context.fail(answer.error());
    if (auto checked = check(*bench, *job, *answer); !checked.ok()) return context.fail(checked.error());
    answers.push_back(std::move(answer).value());
  }
  if (safety) {
    if (auto set = bench->set_safety(job->id, *safety, app::now_utc()); !set.ok())
      return context.fail(set.error());
    job->safety_critical = *safety;
  }
  if (!answers.empty()) {
    if (auto kept = bench->set_intake(job->id, answers, app::now_utc()); !kept.ok())
      return context.fail(kept.error());
  }
  const auto now = bench->intake(job->id);
  if (!now.ok()) return context.fail(now.error());
  const std::vector<std::string> cautions = app::intake_cautions(*now, job->safety_critical);
  Json list = Json::object();
  Table table({"topic", "question", "answer", "since"});
  for (const app::IntakeTopic& topic : app::intake_topics()) {
    const auto given =
        std::find_if(now->begin(), now->end(), [&](const IntakeAnswer& a) { return a.topic == topic.word; });
    list[std::string(topic.word)] = given == now->end() ? Json(nullptr) : Json(given->answer);
    table.row({std::string(topic.word), std::string(topic.question),
               given == now->end() ? "-" : given->answer,
               given == now->end() ? "" : given->at.substr(0, 10)});
  }
  list["safety-critical"] = word(job->safety_critical);
  table.row(
      {"safety-critical", std::string(app::kSafetyQuestion), std::string(word(job->safety_critical)), ""});
  if (context.json) return context.print({{"job", job->id}, {"intake", list}, {"cautions", cautions}});
  table.print(context);
  for (const std::string& caution : cautions) context.say("! " + caution);
}

}  // namespace

void add_intake_command(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<IntakeArgs>();
  auto* intake =
      app.add_subcommand("intake", "what is asked when the board comes in, and what the answers lead to");
  intake->add_option("job", args->job, "number, or how its title begins")->required();
  intake->add_option("answers", args->answers, "TOPIC=ANSWER ...; nothing behind = takes an answer back");
  intake->callback([=] { run_intake(*c, *args); });
}

}  // namespace landfall::cli
