#include "netdb/rework/verdict/figures.hpp"

#include <cassert>

namespace landfall::rework::verdict {
namespace {

constexpr std::array<std::string_view, kChanceKinds> kWords{
    "the base process", "to a near conductor", "to a via",
    "under the part",   "into an inner layer", "a land rebuilt",
    "a land rebonded",  "on a fast line",      "judged as will not work"};

template <ChanceKind kKind>
double& chance_of(ShopFigures& f) {
  return f.chance[static_cast<std::size_t>(kKind)];
}

template <ChanceKind kKind>
double& minutes_of(ShopFigures& f) {
  return f.minutes[static_cast<std::size_t>(kKind)];
}

template <double ShopFigures::*kMember>
double& member_of(ShopFigures& f) {
  return f.*kMember;
}

using K = ChanceKind;
using F = ShopFigures;

constexpr double kPercent = 0.01;

constexpr std::array<Figure, 36> kFigures{{
    {"rate.hour", 1, true, member_of<&F::rate_hour>},
    {"consumables", 1, true, member_of<&F::consumables>},
    {"price.repair", 1, true, member_of<&F::price>},
    {"price.one-channel", 1, true, member_of<&F::price_channel>},
    {"returns.share", kPercent, true, member_of<&F::returns_share>},
    {"returns.cost", 1, true, member_of<&F::returns_cost>},
    {"salvage", 1, true, member_of<&F::salvage>},
    {"fee.failed", 1, true, member_of<&F::fee_failed>},
    {"spoilt.cost", 1, true, member_of<&F::spoilt_cost>},
    {"fee.decline", 1, true, member_of<&F::fee_decline>},
    {"time.decline", 1, true, member_of<&F::decline_minutes>},
    {"swap.price", 1, true, member_of<&F::swap_price>},
    {"swap.board", 1, true, member_of<&F::swap_board>},
    {"time.swap", 1, true, member_of<&F::swap_minutes>},
    {"chance.swap", kPercent, true, member_of<&F::swap_chance>},
    {"harvest.value", 1, true, member_of<&F::harvest_value>},
    {"time.harvest", 1, true, member_of<&F::harvest_minutes>},
    {"time.base", 1, true, minutes_of<K::kBase>},
    {"time.near", 1, true, minutes_of<K::kNear>},
    {"time.via", 1, true, minutes_of<K::kVia>},
    {"time.under", 1, true, minutes_of<K::kUnder>},
    {"time.inner", 1, true, minutes_of<K::kInner>},
    {"time.rebuild", 1, true, minutes_of<K::kRebuild>},
    {"time.rebond", 1, true, minutes_of<K::kRebond>},
    {"chance.base", kPercent, true, chance_of<K::kBase>},
    {"chance.near", kPercent, true, chance_of<K::kNear>},
    {"chance.via", kPercent, true, chance_of<K::kVia>},
    {"chance.under", kPercent, true, chance_of<K::kUnder>},
    {"chance.inner", kPercent, true, chance_of<K::kInner>},
    {"chance.rebuild", kPercent, true, chance_of<K::kRebuild>},
    {"chance.rebond", kPercent, true, chance_of<K::kRebond>},
    {"chance.fast", kPercent, true, chance_of<K::kFast>},
    {"chance.will-not-work", kPercent, true, chance_of<K::kWillNotWork>},
    {"prior.weight", 1, false, member_of<&F::prior_weight>},
    {"verdict.interval", kPercent, false, member_of<&F::interval>},
    {"wires.rarely-pays", 1, false, member_of<&F::rarely_pays>},
}};

}  // namespace

std::string_view word(ChanceKind kind) {
  return kWords[static_cast<std::size_t>(kind)];
}

bool is_wire(ChanceKind kind) {
  return kind == K::kNear || kind == K::kVia || kind == K::kUnder || kind == K::kInner;
}

std::span<const Figure> figures() {
  return kFigures;
}

ShopFigures shop_figures(const std::function<double(const SettingInfo&)>& value) {
  ShopFigures out;
  for (const Figure& figure : kFigures) {
    const SettingInfo* info = find_setting(figure.setting);
    assert(info != nullptr);
    figure.of(out) = value(*info) * figure.scale;
  }
  out.board_is_shops = value(*find_setting("board.is-shops")) >= 0.5;
  return out;
}

ShopFigures default_figures() {
  return shop_figures([](const SettingInfo& info) { return info.standard; });
}

}  // namespace landfall::rework::verdict
