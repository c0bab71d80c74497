// Does the repair pay: options, break-even, what would turn the answer. C and T numbers are those of
// the trade reference; the outside source stands beside each.
#include <algorithm>
#include <cmath>
#include <random>
#include <set>
#include <vector>

#include <doctest/doctest.h>

#include "netdb/rework/physics/interfaces.hpp"
#include "netdb/rework/physics/judge.hpp"
#include "netdb/rework/verdict/verdict.hpp"

using namespace landfall;
using namespace landfall::rework::verdict;

namespace {

constexpr double kCertain = 1e12;  // a prior that nothing moves: chances as plain numbers

WorkGroup vias(int count) {
  return {ChanceKind::kVia, count, false, false};
}

// The figures of T35: price 200, w 0.08, Cw 100, S' 25, C0 90 (1.5 h at 50 + 15), 15 min a wire, 0.90, 0.95.
VerdictCase example(int wires) {
  VerdictCase input;
  input.shop = default_figures();
  input.shop.board_is_shops = true;
  input.shop.prior_weight = kCertain;
  input.repair.groups = {vias(wires)};
  return input;
}

Verdict verdict_of(const VerdictCase& input) {
  auto given = give_verdict(input);
  REQUIRE(given.ok());
  return std::move(given).value();
}

double repair_margin(const VerdictCase& input) {
  return verdict_of(input).option(OptionKind::kRepair).margin;
}

// The harvest of T34's note, M = S' = 25 without labour.
VerdictCase with_harvest(VerdictCase input) {
  input.shop.harvest_value = 25;
  input.shop.harvest_minutes = 0;
  return input;
}

// Chances as they are met: default priors, some outcomes, all kinds of work.
std::vector<VerdictCase> mixed_cases() {
  std::vector<VerdictCase> cases;
  for (const int scale : {0, 1, 2, 5}) {
    for (const int cases_known : {0, 7, 60}) {
      VerdictCase input;
      input.shop = default_figures();
      input.shop.swap_board = 90;
      input.repair.groups = {{ChanceKind::kVia, 2 * scale, true, false},
                             {ChanceKind::kNear, scale, false, false},
                             {ChanceKind::kInner, scale / 2, false, false},
                             {ChanceKind::kRebuild, 1, false, false}};
      input.one_channel = Work{1, {{ChanceKind::kVia, scale, true, false}}, 0};
      input.outcomes[static_cast<std::size_t>(ChanceKind::kBase)] = {cases_known, cases_known / 6};
      input.outcomes[static_cast<std::size_t>(ChanceKind::kVia)] = {cases_known * 3, cases_known / 5};
      cases.push_back(input);
    }
  }
  return cases;
}

}  // namespace

TEST_SUITE("rework/verdict") {
  TEST_CASE("the worked example of T35: E(n) and P, C59") {
    const std::array<double, 8> chance{0.900, 0.855, 0.812, 0.772, 0.733, 0.696, 0.662, 0.629};
    const std::array<double, 8> margin{85.30, 65.28, 45.65, 26.36, 7.42, -11.20, -29.52, -47.54};
    for (int n = 0; n <= 7; ++n) {
      CAPTURE(n);
      const Verdict v = verdict_of(example(n));
      const Option& repair = v.option(OptionKind::kRepair);
      CHECK(std::abs(repair.chance->mean - chance[static_cast<std::size_t>(n)]) < 0.0006);
      CHECK(std::abs(repair.margin - margin[static_cast<std::size_t>(n)]) < 0.006);
      CHECK(v.best == (n <= 4 ? OptionKind::kRepair : OptionKind::kDecline));
      CHECK(v.wires.most == 4);
      CHECK(v.wires.now == n);
      CHECK(verdict_of(with_harvest(example(n))).wires.most == 3);
    }
  }

  TEST_CASE("four wires by hand: 0.7331 x 200, returns, salvage, 150 min, 15") {
    // P = 0.9 x 0.95^4 = 0.733056; 146.61 - 0.733056 x 8 + 0.266944 x 25 - 125 - 15 = 7.42.
    const Verdict v = verdict_of(example(4));
    const Option& repair = v.option(OptionKind::kRepair);
    REQUIRE(repair.terms.size() == 6);
    const std::array<double, 6> by_hand{146.6111, -5.8644, 6.6736, 0, -125, -15};
    for (std::size_t i = 0; i < 6; ++i) {
      CAPTURE(repair.terms[i].name);
      CHECK(std::abs(repair.terms[i].money - by_hand[i]) < 0.0005);
      CHECK_FALSE(repair.terms[i].how.empty());
    }
    CHECK(repair.minutes == 150);
  }

  TEST_CASE("break-even chance: C58 (T34)") {
    CHECK(std::abs(*verdict_of(example(0)).break_even_chance - 0.3892) < 0.0001);
    CHECK(std::abs(*verdict_of(with_harvest(example(0))).break_even_chance - 0.5389) < 0.0001);
    VerdictCase customers = example(0);
    customers.shop.board_is_shops = false;
    CHECK(std::abs(*verdict_of(customers).break_even_chance - 0.4688) < 0.0001);
  }

  TEST_CASE("break-even chance: falls with the price, and has none where success brings nothing") {
    double last = 100;
    for (int step = 0; step < 22; ++step) {
      const double price = 120 + 40 * step;
      const auto p = break_even_chance({90, 0, 25, 0, price, 8});
      REQUIRE(p);
      CHECK(*p < last);
      last = *p;
    }
    CHECK_FALSE(break_even_chance({90, 0, 25, 0, 33, 8}));
    CHECK_FALSE(break_even_chance({90, 0, 25, 0, 20, 8}));
    CHECK(*break_even_chance({10, 0, 25, 0, 200, 8}) < 0);  // always try
    VerdictCase cheap = example(1);
    cheap.shop.price = 30;
    const Verdict v = verdict_of(cheap);
    CHECK_FALSE(v.break_even_chance);
    CHECK(v.best == OptionKind::kDecline);
    CHECK_FALSE(v.wires.most);
  }

  TEST_CASE("a repair that is not offered has no break-even, and the answer says why") {
    VerdictCase input = example(2);
    input.repair.cannot = 1;
    const Verdict v = verdict_of(input);
    CHECK_FALSE(v.option(OptionKind::kRepair).offered);
    CHECK_FALSE(v.break_even_chance);
    CHECK_FALSE(v.wires.most);
    CHECK(v.break_even_says == "no repair to weigh: 1 needed site cannot be mended");
  }

  TEST_CASE("the repair's chance lies above the break-even exactly where the repair beats the rest") {
    for (const VerdictCase& input : mixed_cases()) {
      const Verdict v = verdict_of(input);
      REQUIRE(v.break_even_chance);
      const bool above = v.option(OptionKind::kRepair).chance->mean > *v.break_even_chance;
      CHECK(above == (v.best == OptionKind::kRepair));
    }
  }

  TEST_CASE("a published cost, rebuilt: C60 (Wettermann 2016: 21.30 US dollars)") {
    // 20 min at 14.23 x 1.42, 6.00 an hour of consumables and machine, 95 % yield, board worth 250.
    VerdictCase input;
    input.shop = default_figures();
    input.shop.prior_weight = kCertain;
    input.shop.rate_hour = 14.23 * 1.42;
    input.shop.consumables = 6.00 / 3;
    input.shop.price = 0;
    input.shop.returns_share = 0;
    input.shop.spoilt_cost = 250;
    input.shop.chance[0] = 0.95;
    input.shop.minutes[0] = 20;
    const double cost = -repair_margin(input);
    CHECK(std::abs(cost - 21.24) < 0.005);
    CHECK(std::abs(cost - 21.30) / 21.30 < 0.005);
  }

  TEST_CASE("an option's terms add up to its margin, and the best has the greatest") {
    for (const VerdictCase& input : mixed_cases()) {
      const Verdict v = verdict_of(input);
      for (const Option& option : v.options) {
        double sum = 0;
        for (const Term& term : option.terms) {
          sum += term.money;
          CHECK_FALSE((term.money == 0 && std::signbit(term.money)));  // no "-0.00" on a quote
        }
        CHECK(sum == doctest::Approx(option.margin));
        CHECK(option.margin_low <= option.margin);
        CHECK(option.margin_high >= option.margin);
        CHECK(option.why_not.empty() == option.offered);
        if (option.offered) CHECK(option.margin <= v.option(v.best).margin);
      }
      CHECK_FALSE(v.says.empty());
    }
  }

  TEST_CASE("more wires: never a better chance or margin, a harder kind never better either") {
    VerdictCase input;
    input.shop = default_figures();
    double last_chance = 2;
    double last_margin = 1e9;
    for (int n = 0; n < 25; ++n) {
      input.repair.groups = {{ChanceKind::kVia, n, true, false}};
      const Verdict v = verdict_of(input);
      CHECK(v.option(OptionKind::kRepair).chance->mean < last_chance);
      CHECK(v.option(OptionKind::kRepair).margin < last_margin);
      last_chance = v.option(OptionKind::kRepair).chance->mean;
      last_margin = v.option(OptionKind::kRepair).margin;
    }
    last_margin = 1e9;
    for (const ChanceKind kind :
         {ChanceKind::kNear, ChanceKind::kVia, ChanceKind::kUnder, ChanceKind::kInner}) {
      input.repair.groups = {{kind, 3, false, false}};
      CHECK(repair_margin(input) < last_margin);
      last_margin = repair_margin(input);
    }
    input.repair.groups = {{ChanceKind::kVia, 3, false, false}};
    const double slow = repair_margin(input);
    input.repair.groups[0].fast = true;
    const double fast = repair_margin(input);
    input.repair.groups[0].will_not_work = true;
    CHECK(fast < slow);
    CHECK(repair_margin(input) < fast);
  }

  TEST_CASE("uncertain chances: n wires that share one unknown p count as E[p^n]") {
    VerdictCase input;
    input.shop = default_figures();  // weight 10: via is Beta(9.5, 0.5), base Beta(9, 1)
    input.repair.groups = {vias(4)};
    double by_hand = 0.9;
    for (const double i : {0.0, 1.0, 2.0, 3.0}) by_hand *= (9.5 + i) / (10 + i);
    const Verdict v = verdict_of(input);
    CHECK(v.option(OptionKind::kRepair).chance->mean == doctest::Approx(by_hand));
    CHECK(by_hand > 0.9 * std::pow(0.95, 4));
    CHECK(v.option(OptionKind::kRepair).chance->low < by_hand);
    CHECK(v.option(OptionKind::kRepair).chance->high > by_hand);
    REQUIRE(v.chances.size() == 2);
    CHECK(v.chances[1].kind == ChanceKind::kVia);
    CHECK(v.chances[1].n == 4);
  }

  TEST_CASE("the shop's own outcomes replace the defaults, and narrow the interval") {
    VerdictCase input;
    input.shop = default_figures();
    input.repair.groups = {vias(4)};
    const Interval before = *verdict_of(input).option(OptionKind::kRepair).chance;
    input.outcomes[static_cast<std::size_t>(ChanceKind::kVia)] = {190, 10};  // 95 %, as the default says
    input.outcomes[static_cast<std::size_t>(ChanceKind::kBase)] = {180, 20};
    const Interval after = *verdict_of(input).option(OptionKind::kRepair).chance;
    CHECK(after.high - after.low < (before.high - before.low) / 2);
    input.outcomes[static_cast<std::size_t>(ChanceKind::kVia)] = {100, 100};
    CHECK(verdict_of(input).option(OptionKind::kRepair).chance->mean < 0.15);
  }

  TEST_CASE("swap, harvest, decline, by hand (T37)") {
    VerdictCase input = example(2);
    input.shop.swap_board = 90;
    input.shop.fee_decline = 20;
    input.shop.decline_minutes = 12;
    input.parts = {{"U1", 60, 0.8}, {"RAM", 8, 0.9}};
    const Verdict v = verdict_of(input);
    CHECK(v.option(OptionKind::kSwap).margin == doctest::Approx(0.98 * 200 - 90 - 50 + 25));
    CHECK(v.option(OptionKind::kHarvest).margin == doctest::Approx(48 + 7.2 - 37.5));
    CHECK(v.option(OptionKind::kDecline).margin == doctest::Approx(20 - 10));
    CHECK(v.best == OptionKind::kSwap);
    CHECK(v.break_even_against == OptionKind::kSwap);
  }

  TEST_CASE("what is not offered says why, and is never the best") {
    VerdictCase input;
    input.shop = default_figures();
    input.shop.fee_decline = 0;
    input.repair.cannot = 1;
    input.no_channel = "the other channel is hurt as well";
    input.parts = {{"U1", 500, 1}};
    const Verdict v = verdict_of(input);
    CHECK(v.best == OptionKind::kDecline);
    CHECK(v.option(OptionKind::kRepair).why_not == "1 needed site cannot be mended");
    CHECK(v.option(OptionKind::kOneChannel).why_not == "the other channel is hurt as well");
    CHECK(v.option(OptionKind::kSwap).why_not.find("swap.board") != std::string::npos);
    CHECK(v.option(OptionKind::kHarvest).why_not.find("customer's") != std::string::npos);
    CHECK(v.option(OptionKind::kOneChannel).terms.empty());
  }

  TEST_CASE("repairing one channel needs fewer wires and may be the best") {
    VerdictCase input = example(9);
    input.one_channel = Work{1, {vias(1)}, 0};
    input.channel = "RAM0";
    const Verdict v = verdict_of(input);
    // 0.855 x (120 - 8) + 0.145 x 25 - 102.5, by hand.
    CHECK(v.option(OptionKind::kOneChannel).margin == doctest::Approx(0.855 * 112 + 0.145 * 25 - 102.5));
    CHECK(v.option(OptionKind::kOneChannel).margin > v.option(OptionKind::kRepair).margin);
    CHECK(v.wires.against == OptionKind::kDecline);
    input.one_channel->cannot = 2;
    CHECK(verdict_of(input).option(OptionKind::kOneChannel).why_not ==
          "2 needed sites of RAM0 cannot be mended");
  }

  TEST_CASE("the break-even number of wires is where the answer turns, whatever the mix") {
    for (const VerdictCase& given : mixed_cases()) {
      VerdictCase input = given;
      const Verdict v = verdict_of(input);
      const double bar = v.option(v.wires.against).margin;
      if (!v.wires.most) continue;
      REQUIRE_FALSE(v.wires.beyond_search);
      WorkGroup* varied = nullptr;
      for (WorkGroup& group : input.repair.groups) {
        if (group.kind == v.wires.kind) varied = &group;
      }
      REQUIRE(varied != nullptr);
      if (v.wires.now == 0) continue;  // the searched wires are then plain ones, not the case's fast ones
      varied->count += *v.wires.most - v.wires.now;
      CHECK(repair_margin(input) > bar);
      varied->count += 1;
      CHECK(repair_margin(input) <= bar);
    }
  }

  TEST_CASE("a repair that only equals the best other option is not tried: E > M (T34)") {
    VerdictCase input = example(0);
    input.shop.board_is_shops = false;
    input.shop.rate_hour = 0;
    input.shop.consumables = 0;
    input.shop.price = 0;
    input.shop.returns_share = 0;  // every n gives a margin of 0, exactly, as declining does
    const Verdict v = verdict_of(input);
    CHECK(v.option(OptionKind::kRepair).margin == 0);
    CHECK(v.best == OptionKind::kDecline);
    CHECK_FALSE(v.wires.most);
  }

  TEST_CASE("the kind that is varied is the commonest wire, of equal ones the harder") {
    VerdictCase input = example(0);
    input.repair.groups = {
        vias(2), {ChanceKind::kInner, 2, false, false}, {ChanceKind::kRebuild, 9, false, false}};
    CHECK(verdict_of(input).wires.kind == ChanceKind::kInner);
    CHECK(verdict_of(input).wires.now == 4);
    input.repair.groups[0].count = 3;
    CHECK(verdict_of(input).wires.kind == ChanceKind::kVia);
    input.repair.groups = {{ChanceKind::kRebuild, 9, false, false}};
    CHECK(verdict_of(input).wires.kind == ChanceKind::kVia);
    CHECK(verdict_of(input).wires.now == 0);
  }

  TEST_CASE("what spoiling costs counts for a customer's board only, a failed repair's fee too") {
    VerdictCase input = example(0);
    const double own = repair_margin(input);
    input.shop.spoilt_cost = 300;
    input.shop.fee_failed = 40;
    CHECK(repair_margin(input) == doctest::Approx(own));
    input.shop.board_is_shops = false;  // 0.9 x 192 + 0.1 x (40 - 300) - 90, by hand
    CHECK(repair_margin(input) == doctest::Approx(0.9 * 192 - 26 - 90));
  }

  TEST_CASE("every wire counts once for its kind, for a fast line, for a word of 'will not work'") {
    VerdictCase input;
    input.shop = default_figures();
    input.repair.parts = 2;
    input.repair.groups = {{ChanceKind::kVia, 3, true, true},
                           {ChanceKind::kUnder, 4, true, false},
                           {ChanceKind::kVia, 1, false, false},
                           {ChanceKind::kRebond, 5, false, false}};
    std::array<int, kChanceKinds> n{};
    const Verdict v = verdict_of(input);
    for (const ChanceShown& shown : v.chances) n[static_cast<std::size_t>(shown.kind)] = shown.n;
    CHECK(n == std::array<int, kChanceKinds>{2, 0, 4, 4, 0, 0, 5, 7, 3});
    double product = 1;
    for (const ChanceShown& shown : v.chances) product *= shown.power;
    CHECK(product == doctest::Approx(v.option(OptionKind::kRepair).chance->mean));
    CHECK(v.option(OptionKind::kRepair).minutes == doctest::Approx(2 * 90 + 4 * 15 + 4 * 20 + 5 * 10));
  }

  TEST_CASE("what is done takes no time and no chance of its own and what is left decides by hand") {
    // Four wires of T35, two of them done: 90 + 2 x 15 min at 50 an hour, 0.9 x 0.95^2.
    VerdictCase input = example(0);
    input.repair.groups = {vias(2), {ChanceKind::kVia, 2, false, false, true}};
    const Verdict v = verdict_of(input);
    const Option& repair = v.option(OptionKind::kRepair);
    CHECK(repair.minutes == doctest::Approx(120));
    CHECK(repair.chance->mean == doctest::Approx(0.9 * 0.95 * 0.95));
    CHECK(repair.margin == doctest::Approx(repair_margin(example(2))));
    CHECK(v.behind.done == 2);
    CHECK(v.behind.all == 4);
    CHECK(v.behind.wires_done == 2);
    CHECK(v.behind.minutes == doctest::Approx(30));
    CHECK(v.behind.money == doctest::Approx(25));
    CHECK(v.wires.now == 2);
    REQUIRE_FALSE(v.remarks.empty());
    CHECK(v.remarks.front().find("2 of 4 wires and rebuilds done") == 0);
    const auto labour = std::find_if(repair.terms.begin(), repair.terms.end(),
                                     [](const Term& term) { return term.name == "labour"; });
    REQUIRE(labour != repair.terms.end());
    CHECK(labour->how ==
          "120 min at 50.00 an hour, of what is left; 30 min (25.00) are behind and count for no option");
    // No other option gains or loses by what is behind.
    CHECK(v.option(OptionKind::kDecline).margin ==
          doctest::Approx(verdict_of(example(4)).option(OptionKind::kDecline).margin));
  }

  TEST_CASE("whether a fast line works through a wire that is done is still to be shown") {
    VerdictCase input;
    input.shop = default_figures();
    input.repair.groups = {{ChanceKind::kVia, 3, true, false, true},
                           {ChanceKind::kVia, 1, true, true, false}};
    std::array<int, kChanceKinds> n{};
    for (const ChanceShown& shown : verdict_of(input).chances)
      n[static_cast<std::size_t>(shown.kind)] = shown.n;
    CHECK(n[static_cast<std::size_t>(ChanceKind::kVia)] == 1);
    CHECK(n[static_cast<std::size_t>(ChanceKind::kFast)] == 4);
    CHECK(n[static_cast<std::size_t>(ChanceKind::kWillNotWork)] == 1);
  }

  TEST_CASE("the more is done the better the repair stands, down to the base process alone") {
    double before = -1e9;
    for (int done = 0; done <= 6; ++done) {
      VerdictCase input;
      input.shop = default_figures();
      input.repair.groups = {vias(6 - done), {ChanceKind::kVia, done, false, false, true}};
      const double margin = repair_margin(input);
      CHECK(margin > before);
      before = margin;
    }
    VerdictCase bare;
    bare.shop = default_figures();
    CHECK(before == doctest::Approx(repair_margin(bare)));
  }

  TEST_CASE("a price that carries any number of wires ends the search") {
    VerdictCase input = example(1);
    input.shop.chance[static_cast<std::size_t>(ChanceKind::kVia)] = 1;
    input.shop.price = 1e6;
    CHECK(verdict_of(input).wires.beyond_search);
    CHECK(verdict_of(input).wires.most == 501);
  }

  TEST_CASE("what would turn the answer: at most three, sorted, and each does turn it just there") {
    std::size_t seen = 0;
    for (const VerdictCase& given : mixed_cases()) {
      VerdictCase input = given;
      const Verdict v = verdict_of(input);
      CHECK(v.soonest.size() <= 3);
      double last = 0;
      for (const Flip& flip : v.soonest) {
        CAPTURE(flip.setting);
        ++seen;
        CHECK(std::abs(flip.relative) >= last);
        last = std::abs(flip.relative);
        CHECK(flip.then != v.best);
        for (const Figure& figure : figures()) {
          if (figure.setting != flip.setting) continue;
          double& held = figure.of(input.shop);
          const double before = held;
          held = flip.to * figure.scale;
          CHECK(verdict_of(input).best == flip.then);
          // Two bisection steps back towards where it was, the answer is the old one.
          held = (flip.to - (flip.to > flip.from ? 1 : -1) * 4e-5 * flip.from) * figure.scale;
          CHECK(verdict_of(input).best == v.best);
          held = before;
        }
      }
    }
    CHECK(seen > 12);
  }

  TEST_CASE("T35 with four wires turns soonest by the price, by hand") {
    // E = P (price - 8) + (1-P) 25 - 140 = 0 at price = 8 + (140 - 6.6736) / 0.733056 = 189.877: 5.06 % less.
    // The hour's rate: 7.42 / 2.5 h = 2.97 of 50: 5.94 % more. P itself: 7.42 / 167 of 0.7331, that is base
    // 0.9 less 6.06 %.
    const Verdict v = verdict_of(example(4));
    REQUIRE(v.soonest.size() == 3);
    const auto find = [&](std::string_view name) {
      for (const Flip& flip : v.soonest) {
        if (flip.setting == name) return flip;
      }
      return Flip{};
    };
    CHECK(find("price.repair").to == doctest::Approx(189.88).epsilon(0.0001));
    CHECK(find("price.repair").relative == doctest::Approx(-0.0506).epsilon(0.005));
    CHECK(find("price.repair").then == OptionKind::kDecline);
    CHECK(find("rate.hour").to == doctest::Approx(52.97).epsilon(0.0002));
    CHECK(v.soonest[0].setting == "chance.via");  // 0.95^4: a quarter of what the base needs, 1.55 %
    CHECK(v.soonest[1].setting == "price.repair");
  }

  TEST_CASE("remarks: many fast wires (T21f), and wires that will not work") {
    VerdictCase input = example(0);
    input.repair.groups = {{ChanceKind::kVia, 12, true, false}};
    CHECK(verdict_of(input).remarks.empty());
    input.repair.groups = {{ChanceKind::kVia, 13, true, false}, {ChanceKind::kNear, 1, true, true}};
    const Verdict v = verdict_of(input);
    REQUIRE(v.remarks.size() == 2);
    CHECK(v.remarks[0].find("14 wires on fast lines") == 0);
    CHECK(v.remarks[1].find("1 wire is judged") == 0);
  }

  TEST_CASE("any settings within their bounds give finite sums, ordered intervals and a best option") {
    constexpr unsigned kSeed = 20'251;
    CAPTURE(kSeed);
    std::mt19937 random(kSeed);
    const auto share = [&] { return std::uniform_real_distribution<double>(0, 1)(random); };
    for (int round = 0; round < 150; ++round) {
      CAPTURE(round);
      VerdictCase input;
      input.shop = shop_figures([&](const SettingInfo& info) {
        const double which = share();  // the ends too, where things break
        if (which < 0.15) return info.least;
        if (which < 0.3) return info.most;
        if (which < 0.6) return info.standard;
        return info.least + (info.most - info.least) * share();
      });
      for (const ChanceKind kind :
           {ChanceKind::kNear, ChanceKind::kVia, ChanceKind::kInner, ChanceKind::kRebond}) {
        const int count = static_cast<int>(std::pow(150, share())) - 1;
        input.repair.groups.push_back({kind, count, share() < 0.5, share() < 0.1});
      }
      for (Tally& tally : input.outcomes) {
        tally = {static_cast<std::int64_t>(std::pow(1e6, share())) - 1,
                 static_cast<std::int64_t>(share() * 3)};
      }
      const Verdict v = verdict_of(input);
      CHECK(v.option(v.best).offered);
      for (const Option& option : v.options) {
        CHECK(std::isfinite(option.margin));
        CHECK(std::isfinite(option.margin_low));
        CHECK(std::isfinite(option.margin_high));
        if (!option.chance) continue;
        CHECK(option.chance->low >= 0);
        CHECK(option.chance->low <= option.chance->mean);
        CHECK(option.chance->mean <= option.chance->high);
        CHECK(option.chance->high <= 1);
      }
      for (const Flip& flip : v.soonest) CHECK(std::isfinite(flip.to));
    }
  }

  TEST_CASE("what breaks the bounds is an error in one sentence, not a number") {
    const auto fails = [](const auto& change) {
      VerdictCase input = example(1);
      change(input);
      const auto given = give_verdict(input);
      return !given.ok() && given.error().code == ErrorCode::kUsage && !given.error().message.empty();
    };
    CHECK(fails([](VerdictCase& c) { c.repair.groups[0].count = -1; }));
    CHECK(fails([](VerdictCase& c) { c.repair.groups[0].count = 20'000; }));
    CHECK(fails([](VerdictCase& c) { c.repair.groups[0].kind = ChanceKind::kFast; }));
    CHECK(fails([](VerdictCase& c) { c.repair.parts = -1; }));
    CHECK(fails([](VerdictCase& c) { c.one_channel = Work{500, {}, 0}; }));
    CHECK(fails([](VerdictCase& c) { c.shop.price = std::nan(""); }));
    CHECK(fails([](VerdictCase& c) { c.shop.rate_hour = -1; }));
    CHECK(fails([](VerdictCase& c) { c.shop.chance[2] = 1.01; }));
    CHECK(fails([](VerdictCase& c) { c.shop.prior_weight = 0; }));
    CHECK(fails([](VerdictCase& c) { c.outcomes[0].failed = -1; }));
    CHECK(fails([](VerdictCase& c) { c.parts = {{"U1", 5, 2}}; }));
  }

  TEST_CASE("every figure has its setting with default, bounds and source, names are unique") {
    std::set<std::string_view> names;
    for (const SettingInfo& info : settings()) {
      CAPTURE(info.name);
      CHECK(names.insert(info.name).second);
      CHECK(info.least <= info.standard);
      CHECK(info.standard <= info.most);
      CHECK_FALSE(info.source.empty());
      CHECK_FALSE(info.meaning.empty());
    }
    for (const Figure& figure : figures()) {
      CAPTURE(figure.setting);
      CHECK(find_setting(figure.setting) != nullptr);
    }
    ShopFigures shop = shop_figures(
        [](const SettingInfo& info) { return info.name == "chance.via" ? 50.0 : info.standard; });
    CHECK(shop.chance[static_cast<std::size_t>(ChanceKind::kVia)] == 0.5);
    CHECK(shop.price == 200);
    CHECK_FALSE(shop.board_is_shops);
  }

  TEST_CASE("physics: limits and usual grades are the settings' defaults") {
    const rework::physics::Limits plain;
    const auto shop = rework::physics::shop_limits([](const SettingInfo& info) { return info.standard; });
    CHECK(shop.fine_share == plain.fine_share);
    CHECK(shop.risky_share == plain.risky_share);
    CHECK(shop.drop_share == plain.drop_share);
    CHECK(shop.rise_k == plain.rise_k);
    CHECK(shop.er == plain.er);
    CHECK(shop.line_ohm == plain.line_ohm);
    for (const auto& info : rework::physics::interfaces()) {
      const std::string name = "speed." + std::string(info.id);
      CAPTURE(name);
      const SettingInfo* setting = find_setting(name);
      CHECK((setting != nullptr) == (info.grades.size() > 1));
      if (setting == nullptr) continue;
      CHECK(setting->standard == info.usual_mbps);
      CHECK(setting->least <= info.grades.front().mbps);
      CHECK(setting->most >= info.grades.back().mbps);
    }
  }

  TEST_CASE("the referral names the maker's authorised repair (T45)") {
    CHECK(kSafetyReferral.find("the maker's authorised repair") != std::string_view::npos);
  }
}
