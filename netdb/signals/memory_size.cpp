#include "netdb/signals/memory_size.hpp"

#include <bit>
#include <cstdint>
#include <string>

#include <fmt/format.h>

#include "netdb/signals/text.hpp"

namespace landfall::signals {
namespace {

bool digit(char c) {
  return c >= '0' && c <= '9';
}

// A number at `at`, moved behind it; 0 when there is none or it is absurd.
std::int64_t take_number(std::string_view text, std::size_t& at) {
  std::int64_t value = 0;
  const std::size_t begin = at;
  for (; at < text.size() && digit(text[at]); ++at) {
    if (at - begin > 4) return 0;
    value = value * 10 + (text[at] - '0');
  }
  return value;
}

bool power_of_two(std::int64_t n) {
  return n > 0 && std::has_single_bit(static_cast<std::uint64_t>(n));
}

struct Shape {
  std::int64_t words = 0;
  std::int64_t bits = 0;
};

// "K4B4G1646": bits in all, then the width.
std::optional<Shape> by_bits(std::string_view text) {
  if (!text.starts_with("K4B")) return std::nullopt;
  std::size_t at = 3;
  const std::int64_t gbit = take_number(text, at);
  if (!power_of_two(gbit) || at >= text.size() || text[at] != 'G') return std::nullopt;
  const std::string_view width = text.substr(at + 1, 2);
  if (width != "16" && width != "08" && width != "04") return std::nullopt;
  const std::int64_t bits = width == "16" ? 16 : width == "08" ? 8 : 4;
  return Shape{(gbit << 30) / bits, bits};
}

// "64M16", "256MX16" at `at`.
std::optional<Shape> by_words(std::string_view text, std::size_t at) {
  const std::int64_t count = take_number(text, at);
  if (!power_of_two(count) || at >= text.size() || (text[at] != 'M' && text[at] != 'G')) return std::nullopt;
  const std::int64_t unit = text[at] == 'M' ? std::int64_t{1} << 20 : std::int64_t{1} << 30;
  ++at;
  while (at < text.size() && (text[at] == ' ' || text[at] == 'X')) ++at;
  const std::int64_t bits = take_number(text, at);
  if (bits != 4 && bits != 8 && bits != 16) return std::nullopt;
  // "32M x 16 x 8 banks": words of one bank, which says too little by a factor that is not always written.
  while (at < text.size() && text[at] == ' ') ++at;
  if (at < text.size() && text[at] == 'X') return std::nullopt;
  return Shape{count * unit, bits};
}

}  // namespace

std::optional<MemorySize> memory_size(std::string_view value) {
  const std::string text = upper(value);
  std::optional<Shape> found = by_bits(text);
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (!digit(text[at]) || (at > 0 && digit(text[at - 1]))) continue;
    // "1G16" inside a longer number of another maker ("K4B1G1646") is no count of words.
    if (at == 3 && text.starts_with("K4B")) continue;
    const auto shape = by_words(text, at);
    if (!shape) continue;
    if (found && (found->words != shape->words || found->bits != shape->bits)) return std::nullopt;
    found = shape;
  }
  constexpr int kBankAndColumnBits = 13;
  constexpr std::int64_t kLeastWords = std::int64_t{1} << 24;
  constexpr std::int64_t kMostWords = std::int64_t{1} << 31;
  if (!found || found->words < kLeastWords || found->words > kMostWords) return std::nullopt;
  return MemorySize{fmt::format("{}M x {}", found->words >> 20, found->bits),
                    std::countr_zero(static_cast<std::uint64_t>(found->words)) - kBankAndColumnBits};
}

}  // namespace landfall::signals
