// Parts, nets and pins of a test netlist by their names in the file.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "importers/ipc_d_356/drafts.hpp"
#include "importers/text/name_index.hpp"

namespace landfall::importers::ipc_d_356 {

// Finds or adds to the board. All names are as the file's bytes say them, and must stay alive.
class Names {
 public:
  Names(const Drafts& drafts, Writer writer, Board& board, Diagnostics& log)
      : drafts_(drafts), writer_(writer), board_(board), log_(log) {}

  // For about so many pins.
  void reserve(std::size_t pins);

  // kNone for "N/C" and blank. Long names are looked up in the file's table.
  Index net(std::string_view name, std::size_t line);

  // The pin of that name. References are cut to 6 signs and pins to 4, so several parts
  // can fold into one: a pin that is on another net already is one of a part REFERENCE#2, #3 and so on, with
  // one warning a pin. Amortised O(1).
  Index pin(std::string_view reference, std::string_view number, Index net, std::size_t line);

  // Warns once for each alias that the file nowhere explains.
  void report_aliases();

 private:
  struct Hash {
    using is_transparent = void;  // NOLINT(readability-identifier-naming): the library's word
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>()(text); }
  };
  struct PinKey {
    Index part = kNone;
    Index net = kNone;  // of split pins only
    std::string_view number;
    friend bool operator==(const PinKey&, const PinKey&) = default;
  };
  struct PinHash {
    std::size_t operator()(const PinKey& key) const;
  };

  Index part(std::string_view reference);
  void add_pin(Index part, std::string_view number, std::string text, Index net);
  Index split_pin(Index part, std::string_view number, Index net, std::size_t line);

  const Drafts& drafts_;
  Writer writer_;
  Board& board_;
  Diagnostics& log_;
  std::unordered_map<std::string_view, Index> part_by_bytes_;
  std::unordered_map<std::string, Index, Hash, std::equal_to<>> part_by_name_;
  NameIndex net_by_bytes_;                                     // into net_bytes_
  std::vector<std::pair<std::string_view, Index>> net_bytes_;  // a name as the file has it, and its net
  NameIndex net_by_name_, pins_;
  std::vector<std::string_view> pin_bytes_;  // one a pin: its number as the file has it
  std::unordered_map<PinKey, Index, PinHash> split_;
  std::unordered_map<PinKey, std::size_t, PinHash> copies_;  // how many a pin was split into
  std::unordered_map<std::string_view, std::size_t> unknown_aliases_;
  std::string_view last_reference_;
  Index last_part_ = kNone;
};

}  // namespace landfall::importers::ipc_d_356
