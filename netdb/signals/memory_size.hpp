// How large a memory is, by what its value states: "MT41K64M16TW-107" is 64M words of 16 bits.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace landfall::signals {

struct MemorySize {
  std::string text;  // "64M x 16"
  int rows = 0;      // row addresses of a DDR3 of this size: A0 to A(rows - 1)
};

// What a net's evidence says whose memory states no size; its source is how to tell the size.
inline constexpr std::string_view kSizeNotKnown = "memory of unknown size";

// Words by bits as makers print them: "64M16", "256Mx16", "512M x 8", "1Gx8"; a number of millions or
// thousands of millions that is a power of two, of 4, 8 or 16 bits. And "K4B4G1646": 4 Gbit in words of 16,
// the maker's way (two real designs state it beside "256Mx16"). Nothing where the value states none, or two
// that differ.
//
// Rows: a DDR3 has 8 banks, and 1024 columns of 8 or 16 bits (11 bits of column at 4 bits and at 8 Gbit by 8
// are counted as 10, so that never too few rows come out): rows = log2(words) - 13. JESD79-3, section 2.11,
// from memory: 64M x 16 has A0 to A12, 128M x 16 to A13, 256M x 16 to A14, 512M x 16 to A15.
std::optional<MemorySize> memory_size(std::string_view value);

}  // namespace landfall::signals
