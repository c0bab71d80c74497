#include "viewer/report/job_sheets.hpp"

#include <algorithm>
#include <memory>

#include "netdb/model/counted.hpp"
#include "netdb/packages/packages.hpp"
#include "viewer/app/known_files.hpp"
#include "viewer/report/writers.hpp"

namespace landfall::report {
namespace {

// What the record shows of the job's photos; small enough to be sent by mail.
Result<std::vector<SheetPhoto>> photos_of(store::Bench& bench, const app::JobAnswer& answer) {
  constexpr int kPrintedSide = 1600;
  const auto photos = bench.photos(answer.job.id);
  if (!photos.ok()) return photos.error();
  std::vector<SheetPhoto> all;
  for (const Photo& photo : *photos) {
    SheetPhoto one;
    one.laid = app::lay(*answer.board, photo);
    one.lands = app::lands_seen(*answer.board, answer.job, one.laid);
    const auto picture = app::photo_picture(bench, answer.job.id, photo.number);
    if (!picture.ok()) return picture.error();
    one.picture = std::make_shared<const photo::Picture>(photo::shrunk(*picture, kPrintedSide));
    all.push_back(std::move(one));
  }
  return all;
}

// A job without a plan has its maps all the same.
void add_packages(app::PlanAnswer& answer) {
  if (!answer.packages.empty()) return;
  for (const std::string& reference : answer.job.job.lifted) {
    if (const Index part = answer.job.board->index().part(reference); part != kNone)
      answer.packages.push_back(packages::package_of(answer.job.board->index(), part));
  }
}

}  // namespace

Result<SheetsWritten> write_sheets(store::Bench& bench, const SheetsOrder& order) {
  auto answer = app::plan_job(bench, order.job);
  if (!answer.ok()) return answer.error();
  const Job& job = answer->job.job;
  const bool given = std::any_of(order.kinds.begin(), order.kinds.end(),
                                 [&](SheetKind kind) { return is_given(kind, job.safety_critical); });
  if (!given) return Error{ErrorCode::kNotFound, std::string(rework::verdict::kSafetyReferral)};
  add_packages(*answer);
  const auto outcomes = bench.outcomes(job.id);
  if (!outcomes.ok()) return outcomes.error();
  const auto intake = bench.intake(job.id);
  if (!intake.ok()) return intake.error();
  const auto diode = app::reading_sheet(bench, answer->job, ReadingMode::kDiode);
  if (!diode.ok()) return diode.error();
  const auto ohm = app::reading_sheet(bench, answer->job, ReadingMode::kOhm);
  if (!ohm.ok()) return ohm.error();
  std::vector<SheetPhoto> photos;
  if (std::find(order.kinds.begin(), order.kinds.end(), SheetKind::kRecord) != order.kinds.end()) {
    auto found = photos_of(bench, answer->job);
    if (!found.ok()) return found.error();
    photos = std::move(found).value();
  }
  SheetInput input{answer->job, answer->plan, answer->verdict, answer->packages, order.settings};
  input.outcomes = *outcomes;
  input.intake = *intake;
  input.photos = photos;
  input.diode = &*diode;
  input.ohm = &*ohm;
  const Document document = make_document(input, order.kinds);
  const auto pages = write_document(document, order.file);
  if (!pages.ok()) return pages.error();
  SheetsWritten written;
  written.job = job.id;
  written.pages = *pages;
  written.safety_critical = job.safety_critical == SafetyAnswer::kYes;
  written.rescued = app::rescued_note(bench, job.board).value_or("");
  for (const Sheet& sheet : document.sheets) written.sheets.push_back(sheet.key);
  // On paper a number is its site's for good. A bench that cannot be written gives its sheets all the same.
  written.numbers_kept = app::give_out_numbers(bench, *answer).ok();
  return written;
}

std::string says(const SheetsWritten& written) {
  std::string text;
  for (const std::string& sheet : written.sheets) text += (text.empty() ? "" : ", ") + sheet;
  if (written.pages > 0) text += "; " + count_of(static_cast<std::size_t>(written.pages), "page");
  return text;
}

}  // namespace landfall::report
