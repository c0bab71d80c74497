// The samples of ../shared/samples come out exactly as the answer beside each says: names, nanometres, sides.
#include <algorithm>
#include <iostream>
#include <map>
#include <set>
#include <tuple>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "netdb/model/board_index.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

// ref, pin, net, function, x, y, side of each land; a pin without a land counts once without a place.
using Row = std::tuple<std::string, std::string, std::string, std::string, Nm, Nm, std::string>;

std::string text_of(const nlohmann::json& value, const char* key) {
  return value.contains(key) && value[key].is_string() ? value[key].get<std::string>() : std::string();
}

std::multiset<Row> expected_pins(const nlohmann::json& answer, bool places, bool functions) {
  std::multiset<Row> rows;
  for (const auto& pin : answer["pins"]) {
    rows.insert({text_of(pin, "ref"), text_of(pin, "pin"), text_of(pin, "net"),
                 functions ? text_of(pin, "function") : "", places ? pin["x"].get<Nm>() : 0,
                 places ? pin["y"].get<Nm>() : 0, places ? text_of(pin, "side") : ""});
  }
  return rows;
}

std::multiset<Row> read_pins(const Board& board, bool places, bool functions) {
  const BoardIndex index(board);
  std::multiset<Row> rows;
  for (Index i = 0; i < board.pins.size(); ++i) {
    const Pin& pin = board.pins[i];
    const std::string net = pin.net == kNone ? "" : board.nets[pin.net].name;
    const std::string function = functions ? pin.function : "";
    const std::string& ref = board.parts[pin.part].reference;
    if (!places) rows.insert({ref, pin.number, net, function, 0, 0, ""});
    for (const Index land : index.lands_of_pin(i)) {
      if (!places) continue;
      const Land& l = board.lands[land];
      rows.insert({ref, pin.number, net, function, l.at.x, l.at.y, std::string(word(l.side))});
    }
  }
  return rows;
}

bool has_functions(const nlohmann::json& answer) {
  return std::any_of(answer["pins"].begin(), answer["pins"].end(),
                     [](const auto& pin) { return pin.contains("function"); });
}

void check_vias(const Board& board, const nlohmann::json& answer) {
  if (!answer.contains("vias")) return;
  std::multiset<std::tuple<std::string, Nm, Nm>> expected;
  std::multiset<std::tuple<std::string, Nm, Nm>> read;
  for (const auto& via : answer["vias"])
    expected.insert({text_of(via, "net"), via["x"].get<Nm>(), via["y"].get<Nm>()});
  for (const Via& via : board.vias)
    read.insert({via.net == kNone ? "" : board.nets[via.net].name, via.at.x, via.at.y});
  CHECK(read == expected);
  const auto layer_of = [&](const nlohmann::json& name, int outer) -> std::optional<int> {
    if (name.is_number()) return name.get<int>() - 1;
    if (!name.is_string()) return std::nullopt;
    const auto text = name.get<std::string>();
    if (text == "outer") return outer;
    if (text == "top") return 0;
    if (text == "bottom") return static_cast<int>(board.layers.size()) - 1;
    const auto found = std::find(board.layers.begin(), board.layers.end(), text);
    REQUIRE(found != board.layers.end());
    return static_cast<int>(found - board.layers.begin());
  };
  for (const auto& via : answer["vias"]) {
    const auto found = std::find_if(board.vias.begin(), board.vias.end(), [&](const Via& v) {
      return v.at == Point{via["x"].get<Nm>(), via["y"].get<Nm>()};
    });
    REQUIRE(found != board.vias.end());
    if (const auto first = layer_of(via["from"], 0)) CHECK(found->first == *first);
    if (const auto last = layer_of(via["to"], static_cast<int>(board.layers.size()) - 1))
      CHECK(found->last == *last);
    if (!via.contains("tented")) continue;
    const std::string tented = text_of(via, "tented");
    if (tented == "both" || tented == "none") {
      const Cover cover = tented == "both" ? Cover::kTented : Cover::kOpen;
      CHECK(found->top == cover);
      CHECK(found->bottom == cover);
    }
  }
}

void check_counts(const Board& board, const nlohmann::json& answer) {
  const auto count = [&](const char* key, std::size_t have) {
    if (answer.contains(key)) CHECK_MESSAGE(answer[key].get<std::size_t>() == have, key);
  };
  const bool test_netlist = answer["format"] == "ipc-d-356";
  count("tracks", board.tracks.size());
  count("conductors", board.tracks.size());
  count("arcs", board.arcs.size());
  if (!test_netlist) count("fills", board.fills.size());
  count("unplated_holes", board.holes.size());
  count("keepouts", static_cast<std::size_t>(std::count_if(board.zones.begin(), board.zones.end(),
                                                           [](const Zone& z) { return z.keepout; })));
  if (answer.contains("outline_points"))
    CHECK(board.outline.size() + 1 == answer["outline_points"].get<std::size_t>());
}

void check_sample(const std::string& name) {
  CAPTURE(name);
  const auto design = testing::open_design(testing::shared_file("samples/" + name));
  const auto answer =
      nlohmann::json::parse(testing::read_file(testing::shared_file("samples/" + name + ".json")));
  CHECK(design.format == answer["format"].get<std::string>());
  if (answer["version"].is_string()) CHECK(design.version == answer["version"].get<std::string>());
  const bool places = answer["pins"][0].contains("x");
  const bool functions = has_functions(answer);
  CHECK(read_pins(design.board, places, functions) == expected_pins(answer, places, functions));
  check_vias(design.board, answer);
  check_counts(design.board, answer);
}

}  // namespace

TEST_CASE("samples come out exactly as the answers beside them say") {
  if (!testing::have_shared()) return;
  for (const char* name :
       {"tern-v4.kicad_pcb", "tern-v6.kicad_pcb", "tern-v9.kicad_pcb", "tern-v10.kicad_pcb", "tern.net",
        "tern-inch.ipc", "tern-mm-blank.ipc", "tern-kicad.d356", "tern-b-mm.xml", "tern-c-inch.xml"}) {
    check_sample(name);
  }
}

TEST_CASE(
    "the real boards have the parts, pins and nets that were counted in them: ../shared/boards/INDEX.md") {
  if (!testing::have_shared()) return;
  struct Truth {
    const char* file;
    std::size_t pins, nets;
  };
  // Pins by (reference, number), those of parts without a reference or with a repeated one apart; INDEX.md,
  // "Files", column counts; of a D-356 the pins that its board has too, since the rest there are records of
  // holes with a reference and no pin. A D-356 counts N/C among its nets there.
  for (const Truth& truth : {Truth{"kicad_pcb/A64-OLinuXino_Rev_A.kicad_pcb", 1983, 446},
                             Truth{"kicad_pcb/TERES_PCB1-A64-MAIN_Rev.C.kicad_pcb", 2042, 474},
                             Truth{"kicad_pcb/TinyFPGA-BX.kicad_pcb", 224, 70},
                             Truth{"kicad_pcb/icepi-zero.kicad_pcb", 709, 251},
                             Truth{"kicad_pcb/homebrew-ecp5-cm.kicad_pcb", 872, 283},
                             Truth{"kicad_pcb/orangecrab_r0.2.1.kicad_pcb", 785, 170},
                             Truth{"kicad_pcb/wifiwart-comp.kicad_pcb", 607, 99},
                             Truth{"kicad_pcb/lpddr4-testbed_2022-12-29.kicad_pcb", 605, 261},
                             Truth{"kicad_pcb/opsis_2015-04-08.kicad_pcb", 2284, 459},
                             Truth{"kicad_pcb/PocketBeagle.kicad_pcb", 479, 187},
                             Truth{"kicad_pcb/vanille_v2.kicad_pcb", 506, 148},
                             Truth{"kicad_pcb/UPduino_v1.0.kicad_pcb", 375, 95},
                             Truth{"kicad_pcb/reform2-keyboard.kicad_pcb", 670, 214},
                             Truth{"kicad_pcb/basic-ecp5-pcb.kicad_pcb", 564, 241},
                             Truth{"kicad_pcb/diode-complex.kicad_pcb", 8, 2},
                             Truth{"netlist/A64-OLinuXino_Rev_A.net", 1883, 446},
                             Truth{"netlist/STMP157-OLinuXino-LIME2_Rev_B1.net", 1967, 476},
                             Truth{"netlist/opsis_2015-04-08.net", 2277, 529},
                             Truth{"netlist/reform2-keyboard.net", 652, 214},
                             Truth{"netlist/reform2-keyboard.xml", 652, 214},
                             Truth{"netlist/reform2-motherboard.net", 1895, 631},
                             Truth{"netlist/diode-complex.net", 8, 2},
                             Truth{"d356/minnowmax-A1.ipc", 3855, 642},
                             Truth{"d356/icepi-zero.ipc", 709, 252},
                             Truth{"d356/homebrew-ecp5-cm.d356", 872, 284},
                             Truth{"d356/UPduino_v1.0.d356", 375, 96},
                             Truth{"d356/eagle-7.1-small.ipc", 91, 18},
                             Truth{"d356/geda-pcb-golden.net", 122, 1}}) {
    INFO(std::string(truth.file));
    const auto design = testing::open_design(testing::shared_file(std::string("boards/") + truth.file));
    const Board& board = design.board;
    const auto named =
        static_cast<std::size_t>(std::count_if(board.pins.begin(), board.pins.end(), [&](const Pin& pin) {
          const std::string& reference = board.parts[pin.part].reference;
          return reference.find('#') == std::string::npos && reference != "?";
        }));
    // References that are repeated on a board count once in INDEX.md and apart here: at most so many more.
    CHECK(named <= truth.pins);
    CHECK(board.pins.size() >= truth.pins);
    if (design.format == "ipc-d-356") {
      CHECK(board.nets.size() <= truth.nets);
      CHECK(board.nets.size() + 2 >= truth.nets);
    } else {
      CHECK(board.nets.size() == truth.nets);
    }
  }
}
