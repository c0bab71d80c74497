// Parts known by lists alone, joined by name: what is joined by itself, what is only proposed, and how often
// the proposals are right on real boards whose true connections are known.
#include <algorithm>
#include <iostream>
#include <map>
#include <set>

#include <doctest/doctest.h>

#include "netdb/join/by_name.hpp"
#include "netdb/join/suggest.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

// A list of one part: each name is a net of its own.
Board list_of(const std::string& reference, const std::vector<std::string>& names) {
  Board board;
  Part part;
  part.reference = reference;
  board.parts.push_back(part);
  for (std::size_t i = 0; i < names.size(); ++i) {
    board.nets.push_back({names[i], false, {}});
    board.pins.push_back(
        {0, "A" + std::to_string(i + 1), names[i], PinType::kUnknown, static_cast<Index>(i)});
  }
  return board;
}

Board two_lists(const std::vector<std::string>& first, const std::vector<std::string>& second) {
  Board board = list_of("U1", first);
  REQUIRE(join::add_list_part(board, list_of("x", second), "J1").ok());
  return board;
}

// What is on a part's pins, by function, of the real design.
std::map<std::string, Index> functions_of(const BoardIndex& index, const std::string& reference) {
  std::map<std::string, Index> found;
  for (const Index pin : index.pins_of_part(index.part(reference))) {
    const Pin& p = index.board().pins[pin];
    if (!p.function.empty() && p.net != kNone) found.emplace(p.function, p.net);
  }
  return found;
}

std::vector<std::string> names_of(const std::map<std::string, Index>& functions) {
  std::vector<std::string> names;
  for (const auto& [name, net] : functions) names.push_back(name);
  return names;
}

}  // namespace

TEST_CASE("equal names of two lists are joined, tolerant of case and separators, supplies are not") {
  const Board board = two_lists({"RAM_DQ0", "reset_n", "VDD", "GND", "X1", "X2", "X3"},
                                {"ram-dq0", "RESET-N", "VDD", "GND", "Y1", "Y2", "Y3"});
  const auto joined = join::joined_by_name(board, {});
  CHECK(joined.joins.size() == 2);
  const BoardIndex index(joined.board);
  const auto net = [&](const char* part, const char* pin) {
    return joined.board.pins[index.pin(index.part(part), pin)].net;
  };
  CHECK(net("U1", "A1") == net("J1", "A1"));
  CHECK(net("U1", "A2") == net("J1", "A2"));
  CHECK(net("U1", "A3") != net("J1", "A3"));
  CHECK(net("U1", "A5") != net("J1", "A5"));
  // By an alias a supply is joined too, and what was accepted stands with the join.
  const auto told = join::joined_by_name(board, {{1, "U1", "VDD", "J1", "VDD", "typed in"}});
  REQUIRE(told.joins.size() == 3);
  CHECK(std::any_of(told.joins.begin(), told.joins.end(), [](const join::NameJoin& one) {
    return one.from.find("typed in") != std::string::npos;
  }));
}

TEST_CASE(
    "64 data lines are proposed as one group by stem and index, and nothing is joined before it is "
    "accepted") {
  std::vector<std::string> chip;
  std::vector<std::string> slot;
  for (int i = 0; i < 64; ++i) {
    chip.push_back("RAM0_DATA" + std::to_string(i));
    slot.push_back("DQ" + std::to_string(i));
  }
  const Board board = two_lists(chip, slot);
  CHECK(join::joined_by_name(board, {}).joins.empty());
  const auto groups = join::suggestions(board, {});
  REQUIRE(groups.size() == 1);
  CHECK(groups[0].pairs.size() == 64);
  CHECK(groups[0].conflicts.empty());
  std::vector<NameAlias> accepted;
  for (const join::NamePair& pair : groups[0].pairs)
    accepted.push_back({0, groups[0].part, pair.name, groups[0].to_part, pair.to_name, groups[0].reason});
  const auto joined = join::joined_by_name(board, accepted);
  CHECK(joined.joins.size() == 64);
  CHECK(joined.conflicts.empty());
  CHECK(join::suggestions(board, accepted).empty());
}

// Address, command and control lines: the bits and byte lanes of data are swapped as the routing likes
// (TRADE.md T18), which no name shows, so that they are counted apart.
TEST_CASE("proposals on real boards whose processor and memory are taken as bare lists") {
  if (!testing::have_shared()) return;
  for (const char* file : {"netlist/A64-OLinuXino_Rev_A.net", "netlist/STMP157-OLinuXino-LIME2_Rev_B1.net"}) {
    const auto design = testing::open_design(testing::shared_file(std::string("boards/") + file));
    const BoardIndex index(design.board);
    const auto chip = functions_of(index, "U1");
    const auto memory = functions_of(index, "U3");
    const auto is_data = [](const std::string& name) {
      return name.find('D') != std::string::npos && name.find("ODT") == std::string::npos;
    };
    std::set<std::pair<std::string, std::string>> truth;
    for (const auto& [name, net] : chip) {
      for (const auto& [other, same] : memory) {
        // A net of many pins is a supply.
        if (net == same && index.pins_of_net(net).size() <= 12) truth.emplace(name, other);
      }
    }
    std::size_t true_control = 0;
    for (const auto& pair : truth) true_control += is_data(pair.second) ? 0U : 1U;
    std::size_t control = 0, control_right = 0, data = 0, data_right = 0;
    for (const auto& group : join::suggestions(two_lists(names_of(chip), names_of(memory)), {})) {
      for (const join::NamePair& pair : group.pairs) {
        const std::string& own = group.part == "U1" ? pair.name : pair.to_name;
        const std::string& other = group.part == "U1" ? pair.to_name : pair.name;
        const std::size_t right = truth.count({own, other});
        (is_data(other) ? data : control) += 1;
        (is_data(other) ? data_right : control_right) += right;
      }
    }
    std::cout << file << ": " << truth.size() << " true connections; address and command: " << control_right
              << " right of " << control << " proposed, " << true_control
              << " there are; data, strobes, masks: " << data_right << " right of " << data << "\n";
    CHECK(static_cast<double>(control_right) >= 0.85 * static_cast<double>(control));
    CHECK(static_cast<double>(control_right) >= 0.85 * static_cast<double>(true_control));
  }
}
