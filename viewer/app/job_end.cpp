#include "viewer/app/job_end.hpp"

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/app/shelf.hpp"

namespace landfall::app {

Status open_for_work(const Job& job, std::string_view how) {
  if (!job.closed) return done();
  return Error{ErrorCode::kChoice, fmt::format("job {} is closed: open it again first ({})", job.id, how)};
}

Result<std::optional<Outcome>> end_of(store::Bench& bench, std::int64_t job) {
  const auto outcomes = bench.outcomes(job);
  if (!outcomes.ok()) return outcomes.error();
  std::optional<Outcome> end;
  for (const Outcome& one : standing(*outcomes)) {
    if (is_of_whole_job(one)) end = one;
  }
  return end;
}

std::string end_text(const Outcome& end) {
  return fmt::format("the end of job {} is noted already: {}, {}", end.job, word_of(end),
                     end.at.substr(0, 10));
}

}  // namespace landfall::app
