#include "netdb/rework/plan/leave_out.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "netdb/rework/effect.hpp"

namespace landfall::rework {
namespace {

// The joints that the wire would have mended: its own near end, else all that is lost of its net.
void add_lost_sites(const PlanInput& input, const PlannedWire& wire, Assessment& lost) {
  const Board& board = input.index->board();
  const auto add = [&](Index pin, Need need, MarkKind mark) {
    const bool known = std::any_of(lost.sites.begin(), lost.sites.end(),
                                   [&](const SiteAnswer& site) { return site.pin == pin; });
    if (!known) lost.sites.push_back({pin, mark, need, fmt::format("wire {} is left out", wire.number)});
  };
  const Index near = wire.jumper.from.kind == LandingKind::kSite ? wire.jumper.from.pin : kNone;
  if (near != kNone) return add(near, Need::kWire, MarkKind::kMissing);
  for (const SiteAnswer& site : input.assessment->sites) {
    if (board.pins[site.pin].net == wire.jumper.net && site.need == Need::kWire)
      add(site.pin, Need::kWire, site.mark);
  }
  for (const Index pin : input.assessment->cut_off) {
    if (board.pins[pin].net == wire.jumper.net) add(pin, Need::kWire, MarkKind::kSound);
  }
}

std::vector<GroupAnswer> not_up(const std::vector<GroupAnswer>& groups) {
  std::vector<GroupAnswer> down;
  for (const GroupAnswer& group : groups) {
    if (group.state != State::kUp) down.push_back(group);
  }
  return down;
}

std::string name_with_word(std::string_view kind, const std::string& name, State state) {
  return fmt::format("; {} {} {}", kind, name, word(state));
}

}  // namespace

StaysLost stays_lost(const PlanInput& input, const Plan& plan, const std::vector<int>& without) {
  StaysLost answer;
  const Signals& signals = *input.signals;
  Assessment lost;
  std::vector<const PlannedWire*> left_out;
  for (const PlannedWire& wire : plan.wires) {
    if (std::find(without.begin(), without.end(), wire.number) != without.end()) left_out.push_back(&wire);
  }
  std::sort(left_out.begin(), left_out.end(),
            [](const PlannedWire* a, const PlannedWire* b) { return a->number < b->number; });
  for (const PlannedWire* wire : left_out) {
    answer.wires.push_back(wire->number);
    add_lost_sites(input, *wire, lost);
  }
  if (left_out.empty()) return answer;
  add_effect(*input.index, signals, {}, lost);
  answer.nets = not_up(lost.nets);
  answer.lanes = not_up(lost.lanes);
  answer.channels = not_up(lost.channels);
  for (const PlannedWire* wire : left_out) {
    const NetSignal& signal = signals.nets[wire->jumper.net];
    const bool fed = std::any_of(answer.nets.begin(), answer.nets.end(), [&](const GroupAnswer& net) {
      return net.group == wire->jumper.net && net.state == State::kDegraded;
    });
    std::string says = fmt::format("without wire {}: {} stays {}", wire->number,
                                   input.index->board().nets[wire->jumper.net].name,
                                   fed ? "fed by its other balls only" : "open");
    for (const GroupAnswer& lane : answer.lanes) {
      if (lane.group == signal.lane)
        says += name_with_word("lane", signals.lanes[lane.group].name, lane.state);
    }
    for (const GroupAnswer& channel : answer.channels) {
      const bool own = channel.group == signal.channel ||
                       std::find(signal.shared_with.begin(), signal.shared_with.end(), channel.group) !=
                           signal.shared_with.end();
      if (own) says += name_with_word("channel", signals.channels[channel.group].name, channel.state);
    }
    answer.says.push_back(std::move(says));
  }
  return answer;
}

}  // namespace landfall::rework
