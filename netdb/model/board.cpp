#include "netdb/model/board.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace landfall {
namespace {

constexpr std::array<std::pair<std::string_view, char>, 10> kEscapes{{
    {"{slash}", '/'},
    {"{backslash}", '\\'},
    {"{dblquote}", '"'},
    {"{colon}", ':'},
    {"{lt}", '<'},
    {"{gt}", '>'},
    {"{space}", ' '},
    {"{brace}", '{'},
    {"{tab}", '\t'},
    {"{return}", '\n'},
}};

}  // namespace

std::optional<Extent> extent_of(const Board& board) {
  Extent extent{{kFarthest, kFarthest}, {-kFarthest, -kFarthest}};
  const auto take = [&](Point at, Nm around) {
    extent.low = {std::min(extent.low.x, at.x - around), std::min(extent.low.y, at.y - around)};
    extent.high = {std::max(extent.high.x, at.x + around), std::max(extent.high.y, at.y + around)};
  };
  for (const Edge& edge : board.outline) {
    take(edge.from, 0);
    take(edge.to, 0);
  }
  if (board.outline.empty()) {
    for (const Land& land : board.lands) take(land.at, std::max(land.width, land.height) / 2);
    for (const Track& track : board.tracks) {
      take(track.from, track.width / 2);
      take(track.to, track.width / 2);
    }
  }
  if (extent.high.x <= extent.low.x || extent.high.y <= extent.low.y) return std::nullopt;
  return extent;
}

bool names_no_connection(std::string_view net) {
  return net.empty() || net == "N/C" || leaf_name(net).starts_with("unconnected-(");
}

std::string plain_name(std::string_view name) {
  std::string plain;
  plain.reserve(name.size());
  int bars = 0;  // open "~{"
  while (!name.empty()) {
    if (name.starts_with("~{")) {
      ++bars;
      name.remove_prefix(2);
      continue;
    }
    if (name.front() == '}' && bars > 0) {
      --bars;
      name.remove_prefix(1);
      continue;
    }
    if (name.front() == '~') {  // the overbar of before 2021, "~CS~"
      name.remove_prefix(1);
      continue;
    }
    bool decoded = false;
    for (const auto& [text, sign] : kEscapes) {
      if (!name.starts_with(text)) continue;
      plain += sign;
      name.remove_prefix(text.size());
      decoded = true;
      break;
    }
    if (decoded) continue;
    plain += name.front();
    name.remove_prefix(1);
  }
  return plain;
}

std::string_view leaf_name(std::string_view name) {
  // A slash inside parentheses belongs to the name: "Net-(U1-A/B)".
  const auto end = name.find('(');
  const auto slash = name.substr(0, end).rfind('/');
  if (slash == std::string_view::npos || slash + 1 == name.size()) return name;
  return name.substr(slash + 1);
}

}  // namespace landfall
