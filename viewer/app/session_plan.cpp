#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/app/session_inside.hpp"

// The plan's page: what it shows, and ticking off its lines.

namespace landfall::app {

void make_plan_anew(Session& s) {
  s.plan.reset();
  s.outcomes.clear();
  if (!s.plan_page || !s.job) return;
  auto plan = plan_job(*s.bench, JobAnswer{*s.job, s.board, s.assessment}, {});
  if (!plan.ok()) return fail(s, plan.error());
  auto outcomes = s.bench->outcomes(s.job->id);
  if (!outcomes.ok()) return fail(s, outcomes.error());
  s.plan = std::make_shared<const PlanAnswer>(std::move(plan).value());
  s.outcomes = std::move(outcomes).value();
}

void act(Session& s, const ShowPlan&) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. A plan needs one."});
  s.bench_page = false;
  s.board_view = false;
  s.plan_page = !s.plan_page;
  if (s.plan_page) make_plan_anew(s);
}

void act(Session& s, const NoteOutcome& a) {
  if (!s.plan || !s.job) return;
  auto outcome = outcome_of(*s.plan, a.number);
  if (!outcome.ok()) return fail(s, outcome.error());
  outcome->worked = a.worked;
  outcome->at = now_utc();
  const auto kept = s.bench->add_outcome(*outcome);
  if (!kept.ok()) return fail(s, kept.error());
  reload_job(s, fmt::format("{} {}{}", outcome->site, a.worked ? "done" : "failed",
                            a.worked ? "." : ": the plan goes around it."));
}

}  // namespace landfall::app
