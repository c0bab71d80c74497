#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/sharing.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// hand-over and take-in: a job between two benches.

namespace landfall::cli {
namespace {

struct SharingArgs {
  std::string job, file, prefer;
  bool with_settings = false, without_photos = false;
};

void run_hand_over(Context& context, const SharingArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  if (auto kept = bench->hand_over(job->id, args.file, {args.with_settings, !args.without_photos});
      !kept.ok())
    return context.fail(kept.error());
  if (context.json) return context.print({{"job", job->id}, {"file", args.file}});
  context.say(
      fmt::format("{}: job {} with its board{}", args.file, job->id,
                  args.with_settings ? " and the shop's settings" : "; the shop's settings are not in it"));
}

void run_take_in(Context& context, const SharingArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  std::optional<app::Prefer> prefer;
  if (!args.prefer.empty()) prefer = args.prefer == "theirs" ? app::Prefer::kTheirs : app::Prefer::kOurs;
  const auto all = app::take_in(*bench, args.file, prefer);
  if (!all.ok()) return context.fail(all.error());
  Json list = Json::array();
  std::size_t conflicts = 0;
  for (const app::TakenIn& one : *all) {
    conflicts += one.conflicts.size();
    list.push_back({{"job", one.job},
                    {"board", one.board},
                    {"new_job", one.new_job},
                    {"new_board", one.new_board},
                    {"marks", one.marks},
                    {"taken_off", one.off},
                    {"facts", one.facts},
                    {"outcomes", one.outcomes},
                    {"readings", one.readings},
                    {"answers", one.answers},
                    {"photos", one.photos},
                    {"conflicts", one.conflicts}});
  }
  const bool stopped = conflicts > 0 && !prefer;
  if (stopped) context.exit = 3;
  if (context.json) return context.print({{"taken", !stopped}, {"jobs", list}});
  for (const app::TakenIn& one : *all) {
    for (const std::string& conflict : one.conflicts) context.say("  " + conflict);
    if (stopped) continue;
    context.say(fmt::format(
        "job {} on {}{}: {}, {}, {}, {}, {}, {} came in{}", one.job, one.board,
        one.new_job ? ", new here" : "", count_of(one.marks, "mark"), count_of(one.facts, "fact"),
        count_of(one.outcomes, "outcome"), count_of(one.readings, "reading"), count_of(one.answers, "answer"),
        count_of(one.photos, "photo"),
        one.off == 0 ? "" : fmt::format("; {} taken off there, and so here", count_of(one.off, "mark"))));
  }
  if (stopped)
    context.say(
        "Nothing was taken in: both benches changed these sites. Say --prefer ours or --prefer "
        "theirs.");
}

}  // namespace

void add_sharing_commands(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<SharingArgs>();
  auto* over = app.add_subcommand("hand-over", "a job with its board as one file, for another bench");
  over->add_option("job", args->job, "number, or how its title begins")->required();
  over->add_option("-o,--output", args->file, "the file, which must not be there yet")->required();
  over->add_flag("--with-settings", args->with_settings, "the shop's own figures as well");
  over->add_flag("--without-photos", args->without_photos, "its photos stay here");
  over->callback([=] { run_hand_over(*c, *args); });
  auto* in = app.add_subcommand("take-in", "what another bench handed over, without loss");
  in->add_option("file", args->file, "what hand-over wrote")->required();
  in->add_option("--prefer", args->prefer, "ours or theirs: where both marked a site differently")
      ->check(CLI::IsMember({"ours", "theirs"}));
  in->callback([=] { run_take_in(*c, *args); });
}

}  // namespace landfall::cli
