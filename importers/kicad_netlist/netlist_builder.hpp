// Puts a netlist's records together, whichever form they came in.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "importers/design.hpp"
#include "importers/text/name_index.hpp"
#include "importers/text/sexpr.hpp"

namespace landfall::importers {

class NetlistBuilder {
 public:
  // `place` turns a record's offset into line and column, for warnings.
  NetlistBuilder(Diagnostics& log, std::function<Place(std::size_t)> place)
      : log_(log), place_(std::move(place)) {}

  struct Component {
    std::string reference, value, footprint, library, part;
    bool fitted = true;
  };
  struct Node {
    std::string_view reference, pin, function, type;
    std::size_t offset = 0;
  };

  void add_component(Component component, std::size_t offset);
  // A library part opens; pins that follow are its own.
  void open_library_part(std::string_view library, std::string_view part);
  void add_library_pin(std::string_view number, std::string_view name, std::string_view type);
  // Another name under which components may ask for that library part.
  void add_library_alias(std::string_view library, std::string_view part, std::string_view alias);
  // A net opens; nodes that follow are on it. An empty name is KiCad 2013's: "N-" and the code in 8 digits.
  void open_net(std::string_view code, std::string_view name, std::size_t offset);
  // All at once their waits for memory overlap, which is what a large netlist's time goes to.
  void add_nodes(std::span<const Node> nodes);

  // All components and library pins were added, and so many nodes may follow: they become pins at once
  // instead of being kept until finish().
  void parts_are_known(std::size_t nodes);

  // The board; components may stand behind the nets.
  Board finish();

 private:
  struct LibraryPin {
    std::string name;
    PinType type = PinType::kUnknown;
  };
  struct Pending {
    std::string reference, pin, function, type;
    Index net = kNone;
    std::size_t offset = 0;
  };
  struct Asked {
    Index part = kNone;  // of a node that is skipped
    std::size_t hash = 0;
  };
  using LibraryPins = std::unordered_map<std::string, LibraryPin, NameHash, std::equal_to<>>;  // by number
  // The library parts of a part on the board: its own, and the one that lists its name among the aliases.
  struct Library {
    const LibraryPins* own = nullptr;
    const LibraryPins* other = nullptr;
    bool looked_up = false;
  };

  void warn(std::size_t offset, std::string_view code, std::string message);
  std::string cut(std::string_view text, std::size_t offset);
  // The part of this name, or the place of the one that the caller adds now, and true.
  std::pair<Index, bool> part_named(std::string_view reference);
  Index part_of(std::string_view reference, std::size_t offset);
  const LibraryPin* library_pin(Index part, std::string_view number);
  bool has_names(const Node& node);
  void add_pins(std::span<const Node> nodes, Index net);
  void add_pin(const Node& node, Index net, Asked asked);

  Diagnostics& log_;
  std::function<Place(std::size_t)> place_;
  Board board_;
  NameIndex part_by_reference_, net_by_name_, pins_;
  std::unordered_map<std::string, LibraryPins> library_parts_;    // by LIB \n PART \n
  std::unordered_map<std::string, std::string> library_aliases_;  // LIB \n ALIAS \n -> LIB \n PART \n
  std::vector<std::string> library_keys_;                         // one a part: LIB \n PART \n
  LibraryPins* open_library_ = nullptr;
  std::vector<Library> libraries_;  // one a part, once it was asked for
  std::vector<Pending> nodes_;
  std::vector<Asked> asked_;  // of the nodes being added
  Index net_ = kNone;
  bool parts_known_ = false;
};

}  // namespace landfall::importers
