// Parts, nets and pins of a test netlist by their names in the file.
#pragma once

#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "importers/ipc_d_356/drafts.hpp"
#include "importers/text/name_index.hpp"

namespace landfall::importers::ipc_d_356 {

// Finds or adds to the board what the drafts' tables name.
class Names {
 public:
  Names(const Drafts& drafts, Writer writer, Board& board, Diagnostics& log);

  // The board's net of a name. Long names are looked up in the file's table.
  Index net(Index name, std::uint32_t line);

  // The pin of that name. References are cut to 6 signs and pins to 4, so several parts
  // can fold into one: a pin that is on another net already is one of a part REFERENCE#2, #3 and so on, with
  // one warning a pin. Amortised O(1).
  Index pin(Index reference, Index number, Index net, std::size_t line);

  // Line and net of each alias that the file nowhere explains.
  std::vector<std::pair<std::uint32_t, Index>> take_unexplained() { return std::move(unexplained_); }

 private:
  struct PinKey {
    Index part = kNone;
    Index number = kNone;  // in the drafts' table
    Index net = kNone;     // of split pins only
    friend bool operator==(const PinKey&, const PinKey&) = default;
  };
  struct PinHash {
    std::size_t operator()(const PinKey& key) const;
  };

  Index part(Index reference);
  // The part of that name, and whether it is new.
  std::pair<Index, bool> part_named(std::string text);
  std::pair<Index, bool> find_or_add_pin(Index part, Index number, Index fresh);
  void add_pin(Index part, Index number, Index net);
  Index split_pin(Index part, Index number, Index net, std::size_t line);

  const Drafts& drafts_;
  Writer writer_;
  Board& board_;
  Diagnostics& log_;
  std::vector<Index> net_of_name_, part_of_name_;  // kNone: not asked for yet
  NameIndex net_by_name_, part_by_name_, pins_;
  std::vector<std::pair<Index, Index>> pin_keys_;  // one a pin: its part, its number in the drafts' table
  std::unordered_map<PinKey, Index, PinHash> split_;
  std::unordered_map<PinKey, std::size_t, PinHash> copies_;  // how many a pin was split into
  std::vector<std::pair<std::uint32_t, Index>> unexplained_;
};

}  // namespace landfall::importers::ipc_d_356
