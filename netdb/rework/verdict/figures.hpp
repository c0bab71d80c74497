// The shop's own figures as the verdict reads them, and which setting each one is.
#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <span>
#include <string_view>

#include "netdb/model/settings.hpp"

namespace landfall::rework::verdict {

// What a chance (and mostly a time) is kept for. TRADE.md T39 unless said.
enum class ChanceKind {
  kBase,         // part off, clean, reball, on
  kNear,         // a wire to a near, visible conductor
  kVia,          // a wire to a via
  kUnder,        // a wire that is led under the part
  kInner,        // a wire into an inner layer
  kRebuild,      // a new land at the site (T19d, T19e)
  kRebond,       // a loose land, glued down again
  kFast,         // a further factor for each wire of a pair or a fast line; takes no time of its own
  kWillNotWork,  // a further factor for each wire that is judged 'will not work' (DESIGN.md section 5)
};
inline constexpr std::size_t kChanceKinds = 9;
// "the base process", "to a near conductor", "to a via", ...
std::string_view word(ChanceKind kind);
// True for what is a wire: near, via, under, inner.
bool is_wire(ChanceKind kind);

// Money in the shop's one currency; shares from 0 to 1; times in minutes. The defaults are the settings'.
struct ShopFigures {
  double rate_hour = 0;         // what an hour of bench work costs
  double consumables = 0;       // a job
  double price = 0;             // for a repair, paid only if it works
  double price_channel = 0;     // for a repair of one channel only
  double returns_share = 0;     // w: of repaired boards
  double returns_cost = 0;      // Cw: one return
  double salvage = 0;           // what a dead board is worth to its owner
  bool board_is_shops = false;  // then a failed repair leaves the salvage, and the board may be harvested
  double fee_failed = 0;        // bench fee that a customer pays for a repair that failed
  double spoilt_cost = 0;       // H: what spoiling a customer's board costs
  double fee_decline = 0;       // bench fee for looking only
  double decline_minutes = 0;
  double swap_price = 0;
  double swap_board = 0;  // what a working board costs; 0: none to be had
  double swap_minutes = 0;
  double swap_chance = 0;
  double harvest_value = 0;  // of the board's parts in one sum, beside those that are listed
  double harvest_minutes = 0;
  std::array<double, kChanceKinds> chance{};   // prior means
  std::array<double, kChanceKinds> minutes{};  // 0 for the two further factors
  double prior_weight = 0;                     // cases that a prior mean counts for
  double interval = 0;                         // share that an interval holds
  double rarely_pays = 0;                      // wires on fast lines beyond which a repair rarely pays (T21f)
};

// A figure's setting and where it lies.
struct Figure {
  std::string_view setting;
  double scale = 1;    // the setting is in its unit, the figure is the setting times this (0.01 for %)
  bool varies = true;  // is tried when looking for what would change the answer
  double& (*of)(ShopFigures&) = nullptr;
};

// All but `board_is_shops`, whose setting is "board.is-shops" (0 or 1).
std::span<const Figure> figures();

// Reads every figure; `value` answers for one setting, in the setting's unit and within its bounds.
ShopFigures shop_figures(const std::function<double(const SettingInfo&)>& value);
// All defaults.
ShopFigures default_figures();

}  // namespace landfall::rework::verdict
