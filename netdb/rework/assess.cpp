#include "netdb/rework/assess.hpp"

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "netdb/model/unnamed.hpp"
#include "netdb/rework/effect.hpp"
#include "netdb/rework/need.hpp"
#include "netdb/rework/sites.hpp"

namespace landfall::rework {

std::string_view word(Need need) {
  switch (need) {
    case Need::kNone:
      return "none";
    case Need::kOptional:
      return "optional";
    case Need::kRebuild:
      return "rebuild";
    case Need::kWire:
      return "wire";
    case Need::kCannot:
      return "cannot";
  }
  return "";
}

std::string_view word(State state) {
  switch (state) {
    case State::kUp:
      return "up";
    case State::kDegraded:
      return "degraded";
    case State::kDown:
      return "down";
    case State::kUnknown:
      return "unknown";
  }
  return "";
}

namespace {

// Sites by need; wires and rebuilds by net, since a net's forest may join more or fewer things than it has
// sites.
void count_needs(Assessment& answer) {
  for (const SiteAnswer& site : answer.sites) {
    if (site.need == Need::kNone) ++answer.none;
    if (site.need == Need::kOptional) ++answer.optional;
    if (site.need == Need::kCannot) ++answer.cannot;
  }
  for (const NetMend& mend : answer.mends) {
    answer.wires += mend.jumpers.size();
    answer.rebuilds += mend.rebuilds.size();
    answer.cut_off.insert(answer.cut_off.end(), mend.cut_off.begin(), mend.cut_off.end());
    for (const Unreached& pin : mend.cannot) {
      // A site's own answer is counted above.
      const bool site = std::any_of(answer.sites.begin(), answer.sites.end(),
                                    [&](const SiteAnswer& s) { return s.pin == pin.pin; });
      if (!site) ++answer.cannot;
    }
  }
  std::sort(answer.cut_off.begin(), answer.cut_off.end());
}

void say_bound(const Board& board, const MendRules& rules, Assessment& answer) {
  bool no_copper = false;
  for (const NetMend& mend : answer.mends) {
    const Net& net = board.nets[mend.net];
    if (mend.jumpers.empty()) continue;
    no_copper = no_copper || !mend.copper_known;
    if (mend.copper_known && !mend.doubt.empty())
      answer.because_bound.push_back(fmt::format("{}: {}", net.name, mend.doubt));
    if (net.name.empty()) answer.because_bound.emplace_back("a net has no name");
    if (!rules.doubted_nets.empty() && rules.doubted_nets[mend.net] != 0)
      answer.because_bound.push_back(
          fmt::format("{}: {}", net.name,
                      rules.doubted_nets[mend.net] == kJoinedByName
                          ? "two lists joined by their names, which the board may not follow"
                          : "the files disagree on it"));
  }
  if (no_copper) {
    answer.because_bound.emplace_back(
        "each needed site counts as a wire: the files give no copper, so that some may need only a new land, "
        "and neighbours on one net may share a wire");
  }
  answer.bound = !answer.because_bound.empty();
}

// A file says what joins what: some net joins two parts, and not by the names of two lists alone.
bool far_ends_known(const BoardIndex& index, const Copper& copper, const MendRules& rules) {
  if (copper.known()) return true;
  return joins_parts(index.board(), [&](Index net) {
    return !rules.doubted_nets.empty() && rules.doubted_nets[net] == kJoinedByName;
  });
}

}  // namespace

Assessment assess(const BoardIndex& index, const Signals& signals, const Copper& copper, const Job& job,
                  const SupplyRule& rule, const MendRules& rules) {
  Assessment answer;
  std::vector<Index> pins;
  std::set<Index> inspected;
  for (const Mark& mark : job.marks) {
    const Index part = index.part(mark.part);
    const Index pin = part == kNone ? kNone : index.pin(part, mark.ball);
    pins.push_back(pin);
    if (pin == kNone) {
      answer.strays.push_back(mark);
      continue;
    }
    inspected.insert(pin);
    if (mark.kind == MarkKind::kSound) ++answer.sound;
  }
  std::set<Index> spared;
  for (const Fact& fact : job.facts) {
    if (fact.kind == FactKind::kSpared) spared.insert(pin_named(index, fact.a));
  }
  answer.sites = needs(index, signals, job.marks, pins, spared, rule, far_ends_known(index, copper, rules));
  std::vector<Index> lifted;
  for (const std::string& reference : job.lifted) {
    const Index part = index.part(reference);
    if (part == kNone) continue;
    lifted.push_back(part);
    const std::vector<Index> sites = sites_of(index, part);
    answer.not_inspected += static_cast<std::size_t>(
        std::count_if(sites.begin(), sites.end(), [&](Index pin) { return !inspected.contains(pin); }));
  }
  const Shade shade(index, lifted);
  MendInput input;
  input.index = &index;
  input.copper = &copper;
  input.marks = &job.marks;
  input.pins = &pins;
  input.facts = &job.facts;
  input.signals = &signals;
  input.supply = rule;
  input.shade = &shade;
  input.added = rules.added;
  input.torn_reach = rules.torn_reach;
  input.rules.both_sides = rules.both_sides;
  input.rules.bans = rules.bans;
  input.rules.lifted = lifted;
  input.rules.marked.assign(index.board().pins.size(), 0);
  for (std::size_t m = 0; m < job.marks.size(); ++m) {
    if (pins[m] != kNone && spoils_landing(job.marks[m].kind)) input.rules.marked[pins[m]] = 1;
  }
  if (!lifted.empty()) input.rules.side = index.board().parts[lifted.front()].side;
  answer.mends = mend(input, answer.sites);
  count_needs(answer);
  add_effect(index, signals, lifted, answer);
  say_bound(index.board(), rules, answer);
  return answer;
}

}  // namespace landfall::rework
