#include "viewer/app/summary_task.hpp"

#include <exception>

#include <fmt/format.h>

namespace landfall::app {
namespace {

constexpr std::size_t kMostNamed = 2;

JobSummary summary_of(store::Bench& bench, std::int64_t id) {
  JobSummary summary;
  const auto plan = plan_job(bench, std::to_string(id));
  if (!plan.ok()) {
    summary.why_not = plan.error().message;
    return summary;
  }
  const JobAnswer& job = plan->job;
  const rework::Assessment& a = job.assessment;
  summary.channels = a.channels.size();
  for (const rework::GroupAnswer& group : a.channels) {
    if (group.state == rework::State::kUp) continue;
    if (summary.hurt.size() == kMostNamed) {
      ++summary.others;
    } else {
      summary.hurt.emplace_back(job.board->signals().channels[group.group].name, group.state);
    }
  }
  summary.wires = static_cast<int>(a.wires);
  summary.rebuilds = static_cast<int>(a.rebuilds);
  summary.cannot = static_cast<int>(a.cannot);
  summary.bound = a.bound;
  if (job.job.safety_critical == SafetyAnswer::kYes) {
    summary.decision = "referral";
  } else if (plan->verdict && !job.job.marks.empty()) {
    summary.decision = std::string(word(plan->verdict->best));
    summary.margin = plan->verdict->option(plan->verdict->best).margin;
  }
  return summary;
}

}  // namespace

std::string summary_key(const Job& job) {
  return fmt::format("{} {} {}", job.kept, job.facts.size(), job.marks.size());
}

std::shared_ptr<SummaryTask> sum_up(std::filesystem::path bench_file, WantedSummaries wanted,
                                    std::function<void()> on_change) {
  return std::make_shared<SummaryTask>(
      [file = std::move(bench_file), wanted = std::move(wanted)](SummaryTask::Hand& hand) {
        auto bench = store::Bench::open(file);
        for (const auto& [id, key] : wanted) {
          if (hand.stopped()) break;
          JobSummary summary;
          try {
            if (bench.ok()) {
              summary = summary_of(bench.value(), id);
            } else {
              summary.why_not = bench.error().message;
            }
          } catch (const std::exception& error) {
            summary.why_not = error.what();
          }
          summary.of = key;
          hand.over({id, std::move(summary)});
        }
      },
      std::move(on_change));
}

}  // namespace landfall::app
