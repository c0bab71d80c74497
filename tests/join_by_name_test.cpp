// Parts known by lists alone: joined by equal names, by what the user accepted, and never in silence.
#include <algorithm>
#include <set>

#include <doctest/doctest.h>

#include "netdb/join/by_name.hpp"
#include "netdb/join/signal_name.hpp"
#include "netdb/join/suggest.hpp"
#include "netdb/model/board_index.hpp"

using namespace landfall;

namespace {

Board list_of(const std::string& reference, const std::vector<std::string>& names) {
  Board board;
  Part part;
  part.reference = reference;
  board.parts.push_back(part);
  for (std::size_t i = 0; i < names.size(); ++i) {
    const auto known =
        std::find_if(board.nets.begin(), board.nets.end(), [&](const Net& n) { return n.name == names[i]; });
    const auto net = static_cast<Index>(known - board.nets.begin());
    if (known == board.nets.end()) board.nets.push_back({names[i], false, {}});
    board.pins.push_back({0, std::to_string(i + 1), names[i], PinType::kUnknown, net});
  }
  return board;
}

Board two_lists(const std::vector<std::string>& a, const std::vector<std::string>& b) {
  Board board = list_of("U1", a);
  REQUIRE(join::add_list_part(board, list_of("U1", b), "J1").ok());
  return board;
}

// The two sides of each join of U1 and J1, as nets hold them.
std::set<std::pair<std::string, std::string>> joined_pairs(const join::JoinedByName& joined) {
  std::set<std::pair<std::string, std::string>> pairs;
  for (const Pin& a : joined.board.pins) {
    for (const Pin& b : joined.board.pins) {
      if (a.part == 0 && b.part == 1 && a.net != kNone && a.net == b.net)
        pairs.emplace(a.function, b.function);
    }
  }
  return pairs;
}

std::set<std::pair<std::string, std::string>> proposed(const std::vector<join::NameGroup>& groups) {
  std::set<std::pair<std::string, std::string>> pairs;
  for (const auto& group : groups) {
    for (const auto& pair : group.pairs) pairs.emplace(pair.name, pair.to_name);
  }
  return pairs;
}

using Pairs = std::set<std::pair<std::string, std::string>>;

}  // namespace

TEST_CASE("names are equal but for case, separators and slashes, digits, signs and '#' are kept apart") {
  CHECK(join::name_key("sd_clk") == join::name_key("SD-CLK"));
  CHECK(join::name_key("A{slash}B") == join::name_key("ab"));
  CHECK(join::name_key("D1_0") != join::name_key("D10"));
  CHECK(join::name_key("D+") != join::name_key("D-"));
  CHECK(join::name_key("RAS#") != join::name_key("RAS"));
  CHECK(join::name_key("~{CK}") != join::name_key("CK"));  // the two legs of a pair
  CHECK(join::name_key("~CK") == join::name_key("CK#"));
  CHECK(join::name_key("!CK") == join::name_key("#CK"));
  CHECK(join::name_key("~").empty());
}

TEST_CASE("a signal's name is taken apart into prefix, kind, index and polarity") {
  struct Case {
    const char *name, *prefix, *kind;
    int index, polarity;
  };
  for (const Case& c :
       {Case{"RAM0_DATA5", "RAM0", "data", 5, 0}, Case{"DQ5", "", "data", 5, 0},
        Case{"RAM0_DQS0_P", "RAM0", "strobe", 0, 1}, Case{"DQS0_t", "", "strobe", 0, 1},
        Case{"DQS0_c", "", "strobe", 0, -1}, Case{"DQS3#", "", "strobe", 3, -1},
        Case{"DRAM_SDQS0_B", "DRAM", "strobe", 0, -1}, Case{"DDR_CLKN", "DDR", "clock", -1, -1},
        Case{"#CK", "", "clock", -1, -1}, Case{"~UDQS", "", "strobe", 1, -1},
        Case{"S0SDQ31", "S0", "data", 31, 0}, Case{"S0SA10", "S0", "address", 10, 0},
        Case{"PS_DDR_DQ7_502", "PS_DDR", "data", 7, 0}, Case{"I2C2_SDA", "I2C2", "SDA", -1, 0}}) {
    CAPTURE(c.name);
    const auto roles = join::signal_roles(c.name);
    REQUIRE_FALSE(roles.empty());
    CHECK(roles.front().prefix == c.prefix);
    CHECK(roles.front().kind == c.kind);
    CHECK(roles.front().index == c.index);
    CHECK(roles.front().polarity == c.polarity);
  }
  CHECK(join::signal_roles("VDDQ").empty());
  CHECK(join::signal_roles("+3V3").empty());
  CHECK(join::signal_roles("").empty());
  CHECK(join::signal_roles("#").empty());
  CHECK(join::signal_roles("~").empty());
}

TEST_CASE("equal names of two lists become one net and say so, supplies never do by themselves") {
  const Board board =
      two_lists({"SD_CLK", "SD_CMD", "SD_D0", "VSS", "OTHER"}, {"sd-clk", "SD/CMD", "SDD0", "VSS", "THING"});
  const auto joined = join::joined_by_name(board, {});
  CHECK(joined_pairs(joined) == Pairs{{"SD_CLK", "sd-clk"}, {"SD_CMD", "SD/CMD"}, {"SD_D0", "SDD0"}});
  CHECK(joined.joins.size() == 3);
  REQUIRE(joined.joins.size() == 3);
  CHECK(joined.joins.front().from == "equal names");
  CHECK(joined.board.nets.size() == board.nets.size() - 3);
  // Accepted, the supply is joined as well.
  const auto more = join::joined_by_name(board, {{1, "U1", "VSS", "J1", "VSS", "typed in"}});
  CHECK(joined_pairs(more).count({"VSS", "VSS"}) == 1);
  CHECK(more.joins.size() == 4);
}

TEST_CASE("what two memories of one kind have alike, or three parts, is listed and not joined") {
  Board board = two_lists({"DQ0", "DQ1", "DQ2", "CK"}, {"DQ0", "DQ1", "DQ2", "CK"});
  auto joined = join::joined_by_name(board, {});
  CHECK(joined.joins.empty());
  CHECK(joined.conflicts.size() == 4);
  REQUIRE(join::add_list_part(board, list_of("U1", {"DQ0", "W", "X", "Y"}), "U9").ok());
  joined = join::joined_by_name(board, {});
  CHECK(joined.joins.empty());
  const auto dq0 = std::find_if(joined.conflicts.begin(), joined.conflicts.end(),
                                [](const auto& c) { return c.name == "DQ0"; });
  REQUIRE(dq0 != joined.conflicts.end());
  CHECK(dq0->says == "U1's DQ0, J1's DQ0, U9's DQ0: not joined, since more than two have the name");
}

TEST_CASE("a board of one list, or of a netlist, is left as it is") {
  const Board one = list_of("U1", {"A", "B", "C", "D"});
  CHECK(join::joined_by_name(one, {}).board == one);
  Board wired = two_lists({"A", "B", "C", "D"}, {"A", "B", "C", "D"});
  for (Pin& pin : wired.pins) pin.net = static_cast<Index>(pin.number.back() - '1');  // one net, pins of both
  CHECK(join::list_parts(BoardIndex(wired)).empty());
  CHECK(join::joined_by_name(wired, {{1, "", "A", "", "B", ""}}).board == wired);
}

TEST_CASE("a list part needs a free reference") {
  Board board = list_of("U1", {"A"});
  const Board before = board;
  CHECK(join::add_list_part(board, list_of("U1", {"B"}), "").error().code == ErrorCode::kUsage);
  CHECK(join::add_list_part(board, list_of("U1", {"B"}), "U1").error().code == ErrorCode::kUsage);
  CHECK(board == before);
}

TEST_CASE("suggestions pair names by stem and index, with a reason, accepted they are gone") {
  const Board board =
      two_lists({"RAM0_DATA0", "RAM0_DATA1", "RAM0_DQS0_P", "RAM0_DQS0_N", "RAM0_ADDR0", "RAM0_BA0", "LED"},
                {"DQ0", "DQ1", "DQS0_t", "DQS0_c", "A0", "BA0", "VSS"});
  CHECK(join::joined_by_name(board, {}).joins.empty());
  const auto groups = join::suggestions(board, {});
  CHECK(proposed(groups) == Pairs{{"RAM0_DATA0", "DQ0"},
                                  {"RAM0_DATA1", "DQ1"},
                                  {"RAM0_DQS0_P", "DQS0_t"},
                                  {"RAM0_DQS0_N", "DQS0_c"},
                                  {"RAM0_ADDR0", "A0"},
                                  {"RAM0_BA0", "BA0"}});
  std::vector<NameAlias> taken;
  for (const auto& group : groups) {
    CHECK(group.score > 0);
    CHECK(group.score <= 1);
    CHECK(group.conflicts.empty());
    CHECK_FALSE(group.reason.empty());
    for (const auto& pair : group.pairs)
      taken.push_back({0, group.part, pair.name, group.to_part, pair.to_name, group.reason});
  }
  CHECK(join::suggestions(board, taken).empty());
  CHECK(joined_pairs(join::joined_by_name(board, taken)) == proposed(groups));
}

TEST_CASE("both legs of a pair whose names differ by an overbar alone are proposed, each for its own") {
  const Board board = two_lists({"M_CK_P", "M_CK_N", "X", "Y"}, {"CK", "~{CK}", "V", "W"});
  CHECK(proposed(join::suggestions(board, {})) == Pairs{{"M_CK_P", "CK"}, {"M_CK_N", "~{CK}"}});
}

TEST_CASE("two channels that fit one slot are both listed, with the conflict, at half the score") {
  const Board board = two_lists({"CH0_A0", "CH0_A1", "CH1_A0", "CH1_A1"}, {"A0", "A1", "X", "Y"});
  const auto groups = join::suggestions(board, {});
  REQUIRE(groups.size() == 2);
  for (const auto& group : groups) {
    CHECK(group.conflicts.size() == 1);
    CHECK(group.score == doctest::Approx(0.5));
  }
}

TEST_CASE("a display's D0 to D3 are not proposed for a memory that has many kinds of signals") {
  const Board board = two_lists({"LCD_D0", "LCD_D1", "LCD_D2", "LCD_D3"},
                                {"DQ0", "DQ1", "A0", "BA0", "DQS0", "DM0", "CAS#", "RAS#", "WE#"});
  CHECK(join::suggestions(board, {}).empty());
}

TEST_CASE("a list is fitted to the part that has its pins, two such parts are both named") {
  std::vector<std::string> names;
  for (int i = 0; i < 12; ++i) names.push_back("N" + std::to_string(i));
  Board board = two_lists(names, {"A", "B", "C", "D"});
  const Board list = list_of("U1", names);
  CHECK(join::fitting_part(BoardIndex(board), list).part == 0);
  REQUIRE(join::add_list_part(board, list, "U2").ok());
  const join::Fit fit = join::fitting_part(BoardIndex(board), list);
  CHECK(fit.part == kNone);
  CHECK(fit.several == std::vector<std::string>{"U1", "U2"});
}
