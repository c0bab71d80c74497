#include "netdb/rework/plan/words.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace landfall::rework {

Procedure procedure_for(const PlannedWire& wire) {
  if (wire.other_side) return {"6.2.2", "BGA jumper, through the board", "Expert", "not found"};
  if (wire.jumper.joins_rest) return {"4.2.4", "conductor repair, surface wire", "Intermediate", "Medium"};
  return {"6.2.1", "BGA jumper, circuit track", "Expert", "Medium"};
}

Procedure procedure_for(const Rebuild& rebuild) {
  if (rebuild.only_bond) return {"4.7", "land repair: bond it again", "Advanced", "High"};
  if (rebuild.on_via) return {"4.7.4", "BGA pad with integral via", "Expert", "Medium"};
  return {"4.7.3", "BGA pad, film adhesive", "Advanced", "High"};
}

std::vector<std::string> neighbours_of(const BoardIndex& index, Point at, Side side, Index net, Nm reach) {
  const Board& board = index.board();
  std::vector<std::pair<Nm, Index>> near;
  for (const Land& land : board.lands) {
    if (land.pin == kNone || land.net == net) continue;
    if (land.side != Side::kThrough && side != Side::kThrough && land.side != side) continue;
    if (std::abs(land.at.x - at.x) > reach || std::abs(land.at.y - at.y) > reach) continue;
    near.emplace_back(distance(land.at, at), land.pin);
  }
  std::sort(near.begin(), near.end());
  std::vector<std::string> said;
  for (const auto& [apart, pin] : near) {
    if (said.size() == 6 || apart > reach) break;
    const Index of = board.pins[pin].net;
    said.push_back(fmt::format("{} ({})", index.pin_text(pin), of == kNone ? "no net" : board.nets[of].name));
  }
  return said;
}

Index other_leg(const BoardIndex& index, Index net) {
  const std::string& name = index.board().nets[net].name;
  constexpr std::array<std::array<std::string_view, 2>, 5> kEnds{
      {{"_P", "_N"}, {"+", "-"}, {"_t", "_c"}, {"P", "N"}, {"p", "n"}}};
  for (const auto& ends : kEnds) {
    for (std::size_t i = 0; i < 2; ++i) {
      if (!name.ends_with(ends[i])) continue;
      std::string other = name.substr(0, name.size() - ends[i].size());
      other += ends[1 - i];
      if (const Index found = index.net(other); found != kNone) return found;
    }
  }
  return kNone;
}

namespace {
constexpr std::string_view kTo = " to ";
}  // namespace

std::string ends_text(const BoardIndex& index, const Jumper& jumper) {
  return landing_text(index, jumper.from) + std::string(kTo) + landing_text(index, jumper.to);
}

std::string near_end(const std::string& ends) {
  return ends.substr(0, ends.find(kTo));
}

std::string far_end(const std::string& ends) {
  const auto to = ends.find(kTo);
  return to == std::string::npos ? "" : ends.substr(to + kTo.size());
}

}  // namespace landfall::rework
