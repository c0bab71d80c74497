#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/packages/packages.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/picture_words.hpp"
#include "viewer/cli/words.hpp"
#include "viewer/report/sheets.hpp"
#include "viewer/report/writers.hpp"

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

// What the record shows of the job's photos; small enough to be sent by mail.
Result<std::vector<report::SheetPhoto>> photos_of(store::Bench& bench, const app::JobAnswer& answer) {
  constexpr int kPrintedSide = 1600;
  const auto photos = bench.photos(answer.job.id);
  if (!photos.ok()) return photos.error();
  std::vector<report::SheetPhoto> all;
  for (const Photo& photo : *photos) {
    report::SheetPhoto one;
    one.laid = app::lay(*answer.board, photo);
    one.lands = app::lands_seen(*answer.board, answer.job, one.laid);
    const auto picture = app::photo_picture(bench, answer.job.id, photo.number);
    if (!picture.ok()) return picture.error();
    one.picture = std::make_shared<const photo::Picture>(photo::shrunk(*picture, kPrintedSide));
    all.push_back(std::move(one));
  }
  return all;
}

void run_report(Context& context, const ReportArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto kinds = sheets_of(args.sheet);
  if (!kinds.ok()) return context.fail(kinds.error());
  const auto settings = settings_of(args);
  if (!settings.ok()) return context.fail(settings.error());
  auto answer = app::plan_job(*bench, args.job);
  if (!answer.ok()) return context.fail(answer.error());
  const Job& job = answer->job.job;
  const bool given = std::any_of(kinds->begin(), kinds->end(),
                                 [&](SheetKind kind) { return is_given(kind, job.safety_critical); });
  if (!given) return context.fail({ErrorCode::kNotFound, std::string(rework::verdict::kSafetyReferral)});
  // A job without a plan has its maps all the same.
  if (answer->packages.empty()) {
    for (const std::string& reference : job.lifted) {
      if (const Index part = answer->job.board->index().part(reference); part != kNone)
        answer->packages.push_back(packages::package_of(answer->job.board->index(), part));
    }
  }
  const auto outcomes = bench->outcomes(job.id);
  if (!outcomes.ok()) return context.fail(outcomes.error());
  const auto intake = bench->intake(job.id);
  if (!intake.ok()) return context.fail(intake.error());
  const auto diode = app::reading_sheet(*bench, answer->job, ReadingMode::kDiode);
  if (!diode.ok()) return context.fail(diode.error());
  const auto ohm = app::reading_sheet(*bench, answer->job, ReadingMode::kOhm);
  if (!ohm.ok()) return context.fail(ohm.error());
  std::vector<report::SheetPhoto> photos;
  if (std::find(kinds->begin(), kinds->end(), SheetKind::kRecord) != kinds->end()) {
    auto found = photos_of(*bench, answer->job);
    if (!found.ok()) return context.fail(found.error());
    photos = std::move(found).value();
  }
  report::SheetInput input{answer->job, answer->plan, answer->verdict, answer->packages, *settings};
  input.outcomes = *outcomes;
  input.intake = *intake;
  input.photos = photos;
  input.diode = &*diode;
  input.ohm = &*ohm;
  const report::Document document = report::make_document(input, *kinds);
  const auto pages = report::write_document(document, args.file);
  if (!pages.ok()) return context.fail(pages.error());
  // On paper a number is its site's for good. A bench that cannot be written gives its sheets all the same.
  const Status numbered = app::give_out_numbers(*bench, *answer);
  std::vector<std::string> sheets;
  for (const report::Sheet& sheet : document.sheets) sheets.push_back(sheet.key);
  if (context.json) {
    return context.print({{"file", args.file},
                          {"job", job.id},
                          {"numbers_kept", numbered.ok()},
                          {"sheets", sheets},
                          {"pages", *pages > 0 ? Json(*pages) : Json(nullptr)}});
  }
  std::string says;
  for (const std::string& sheet : sheets) says += (says.empty() ? "" : ", ") + sheet;
  context.say(fmt::format("{}: {}{}", args.file, says,
                          *pages > 0 ? "; " + count_of(static_cast<std::size_t>(*pages), "page") : ""));
  if (!numbered.ok())
    context.say("the plan's numbers could not be kept: a mark that is set later may move them");
  if (job.safety_critical == SafetyAnswer::kYes) context.say(std::string(rework::verdict::kSafetyReferral));
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
