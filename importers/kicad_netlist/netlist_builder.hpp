// Puts a netlist's records together, whichever form they came in.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

#include "importers/design.hpp"
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
    std::string reference, pin, function, type;
  };

  void add_component(Component component, std::size_t offset);
  void add_library_pin(const std::string& library, const std::string& part, const std::string& number,
                       std::string name, std::string type);
  // Another name under which components may ask for that library part.
  void add_library_alias(const std::string& library, const std::string& part, const std::string& alias);
  // A net opens; nodes that follow are on it. An empty name is KiCad 2013's: "N-" and the code in 8 digits.
  void open_net(std::string_view code, std::string name, std::size_t offset);
  void add_node(Node node, std::size_t offset);

  // The board; components may stand behind the nets.
  Board finish();

 private:
  struct LibraryPin {
    std::string name, type;
  };
  struct Pending {
    Node node;
    Index net = kNone;
    std::size_t offset = 0;
  };

  void warn(std::size_t offset, std::string_view code, std::string message);
  std::string cut(std::string text, std::size_t offset);
  Index part_of(const Pending& pending);
  const LibraryPin* library_pin(Index part, const std::string& number) const;
  void add_pin(const Pending& pending);

  Diagnostics& log_;
  std::function<Place(std::size_t)> place_;
  Board board_;
  std::unordered_map<std::string, Index> part_by_reference_, net_by_name_, pin_by_name_;
  std::unordered_map<std::string, LibraryPin> library_pins_;
  std::unordered_map<std::string, std::string> library_aliases_;  // LIB \n ALIAS \n -> LIB \n PART \n
  std::vector<std::string> library_keys_;                         // one a part: LIB \n PART \n
  std::vector<Pending> nodes_;
  Index net_ = kNone;
};

}  // namespace landfall::importers
