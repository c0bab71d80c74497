#include "netdb/rework/record/money.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/model/units.hpp"
#include "netdb/rework/record/record.hpp"

namespace landfall::rework::record {
namespace {

constexpr int kMonthsShown = 12;

// Months since the year 0; nothing when the text begins with no year and month.
std::optional<int> month_of(const std::string& at) {
  if (at.size() < 7 || at[4] != '-') return std::nullopt;
  const auto year = parse_integer(std::string_view(at).substr(0, 4));
  const auto month = parse_integer(std::string_view(at).substr(5, 2));
  if (!year || !month || *year < 0 || *month < 1 || *month > 12) return std::nullopt;
  return static_cast<int>(*year * 12 + *month - 1);
}

std::string name_of(std::optional<int> period, Span span) {
  if (!period) return "no date";
  if (span == Span::kQuarter) return fmt::format("{:04} Q{}", *period / 4, *period % 4 + 1);
  return fmt::format("{:04}-{:02}", *period / 12, *period % 12 + 1);
}

Span span_of(const std::vector<Decided>& decided) {
  std::optional<int> first;
  std::optional<int> last;
  for (const Decided& one : decided) {
    const auto month = month_of(one.at);
    if (!month) continue;
    first = std::min(first.value_or(*month), *month);
    last = std::max(last.value_or(*month), *month);
  }
  return first && *last - *first >= kMonthsShown ? Span::kQuarter : Span::kMonth;
}

std::string sentence(const Money& all) {
  if (all.jobs == 0) {
    return "No verdict on a repair has been kept yet: it is when what came of a job as a whole is noted "
           "(outcome "
           "JOB job worked|failed).";
  }
  std::string says;
  if (all.known > 0) {
    says = fmt::format("{} of {}: {:.2f} was predicted, {:.2f} came ({:+.2f}).", all.known,
                       count_of(all.jobs, "repair"), all.said_of, all.came, all.came - all.said_of);
  } else {
    says = count_of(all.jobs, "repair") + " decided, and of none is it known what came in money.";
  }
  if (all.open > 0)
    says += fmt::format(" What came of {} is not noted: outcome JOB job worked|failed.", all.open);
  if (all.unpriced > 0)
    says += fmt::format(
        " {} {} from before the sums were kept, or without a range of chances, and count{} as "
        "jobs only.",
        all.unpriced, all.unpriced == 1 ? "is" : "are", all.unpriced == 1 ? "s" : "");
  if (all.known > 0 && all.known < kFewJobs)
    says += fmt::format(" Too few to tell luck from judgement: {} are wanted.", kFewJobs);
  return says;
}

}  // namespace

Money money(const std::vector<Decided>& decided, std::optional<Span> span) {
  Money all;
  all.span = span.value_or(span_of(decided));
  std::map<std::optional<int>, Period> periods;  // no date comes first
  for (const Decided& one : decided) {
    auto key = month_of(one.at);
    if (key && all.span == Span::kQuarter) *key /= 3;
    Period& period = periods[key];
    ++period.jobs;
    ++all.jobs;
    period.said += one.margin;
    if (!one.worked) {
      ++all.open;
      continue;
    }
    const std::optional<double>& came = *one.worked ? one.if_works : one.if_fails;
    if (!came) {
      ++all.unpriced;
      continue;
    }
    ++period.known;
    period.worked += *one.worked ? 1 : 0;
    period.said_of += one.margin;
    period.came += *came;
  }
  for (auto& [key, period] : periods) {
    period.name = name_of(key, all.span);
    all.known += period.known;
    all.said_of += period.said_of;
    all.came += period.came;
    period.running = all.came;
    period.running_said = all.said_of;
    all.periods.push_back(std::move(period));
  }
  all.says = sentence(all);
  return all;
}

}  // namespace landfall::rework::record
