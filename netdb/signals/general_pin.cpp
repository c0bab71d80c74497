#include "netdb/signals/general_pin.hpp"

#include <string>

#include "netdb/signals/text.hpp"

namespace landfall::signals {
namespace {

constexpr std::string_view kDigits = "0123456789";

bool digit(char c) {
  return c >= '0' && c <= '9';
}

// "A4", "D12": a row and a number, or a bus and one.
bool letters_then_number(std::string_view text) {
  const auto number = text.find_first_of(kDigits);
  return number != std::string_view::npos && number > 0 && number < 4 &&
         text.find_first_not_of(kDigits, number) == std::string_view::npos;
}

// An edge of the chip, and an underscore: iCE40's IOB_107, Trion's GPIOL_24.
bool is_edge(std::string_view rest) {
  return rest.size() > 2 && std::string_view("LRTB").find(rest[0]) != std::string_view::npos &&
         rest[1] == '_' && digit(rest[2]);
}

// One of the names between slashes; `next` is the one behind it.
bool is_general(std::string_view name, std::string_view next) {
  if (name.starts_with("IO")) {
    const std::string_view rest = name.substr(2);
    // IO_3V3 and IO-1V8 are supplies.
    if (rest.size() > 3 && digit(rest[1]) && rest[2] == 'V' && digit(rest[3])) return false;
    if (rest.empty() || rest[0] == '_' || rest[0] == '-' || is_edge(rest)) return true;
    // A bank or a number, and more: IO114VDB3, IO0A4. A serial flash's IO3 alone is its own.
    const auto behind = rest.find_first_not_of(kDigits);
    if (behind == 0) return false;
    return behind != std::string_view::npos || letters_then_number(next);
  }
  if (name.starts_with("GPIO")) return is_edge(name.substr(4));
  if (name.starts_with("IP_")) return name.size() > 3 && (digit(name[3]) || name[3] == 'L');  // input only
  for (const std::string_view word : {"MSIOD", "MSIO", "DDRIO"}) {
    if (name.starts_with(word) && name.size() > word.size() && digit(name[word.size()])) return true;
  }
  // ECP5: an edge, its place and a letter, PT9A.
  if (name.size() < 4 || name[0] != 'P' || std::string_view("LRTB").find(name[1]) == std::string_view::npos)
    return false;
  const auto behind = name.find_first_not_of(kDigits, 2);
  return behind != std::string_view::npos && behind > 2 && behind + 1 == name.size() && name[behind] >= 'A' &&
         name[behind] <= 'D';
}

}  // namespace

bool names_own_ball(std::string_view name, std::string_view ball) {
  if (ball.empty() || !name.ends_with(ball)) return false;
  std::string_view before = name.substr(0, name.size() - ball.size());
  for (const std::string_view word : {"GPIO", "PIO", "IO", "PAD"}) {
    if (!before.starts_with(word)) continue;
    before.remove_prefix(word.size());
    return before.find_first_not_of("0123456789_") == std::string_view::npos;
  }
  return false;
}

bool is_general_pin(std::string_view name, std::string_view ball) {
  if (names_own_ball(name, ball)) return true;
  while (!name.empty()) {
    const auto slash = name.find('/');
    const std::string_view rest = slash == std::string_view::npos ? "" : name.substr(slash + 1);
    if (is_general(name.substr(0, slash), rest.substr(0, rest.find('/')))) return true;
    name = rest;
  }
  return false;
}

NamedAfter named_after(const BoardIndex& index, Index net) {
  const std::string name = upper(plain_name(index.board().nets[net].name));
  const std::string_view leaf = leaf_name(name);
  const bool general = is_general_pin(name, "");
  const bool may_be_ball = leaf.starts_with("GPIO") || leaf.starts_with("PIO") || leaf.starts_with("IO") ||
                           leaf.starts_with("PAD");
  if (!general && !may_be_ball)
    return NamedAfter::kNoPin;  // most nets, a ground of thousands of pins among them
  NamedAfter found = NamedAfter::kNoPin;
  for (const Index pin : index.pins_of_net(net)) {
    const Pin& p = index.board().pins[pin];
    const std::string ball = upper(p.number);
    if (names_own_ball(leaf, ball)) return NamedAfter::kBall;
    if (general && found == NamedAfter::kNoPin && upper(plain_name(p.function)) == name)
      found = NamedAfter::kGeneralPin;
  }
  return found;
}

}  // namespace landfall::signals
