// A count with its noun, as every text of the program writes it.
#pragma once

#include <concepts>
#include <cstddef>
#include <string>
#include <string_view>

namespace landfall {

// The noun for that many: "wire" of 1, else "wires"; "alias", "aliases"; "memory", "memories"; "key", "keys".
std::string noun_of(std::size_t n, std::string_view noun);

// "3 parts", "1 part".
template <std::integral Number>
std::string count_of(Number n, std::string_view noun) {
  return std::to_string(n) + " " + noun_of(n == 1 ? 1 : 2, noun);
}

}  // namespace landfall
