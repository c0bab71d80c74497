#include "netdb/join/one_chip.hpp"

#include <algorithm>
#include <string_view>
#include <unordered_map>

#include <fmt/format.h>

#include "netdb/join/signal_name.hpp"

namespace landfall::join {
namespace {

constexpr std::size_t kOneOf = 10;  // so small a share may differ: a slip, or a newer edition of the list

using Names = std::unordered_map<std::string_view, const std::string*>;

Names names_of(const Board& board) {
  Names names;
  for (const Pin& pin : board.pins) names.emplace(pin.number, &pin.function);
  return names;
}

bool mostly_numbers(const Board& board) {
  const auto numbered = std::count_if(board.pins.begin(), board.pins.end(), [](const Pin& pin) {
    return pin.number.find_first_not_of("0123456789") == std::string::npos;
  });
  return static_cast<std::size_t>(numbered) * 2 > board.pins.size();
}

// But for case and separators, and for NAME_NUMBER, which some writers make of a pin's name.
bool same_name(std::string_view number, const std::string& a, const std::string& b) {
  const std::string one = name_key(a);
  const std::string other = name_key(b);
  return one == other || one == name_key(b + "_" + std::string(number)) ||
         other == name_key(a + "_" + std::string(number));
}

// Balls of `list` without a land in the other's footprint, where that is one.
std::size_t without_land(const Board& list, const Board& footprint, const Names& lands) {
  if (footprint.lands.empty()) return 0;
  return static_cast<std::size_t>(std::count_if(list.pins.begin(), list.pins.end(),
                                                [&](const Pin& pin) { return !lands.contains(pin.number); }));
}

std::string why_two(const Board& a, const Board& b, const Names& of_a, const Names& of_b, Likeness& like) {
  std::size_t both = 0;
  std::size_t other = 0;
  for (const auto& [number, name] : of_a) {
    const auto found = of_b.find(number);
    if (found == of_b.end()) continue;
    ++like.balls;
    if (name->empty() || found->second->empty()) continue;
    if (same_name(number, *name, *found->second)) {
      ++both;
    } else if (repeats_ball(number, *name) || repeats_ball(number, *found->second)) {
      ++like.repeated;
    } else {
      ++both;
      ++other;
    }
  }
  if (other * kOneOf > both) {
    return fmt::format("share {} of {} balls and call {} of the {} that both name otherwise", like.balls,
                       like.of, other, both);
  }
  if (like.balls == 0 && mostly_numbers(a) != mostly_numbers(b))
    return "share no ball, and only one of them numbers its pins";
  if (like.repeated > 0 && (like.of - like.balls) * kOneOf > like.of)
    return fmt::format("share {} of {} balls, which is less than nine tenths", like.balls, like.of);
  for (const auto& [bare, most] : {std::pair{without_land(a, b, of_b), a.pins.size()},
                                   std::pair{without_land(b, a, of_a), b.pins.size()}}) {
    if (bare * kOneOf > most)
      return fmt::format("do not fit: {} of the balls of the one have no land in the other", bare);
  }
  return {};
}

}  // namespace

bool repeats_ball(std::string_view number, std::string_view name) {
  constexpr std::string_view kSignal = "IO";
  if (number.empty() || !name.starts_with(kSignal)) return false;
  name.remove_prefix(kSignal.size());
  if (name.starts_with('_')) name.remove_prefix(1);
  return name == number;
}

Likeness likeness(const Board& a, const Board& b) {
  const Names of_a = names_of(a);
  const Names of_b = names_of(b);
  Likeness like;
  like.of = std::min(of_a.size(), of_b.size());
  like.why_two = why_two(a, b, of_a, of_b, like);
  return like;
}

}  // namespace landfall::join
