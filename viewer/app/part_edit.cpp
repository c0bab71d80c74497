#include "viewer/app/part_edit.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

namespace landfall::app {
namespace {

// A grid's places along one axis: position = at + step * number.
struct Axis {
  double at = 0, step = 0;
};

std::optional<Axis> axis_of(const std::vector<std::pair<int, Nm>>& places) {
  const auto [low, high] = std::minmax_element(places.begin(), places.end());
  if (places.empty() || low->first == high->first) return std::nullopt;
  const double step = static_cast<double>(high->second - low->second) / (high->first - low->first);
  return Axis{static_cast<double>(low->second) - step * low->first, step};
}

bool connects(const PinWords& words, PinType type) {
  const std::string& net = words.net.empty() ? words.name : words.net;
  return !net.empty() && type != PinType::kNotConnected;
}

}  // namespace

PartNames::PartNames(Board& board, Index part) : board_(board), prefix_(board.parts[part].reference + "/") {
  for (const Net& net : board.nets) taken_.insert(net.name);
  for (Index i = 0; i < board.pins.size(); ++i) {
    const Pin& pin = board.pins[i];
    if (pin.part != part) continue;
    numbers_.emplace(pin.number, i);
    if (const auto site = parse_ball(pin.number)) sites_.emplace(*site, i);
    if (pin.net == kNone) continue;
    const std::string& net = board.nets[pin.net].name;
    nets_.emplace(net.starts_with(prefix_) ? net.substr(prefix_.size()) : net, pin.net);
  }
  for (Index i = 0; i < board.lands.size(); ++i) {
    if (board.lands[i].part == part && board.lands[i].pin != kNone) lands_[board.lands[i].pin].push_back(i);
  }
}

Index PartNames::pin(std::string_view ball) const {
  if (const auto site = parse_ball(ball)) {
    const auto at = sites_.find(*site);
    if (at != sites_.end()) return at->second;
  }
  const auto at = numbers_.find(std::string(ball));
  return at == numbers_.end() ? kNone : at->second;
}

Index PartNames::net_called(const std::string& name) {
  const auto [net, fresh] = nets_.try_emplace(name, static_cast<Index>(board_.nets.size()));
  if (!fresh) return net->second;
  // The same name of another part is another net until joined.
  std::string own = taken_.contains(name) ? prefix_ + name : name;
  for (std::size_t n = 2; taken_.contains(own); ++n) own = fmt::format("{}{}#{}", prefix_, name, n);
  taken_.insert(own);
  board_.nets.push_back({std::move(own), false, {}});
  return net->second;
}

bool PartNames::name(Index at, const PinWords& words) {
  Pin& pin = board_.pins[at];
  const Pin before = pin;
  // A type was said of the name that stood there: a ball no longer called DQ0, or NC, may be a supply.
  const bool another =
      pin.function != words.name && (!pin.function.empty() || pin.type == PinType::kNotConnected);
  if (words.type != PinType::kUnknown || another) pin.type = words.type;
  // A list may have put it on a net of another name; the same name by hand leaves it there.
  const bool stays = words.net.empty() && pin.function == words.name && pin.net != kNone;
  pin.function = words.name;
  if (!connects(words, pin.type)) {
    pin.net = kNone;
  } else if (!stays) {
    pin.net = net_called(words.net.empty() ? words.name : words.net);
  }
  if (pin == before) return false;
  const auto lands = lands_.find(at);
  if (lands == lands_.end()) return true;
  for (const Index land : lands->second) board_.lands[land].net = pin.net;
  return true;
}

void drop_empty_nets(Board& board) {
  std::vector<Index> place(board.nets.size(), kNone);
  const auto each_net = [&](const auto& act) {
    for (Pin& pin : board.pins) act(pin.net);
    for (Land& land : board.lands) act(land.net);
    for (Track& track : board.tracks) act(track.net);
    for (Arc& arc : board.arcs) act(arc.net);
    for (Via& via : board.vias) act(via.net);
    for (Fill& fill : board.fills) act(fill.net);
    for (Zone& zone : board.zones) act(zone.net);
  };
  each_net([&](const Index net) {
    if (net != kNone) place[net] = 0;
  });
  std::vector<Net> nets;
  for (Index i = 0; i < board.nets.size(); ++i) {
    if (place[i] == kNone) continue;
    place[i] = static_cast<Index>(nets.size());
    nets.push_back(std::move(board.nets[i]));
  }
  board.nets = std::move(nets);
  each_net([&](Index& net) {
    if (net != kNone) net = place[net];
  });
}

Status put_sites_on(Board& board, Index part, const std::set<Site>& sites) {
  std::vector<std::pair<int, Nm>> across;
  std::vector<std::pair<int, Nm>> down;
  Land like;
  for (const Land& land : board.lands) {
    if (land.part != part || land.pin == kNone) continue;
    const auto site = parse_ball(board.pins[land.pin].number);
    if (!site) continue;
    across.emplace_back(site->column, land.at.x);
    down.emplace_back(site->row, land.at.y);
    like = land;
  }
  const auto x = axis_of(across);
  const auto y = axis_of(down);
  if (!across.empty() && (!x || !y))
    return Error{ErrorCode::kUsage, "with one row or column left the pitch is not known any more"};
  for (const Site& site : sites) {
    if (x) {
      Land land = like;
      land.pin = static_cast<Index>(board.pins.size());
      land.net = kNone;
      land.at = {static_cast<Nm>(x->at + x->step * site.column), static_cast<Nm>(y->at + y->step * site.row)};
      board.lands.push_back(std::move(land));
    }
    board.pins.push_back({part, ball_text(site), "", PinType::kUnknown, kNone});
  }
  return std::monostate{};
}

}  // namespace landfall::app
