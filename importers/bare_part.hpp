// A single part without a board: what a ball list, a BSDL or IBIS file, a symbol or a footprint gives.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "importers/design.hpp"

namespace landfall::importers {

// Collects pins of the part "U1". Each name becomes a net, so that a supply's balls are known to belong
// together and the name can be classified; names that say "not connected" (NC, DNU, RFU, "-") become none.
class BarePart {
 public:
  explicit BarePart(Diagnostics& log) : log_(log) {}

  struct Entry {
    std::string pin, function;
    PinType type = PinType::kUnknown;
    std::string net;  // empty: as the function
    std::size_t line = 0, column = 0;
  };
  // A pin that stands twice with the same name is one; with another name the first stands, and it is said.
  void add(Entry entry);
  // Another name for a pin that was added, when the text goes on.
  void rename(const std::string& pin, std::string function);

  [[nodiscard]] bool has(std::string_view pin) const { return pin_by_number_.contains(std::string(pin)); }
  [[nodiscard]] bool empty() const { return board_.pins.empty(); }
  [[nodiscard]] std::size_t size() const { return board_.pins.size(); }
  // The name that most pins have, and how many have it.
  [[nodiscard]] std::pair<std::string, std::size_t> commonest() const;

  // The board, and in `notes` what was found: how many pins and names, grid sites without a ball, names of
  // several pins.
  Board finish(std::string value, std::string package, std::vector<std::string>& notes);

 private:
  void note_grid(std::vector<std::string>& notes) const;
  void make_nets();

  Diagnostics& log_;
  Board board_;
  std::vector<std::string> net_names_;  // one a pin
  std::unordered_map<std::string, Index> pin_by_number_;
};

// "NC", "DNU", "N/C", "-" ... with a number behind or not: a pin that is to stay open.
bool names_no_pin(std::string_view name);

// "in", "I/O", "power input", "linkage", "NC" ... of tables and libraries; kUnknown for any other word.
PinType pin_type_word(std::string_view word);

}  // namespace landfall::importers
