// Donor boards: who has a part that is still good. And how past verdicts fared.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "netdb/rework/record/money.hpp"
#include "netdb/rework/record/record.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

enum class DonorState { kWhole, kLifted, kDamaged };
std::string_view word(DonorState state);  // "never touched", "lifted", "its own lands damaged"

struct Donor {
  std::int64_t job = 0;
  std::string board, part, value, footprint;
  DonorState state = DonorState::kWhole;
  std::string why;  // one sentence
};

// Fitted parts of shelved boards whose value, footprint or reference has the text in it, case-blind; parts
// that were taken are left out. Best first: never touched before lifted before damaged, newest board first.
Result<std::vector<Donor>> find_donors(store::Bench& bench, std::string_view text);

// A part is taken off a shelved job's board, or is there again; its reference as the board has it.
Result<std::string> take_part(store::Bench& bench, const Job& job, std::string_view part, bool taken);

// Keeps the chance and margin of the repair that this answer offers; nothing is kept where there is no
// verdict.
Status keep_what_was_said(store::Bench& bench, const PlanAnswer& answer, const std::string& now);

// What came of the job as a whole, with what the verdict says now, before this outcome moves it: the tally
// compares the two.
Status note_job_outcome(store::Bench& bench, const PlanAnswer& answer, bool worked, const std::string& note,
                        const std::string& now);
// Whether an outcome is the whole job's.
bool is_of_whole_job(const Outcome& outcome);

// Over all jobs whose whole outcome is known and for which the verdict's chance was kept.
Result<rework::record::Tally> tally_of(store::Bench& bench);

// Over all jobs whose verdict was kept, by when it was.
Result<rework::record::Money> money_of(store::Bench& bench,
                                       std::optional<rework::record::Span> span = std::nullopt);

}  // namespace landfall::app
