#include "netdb/rework/record/record.hpp"

#include <boost/math/distributions/beta.hpp>
#include <fmt/format.h>

#include "netdb/model/counted.hpp"

namespace landfall::rework::record {
namespace {

constexpr double kTail = 0.025;

void set_interval(int worked, int jobs, double& low, double& high) {
  low = worked == 0 ? 0 : quantile(boost::math::beta_distribution<>(worked, jobs - worked + 1), kTail);
  high =
      worked == jobs ? 1 : quantile(boost::math::beta_distribution<>(worked + 1, jobs - worked), 1 - kTail);
}

}  // namespace

Tally tally(const std::vector<Past>& past) {
  Tally all;
  for (const double from : {0.0, 0.5, 0.7, 0.85}) {
    Band band;
    band.from = from;
    band.to = from == 0 ? 0.5 : from == 0.5 ? 0.7 : from == 0.7 ? 0.85 : 1;
    all.bands.push_back(band);
  }
  for (const Past& one : past) {
    ++all.jobs;
    all.worked += one.worked ? 1 : 0;
    all.said += one.chance;
    const double off = one.chance - (one.worked ? 1 : 0);
    all.brier += off * off;
    for (Band& band : all.bands) {
      if (one.chance < band.from || (one.chance >= band.to && band.to < 1)) continue;
      ++band.jobs;
      band.worked += one.worked ? 1 : 0;
      band.said += one.chance;
    }
  }
  if (all.jobs == 0) {
    all.says = "No job has an outcome yet: outcome JOB job worked|failed.";
    return all;
  }
  all.said /= all.jobs;
  all.brier /= all.jobs;
  const double share = static_cast<double>(all.worked) / all.jobs;
  all.brier_mean = share * (1 - share);
  set_interval(all.worked, all.jobs, all.low, all.high);
  for (Band& band : all.bands) {
    if (band.jobs == 0) continue;
    band.said /= band.jobs;
    set_interval(band.worked, band.jobs, band.low, band.high);
  }
  all.says = fmt::format(
      "{} of {} worked ({:.0f} %, somewhere between {:.0f} and {:.0f}); {:.0f} % was said on "
      "average; Brier score {:.3f}. ",
      all.worked, count_of(all.jobs, "repair"), share * 100, all.low * 100, all.high * 100, all.said * 100,
      all.brier);
  if (all.jobs < kFewJobs) {
    all.says += fmt::format("Too few to tell: {} are wanted.", kFewJobs);
  } else if (all.said > all.high) {
    all.says +=
        "The chances said are too high: lower chance.base and its like, or let the outcomes of wires speak.";
  } else if (all.said < all.low) {
    all.says += "The chances said are too low.";
  } else {
    all.says += "What was said agrees with what came.";
  }
  return all;
}

}  // namespace landfall::rework::record
