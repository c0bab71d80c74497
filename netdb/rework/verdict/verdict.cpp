#include "netdb/rework/verdict/verdict.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/rework/verdict/account.hpp"

namespace landfall::rework::verdict {
namespace {

constexpr std::array<std::string_view, kOptions> kOptionWords{"repair", "repair one channel",
                                                              "swap the board", "harvest", "decline"};
constexpr std::array<std::string_view, kTermKinds> kTermWords{
    "paid if it works", "returns", "kept if it fails", "spoilt board",         "labour",
    "consumables",      "board",   "old board",        "parts that test well", "bench fee"};

constexpr int kMostCount = 10'000;
constexpr int kMostParts = 100;
constexpr std::int64_t kMostCases = 1'000'000'000;

bool is_share(double value) {
  return value >= 0 && value <= 1;
}

std::optional<Error> fault(const Work& work) {
  if (work.parts < 0 || work.parts > kMostParts)
    return Error{ErrorCode::kUsage, fmt::format("a job lifts 0 to {} parts", kMostParts)};
  int total = 0;
  for (const WorkGroup& group : work.groups) {
    if (group.count < 0 || group.count > kMostCount || (total += group.count) > kMostCount)
      return Error{ErrorCode::kUsage, fmt::format("a job has 0 to {} wires and rebuilds", kMostCount)};
    if (!is_wire(group.kind) && group.kind != ChanceKind::kRebuild && group.kind != ChanceKind::kRebond)
      return Error{ErrorCode::kUsage, fmt::format("'{}' is no kind of wire or rebuild", word(group.kind))};
  }
  return std::nullopt;
}

std::optional<Error> fault(const VerdictCase& input) {
  if (auto bad = fault(input.repair)) return bad;
  if (input.one_channel) {
    if (auto bad = fault(*input.one_channel)) return bad;
  }
  ShopFigures shop = input.shop;
  for (const Figure& figure : figures()) {
    const double value = figure.of(shop);
    if (!std::isfinite(value) || value < 0)
      return Error{ErrorCode::kUsage, fmt::format("the setting {} is a number from 0 up", figure.setting)};
  }
  if (!(shop.prior_weight > 0)) return Error{ErrorCode::kUsage, "prior.weight lies above 0"};
  const bool shares = is_share(shop.returns_share) && is_share(shop.swap_chance) && is_share(shop.interval) &&
                      std::all_of(shop.chance.begin(), shop.chance.end(), is_share);
  if (!shares) return Error{ErrorCode::kUsage, "a chance or share lies between 0 and 100 %"};
  for (const Tally& tally : input.outcomes) {
    if (tally.worked < 0 || tally.failed < 0 || tally.worked > kMostCases || tally.failed > kMostCases)
      return Error{ErrorCode::kUsage, "outcomes are counted from 0 up"};
  }
  for (const HarvestPart& part : input.parts) {
    if (!std::isfinite(part.value) || part.value < 0 || !is_share(part.test_yield))
      return Error{ErrorCode::kUsage,
                   fmt::format("{}: a part's value is a number from 0 up, its yield lies between 0 and 100 %",
                               part.name)};
  }
  return std::nullopt;
}

std::string_view kept_words(const ShopFigures& shop) {
  if (shop.board_is_shops) return "salvage, the board is the shop's";
  return shop.fee_failed > 0 ? "bench fee agreed with the customer"
                             : "the customer keeps the board, no fee agreed";
}

// How a term came about, in figures.
std::string how(TermKind term, OptionKind option, const Account& account, const VerdictCase& input) {
  const ShopFigures& s = input.shop;
  const double price = option == OptionKind::kSwap         ? s.swap_price
                       : option == OptionKind::kOneChannel ? s.price_channel
                                                           : s.price;
  switch (term) {
    case TermKind::kPaid:
      return fmt::format("{:.3f} x {:.2f}", account.chance, price);
    case TermKind::kReturns:
      return fmt::format("{:.3f} x {:.1f} % x {:.2f}", account.chance, s.returns_share * 100, s.returns_cost);
    case TermKind::kKept:
      return fmt::format("{:.3f} x {:.2f} ({})", 1 - account.chance, kept_if_failed(s), kept_words(s));
    case TermKind::kSpoilt:
      return fmt::format("{:.3f} x {:.2f}", 1 - account.chance, spoilt_if_failed(s));
    case TermKind::kLabour: {
      std::string text = fmt::format("{:.0f} min at {:.2f} an hour", account.minutes, s.rate_hour);
      const Behind spent = option == OptionKind::kRepair       ? behind(input.repair, s)
                           : option == OptionKind::kOneChannel ? behind(*input.one_channel, s)
                                                               : Behind{};
      if (spent.done > 0) {
        text += fmt::format(", of what is left; {:.0f} min ({:.2f}) are behind and count for no option",
                            spent.minutes, spent.money);
      }
      return text;
    }
    case TermKind::kConsumables:
      return "spent either way";
    case TermKind::kBoard:
      return "a working board";
    case TermKind::kOldBoard:
      return "salvage";
    case TermKind::kParts:
      return fmt::format("value times test yield of {} listed parts, and {:.2f} in one sum",
                         input.parts.size(), s.harvest_value);
    case TermKind::kFee:
      return "for looking";
  }
  return {};
}

std::string why_not(OptionKind kind, const VerdictCase& input) {
  switch (kind) {
    case OptionKind::kRepair:
      return count_of(input.repair.cannot, "needed site") + " cannot be mended";
    case OptionKind::kOneChannel:
      if (input.one_channel)
        return fmt::format("{} of {} cannot be mended", count_of(input.one_channel->cannot, "needed site"),
                           input.channel.empty() ? "the channel" : input.channel);
      return input.no_channel.empty() ? "no channel runs by itself" : input.no_channel;
    case OptionKind::kSwap:
      return "no working board is to be had (swap.board is 0)";
    case OptionKind::kHarvest:
      if (!input.shop.board_is_shops) return "the board is the customer's (board.is-shops is 0)";
      return "its parts bring nothing (harvest.value is 0)";
    case OptionKind::kDecline:
      break;
  }
  return {};
}

Interval chance_interval(const Work& work, const std::array<Beta, kChanceKinds>& p, double level) {
  const auto n = exponents(work);
  std::array<Factor, kChanceKinds> factors;
  for (std::size_t i = 0; i < kChanceKinds; ++i) factors[i] = {p[i], n[i]};
  return product_interval(factors, level);
}

Option dressed(OptionKind kind, const Account& account, const VerdictCase& input) {
  Option out;
  out.kind = kind;
  out.offered = account.offered;
  if (!out.offered) out.why_not = why_not(kind, input);
  for (std::size_t i = 0; i < kTermKinds; ++i) {
    if (!account.terms[i]) continue;
    const auto term = static_cast<TermKind>(i);
    out.terms.push_back({std::string(kTermWords[i]), how(term, kind, account, input),
                         *account.terms[i] + 0.0});  // + 0.0: no -0.00
  }
  out.margin = out.margin_low = out.margin_high = account.margin();
  out.minutes = account.minutes;
  return out;
}

void add_chance(Option& out, const VerdictCase& input, const Work& work, double price,
                const std::array<Beta, kChanceKinds>& p) {
  out.price = price;
  out.chance = chance_interval(work, p, input.shop.interval);
  const double a = repair_account(input, work, price, out.chance->low).margin();
  const double b = repair_account(input, work, price, out.chance->high).margin();
  out.margin_low = std::min(a, b);
  out.margin_high = std::max(a, b);
}

void add_options(const VerdictCase& input, const Accounts& all, Verdict& out) {
  for (std::size_t i = 0; i < kOptions; ++i) {
    out.options[i] = dressed(static_cast<OptionKind>(i), all[i], input);
  }
  const auto p = estimates(input);
  const auto slot = [&](OptionKind kind) -> Option& { return out.options[static_cast<std::size_t>(kind)]; };
  add_chance(slot(OptionKind::kRepair), input, input.repair, input.shop.price, p);
  if (input.one_channel) {
    add_chance(slot(OptionKind::kOneChannel), input, *input.one_channel, input.shop.price_channel, p);
  } else {
    Option none;
    none.kind = OptionKind::kOneChannel;
    none.why_not = why_not(OptionKind::kOneChannel, input);
    slot(OptionKind::kOneChannel) = std::move(none);
  }
  Option& swap = slot(OptionKind::kSwap);
  swap.price = input.shop.swap_price;
  swap.chance = Interval{input.shop.swap_chance, input.shop.swap_chance, input.shop.swap_chance};
  slot(OptionKind::kDecline).price = input.shop.fee_decline;
}

void add_break_even(const VerdictCase& input, const Accounts& all, Verdict& out) {
  out.break_even_against = best_of(all, OptionKind::kRepair);
  const Account& repair = all[static_cast<std::size_t>(OptionKind::kRepair)];
  if (!repair.offered) {
    out.break_even_says = fmt::format("no repair to weigh: {}", why_not(OptionKind::kRepair, input));
    return;
  }
  const double other = all[static_cast<std::size_t>(out.break_even_against)].margin();
  const ShopFigures& s = input.shop;
  out.break_even_chance =
      break_even_chance({s.rate_hour * repair.minutes / 60 + s.consumables, other, kept_if_failed(s),
                         spoilt_if_failed(s), s.price, s.returns_share * s.returns_cost});
  const std::string_view against = word(out.break_even_against);
  if (!out.break_even_chance) {
    out.break_even_says = "a repair that works brings no more than one that fails: no chance makes it pay";
  } else if (*out.break_even_chance <= 0) {
    out.break_even_says = fmt::format("against '{}' a repair pays at any chance", against);
  } else if (*out.break_even_chance > 1) {
    out.break_even_says = fmt::format("against '{}' a repair pays at no chance", against);
  } else {
    out.break_even_says =
        fmt::format("against '{}' a repair pays above a chance of {:.1f} %; here it is {:.1f} %", against,
                    *out.break_even_chance * 100, repair.chance * 100);
  }
}

void add_chances(const VerdictCase& input, Verdict& out) {
  const auto n = exponents(input.repair);
  const auto p = estimates(input);
  for (std::size_t i = 0; i < kChanceKinds; ++i) {
    if (n[i] == 0) continue;
    out.chances.push_back({static_cast<ChanceKind>(i), n[i], input.shop.chance[i], input.shop.prior_weight,
                           input.outcomes[i], mean(p[i]), power_mean(p[i], n[i])});
  }
}

void add_remarks(const VerdictCase& input, Verdict& out) {
  int fast = 0;
  int lost = 0;
  if (out.behind.done > 0) {
    out.remarks.push_back(
        fmt::format("{} of {} wires and rebuilds done: time, cost and chance are those of what is left",
                    out.behind.done, out.behind.all));
  }
  for (const WorkGroup& group : input.repair.groups) {
    if (is_wire(group.kind) && group.fast) fast += group.count;
    if (group.will_not_work) lost += group.count;
  }
  if (fast > input.shop.rarely_pays) {
    out.remarks.push_back(
        fmt::format("{} wires on fast lines: beyond {:.0f} a repair rarely pays (common practice)", fast,
                    input.shop.rarely_pays));
  }
  if (lost > 0) {
    out.remarks.push_back(fmt::format("{} wire{} judged as 'will not work', which the chance counts", lost,
                                      lost == 1 ? " is" : "s are"));
  }
}

std::string answer(const Verdict& v, const Accounts& all) {
  const Option& best = v.option(v.best);
  std::string chance;
  if (best.chance && v.best != OptionKind::kSwap) {
    chance = fmt::format(", a chance of {:.0f} % ({:.0f} to {:.0f})", best.chance->mean * 100,
                         best.chance->low * 100, best.chance->high * 100);
  }
  const OptionKind next = best_of(all, v.best);
  if (next == v.best) return fmt::format("{}: a margin of {:.2f}{}", word(v.best), best.margin, chance);
  return fmt::format("{}: a margin of {:.2f}{}; next comes '{}' with {:.2f}", word(v.best), best.margin,
                     chance, word(next), v.option(next).margin);
}

}  // namespace

std::string_view word(OptionKind kind) {
  return kOptionWords[static_cast<std::size_t>(kind)];
}

std::optional<double> break_even_chance(const BreakEvenInput& input) {
  const double gain = input.price - input.returns - input.kept + input.spoilt;
  if (!(gain > 0)) return std::nullopt;
  return (input.cost + input.other_margin - input.kept + input.spoilt) / gain;
}

Result<Verdict> give_verdict(const VerdictCase& input) {
  if (auto bad = fault(input)) return *std::move(bad);
  Verdict out;
  const Accounts all = accounts(input);
  add_options(input, all, out);
  out.best = best_of(all);
  add_break_even(input, all, out);
  if (out.option(OptionKind::kRepair).offered) out.wires = break_even_wires(input, all);
  out.behind = behind(input.repair, input.shop);
  add_chances(input, out);
  out.soonest = soonest_flips(input, out.best);
  out.read = moving_settings(input, all);
  add_remarks(input, out);
  out.says = answer(out, all);
  return out;
}

}  // namespace landfall::rework::verdict
