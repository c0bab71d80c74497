#include <algorithm>
#include <random>
#include <set>

#include <doctest/doctest.h>

#include "tests/support/bench.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/find_board.hpp"

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

TEST_CASE("where not all hits are shown, the first by natural order are, whatever the file's order") {
  Board board;
  for (const int n : {9, 1, 15, 3, 12, 5, 0, 7, 14, 2, 11, 8, 4, 13, 6, 10})
    board.nets.push_back({"RAM_D" + std::to_string(n), false, {}});
  const BoardIndex index(board);
  std::size_t total = 0;
  const auto hits = app::FindIndex(index).find("ram d", 12, &total);
  CHECK(total == 16);
  REQUIRE(hits.size() == 12);
  for (int n = 0; n < 12; ++n) CHECK(hits[static_cast<std::size_t>(n)].name == "RAM_D" + std::to_string(n));
}

TEST_CASE("find on a board of the bench, read without its copper, answers as on the open board") {
  const testing::ScratchFolder folder;
  store::Bench bench = testing::open_bench(folder.file("b.sqlite"));
  const std::string skua = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4";
  // A list beside it: a part that has no lands, joined by name.
  Board list;
  list.parts = {{"U1", "", "", "", false, {}, 0, Side::kTop, true}};
  for (const char* name : {"RAM1_DQS1_P", "RAM1_A8", "RAM0_A3", "RAM1_A13", "OWN"}) {
    list.nets.push_back({name, false, {}});
    list.pins.push_back({0, std::to_string(list.pins.size() + 1), name, PinType::kUnknown,
                         static_cast<Index>(list.nets.size() - 1)});
  }
  Board board = testing::open_board({skua + ".kicad_pcb", skua + ".net"});
  REQUIRE(join::add_list_part(board, list, "J9").ok());
  const auto id = bench.keep_board("skua", board, {{}, {}, testing::kNow});
  REQUIRE(id.ok());
  const auto open = app::open_board(bench, *id);
  REQUIRE(open.ok());
  CHECK((*open)->name_joins().size() == 4);
  const auto words = bench.board_words(*id);
  REQUIRE(words.ok());
  CHECK(words->pins == board.pins);
  CHECK(words->nets == board.nets);
  CHECK(words->parts == board.parts);
  CHECK(words->tracks.empty());
  std::set<Index> with_lands;
  for (const Land& land : board.lands) {
    if (land.pin != kNone) with_lands.insert(land.part);
  }
  std::set<Index> found_with_lands;
  for (const Land& land : words->lands) found_with_lands.insert(land.part);
  CHECK(found_with_lands == with_lands);
  CHECK(words->lands.size() == with_lands.size());                               // one a part
  CHECK_FALSE(with_lands.contains(static_cast<Index>(board.parts.size() - 1)));  // J9 has none
  const app::FindIndex find((*open)->index());
  std::size_t compared = 0;
  for (const char* text : {"dqs1", "u1.a", "ram1_a13", "J9", "own", "gnd", "100n", "no such name"}) {
    CAPTURE(std::string(text));
    std::size_t total = 0;
    const auto hits = find.find(text, 200, &total);
    const auto found = app::find_on_board(bench, *id, text, 200, true);
    REQUIRE(found.ok());
    CHECK(found->total == total);
    REQUIRE(found->things.size() == hits.size());
    for (std::size_t i = 0; i < hits.size(); ++i) {
      CHECK(found->things[i].name == hits[i].name);
      CHECK(found->things[i].kind == hits[i].kind);
      const bool pin = hits[i].kind == app::HitKind::kBall || hits[i].kind == app::HitKind::kFunction;
      const Board& b = (*open)->board();
      const Index net = pin                                  ? b.pins[hits[i].item].net
                        : hits[i].kind == app::HitKind::kNet ? hits[i].item
                                                             : kNone;
      CHECK(found->things[i].net == (net == kNone ? "" : b.nets[net].name));
      if (net != kNone) CHECK(found->things[i].signal_class == (*open)->signals().nets[net].signal_class);
      ++compared;
    }
  }
  CHECK(compared > 100);
  CHECK(app::find_on_board(bench, 99, "x", 5, false).error().code == ErrorCode::kNotFound);
}
