// What each job comes to, for the list of jobs: made on a thread of its own, on its own connection to the
// bench file, since each needs its board read and judged.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <map>
#include <mutex>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "viewer/app/desk.hpp"

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

class SummaryTask {
 public:
  using Wanted = std::vector<std::pair<std::int64_t, std::string>>;  // job, its key

  // Starts at once. `on_change` is called from the task's thread after each job and at the end.
  SummaryTask(std::filesystem::path bench_file, Wanted wanted, std::function<void()> on_change);
  // Waits until the job that is being judged is done.
  ~SummaryTask();
  SummaryTask(const SummaryTask&) = delete;
  SummaryTask& operator=(const SummaryTask&) = delete;
  SummaryTask(SummaryTask&&) = delete;
  SummaryTask& operator=(SummaryTask&&) = delete;

  // Those made since the last call.
  std::map<std::int64_t, JobSummary> take();
  [[nodiscard]] bool done() const { return done_; }

 private:
  void run(const std::filesystem::path& bench_file);

  Wanted wanted_;
  std::function<void()> on_change_;
  std::atomic<bool> stopped_ = false;
  std::atomic<bool> done_ = false;
  std::mutex mutex_;
  std::map<std::int64_t, JobSummary> made_;
  std::thread thread_;  // last: it uses all of the above
};

}  // namespace landfall::app
