// What each job comes to, for the list of jobs: made on a thread of its own, on its own connection to the
// bench file, since each needs its board read and judged.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "viewer/app/desk.hpp"
#include "viewer/app/task.hpp"

namespace landfall::app {

struct JobSummary {
  std::string of;  // summary_key of the job that it was made from
  // Channels that are not up, worst first, at most two; `others`: how many more such there are.
  std::vector<std::pair<std::string, rework::State>> hurt;
  std::size_t others = 0;
  std::size_t channels = 0;  // of the lifted parts, all of them
  int wires = 0, rebuilds = 0, cannot = 0;
  bool bound = false;    // wires: at most
  std::string decision;  // the verdict's best option; "referral" for a safety-critical job
  std::optional<double> margin;
  std::string why_not;  // no summary: why
};

// Changes whenever marks or facts of the job do.
std::string summary_key(const Job& job);

using SummaryTask = Task<std::pair<std::int64_t, JobSummary>>;              // by job
using WantedSummaries = std::vector<std::pair<std::int64_t, std::string>>;  // job, its key
std::shared_ptr<SummaryTask> sum_up(std::filesystem::path bench_file, WantedSummaries wanted,
                                    std::function<void()> on_change);

}  // namespace landfall::app
