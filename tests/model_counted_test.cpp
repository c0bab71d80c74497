#include <doctest/doctest.h>

#include "netdb/model/counted.hpp"

using namespace landfall;

TEST_CASE("a count agrees with its noun, as English writes it") {
  CHECK(count_of(1, "wire") == "1 wire");
  CHECK(count_of(0, "wire") == "0 wires");
  CHECK(count_of(2U, "alias") == "2 aliases");
  CHECK(count_of(3, "match") == "3 matches");
  CHECK(count_of(2, "memory") == "2 memories");
  CHECK(count_of(2, "key") == "2 keys");
  CHECK(noun_of(1, "memory") == "memory");
}
