#include "importers/text/encoding.hpp"

#include <cstdint>
#include <cstring>

namespace landfall::importers {
namespace {

std::uint8_t byte_at(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint8_t>(bytes[at]);
}

// How many bytes the sign that begins at `at` has; 0: it is not well-formed.
std::size_t sign_length(std::string_view bytes, std::size_t at) {
  const std::uint8_t lead = byte_at(bytes, at);
  if (lead < 0x80) return 1;
  if (lead < 0xC2 || lead > 0xF4) return 0;
  const std::size_t length = lead < 0xE0 ? 2 : (lead < 0xF0 ? 3 : 4);
  if (bytes.size() - at < length) return 0;
  // The second byte's range keeps out overlong forms, surrogates, and what lies beyond U+10FFFF.
  const std::uint8_t second = byte_at(bytes, at + 1);
  const int low = lead == 0xE0 ? 0xA0 : (lead == 0xF0 ? 0x90 : 0x80);
  const int high = lead == 0xED ? 0x9F : (lead == 0xF4 ? 0x8F : 0xBF);
  if (second < low || second > high) return 0;
  for (std::size_t i = 2; i < length; ++i) {
    if ((byte_at(bytes, at + i) & 0xC0U) != 0x80U) return 0;
  }
  return length;
}

}  // namespace

bool is_utf_8(std::string_view bytes) {
  constexpr std::uint64_t kHighBits = 0x8080808080808080U;
  for (std::size_t at = 0; at < bytes.size();) {
    std::uint64_t eight = 0;
    if (bytes.size() - at >= sizeof eight) {
      std::memcpy(&eight, bytes.data() + at, sizeof eight);
      if ((eight & kHighBits) == 0) {
        at += sizeof eight;
        continue;
      }
    }
    const std::size_t length = sign_length(bytes, at);
    if (length == 0) return false;
    at += length;
  }
  return true;
}

std::string utf_8_of_latin_1(std::string_view bytes) {
  std::string text;
  text.reserve(bytes.size());
  for (const char c : bytes) {
    const auto code = static_cast<std::uint8_t>(c);
    if (code < 0x80) {
      text += c;
    } else {
      text += static_cast<char>(0xC0U | (code >> 6U));
      text += static_cast<char>(0x80U | (code & 0x3FU));
    }
  }
  return text;
}

}  // namespace landfall::importers
