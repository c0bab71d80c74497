#include "netdb/rework/assess.hpp"

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/rework/effect.hpp"
#include "netdb/rework/need.hpp"

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

// The part's balls: fiducials and mounting pads of its footprint ("fid1", "MP") are no sites of an area
// array.
std::vector<Index> sites_of(const BoardIndex& index, Index part) {
  const auto pins = index.pins_of_part(part);
  std::vector<Index> balls;
  for (const Index pin : pins) {
    if (parse_ball(index.board().pins[pin].number)) balls.push_back(pin);
  }
  const bool array = balls.size() * 10 >= pins.size() * 9;
  return array ? balls : std::vector<Index>(pins.begin(), pins.end());
}

void count_needs(Assessment& answer) {
  for (const SiteAnswer& site : answer.sites) {
    switch (site.need) {
      case Need::kNone:
        ++answer.none;
        break;
      case Need::kOptional:
        ++answer.optional;
        break;
      case Need::kRebuild:
        ++answer.rebuilds;
        break;
      case Need::kWire:
        ++answer.wires;
        break;
      case Need::kCannot:
        ++answer.cannot;
        break;
    }
  }
}

void say_bound(const Board& board, Assessment& answer) {
  answer.because_bound.emplace_back(
      "each needed site counts as a wire: which copper is left at it was not looked at, so that some may "
      "need only a "
      "new land, and neighbours on one net may share a wire");
  std::size_t nameless = 0;
  for (const SiteAnswer& site : answer.sites) {
    const Index net = board.pins[site.pin].net;
    if (site.need == Need::kWire && net != kNone && board.nets[net].automatic) ++nameless;
  }
  if (nameless > 0) {
    answer.because_bound.push_back(
        fmt::format("{} of them are on nets without a name of their own", nameless));
  }
}

}  // namespace

Assessment assess(const BoardIndex& index, const Signals& signals, const Job& job, const SupplyRule& rule) {
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
  answer.sites = needs(index, signals, job.marks, pins, rule);
  std::vector<Index> lifted;
  for (const std::string& reference : job.lifted) {
    const Index part = index.part(reference);
    if (part == kNone) continue;
    lifted.push_back(part);
    const std::vector<Index> sites = sites_of(index, part);
    answer.not_inspected += static_cast<std::size_t>(
        std::count_if(sites.begin(), sites.end(), [&](Index pin) { return !inspected.contains(pin); }));
  }
  count_needs(answer);
  add_effect(index, signals, lifted, answer);
  say_bound(index.board(), answer);
  return answer;
}

}  // namespace landfall::rework
