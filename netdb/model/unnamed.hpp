// Boards of which no file says what joins what, and their balls of which no file says anything: these may
// carry anything, so each stands for a net of its own until it is named.
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "netdb/model/board.hpp"

namespace landfall {

// Some net joins two parts, but for those that are skipped. O(pins).
bool joins_parts(const Board& board, const std::function<bool(Index net)>& skipped = nullptr);

// "not named (U1.A1)": of such a net. Made when a board is opened, never kept.
inline std::string unnamed_net_name(std::string_view part, std::string_view ball) {
  return "not named (" + std::string(part) + "." + std::string(ball) + ")";
}

inline bool stands_for_unnamed(std::string_view net) {
  return net.starts_with("not named (") && net.ends_with(")");
}

}  // namespace landfall
