#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/cli/context.hpp"
#include "viewer/cli/picture_words.hpp"
#include "viewer/cli/words.hpp"
#include "viewer/report/job_sheets.hpp"

// report: the sheets of a job as a file.

namespace landfall::cli {
namespace {

using report::SheetKind;

struct ReportArgs {
  std::string job, file, sheet = "all", paper = "a4", scale;
};

Result<std::vector<SheetKind>> sheets_of(const std::string& text) {
  std::vector<SheetKind> all{SheetKind::kWiring, SheetKind::kMeasuring, SheetKind::kDecision,
                             SheetKind::kRecord};
  const std::string wanted = app::lower(text);
  if (wanted == "all") return all;
  for (const SheetKind kind : all) {
    if (word(kind) == wanted) return std::vector<SheetKind>{kind};
  }
  return Error{ErrorCode::kUsage, "--sheet is wiring, measuring, decision, record or all"};
}

Result<report::SheetSettings> settings_of(const ReportArgs& args) {
  report::SheetSettings settings;
  const std::string paper = app::lower(args.paper);
  if (paper != "a4" && paper != "letter") return Error{ErrorCode::kUsage, "--paper is a4 or letter"};
  if (paper == "letter") settings.paper = report::Paper::kLetter;
  const auto true_scale = true_size(args.scale);
  if (!true_scale.ok()) return true_scale.error();
  settings.scale_1_to_1 = *true_scale;
  settings.date = app::now_utc();
  return settings;
}

void run_report(Context& context, const ReportArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto kinds = sheets_of(args.sheet);
  if (!kinds.ok()) return context.fail(kinds.error());
  const auto settings = settings_of(args);
  if (!settings.ok()) return context.fail(settings.error());
  const auto written = report::write_sheets(*bench, {args.job, args.file, *kinds, *settings});
  if (!written.ok()) return context.fail(written.error());
  if (context.json) {
    return context.print({{"file", args.file},
                          {"job", written->job},
                          {"numbers_kept", written->numbers_kept},
                          {"sheets", written->sheets},
                          {"pages", written->pages > 0 ? Json(written->pages) : Json(nullptr)}});
  }
  context.say(fmt::format("{}: {}", args.file, report::says(*written)));
  if (!written->numbers_kept) context.say(std::string(report::kNumbersNotKept));
  if (!written->rescued.empty()) context.say(written->rescued);
  if (written->safety_critical) context.say(std::string(rework::verdict::kSafetyReferral));
}

}  // namespace

void add_report_command(CLI::App& app, Context& context) {
  auto args = std::make_shared<ReportArgs>();
  Context* c = &context;
  auto* report = app.add_subcommand("report", "the sheets of a job: to wire by, to measure by, to decide by");
  report->add_option("job", args->job, "number, or how its title begins")->required();
  report->add_option("-o,--output", args->file, "FILE.html, .pdf, .csv or .json")->required();
  report->add_option("--sheet", args->sheet, "wiring, measuring, decision, record, or all (the default)");
  report->add_option("--paper", args->paper, "a4 (the default) or letter");
  report->add_option("--scale", args->scale, "1:1: the maps in true size as well, with a ruler");
  report->callback([=] { run_report(*c, *args); });
}

}  // namespace landfall::cli
