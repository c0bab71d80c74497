#include "viewer/report/sheets.hpp"

#include "viewer/report/sheet_pieces.hpp"

namespace landfall::report {
namespace {

Sheet sheet_of(SheetKind kind, const SheetInput& input) {
  switch (kind) {
    case SheetKind::kWiring:
      return wiring_sheet(input);
    case SheetKind::kMeasuring:
      return measuring_sheet(input);
    case SheetKind::kDecision:
      return input.job.job.safety_critical == SafetyAnswer::kYes ? referral_sheet(input)
                                                                 : decision_sheet(input);
    case SheetKind::kRecord:
      return record_sheet(input);
  }
  return {};
}

}  // namespace

std::string_view word(SheetKind kind) {
  switch (kind) {
    case SheetKind::kWiring:
      return "wiring";
    case SheetKind::kMeasuring:
      return "measuring";
    case SheetKind::kDecision:
      return "decision";
    case SheetKind::kRecord:
      return "record";
  }
  return "";
}

bool is_given(SheetKind kind, SafetyAnswer safety) {
  return safety != SafetyAnswer::kYes || kind == SheetKind::kDecision || kind == SheetKind::kRecord;
}

Document make_document(const SheetInput& input, const std::vector<SheetKind>& kinds) {
  Document document;
  document.job = input.job.job.id;
  document.job_title = input.job.job.title;
  document.board = input.job.board->info().name;
  document.date = input.settings.date;
  document.paper = input.settings.paper;
  for (const SheetKind kind : kinds) {
    if (!is_given(kind, input.job.job.safety_critical)) continue;
    Sheet sheet = sheet_of(kind, input);
    sheet.key = word(kind);
    document.sheets.push_back(std::move(sheet));
  }
  return document;
}

}  // namespace landfall::report
