// Address balls that a memory does not use, and lines that stand still. The truth is read by hand from the
// boards' files: which ball is on which net, and what is printed on the memory.
#include <doctest/doctest.h>

#include "netdb/model/board_index.hpp"
#include "netdb/signals/memory_maps.hpp"
#include "netdb/signals/memory_role.hpp"
#include "netdb/signals/memory_size.hpp"
#include "netdb/signals/signals.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

// U1 drives one DDR3 of the standard map, U2: a net a signal ball, the pins named as in the map where
// `named`.
struct Made {
  Board board;
  Index driver = 0;

  Index net(const std::string& name) {
    for (std::size_t n = 0; n < board.nets.size(); ++n) {
      if (board.nets[n].name == name) return static_cast<Index>(n);
    }
    board.nets.push_back({name, false, {}});
    return static_cast<Index>(board.nets.size() - 1);
  }
  Index part(const std::string& reference, const std::string& value = "") {
    Part made;
    made.reference = reference;
    made.value = value;
    board.parts.push_back(made);
    return static_cast<Index>(board.parts.size() - 1);
  }
  Index pin(Index of, const std::string& number, const std::string& function, Index on,
            PinType type = PinType::kUnknown) {
    board.pins.push_back({of, number, function, type, on});
    return static_cast<Index>(board.pins.size() - 1);
  }

  explicit Made() { driver = part("U1"); }

  // `a13`: what the pin T3 is called.
  void memory(const std::string& reference, const std::string& value, bool named, const std::string& a13) {
    const Index memory = part(reference, value);
    for (const auto& [ball, standard] : signals::memory_maps()[0].function_by_ball) {
      const std::string function = ball == "T3" ? a13 : standard;
      const auto role = signals::memory_role(standard);
      const bool supply = role && is_supply(role->signal_class);
      const std::string word =
          standard.starts_with("NC/") ? standard.substr(3) : standard.substr(0, standard.find('/'));
      std::string name =
          supply ? (role->signal_class == SignalClass::kGround ? "GND" : "VDD") : "RAM_" + word;
      if (word == "NC") name = "spare_" + reference + ball;
      const Index on = net(name);
      pin(memory, ball, named ? function : "", on);
      if (!supply && word != "NC" && reference == "U2") pin(driver, "P" + ball, "", on);
    }
  }

  // 0: needed, 1: perhaps idle, 2: idle.
  int idle(const std::string& reference, const std::string& number,
           const std::vector<NameRule>& rules = {}) const {
    const BoardIndex index(board);
    const Signals found = signals::analyse(index, rules);
    const IdlePin* pin = idle_pin(found, index.pin(index.part(reference), number));
    return pin == nullptr ? 0 : pin->sure ? 2 : 1;
  }
};

struct Opened {
  Board board;
  BoardIndex index;
  Signals signals;
  explicit Opened(const char* file)
      : board(testing::open_design(testing::shared_file(std::string("boards/") + file)).board),
        index(board),
        signals(signals::analyse(index, {})) {}
  const IdlePin* idle(const char* part, const char* ball) const {
    return idle_pin(signals, index.pin(index.part(part), ball));
  }
  const NetSignal& net(const char* name) const { return signals.nets[index.net(name)]; }
  const NetSignal& at(const char* part, const char* pin) const {
    return signals.nets[board.pins[index.pin(index.part(part), pin)].net];
  }
};

}  // namespace

TEST_CASE("the size of a memory is read from its value, and only where it states one") {
  struct Value {
    const char* value;
    int rows;
  };
  for (const Value& v : {Value{"MT41K64M16TW-107_J-TR", 13},
                         {"MT41J128M16", 14},
                         {"K4B4G1646D-BCK0(FBGA-96_256Mx16_DDR3-1600_11-11-11)", 15},
                         {"K4B4G1646D-BYK0", 15},
                         {"AS4C512M16D3L-12BIN", 16},
                         {"256M x 16", 15},
                         {"128Mx8", 14}}) {
    INFO(std::string(v.value));
    const auto size = signals::memory_size(v.value);
    REQUIRE(size.has_value());
    CHECK(size->rows == v.rows);
  }
  for (const char* none :
       {"", "DDR3", "LFE5U-25F-8MG285C", "W25Q128JVP", "100M12", "96M16", "H5TQ4G63", "64M16 or 128M16",
        "32M x 16 x 8 banks", "16Mx16x8", "99999999999999999M16", "4G16"}) {
    INFO(std::string(none));
    const auto size = signals::memory_size(none);
    // 4G x 16 is no DDR3; the rest state nothing, or two sizes.
    CHECK_FALSE(size.has_value());
  }
}

TEST_CASE("addresses beyond the memory's size are needed by nobody, those within it are") {
  if (!testing::have_shared()) return;
  const Opened crab("kicad_pcb/orangecrab_r0.2.1.kicad_pcb");  // MT41K64M16TW: A0 to A12
  for (const char* ball : {"C1", "A2", "C7"}) {                // RAM_A13, RAM_A14, RAM_A15
    INFO(std::string(ball));
    REQUIRE(crab.idle("U3", ball) != nullptr);
    CHECK(crab.idle("U3", ball)->sure);
    CHECK(crab.idle("U3", ball)->why.find("64M x 16") != std::string::npos);
  }
  CHECK(crab.idle("U4", "T3") != nullptr);
  CHECK(crab.idle("U3", "B6") == nullptr);  // RAM_A12
  CHECK(crab.idle("U4", "N7") == nullptr);

  const Opened mini("kicad_pcb/A64-OLinuXino_Rev_A.kicad_pcb");  // two of 256M x 16: A0 to A14
  CHECK(mini.idle("U1", "T4") != nullptr);                       // S0SA15
  CHECK(mini.idle("U3", "M7") != nullptr);
  CHECK(mini.idle("U2", "M7") != nullptr);
  CHECK(mini.idle("U1", "K4") == nullptr);  // S0SA14
  CHECK(mini.idle("U1", "E8") == nullptr);  // S0SA13
  CHECK(mini.signals.idle.size() == 3);

  const Opened wart("kicad_pcb/wifiwart-comp.kicad_pcb");  // 512M x 16: A0 to A15
  CHECK(wart.signals.idle.empty());
}

TEST_CASE("a pin that may be NC is judged by what is known, never called spare by a standard map") {
  const auto made = [](const char* value, bool named, const char* a13) {
    Made m;
    m.memory("U2", value, named, a13);
    return m;
  };
  CHECK(made("X64M16", true, "NC/A13").idle("U1", "PT3") == 2);
  CHECK(made("X64M16", false, "").idle("U1", "PT3") == 2);
  // Large enough to use it, whatever its symbol says.
  CHECK(made("X128M16", true, "NC/A13").idle("U1", "PT3") == 0);
  CHECK(made("X128M16", true, "NC/A13").idle("U2", "T3") == 0);
  // Its symbol alone: perhaps. Plainly NC: so.
  CHECK(made("memory", true, "NC/A13").idle("U1", "PT3") == 1);
  CHECK(made("memory", true, "NC/A13").idle("U2", "T3") == 1);
  CHECK(made("memory", true, "NC").idle("U1", "PT3") == 2);
  // By the map alone nothing is known: A15 is "NC/A15" there.
  CHECK(made("memory", false, "").idle("U1", "PM7") == 0);
  CHECK(made("memory", false, "").idle("U1", "PT3") == 0);
  // Used by a column address or a command as well: never.
  CHECK(made("X16M16", true, "A13").idle("U1", "PN7") == 0);
}

TEST_CASE("a line that anything else needs stays needed") {
  Made two;
  two.memory("U2", "X64M16", true, "A13");
  two.memory("U3", "X128M16", true, "A13");
  CHECK(two.idle("U2", "T3") == 2);  // this memory's own ball
  CHECK(two.idle("U3", "T3") == 0);
  CHECK(two.idle("U1", "PT3") == 0);

  Made strap;
  strap.memory("U2", "X64M16", true, "A13");
  CHECK(strap.idle("U1", "PT3") == 2);
  const Index r = strap.part("R1", "10k");
  strap.pin(r, "1", "", strap.net("RAM_A13"));
  strap.pin(r, "2", "", strap.net("GND"));
  CHECK(strap.idle("U1", "PT3") == 0);  // a strap may be read at reset

  Made other;
  other.memory("U2", "X64M16", true, "A13");
  other.pin(other.part("U9"), "1", "IN", other.net("RAM_A13"));
  CHECK(other.idle("U1", "PT3") == 0);

  Made told;
  told.memory("U2", "X64M16", true, "A13");
  NameRule rule;
  rule.id = 1;
  rule.pattern = "RAM_A13";
  rule.signal_class = SignalClass::kAddress;
  CHECK(told.idle("U1", "PT3", {rule}) == 0);
  CHECK(told.idle("U2", "T3", {rule}) == 0);
}

TEST_CASE("terminations that all addresses have, and series resistors, do not make an idle line needed") {
  Made made;
  made.memory("U2", "X64M16", true, "A13");
  int n = 0;
  for (const char* net : {"RAM_A13", "RAM_A0", "RAM_A1", "RAM_A2", "RAM_A3", "RAM_A4"}) {
    const Index r = made.part("R" + std::to_string(++n), "39");
    made.pin(r, "1", "", made.net(net));
    made.pin(r, "2", "", made.net("DDR_TERM"));
  }
  CHECK(made.idle("U1", "PT3") == 2);
  CHECK(made.idle("U1", "PN3") == 0);
}

TEST_CASE("the middle of a clock pair's termination is no clock, and the memory's own word comes first") {
  if (!testing::have_shared()) return;
  const Opened crab("kicad_pcb/orangecrab_r0.2.1.kicad_pcb");
  const NetSignal& middle = crab.at("R5", "1");  // R5, R13 and a capacitor
  CHECK(middle.signal_class == SignalClass::kAnalogue);
  CHECK(middle.steady == Steady::kTermination);
  CHECK(middle.why.front().says.find("termination") != std::string::npos);
  for (const char* leg : {"RAM_CK+", "RAM_CK-"}) {
    INFO(std::string(leg));
    CHECK(crab.net(leg).signal_class == SignalClass::kClock);
    CHECK(crab.net(leg).why.front().source.find("U4.") == 0);
    CHECK(crab.net(leg).steady == Steady::kNo);
  }
}

TEST_CASE("references, biases and calibration stand still, what switches one does not") {
  if (testing::have_shared()) {
    const Opened crab("kicad_pcb/orangecrab_r0.2.1.kicad_pcb");
    CHECK(crab.net("/DRAM/RAM_ZQ").steady == Steady::kCalibration);
    CHECK(crab.net("ECP5_VREF").steady == Steady::kReference);
    const Opened mini("kicad_pcb/A64-OLinuXino_Rev_A.kicad_pcb");
    CHECK(mini.net("/VREF0_DDR3").steady == Steady::kReference);
    CHECK(mini.net("/S0SVREF").steady == Steady::kReference);
  }
  Board board;
  for (const char* name : {"USB_REXT", "VREFDQ", "VREF_EN", "AREF", "D5", "ZQ0"})
    board.nets.push_back({name, false, {}});
  const BoardIndex index(board);
  const Signals found = signals::analyse(index, {});
  CHECK(found.nets[0].steady == Steady::kReference);
  CHECK(found.nets[1].steady == Steady::kReference);
  CHECK(found.nets[2].steady == Steady::kNo);
  CHECK(found.nets[3].steady == Steady::kReference);
  CHECK(found.nets[4].steady == Steady::kNo);
  CHECK(found.nets[5].steady == Steady::kCalibration);
  CHECK(found.nets[1].signal_class == SignalClass::kAnalogue);
}

TEST_CASE("an input or output that may be a reference is none by its name") {
  Board board;
  board.parts.push_back({});
  board.parts.back().reference = "U1";
  board.parts.push_back({});
  board.parts.back().reference = "U2";
  for (const char* name : {"SPARE_A", "SPARE_B", "SPARE_C"}) board.nets.push_back({name, false, {}});
  board.pins.push_back({0, "A1", "IO_L6N_T0_VREF_34", PinType::kUnknown, 0});
  board.pins.push_back({0, "A2", "PT9A/VREF1_0", PinType::kUnknown, 1});
  board.pins.push_back({0, "A3", "VREF", PinType::kUnknown, 2});
  for (const Index net : {0U, 1U, 2U})
    board.pins.push_back({1, std::to_string(net + 1), "", PinType::kUnknown, net});
  const BoardIndex index(board);
  const Signals found = signals::analyse(index, {});
  for (const std::size_t net : {0U, 1U}) {
    CHECK(found.nets[net].steady == Steady::kNo);
    CHECK(found.nets[net].signal_class == SignalClass::kUnknown);
  }
  CHECK(found.nets[2].steady == Steady::kReference);
}

TEST_CASE("of a memory whose size is not known the high addresses say so and how to tell it") {
  const auto says = [](const Made& made, const char* net) {
    const BoardIndex index(made.board);
    const Signals found = signals::analyse(index, {});
    for (const auto& why : found.nets[index.net(net)].why) {
      if (why.says == signals::kSizeNotKnown) return why.source;
    }
    return std::string();
  };
  Made unknown;
  unknown.memory("U2", "DDR3", true, "A13");
  CHECK(unknown.idle("U2", "T3") == 0);
  // 128M words have 27 bits of address: 3 of bank, 10 of column, and 14 rows, A0 to A13.
  CHECK(
      says(unknown, "RAM_A13") ==
      "the size of U2 is not known by its value DDR3: A13 is of use from 128M words on; where the marking on "
      "the chip says less, the fact spare of this ball says so");
  CHECK(says(unknown, "RAM_A12").empty());
  Made known;
  known.memory("U2", "128Mx16", true, "A13");
  CHECK(says(known, "RAM_A13").empty());
}
