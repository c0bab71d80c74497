// Ball names: row letters and column numbers. Source of the order: JEDEC Publication 95, as TRADE.md T1.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace landfall {

// A place in a grid, both from 1. Row 1 is A.
struct Site {
  int row = 0;
  int column = 0;
  friend bool operator==(const Site&, const Site&) = default;
  friend auto operator<=>(const Site&, const Site&) = default;
};

// Row letters of row `row` (1 = A, 20 = Y, 21 = AA, 36 = AT): bijective base 20 without I, O, Q, S, X, Z.
// Empty below 1.
std::string row_letters(int row);

// The row of these letters, case-blind. Nothing when a letter is none of the twenty, or for more than three.
std::optional<int> row_number(std::string_view letters);

// "AB14" in any case, leading zeros allowed ("A01"). Nothing for another form ("1A", "EP", "14").
std::optional<Site> parse_ball(std::string_view name);

// "AB14" of {22, 14}.
std::string ball_text(Site site);

// True when `a` comes before `b` as people sort names: letters by length then alphabet, digits by value,
// so A2 < A10 < B1 < AA1. A strict weak order over any text.
bool natural_less(std::string_view a, std::string_view b);

}  // namespace landfall
