#include "viewer/app/landings.hpp"

#include <algorithm>

namespace landfall::app {
namespace {

rework::LandingRules rules_for(const OpenBoard& board, Side side, const std::vector<std::string>& lifted,
                               const std::vector<Mark>& marks) {
  rework::LandingRules rules;
  rules.side = side;
  rules.both_sides = true;
  for (const std::string& reference : lifted) {
    const Index part = board.index().part(reference);
    if (part != kNone) rules.lifted.push_back(part);
  }
  rules.marked.assign(board.board().pins.size(), 0);
  for (const Mark& mark : marks) {
    const Index part = board.index().part(mark.part);
    const Index pin = part == kNone ? kNone : board.index().pin(part, mark.ball);
    if (pin != kNone && rework::spoils_landing(mark.kind)) rules.marked[pin] = 1;
  }
  return rules;
}

}  // namespace

std::vector<NearLanding> landings_near(const OpenBoard& board, Index pin,
                                       const std::vector<std::string>& lifted, const std::vector<Mark>& marks,
                                       std::size_t most) {
  const Index net = board.board().pins[pin].net;
  const auto lands = board.index().lands_of_pin(pin);
  if (net == kNone || lands.empty() || !board.copper().known()) return {};
  if (is_supply(board.signals().nets[net].signal_class)) return {};
  const Point here = board.board().lands[lands.front()].at;
  const Side side = board.board().parts[board.board().pins[pin].part].side;
  const rework::LandingRules rules = rules_for(board, side, lifted, marks);
  const rework::Shade shade(board.index(), rules.lifted);
  std::vector<NearLanding> found;
  for (const rework::Landing& landing :
       rework::landings_as_drawn(board.index(), board.copper(), net, rules, shade)) {
    if (landing.pin != pin) found.push_back({landing, "", distance(landing.at, here)});
  }
  const auto cost = [](const NearLanding& one) {
    return rework::hardness(one.landing.kind) + static_cast<double>(one.from_here);
  };
  std::stable_sort(found.begin(), found.end(),
                   [&](const NearLanding& a, const NearLanding& b) { return cost(a) < cost(b); });
  if (found.size() > most) found.resize(most);
  for (NearLanding& one : found) one.text = rework::landing_text(board.index(), one.landing);
  return found;
}

}  // namespace landfall::app
