#include "importers/text/name_guard.hpp"

#include <fmt/format.h>

namespace landfall::importers {
namespace {

bool is_control(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
}

// The middle of a UTF-8 sign: a cut before such a byte would leave half a sign.
bool continues_sign(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

}  // namespace

bool is_plain_name(std::string_view name) {
  if (name.size() > kLongestName) return false;
  // Without a branch in the loop, which the compiler then makes many bytes wide.
  unsigned odd = 0;
  for (const char c : name) odd |= is_control(c) ? 1U : 0U;
  return odd == 0;
}

GuardedName guarded_name(std::string_view name) {
  GuardedName guarded;
  if (is_plain_name(name)) {
    guarded.text = name;
    return guarded;
  }
  for (const char c : name) {
    if (guarded.text.size() > kLongestName) break;
    if (is_control(c)) {
      guarded.text += fmt::format("\\x{:02X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      guarded.text += c;
    }
  }
  guarded.cut = guarded.text.size() > kLongestName;
  if (!guarded.cut) return guarded;
  std::size_t end = kLongestName;
  while (end > kLongestName - 4 && continues_sign(guarded.text[end])) --end;
  guarded.text.resize(end);
  return guarded;
}

}  // namespace landfall::importers
