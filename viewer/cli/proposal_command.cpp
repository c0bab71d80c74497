#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/photo/unlike.hpp"
#include "viewer/app/proposals.hpp"
#include "viewer/app/site_syntax.hpp"
#include "viewer/cli/photo_words.hpp"
#include "viewer/cli/words.hpp"

// photo propose and photo accept: damage that a photo may show.

namespace landfall::cli {
namespace {

void run_propose(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open) return;
  const auto proposals = app::propose(*context.bench(), *open->board, open->job, args.number);
  if (!proposals.ok()) return context.fail(proposals.error());
  if (context.json) {
    Json list = Json::array();
    for (const app::Proposal& one : proposals->list) {
      list.push_back({{"site", one.site},
                      {"score", one.score},
                      {"why", one.why},
                      {"marked", one.marked ? Json(word(*one.marked)) : Json(nullptr)}});
    }
    return context.print({{"job", open->job.id},
                          {"photo", args.number},
                          {"looked_at", proposals->looked_at},
                          {"not_seen", proposals->not_seen},
                          {"from", photo::kProposeFrom},
                          {"proposals", list},
                          {"caution", app::kProposalCaution}});
  }
  std::string not_seen;
  for (const std::string& one : proposals->not_seen) not_seen += "; " + one;
  context.say(fmt::format("photo {}: {} looked at, {} unlike their neighbours{}", args.number,
                          count_of(proposals->looked_at, "land"), proposals->list.size(), not_seen));
  context.say(std::string(app::kProposalCaution));
  if (proposals->list.empty()) return;
  Table table({"land", "score", "marked", "why"});
  for (const app::Proposal& one : proposals->list) {
    table.row({one.site, fmt::format("{:.1f}", one.score), one.marked ? std::string(word(*one.marked)) : "",
               one.why});
  }
  table.print(context);
  context.say(fmt::format("None is marked. landfall photo accept {} {} BALL KIND marks one.", open->job.id,
                          args.number));
}

void run_accept(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open || !takes_work(context, open->job)) return;
  const auto kind = app::kind_named(args.kind);
  if (!kind.ok()) return context.fail(kind.error());
  const auto proposals = app::propose(*context.bench(), *open->board, open->job, args.number);
  if (!proposals.ok()) return context.fail(proposals.error());
  if (auto kept =
          app::accept(*context.bench(), *open->board, open->job, args.number, *proposals, args.ball, *kind);
      !kept.ok())
    return context.fail(kept.error());
  if (context.json) {
    return context.print(
        {{"job", open->job.id}, {"photo", args.number}, {"ball", args.ball}, {"kind", word(*kind)}});
  }
  context.say(fmt::format("job {}: {} {}", open->job.id, args.ball, word(*kind)));
}

}  // namespace

void add_proposal_commands(CLI::App& photo, Context& context, const std::shared_ptr<PhotoArgs>& args) {
  Context* c = &context;
  auto* propose = photo.add_subcommand("propose", "lands that look unlike their neighbours; none is marked");
  auto* accept = photo.add_subcommand("accept", "mark one that was proposed");
  for (auto* command : {propose, accept}) {
    command->add_option("job", args->job, "number, or how its title begins")->required();
    command->add_option("number", args->number, "the photo's number")->required();
  }
  propose->callback([=] { run_propose(*c, *args); });
  accept->add_option("ball", args->ball, "AB14, or U1.AB14")->required();
  accept->add_option("kind", args->kind, "sound mask loose missing torn barrel chip")->required();
  accept->callback([=] { run_accept(*c, *args); });
}

}  // namespace landfall::cli
