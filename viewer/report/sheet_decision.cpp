// What the customer decides by: one page with what was found, the options in figures, and room to sign. What
// an option brings the shop is not on it. In its place, for a safety-critical board, the referral.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/report/sheet_pieces.hpp"

namespace landfall::report {
namespace {

using rework::verdict::Option;
using rework::verdict::OptionKind;

// So few rows that the sheet stays one page.
constexpr std::size_t kMostChannels = 5;
constexpr std::size_t kMostSigns = 160;

std::string cut_off_text(std::string says) {
  std::size_t signs = 0;
  for (std::size_t i = 0; i < says.size(); ++i) {
    if ((static_cast<unsigned char>(says[i]) & 0xC0U) == 0x80U) continue;
    if (++signs <= kMostSigns) continue;
    says.resize(i);
    return says + "\u2026";
  }
  return says;
}

void cut_cells(Table& table) {
  for (auto& row : table.rows) {
    for (Cell& cell : row) cell.text = cut_off_text(cell.text);
  }
}

std::string advice(const rework::verdict::Verdict& verdict) {
  const Option& best = verdict.option(verdict.best);
  std::string says;
  switch (verdict.best) {
    case OptionKind::kRepair:
      says = "We advise the repair";
      break;
    case OptionKind::kOneChannel:
      says = "We advise to repair one channel only";
      break;
    case OptionKind::kSwap:
      says = "We advise to swap the board";
      break;
    case OptionKind::kHarvest:
      says = "We advise against a repair: the board is worth more for its parts";
      break;
    case OptionKind::kDecline:
      return "We advise against a repair.";
  }
  if (best.chance) {
    const std::string low = fmt::format("{:.0f}", best.chance->low * 100);
    const std::string high = fmt::format("{:.0f}", best.chance->high * 100);
    says += fmt::format(". It works with a chance of {:.0f}{}%", best.chance->mean * 100, kNoBreak);
    if (low != high) says += fmt::format(", somewhere between {} and {}", low, high);
  }
  return says + ".";
}

// As a customer says it.
std::string option_text(OptionKind kind) {
  if (kind == OptionKind::kDecline) return "no repair";
  if (kind == OptionKind::kHarvest) return "keep it for parts";
  return std::string(word(kind));
}

Table option_table(const SheetInput& input) {
  Table made;
  made.key = "options";
  made.title = "What can be done";
  made.columns = {{"option", "option"},
                  {"price", "price if it works", Holds::kFigure},
                  {"chance", "chance that it works", Holds::kFigure},
                  {"minutes", "bench time", Holds::kFigure},
                  {"note", "note"},
                  {"chosen", "chosen", Holds::kTick}};
  for (const Option& option : input.verdict->options) {
    // The others' reasons are the shop's.
    if (!option.offered && option.kind != OptionKind::kRepair) continue;
    if (!option.offered) {
      made.rows.push_back({say(option_text(option.kind)), say(""), say(""), say(""),
                           say("not offered: " + option.why_not), blank()});
      continue;
    }
    const bool best = option.kind == input.verdict->best;
    made.rows.push_back({say(option_text(option.kind)), money(option.price), chance(option.chance),
                         option.minutes > 0 ? minutes(option.minutes) : say(""),
                         say(best ? "our advice" : ""), blank()});
  }
  return made;
}

}  // namespace

Sheet decision_sheet(const SheetInput& input) {
  Sheet sheet;
  sheet.title = "Decision";
  auto& blocks = sheet.blocks;
  blocks.push_back(text(cut_off_text(job_line(input))));
  if (input.verdict) {
    blocks.push_back(lead(advice(*input.verdict)));
  } else {
    blocks.push_back(lead("No prices were worked out for this job."));
  }
  if (input.job.job.safety_critical == SafetyAnswer::kNotAsked) blocks.push_back(caution(kCautionAsk));
  blocks.push_back(heading("What we found"));
  blocks.push_back(text(damage_line(input)));
  blocks.push_back(text(fmt::format(
      "To mend it takes {}.{}", work_line(input),
      input.job.assessment.cannot > 0
          ? fmt::format(" {} cannot be mended on the board.", count_of(input.job.assessment.cannot, "site"))
          : "")));
  Table lost = channel_table(input, kMostChannels);
  cut_cells(lost);
  blocks.push_back(table(std::move(lost)));
  if (input.verdict) {
    Table options = option_table(input);
    cut_cells(options);
    blocks.push_back(table(std::move(options)));
    std::size_t said = 0;
    for (const std::string& remark : input.verdict->remarks) {
      if (++said <= 3) blocks.push_back(text(cut_off_text("Note: " + remark + ".")));
    }
  }
  // Only beside a chance.
  const bool chances =
      input.verdict && std::any_of(input.verdict->options.begin(), input.verdict->options.end(),
                                   [](const Option& o) { return o.offered && o.chance; });
  if (chances) blocks.push_back(caution(kCautionChance));
  blocks.push_back(text("Data on the board stay yours: nothing is copied beyond what the repair needs."));
  blocks.push_back(form({"chosen", "name", "date", "signature"}));
  return sheet;
}

Sheet referral_sheet(const SheetInput& input) {
  Sheet sheet;
  sheet.title = "Referral";
  auto& blocks = sheet.blocks;
  blocks.push_back(text(cut_off_text(job_line(input))));
  blocks.push_back(lead(std::string(rework::verdict::kSafetyReferral)));
  blocks.push_back(heading("What we found"));
  blocks.push_back(text(damage_line(input)));
  Table lost = channel_table(input, kMostChannels);
  cut_cells(lost);
  blocks.push_back(table(std::move(lost)));
  blocks.push_back(text("The record with its map and marks can go with the board."));
  blocks.push_back(form({"handed back to", "date", "signature"}));
  return sheet;
}

}  // namespace landfall::report
