// Damaged files: cut anywhere, or with a byte changed, they give an error or what is whole in them, and a
// warning wherever something was lost.
#include <algorithm>
#include <iostream>
#include <set>
#include <tuple>

#include <doctest/doctest.h>

#include "importers/design.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

struct Sample {
  const char* file;
  bool lists;    // an s-expression: whatever is cut off leaves one open
  bool changed;  // its bytes are changed one by one: the dialects in between are read by the same lines
};
constexpr Sample kSamples[] = {{"tern-v4.kicad_pcb", true, true},  {"tern-v6.kicad_pcb", true, false},
                               {"tern-v9.kicad_pcb", true, false}, {"tern-v10.kicad_pcb", true, true},
                               {"tern.net", true, true},           {"tern-inch.ipc", false, true},
                               {"tern-mm-blank.ipc", false, true}, {"tern-kicad.d356", false, true}};

using Row = std::tuple<std::string, std::string, std::string, Point, Side, Nm, Nm>;

std::string net_name(const Board& board, Index net) {
  return net == kNone ? "" : board.nets[net].name;
}

// Every land and via with all that a reader may get wrong about it.
std::multiset<Row> rows(const Board& board) {
  std::multiset<Row> found;
  for (const Land& land : board.lands) {
    const std::string pin =
        land.pin == kNone ? "" : board.parts[land.part].reference + "." + board.pins[land.pin].number;
    found.insert({"land", pin, net_name(board, land.net), land.at, land.side, land.width, land.drill});
  }
  for (const Via& via : board.vias)
    found.insert(
        {"via", "", net_name(board, via.net), via.at, Side::kThrough, 0, via.drill});  // a pad may follow
  return found;
}

// What later rooms rely on; an empty text when all holds.
std::string broken(const Board& board) {
  std::set<std::string> references;
  for (const Part& part : board.parts) {
    if (!references.insert(part.reference).second) return "two parts are called " + part.reference;
  }
  std::set<std::pair<Index, std::string>> numbers;
  for (const Pin& pin : board.pins) {
    if (pin.part >= board.parts.size()) return "a pin without a part";
    if (pin.net != kNone && pin.net >= board.nets.size()) return "a pin on no net of the board";
    if (!numbers.insert({pin.part, pin.number}).second) return "a pin number twice in one part";
  }
  const auto count = static_cast<int>(board.layers.size());
  const auto good_net = [&](Index net) { return net == kNone || net < board.nets.size(); };
  for (const Land& land : board.lands) {
    if (land.pin != kNone && land.pin >= board.pins.size()) return "a land of no pin";
    if (!good_net(land.net)) return "a land on no net of the board";
    if (land.width < 0 || land.height < 0 || land.drill < 0) return "a land of negative size";
  }
  for (const Track& track : board.tracks) {
    if (track.layer < 0 || track.layer >= count || track.width < 0 || !good_net(track.net))
      return "a wrong track";
  }
  for (const Via& via : board.vias) {
    const bool span = via.first >= 0 && via.first <= via.last && (via.last < count || count == 0);
    if (!span || via.diameter < 0 || via.drill < 0 || !good_net(via.net)) return "a wrong via";
  }
  for (const Fill& fill : board.fills) {
    if (fill.layer < 0 || fill.layer >= count || !good_net(fill.net)) return "a wrong fill";
  }
  return "";
}

// How much a board says, kind by kind.
std::vector<std::size_t> amounts(const Board& board) {
  const auto on_nets =
      std::count_if(board.pins.begin(), board.pins.end(), [](const Pin& pin) { return pin.net != kNone; });
  return {board.layers.size(), board.parts.size(),  board.pins.size(),  static_cast<std::size_t>(on_nets),
          board.lands.size(),  board.tracks.size(), board.arcs.size(),  board.vias.size(),
          board.fills.size(),  board.zones.size(),  board.holes.size(), board.outline.size()};
}

bool less_in_any(const std::vector<std::size_t>& a, const std::vector<std::size_t>& b) {
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (a[i] < b[i]) return true;
  }
  return false;
}

// Whether the byte changed a test record's code to another that is defined, which no reader can know.
bool becomes_other_record(const std::string& bytes, std::size_t at) {
  const auto start = bytes.rfind('\n', at) + 1;  // npos + 1 is the beginning
  const std::string code = bytes.substr(start, 3);
  return at - start < 3 &&
         (code == "379" || code == "309" || code == "390" || code == "370" || code == "380");
}

}  // namespace

TEST_CASE(
    "a sample cut at any byte is refused, or said to be cut, and holds nothing that the whole does not") {
  if (!testing::have_shared()) return;
  for (const Sample& sample : kSamples) {
    INFO(std::string(sample.file));
    const std::string whole = testing::read_file(testing::shared_file(std::string("samples/") + sample.file));
    const std::size_t end = whole.find_last_not_of(" \r\n\t") + 1;
    const std::multiset<Row> all =
        rows(testing::open_design(testing::shared_file(std::string("samples/") + sample.file)).board);
    for (std::size_t n = 0; n < end; ++n) {
      Diagnostics log;
      const std::string own(whole.data(), n);  // its own allocation: a sanitizer sees one byte too far
      const auto design = importers::read_design(own, sample.file, log);
      if (sample.lists) {
        if (design.ok()) FAIL_CHECK("not refused when cut at ", n);
        continue;
      }
      if (!design.ok()) continue;
      if (log.count("no-end") != 1) FAIL_CHECK("cut at ", n, " without a word");
      const std::multiset<Row> some = rows(design.value().board);
      if (!std::includes(all.begin(), all.end(), some.begin(), some.end()))
        FAIL_CHECK("cut at ", n, ": ", own.substr(own.rfind('\n') + 1));
    }
  }
}

TEST_CASE("a changed byte breaks no rule of a board, and what is lost is said") {
  if (!testing::have_shared()) return;
  for (const Sample& sample : kSamples) {
    if (!sample.changed) continue;
    INFO(std::string(sample.file));
    std::string bytes = testing::read_file(testing::shared_file(std::string("samples/") + sample.file));
    Diagnostics first;
    const auto whole = importers::read_design(bytes, sample.file, first);
    REQUIRE(whole.ok());
    const auto all = amounts(whole.value().board);
    constexpr unsigned char kMasks[] = {0x01, 0x10, 0x04, 0x40};
    for (std::size_t i = 0; i < bytes.size(); ++i) {
      const char was = bytes[i];
      bytes[i] = static_cast<char>(static_cast<unsigned char>(was) ^ kMasks[i % std::size(kMasks)]);
      Diagnostics log;
      const auto design = importers::read_design(bytes, sample.file, log);
      if (design.ok() && !becomes_other_record(bytes, i)) {
        const std::string fault = broken(design.value().board);
        const bool lost =
            less_in_any(amounts(design.value().board), all) && log.entries().size() <= first.entries().size();
        if (!fault.empty() || lost) {
          const std::size_t from = bytes.rfind('\n', i) + 1;
          const std::string what = fault.empty() ? "lost without a word" : fault;
          FAIL_CHECK(what, " at ", i, ": ", bytes.substr(from, bytes.find('\n', i) - from));
        }
      } else if (!design.ok() && design.error().code != ErrorCode::kInput) {
        FAIL_CHECK("not refused as bad input: changed at ", i);
      }
      bytes[i] = was;
    }
  }
}

TEST_CASE("an IPC-2581 file, a BSDL file and a grid of names, cut at any byte and changed at any byte") {
  if (!testing::have_shared()) return;
  struct Other {
    const char* file;
    bool changed;
    bool must_say;  // a cut is refused or warned of; in a grid of names a cut cell looks like a name
  };
  // A package map under a name that the file does not choose is the user's choice.
  const auto refused = [](const Error& error) {
    return error.code == ErrorCode::kInput || error.code == ErrorCode::kChoice;
  };
  for (const Other& sample : {Other{"tern-b-mm.xml", false, true}, Other{"tern-c-inch.xml", true, true},
                              Other{"tern9.bsd", true, true}, Other{"tern9-grid.tsv", true, false}}) {
    INFO(std::string(sample.file));
    std::string bytes = testing::read_file(testing::shared_file(std::string("samples/") + sample.file));
    Diagnostics first;
    const auto whole = importers::read_design(bytes, sample.file, first);
    REQUIRE(whole.ok());
    const std::size_t end = bytes.find_last_not_of(" \r\n\t") + 1;
    for (std::size_t n = 0; n < end; ++n) {
      Diagnostics log;
      const std::string own(bytes.data(), n);
      const auto design = importers::read_design(own, sample.file, log);
      if (!design.ok()) {
        if (!refused(design.error())) FAIL_CHECK("not refused as bad input: cut at ", n);
        continue;
      }
      if (const std::string fault = broken(design.value().board); !fault.empty())
        FAIL_CHECK(fault, ", cut at ", n);
      if (sample.must_say && log.entries().size() <= first.entries().size())
        FAIL_CHECK("cut at ", n, " without a word");
    }
    if (!sample.changed) continue;
    constexpr unsigned char kMasks[] = {0x01, 0x10, 0x04, 0x40};
    for (std::size_t i = 0; i < bytes.size(); ++i) {
      const char was = bytes[i];
      bytes[i] = static_cast<char>(static_cast<unsigned char>(was) ^ kMasks[i % std::size(kMasks)]);
      Diagnostics log;
      const auto design = importers::read_design(bytes, sample.file, log);
      if (design.ok()) {
        if (const std::string fault = broken(design.value().board); !fault.empty())
          FAIL_CHECK(fault, ", changed at ", i);
      } else if (!refused(design.error())) {
        FAIL_CHECK("not refused as bad input: changed at ", i);
      }
      bytes[i] = was;
    }
  }
}
