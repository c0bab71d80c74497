#include <algorithm>
#include <random>
#include <set>

#include <doctest/doctest.h>

#include "viewer/app/find.hpp"

using namespace landfall;

namespace {

// Names over few signs, so that parts of them stand together often, seldom and never.
Board random_board(std::mt19937& random) {
  Board board;
  const auto name = [&](std::size_t longest) {
    std::string text;
    const auto size = std::uniform_int_distribution<std::size_t>(1, longest)(random);
    while (text.size() < size) text += "AAAAAB12_"[std::uniform_int_distribution<std::size_t>(0, 8)(random)];
    return text;
  };
  for (int i = 0; i < 30; ++i) {
    board.parts.push_back({});
    board.parts.back().reference = name(4) + std::to_string(i);
    board.nets.push_back({name(9) + "Q" + std::to_string(i), false, {}});
    for (int pin = 0; pin < 20; ++pin)
      board.pins.push_back({static_cast<Index>(i), name(3) + std::to_string(pin), "", PinType::kUnknown, 0});
  }
  return board;
}

std::string folded(std::string text) {
  std::erase_if(text, [](char c) { return c == '_' || c == '.'; });
  return text;
}

}  // namespace

TEST_CASE("find answers just the names that hold the text, be its signs common, rare or not there at all") {
  const unsigned seed = 99;
  INFO("seed ", seed);
  std::mt19937 random(seed);
  const Board board = random_board(random);
  const BoardIndex index(board);
  const app::FindIndex find(index);
  std::size_t hits = 0;
  for (const std::string text : {"A", "Q", "Z", "AB", "BA", "QA", "A1", "12", "AAA", "AAAA", "AAB1", "Q7",
                                 "Q29", "AAAAAQ", "B2A", "1A1A", "2Q", "ZZZZ", "A9"}) {
    CAPTURE(text);
    std::set<std::string> expected;
    const auto expect = [&](const std::string& name) {
      if (folded(name).find(text) != std::string::npos) expected.insert(name);
    };
    for (const Part& part : board.parts) expect(part.reference);
    for (const Net& net : board.nets) expect(net.name);
    for (std::size_t i = 0; i < board.pins.size(); ++i) expect(index.pin_text(static_cast<Index>(i)));
    std::set<std::string> found;
    for (const auto& hit : find.find(text, 5'000)) found.insert(hit.name);
    CHECK(found == expected);
    hits += found.size();
  }
  CHECK(hits > 1'000);
}
