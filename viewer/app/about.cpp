#include "viewer/app/about.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/packages/packages.hpp"
#include "netdb/signals/links.hpp"

namespace landfall::app {
namespace {

std::optional<Point> place_of(const OpenBoard& board, Index pin) {
  if (pin == kNone) return std::nullopt;
  const auto lands = board.index().lands_of_pin(pin);
  if (lands.empty()) return std::nullopt;
  return board.board().lands[lands.front()].at;
}

std::vector<PinOnNet> pins_on(const OpenBoard& board, Index net, Index from_pin) {
  const Board& b = board.board();
  const auto here = place_of(board, from_pin);
  std::vector<PinOnNet> pins;
  for (const Index pin : board.index().pins_of_net(net)) {
    if (pin == from_pin) continue;
    const Part& part = b.parts[b.pins[pin].part];
    PinOnNet entry{pin,          board.index().pin_text(pin),
                   part.value,   b.pins[pin].function,
                   part.side,    false,
                   std::nullopt, part.fitted};
    if (const auto place = place_of(board, pin)) {
      entry.placed = true;
      entry.side = b.lands[board.index().lands_of_pin(pin).front()].side;
      if (here) entry.from_here = distance(*here, *place);
    }
    pins.push_back(std::move(entry));
  }
  std::stable_sort(pins.begin(), pins.end(), [](const PinOnNet& x, const PinOnNet& y) {
    if (x.from_here.has_value() != y.from_here.has_value()) return x.from_here.has_value();
    if (x.from_here && *x.from_here != *y.from_here) return *x.from_here < *y.from_here;
    return natural_less(x.name, y.name);
  });
  return pins;
}

}  // namespace

AboutNet about_net(const OpenBoard& board, Index net, Index from_pin) {
  AboutNet about;
  about.net = net;
  if (net == kNone) return about;
  about.pins = pins_on(board, net, from_pin);
  for (const signals::Beyond& beyond : signals::reach(board.index(), board.signals(), net)) {
    const Part& part = board.board().parts[board.board().pins[beyond.step.near_pin].part];
    about.beyond.push_back({fmt::format("{}, {}{}{}", part.reference, signals::word(beyond.step.kind),
                                        part.value.empty() ? "" : ", ", part.value),
                            beyond.net, pins_on(board, beyond.net, beyond.step.far_pin)});
  }
  about.vias = static_cast<std::size_t>(std::count_if(board.board().vias.begin(), board.board().vias.end(),
                                                      [net](const Via& via) { return via.net == net; }));
  return about;
}

AboutBall about_ball(const OpenBoard& board, Index pin) {
  return about_ball(board, pin, packages::package_of(board.index(), board.board().pins[pin].part));
}

AboutBall about_ball(const OpenBoard& board, Index pin, const Package& package) {
  const Pin& p = board.board().pins[pin];
  if (package.part != p.part) return about_ball(board, pin);
  AboutBall about;
  about.pin = pin;
  about.name = board.index().pin_text(pin);
  about.function = p.function;
  about.net = p.net;
  about.on_net = about_net(board, p.net, pin);
  if (package.kind != PackageKind::kAreaArray) return about;
  for (const PackageSite& site : package.sites) {
    if (site.pin == pin) about.site = site.site;
  }
  if (!about.site) return about;
  for (const PackageSite& site : package.sites) {
    const int rows = std::abs(site.site.row - about.site->row);
    const int columns = std::abs(site.site.column - about.site->column);
    if (std::max(rows, columns) != 1) continue;
    about.neighbours.push_back(site.name);
    about.neighbour_pins.push_back(site.pin);
  }
  return about;
}

}  // namespace landfall::app
