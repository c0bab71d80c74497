#include "netdb/rework/verdict/account.hpp"

#include <algorithm>

namespace landfall::rework::verdict {
namespace {

constexpr std::size_t at(TermKind kind) {
  return static_cast<std::size_t>(kind);
}

// From the option that risks least to the one that risks most: of equal margins the first is the best.
constexpr std::array<OptionKind, kOptions> kByRisk{OptionKind::kDecline, OptionKind::kHarvest,
                                                   OptionKind::kSwap, OptionKind::kOneChannel,
                                                   OptionKind::kRepair};

double labour(const ShopFigures& shop, double minutes) {
  return shop.rate_hour * minutes / 60;
}

Account swap_account(const ShopFigures& shop) {
  Account out;
  out.offered = shop.swap_board > 0;
  out.chance = shop.swap_chance;
  out.minutes = shop.swap_minutes;
  out.terms[at(TermKind::kPaid)] = shop.swap_chance * shop.swap_price;
  out.terms[at(TermKind::kBoard)] = -shop.swap_board;
  out.terms[at(TermKind::kLabour)] = -labour(shop, out.minutes);
  out.terms[at(TermKind::kOldBoard)] = shop.salvage;
  return out;
}

Account harvest_account(const VerdictCase& input) {
  Account out;
  double value = input.shop.harvest_value;
  for (const HarvestPart& part : input.parts) value += part.value * part.test_yield;
  out.offered = input.shop.board_is_shops && value > 0;
  out.minutes = input.shop.harvest_minutes;
  out.terms[at(TermKind::kParts)] = value;
  out.terms[at(TermKind::kLabour)] = -labour(input.shop, out.minutes);
  return out;
}

Account decline_account(const ShopFigures& shop) {
  Account out;
  out.offered = true;
  out.minutes = shop.decline_minutes;
  out.terms[at(TermKind::kFee)] = shop.fee_decline;
  out.terms[at(TermKind::kLabour)] = -labour(shop, out.minutes);
  return out;
}

}  // namespace

double Account::margin() const {
  double sum = 0;
  for (const auto& term : terms) sum += term.value_or(0);
  return sum;
}

std::array<int, kChanceKinds> exponents(const Work& work) {
  std::array<int, kChanceKinds> n{};
  const auto add = [&](ChanceKind kind, int count) { n[static_cast<std::size_t>(kind)] += count; };
  add(ChanceKind::kBase, work.parts);
  for (const WorkGroup& group : work.groups) {
    if (!group.done) add(group.kind, group.count);
    if (group.fast) add(ChanceKind::kFast, group.count);
    if (group.will_not_work) add(ChanceKind::kWillNotWork, group.count);
  }
  return n;
}

std::array<Beta, kChanceKinds> estimates(const VerdictCase& input) {
  std::array<Beta, kChanceKinds> out;
  for (std::size_t i = 0; i < kChanceKinds; ++i) {
    out[i] = estimate(input.shop.chance[i], input.shop.prior_weight, input.outcomes[i]);
  }
  return out;
}

double work_minutes(const Work& work, const ShopFigures& shop) {
  double minutes = work.parts * shop.minutes[static_cast<std::size_t>(ChanceKind::kBase)];
  for (const WorkGroup& group : work.groups) {
    if (!group.done) minutes += group.count * shop.minutes[static_cast<std::size_t>(group.kind)];
  }
  return minutes;
}

Behind behind(const Work& work, const ShopFigures& shop) {
  Behind out;
  for (const WorkGroup& group : work.groups) {
    out.all += group.count;
    if (!group.done) continue;
    out.done += group.count;
    if (is_wire(group.kind)) out.wires_done += group.count;
    out.minutes += group.count * shop.minutes[static_cast<std::size_t>(group.kind)];
  }
  out.money = labour(shop, out.minutes);
  return out;
}

double kept_if_failed(const ShopFigures& shop) {
  return shop.board_is_shops ? shop.salvage : shop.fee_failed;
}

double spoilt_if_failed(const ShopFigures& shop) {
  return shop.board_is_shops ? 0 : shop.spoilt_cost;
}

double work_chance(const Work& work, const std::array<Beta, kChanceKinds>& p) {
  const auto n = exponents(work);
  double chance = 1;
  for (std::size_t i = 0; i < kChanceKinds; ++i) chance *= power_mean(p[i], n[i]);
  return chance;
}

// E(p) = p (price - w Cw) + (1-p)(S' - H) - C, TRADE.md T34; salvage only where the repair fails (T37).
Account repair_account(const VerdictCase& input, const Work& work, double price, double chance) {
  const ShopFigures& shop = input.shop;
  Account out;
  out.offered = work.cannot == 0;
  out.chance = chance;
  out.minutes = work_minutes(work, shop);
  out.terms[at(TermKind::kPaid)] = chance * price;
  out.terms[at(TermKind::kReturns)] = -chance * shop.returns_share * shop.returns_cost;
  out.terms[at(TermKind::kKept)] = (1 - chance) * kept_if_failed(shop);
  out.terms[at(TermKind::kSpoilt)] = -(1 - chance) * spoilt_if_failed(shop);
  out.terms[at(TermKind::kLabour)] = -labour(shop, out.minutes);
  out.terms[at(TermKind::kConsumables)] = -shop.consumables;
  return out;
}

Accounts accounts(const VerdictCase& input) {
  Accounts all;
  const auto p = estimates(input);
  const auto slot = [&](OptionKind kind) -> Account& { return all[static_cast<std::size_t>(kind)]; };
  slot(OptionKind::kRepair) =
      repair_account(input, input.repair, input.shop.price, work_chance(input.repair, p));
  if (input.one_channel) {
    slot(OptionKind::kOneChannel) = repair_account(input, *input.one_channel, input.shop.price_channel,
                                                   work_chance(*input.one_channel, p));
  }
  slot(OptionKind::kSwap) = swap_account(input.shop);
  slot(OptionKind::kHarvest) = harvest_account(input);
  slot(OptionKind::kDecline) = decline_account(input.shop);
  return all;
}

OptionKind best_of(const Accounts& all, std::optional<OptionKind> except) {
  OptionKind best = OptionKind::kDecline;
  std::optional<double> most;
  for (const OptionKind kind : kByRisk) {
    const Account& account = all[static_cast<std::size_t>(kind)];
    if (!account.offered || kind == except) continue;
    if (const double margin = account.margin(); !most || margin > *most) {
      most = margin;
      best = kind;
    }
  }
  return best;
}

}  // namespace landfall::rework::verdict
