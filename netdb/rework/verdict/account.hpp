// The options' sums without words: shared by the files of this folder.
#pragma once

#include <array>
#include <optional>

#include "netdb/rework/verdict/verdict.hpp"

namespace landfall::rework::verdict {

enum class TermKind {
  kPaid,
  kReturns,
  kKept,
  kSpoilt,
  kLabour,
  kConsumables,
  kBoard,
  kOldBoard,
  kParts,
  kFee,
};
inline constexpr std::size_t kTermKinds = 10;

struct Account {
  bool offered = false;
  std::array<std::optional<double>, kTermKinds> terms;  // signed money
  double chance = 1;
  double minutes = 0;
  [[nodiscard]] double margin() const;
};
using Accounts = std::array<Account, kOptions>;

// How often a work needs each chance.
std::array<int, kChanceKinds> exponents(const Work& work);
std::array<Beta, kChanceKinds> estimates(const VerdictCase& input);
double work_minutes(const Work& work, const ShopFigures& shop);  // of what is left
Behind behind(const Work& work, const ShopFigures& shop);
// What the shop gets or keeps when an attempt fails (S'), and what it then pays (H).
double kept_if_failed(const ShopFigures& shop);
double spoilt_if_failed(const ShopFigures& shop);

Account repair_account(const VerdictCase& input, const Work& work, double price, double chance);
double work_chance(const Work& work, const std::array<Beta, kChanceKinds>& p);
Accounts accounts(const VerdictCase& input);
// The best of those offered, `except` left out.
OptionKind best_of(const Accounts& all, std::optional<OptionKind> except = std::nullopt);

BreakEvenWires break_even_wires(const VerdictCase& input, const Accounts& all);
// The settings that move the margin of an option that is offered, or what is offered: each tried a tenth off,
// or at 1 unit where it is 0.
std::vector<std::string> moving_settings(const VerdictCase& input, const Accounts& all);
std::vector<Flip> soonest_flips(const VerdictCase& input, OptionKind best);

}  // namespace landfall::rework::verdict
