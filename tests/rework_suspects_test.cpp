// Planted faults: balls of one corner of the processor fail on a real board; the true place must come first,
// and a fault of one connector must not be laid at the processor's door.
#include <random>
#include <set>

#include <doctest/doctest.h>

#include "netdb/packages/packages.hpp"
#include "netdb/rework/suspects/suspects.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/files.hpp"
#include "tests/support/made_board.hpp"

using namespace landfall;

TEST_CASE("balls of one neighbourhood fail on a real board: how often the true part and place come first") {
  if (!testing::have_shared()) return;
  const Board board =
      testing::open_design(testing::shared_file("boards/kicad_pcb/TERES_PCB1-A64-MAIN_Rev.C.kicad_pcb"))
          .board;
  const BoardIndex index(board);
  const Signals signals = signals::analyse(index, {});
  rework::SuspectInput input;
  input.index = &index;
  input.signals = &signals;
  for (const Index part : packages::area_arrays(index))
    input.packages.push_back(packages::package_of(index, part));
  const Package& u1 = input.packages.front();
  REQUIRE(board.parts[u1.part].reference == "U1");
  // Every line of U1 that has a far end, as a slot tester or a meter would list them.
  std::vector<Index> lines;
  std::set<Index> seen;
  for (const PackageSite& site : u1.sites) {
    const Index net = board.pins[site.pin].net;
    if (net == kNone || is_supply(signals.nets[net].signal_class) || index.pins_of_net(net).size() < 2)
      continue;
    if (seen.insert(net).second) lines.push_back(net);
  }
  std::mt19937 random(3);
  int rounds = 0;
  int part_first = 0;
  int place_first = 0;
  while (rounds < 40) {
    const Site centre = u1.sites[random() % u1.sites.size()].site;
    std::vector<Index> dark;
    std::vector<Index> good;
    for (const Index net : lines) {
      bool near = false;
      for (const PackageSite& site : u1.sites) {
        if (board.pins[site.pin].net != net) continue;
        near = std::abs(site.site.row - centre.row) <= 1 && std::abs(site.site.column - centre.column) <= 1;
        if (near) break;
      }
      // Within the place four in five fail; elsewhere one in fifty reads dark for reasons of its own.
      const bool fails = near ? random() % 5 != 0 : random() % 50 == 0;
      (fails ? dark : good).push_back(net);
    }
    std::size_t planted = 0;
    for (const Index net : dark) {
      for (const PackageSite& site : u1.sites) {
        planted += board.pins[site.pin].net == net && std::abs(site.site.row - centre.row) <= 1 &&
                           std::abs(site.site.column - centre.column) <= 1
                       ? 1U
                       : 0U;
      }
    }
    if (planted < 4) continue;  // too little there to be found by anyone
    ++rounds;
    input.symptoms = {dark, good};
    input.shuffles = 19;
    const auto answer = rework::find_suspects(input);
    if (answer.suspects.empty() || answer.suspects.front().part != u1.part) continue;
    ++part_first;
    const auto& best = answer.suspects.front();
    place_first += centre.row - 1 >= best.top - 1 && centre.row - 1 <= best.bottom + 1 &&
                           centre.column - 1 >= best.left - 1 && centre.column - 1 <= best.right + 1
                       ? 1
                       : 0;
  }
  MESSAGE("of 40 planted faults: the true part first " << part_first << ", the true place first "
                                                       << place_first);
  CHECK(part_first >= 36);
  CHECK(place_first >= 34);
}

TEST_CASE("no line good, or none dark: nothing is suspected and that is said") {
  testing::MadeBoard made;
  const Index line = made.net("LINE");
  made.ball("A1", line);
  const BoardIndex index(made.board);
  const Signals signals = signals::analyse(index, {});
  rework::SuspectInput input;
  input.index = &index;
  input.signals = &signals;
  CHECK(rework::find_suspects(input).suspects.empty());
  input.symptoms.dark = {line};
  const auto answer = rework::find_suspects(input);
  CHECK(answer.suspects.empty());
  CHECK_FALSE(answer.says.empty());
}

TEST_CASE("a score is zero where inside fails no more than outside, and shuffles leave a fair chance") {
  // 16 balls on 16 nets, each with a far pin; every second one dark: no place stands out.
  testing::MadeBoard made;
  rework::Symptoms symptoms;
  const Index far = made.part("R1", 16, 10, 0);
  int n = 0;
  for (const char row : {'A', 'B', 'C', 'D'}) {
    for (int column = 1; column <= 4; ++column) {
      const Index net = made.net("N" + std::to_string(++n));
      made.ball(std::string(1, row) + std::to_string(column), net);
      made.pin(far, n, net);
      ((n + (n - 1) / 4) % 2 == 0 ? symptoms.dark : symptoms.good).push_back(net);
    }
  }
  const BoardIndex index(made.board);
  const Signals signals = signals::analyse(index, {});
  rework::SuspectInput input;
  input.index = &index;
  input.signals = &signals;
  input.packages = {packages::package_of(index, 0)};
  input.symptoms = symptoms;
  const auto answer = rework::find_suspects(input);
  for (const auto& suspect : answer.suspects) CHECK(suspect.by_chance > 0.2);
}

// Of parts and nets alone: no package is scanned.
static rework::SuspectAnswer suspects_of(const Board& board, const rework::Symptoms& symptoms) {
  const BoardIndex index(board);
  const Signals signals = signals::analyse(index, {});
  rework::SuspectInput input;
  input.index = &index;
  input.signals = &signals;
  input.symptoms = symptoms;
  return rework::find_suspects(input);
}

TEST_CASE("a test that tells nothing is not offered, and where nothing separates the best two that is said") {
  // Two parts of the same four lines, all dark, beside twelve good lines of a third: whatever is read at one
  // is read at the other.
  testing::MadeBoard made;
  rework::Symptoms symptoms;
  const Index far = made.part("J1", 16, 10, 0);
  const Index twin = made.part("J2", 16, 20, 0);
  for (int n = 1; n <= 16; ++n) {
    const Index net = made.net("N" + std::to_string(n));
    const bool dark = n <= 4;
    if (dark) made.pin(far, n, net);
    if (dark) made.pin(twin, n, net);
    made.ball("A" + std::to_string(n), net);
    (dark ? symptoms.dark : symptoms.good).push_back(net);
  }
  const auto answer = suspects_of(made.board, symptoms);
  REQUIRE(answer.suspects.size() >= 2);
  CHECK(answer.next.empty());
  CHECK(answer.no_test.starts_with("no reading of these lines separates "));
}

TEST_CASE("where one place is far ahead of the next no reading of no gain is offered") {
  // Eight dark lines of forty meet at J1; two of them and a good one at J2.
  testing::MadeBoard made;
  rework::Symptoms symptoms;
  std::vector<Index> nets;
  for (int n = 1; n <= 40; ++n) {
    nets.push_back(made.net("N" + std::to_string(n)));
    (n <= 8 ? symptoms.dark : symptoms.good).push_back(nets.back());
  }
  made.board.parts.clear();
  made.board.pins.clear();
  made.board.lands.clear();
  const auto part = [&](const char* reference, const std::vector<std::size_t>& lines) {
    Part one;
    one.reference = reference;
    one.fitted = true;
    made.board.parts.push_back(one);
    for (const std::size_t line : lines)
      made.board.pins.push_back({static_cast<Index>(made.board.parts.size() - 1), std::to_string(line), "",
                                 PinType::kUnknown, nets[line - 1]});
  };
  part("J1", {1, 2, 3, 4, 5, 6, 7, 8});
  part("J2", {1, 2, 20});
  const auto answer = suspects_of(made.board, symptoms);
  REQUIRE(answer.suspects.size() == 2);
  CHECK(answer.suspects[1].good.size() == 1);
  CHECK(answer.next.empty());
  CHECK(answer.no_test == "one more reading would tell next to nothing: J1 is far ahead of J2");
}
