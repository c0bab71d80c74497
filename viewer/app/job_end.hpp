// The end of a job: what it takes no more once it is closed, and what is said once its outcome is noted.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "viewer/app/desk.hpp"

namespace landfall::app {

// kChoice for a closed job: it takes no mark, fact, answer, reading or outcome until it is opened again,
// `how` being the way to do that. Photos, the shelf and 'known good' may follow.
Status open_for_work(const Job& job, std::string_view how);

// The last word on the job as a whole, if one stands.
Result<std::optional<Outcome>> end_of(store::Bench& bench, std::int64_t job);

// "the end of job 1 is noted already: worked, 2026-03-01". Work may go on: the next word on the job is then
// another go.
std::string end_text(const Outcome& end);

}  // namespace landfall::app
