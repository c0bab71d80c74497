#include "viewer/app/shelf.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"

namespace landfall::app {
namespace {

bool has(const std::string& text, const std::string& wanted) {
  return lower(text).find(wanted) != std::string::npos;
}

// What the job did to this part.
void judge(const Job& job, Donor& donor) {
  const bool lifted = std::find(job.lifted.begin(), job.lifted.end(), donor.part) != job.lifted.end();
  const auto own = std::count_if(job.marks.begin(), job.marks.end(), [&](const Mark& mark) {
    return mark.part == donor.part && mark.kind == MarkKind::kChip;
  });
  if (own > 0) {
    donor.state = DonorState::kDamaged;
    donor.why = fmt::format("{} of its own lands are marked", own);
  } else if (lifted) {
    donor.state = DonorState::kLifted;
    donor.why = "it was lifted, and lies loose or was put back; not tested since";
  } else {
    donor.why = "it was not lifted on this job; not tested";
  }
}

}  // namespace

std::string_view word(DonorState state) {
  switch (state) {
    case DonorState::kWhole:
      return "never touched";
    case DonorState::kLifted:
      return "lifted";
    case DonorState::kDamaged:
      return "its own lands damaged";
  }
  return "";
}

Result<std::vector<Donor>> find_donors(store::Bench& bench, std::string_view text) {
  const std::string wanted = lower(text);
  if (wanted.empty())
    return Error{ErrorCode::kUsage, "which part? a piece of its value, footprint or reference"};
  const auto shelf = bench.shelf();
  if (!shelf.ok()) return shelf.error();
  std::vector<Donor> donors;
  for (const store::Shelved& shelved : *shelf) {
    const auto job = bench.job(shelved.job);
    if (!job.ok()) return job.error();
    const auto info = bench.board_info(job->board);
    if (!info.ok()) return info.error();
    const auto board = bench.board(job->board);
    if (!board.ok()) return board.error();
    for (const Part& part : board->parts) {
      if (!part.fitted ||
          !(has(part.value, wanted) || has(part.footprint, wanted) || lower(part.reference) == wanted))
        continue;
      if (std::find(shelved.taken.begin(), shelved.taken.end(), part.reference) != shelved.taken.end())
        continue;
      Donor donor{job->id, info->name, part.reference, part.value, part.footprint, DonorState::kWhole, ""};
      judge(*job, donor);
      donors.push_back(std::move(donor));
    }
  }
  std::stable_sort(donors.begin(), donors.end(),
                   [](const Donor& a, const Donor& b) { return a.state < b.state; });
  return donors;
}

Status keep_what_was_said(store::Bench& bench, const PlanAnswer& answer, const std::string& now) {
  if (!answer.verdict) return std::monostate{};
  const auto& verdict = answer.before_work ? *answer.before_work : *answer.verdict;
  const auto& repair = verdict.option(rework::verdict::OptionKind::kRepair);
  if (!repair.chance) return std::monostate{};
  store::Said said{answer.job.job.id,   repair.chance->mean, repair.chance->low,
                   repair.chance->high, repair.margin,       now};
  // The margin is a line over the chance (T34), up or, where a return costs more than the price, down; two of
  // its points give what a repair brings that works, and one that fails.
  const double wide = repair.chance->high - repair.chance->low;
  if (wide > 1e-9) {
    const double steep = (repair.margin_high - repair.margin_low) / wide;
    const double off_low = repair.chance->mean - repair.chance->low;
    const bool down = std::abs(repair.margin_high - steep * off_low - repair.margin) + 1e-9 <
                      std::abs(repair.margin_low + steep * off_low - repair.margin);
    const double slope = down ? -steep : steep;
    said.if_fails = repair.margin - slope * repair.chance->mean;
    said.if_works = *said.if_fails + slope;
  }
  return bench.keep_said(said);
}

Status note_job_outcome(store::Bench& bench, const PlanAnswer& answer, bool worked, const std::string& note,
                        const std::string& now) {
  if (auto kept = keep_what_was_said(bench, answer, now); !kept.ok()) return kept;
  Outcome outcome;
  outcome.job = answer.job.job.id;
  outcome.kind = std::string(word(rework::verdict::ChanceKind::kBase));
  outcome.worked = worked;
  outcome.note = note;
  outcome.at = now;
  const auto id = bench.add_outcome(outcome);
  return id.ok() ? Status(std::monostate{}) : Status(id.error());
}

Result<std::string> take_part(store::Bench& bench, const Job& job, std::string_view text, bool taken) {
  const auto board = open_board(bench, job.board);
  if (!board.ok()) return board.error();
  const auto part = find_part(**board, text);
  if (!part.ok()) return part.error();
  const std::string& reference = (*board)->board().parts[*part].reference;
  const Status kept = taken ? bench.take_from_shelf(job.id, reference, now_utc())
                            : bench.put_back_on_shelf(job.id, reference, now_utc());
  if (!kept.ok()) return kept.error();
  return reference;
}

bool is_of_whole_job(const Outcome& outcome) {
  return outcome.kind == word(rework::verdict::ChanceKind::kBase) && outcome.site.empty();
}

namespace {

// The last word on each whole job.
Result<std::map<std::int64_t, bool>> what_came(store::Bench& bench) {
  const auto outcomes = bench.all_outcomes();
  if (!outcomes.ok()) return outcomes.error();
  std::map<std::int64_t, bool> came;
  for (const Outcome& outcome : standing(*outcomes)) {
    if (is_of_whole_job(outcome)) came[outcome.job] = outcome.worked;
  }
  return came;
}

}  // namespace

Result<rework::record::Tally> tally_of(store::Bench& bench) {
  const auto said = bench.said();
  if (!said.ok()) return said.error();
  const auto came = what_came(bench);
  if (!came.ok()) return came.error();
  std::vector<rework::record::Past> past;
  for (const store::Said& one : *said) {
    if (const auto found = came->find(one.job); found != came->end())
      past.push_back({one.chance, found->second});
  }
  return rework::record::tally(past);
}

Result<rework::record::Money> money_of(store::Bench& bench, std::optional<rework::record::Span> span) {
  const auto said = bench.said();
  if (!said.ok()) return said.error();
  const auto came = what_came(bench);
  if (!came.ok()) return came.error();
  std::vector<rework::record::Decided> decided;
  for (const store::Said& one : *said) {
    const auto found = came->find(one.job);
    decided.push_back({one.at, one.margin, one.if_works, one.if_fails,
                       found == came->end() ? std::nullopt : std::optional(found->second)});
  }
  return rework::record::money(decided, span);
}

}  // namespace landfall::app
