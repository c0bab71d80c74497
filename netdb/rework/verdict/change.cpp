// What would change the answer: how many wires still pay, which settings turn it soonest.
#include <algorithm>
#include <cmath>

#include "netdb/rework/verdict/account.hpp"

namespace landfall::rework::verdict {
namespace {

constexpr int kMostMoreWires = 500;
constexpr int kMostDrawn = 60;
constexpr int kLeastDrawn = 13;

// The best option in which no wire is run.
OptionKind best_without_wires(Accounts all) {
  all[static_cast<std::size_t>(OptionKind::kOneChannel)].offered = false;
  return best_of(all, OptionKind::kRepair);
}

// The largest group of wires; of equal ones the harder. An empty one "to a via" when the job has no wire.
WorkGroup commonest(const Work& work) {
  WorkGroup found{ChanceKind::kVia, 0, false, false, false};
  for (const WorkGroup& group : work.groups) {
    if (!is_wire(group.kind) || group.count == 0 || group.done) continue;
    if (group.count > found.count || (group.count == found.count && group.kind > found.kind)) found = group;
  }
  return found;
}

bool same_group(const WorkGroup& a, const WorkGroup& b) {
  return a.kind == b.kind && a.fast == b.fast && a.will_not_work == b.will_not_work && a.done == b.done;
}

// The best option with `figure` at `value`, in the figure's own scale.
OptionKind best_at(VerdictCase& input, const Figure& figure, double value) {
  double& held = figure.of(input.shop);
  const double before = held;
  held = value;
  const OptionKind best = best_of(accounts(input));
  held = before;
  return best;
}

// Where the best option first changes on the way from `from` to `end`: looked for in steps, then bisected.
// A change that turns back within one step is not seen.
std::optional<Flip> first_flip(VerdictCase& input, const Figure& figure, double from, double end,
                               OptionKind best) {
  constexpr int kSteps = 60;
  constexpr double kClose = 1e-5;
  double same = from;
  for (int i = 1; i <= kSteps; ++i) {
    // Steps of equal ratio, so that a change of 2 % and one to a tenth are both met.
    double other = end > 0 ? from * std::pow(end / from, static_cast<double>(i) / kSteps) : 0;
    if (i == kSteps) other = end;
    OptionKind then = best_at(input, figure, other);
    if (then == best) {
      same = other;
      continue;
    }
    while (std::abs(other - same) > kClose * std::abs(from)) {
      const double middle = (same + other) / 2;
      const OptionKind there = best_at(input, figure, middle);
      if (there == best) {
        same = middle;
      } else {
        other = middle;
        then = there;
      }
    }
    return Flip{std::string(figure.setting), from / figure.scale, other / figure.scale, (other - from) / from,
                then};
  }
  return std::nullopt;
}

}  // namespace

BreakEvenWires break_even_wires(const VerdictCase& input, const Accounts& all) {
  BreakEvenWires out;
  out.against = best_without_wires(all);
  const double bar = all[static_cast<std::size_t>(out.against)].margin();
  const WorkGroup varied = commonest(input.repair);
  out.kind = varied.kind;
  Work work = input.repair;
  int others = 0;
  std::erase_if(work.groups, [&](const WorkGroup& group) { return same_group(group, varied); });
  for (const WorkGroup& group : input.repair.groups) {
    if (!is_wire(group.kind) || group.done) continue;
    out.now += group.count;
    if (!same_group(group, varied)) others += group.count;
  }
  work.groups.push_back(varied);
  const auto p = estimates(input);
  const int last = out.now - others + kMostMoreWires;
  bool pays = true;
  for (int n = 0; n <= last; ++n) {
    // A few beyond what still pays, to be drawn.
    const bool drawn = n < kMostDrawn && (pays || n <= out.now - others + 3 || n < kLeastDrawn);
    if (!pays && !drawn) return out;
    work.groups.back().count = n;
    const double margin = repair_account(input, work, input.shop.price, work_chance(work, p)).margin();
    if (drawn) out.margins.emplace_back(others + n, margin);
    pays = pays && margin > bar;
    if (pays) out.most = others + n;
  }
  out.beyond_search = pays;
  return out;
}

std::vector<std::string> moving_settings(const VerdictCase& given, const Accounts& all) {
  VerdictCase input = given;
  std::vector<std::string> moving;
  for (const Figure& figure : figures()) {
    if (!figure.varies) continue;
    const double from = figure.of(input.shop);
    figure.of(input.shop) = from > 0 ? from * 0.9 : figure.scale;
    const Accounts now = accounts(input);
    figure.of(input.shop) = from;
    bool moves = false;
    for (std::size_t i = 0; i < kOptions; ++i) {
      moves = moves || now[i].offered != all[i].offered ||
              (all[i].offered && std::abs(now[i].margin() - all[i].margin()) > 1e-9);
    }
    if (moves) moving.emplace_back(figure.setting);
  }
  return moving;
}

std::vector<Flip> soonest_flips(const VerdictCase& given, OptionKind best) {
  constexpr double kFar = 10;  // ten times and a tenth: beyond that nobody means the same shop
  constexpr std::size_t kShown = 3;
  VerdictCase input = given;
  std::vector<Flip> found;
  for (const Figure& figure : figures()) {
    const SettingInfo* info = find_setting(figure.setting);
    const double from = figure.of(input.shop);
    if (!figure.varies || info == nullptr || from <= 0) continue;
    std::optional<Flip> nearest;
    for (const double end : {std::min(info->most * figure.scale, from * kFar),
                             std::max(info->least * figure.scale, from / kFar)}) {
      if (end == from) continue;
      auto flip = first_flip(input, figure, from, end, best);
      if (flip && (!nearest || std::abs(flip->relative) < std::abs(nearest->relative)))
        nearest = std::move(flip);
    }
    if (nearest) found.push_back(std::move(*nearest));
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Flip& a, const Flip& b) { return std::abs(a.relative) < std::abs(b.relative); });
  if (found.size() > kShown) found.resize(kShown);
  return found;
}

}  // namespace landfall::rework::verdict
