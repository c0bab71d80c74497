// Answers by name over a board, built once: part by reference, pin by part and number, net by name, and the
// pins and lands of each. Holds a reference: the board must outlive it and not change.
#pragma once

#include <memory>
#include <mutex>
#include <span>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "netdb/model/board.hpp"

namespace landfall {

class BoardIndex {
 public:
  explicit BoardIndex(const Board& board);

  [[nodiscard]] const Board& board() const { return *board_; }

  // By the exact text; kNone when there is none. Safe from several threads.
  [[nodiscard]] Index part(std::string_view reference) const;
  [[nodiscard]] Index pin(Index part, std::string_view number) const;
  [[nodiscard]] Index net(std::string_view name) const;

  // Pins of a part, of a net; lands of a pin. In the board's order.
  [[nodiscard]] std::span<const Index> pins_of_part(Index part) const { return pins_of_part_.of(part); }
  [[nodiscard]] std::span<const Index> pins_of_net(Index net) const { return pins_of_net_.of(net); }
  [[nodiscard]] std::span<const Index> lands_of_pin(Index pin) const { return lands_of_pin_.of(pin); }

  // "U1.AB14".
  [[nodiscard]] std::string pin_text(Index pin) const;

  // Left and lower edge of the board as seen from its top: of its outline, else of its lands and tracks; the
  // frame's origin where it has neither. Every place that a person reads or types is measured from here, as
  // the window's rulers are.
  [[nodiscard]] Point corner() const { return corner_; }
  // "31.2, 14.05": mm from that corner.
  [[nodiscard]] std::string place_text(Point place) const;

 private:
  struct Groups {  // one list a key, all in one array
    std::vector<Index> starts, members;
    [[nodiscard]] std::span<const Index> of(Index key) const {
      return std::span(members).subspan(starts[key], starts[key + 1] - starts[key]);
    }
  };
  template <class Items, class Key>
  static Groups group(std::size_t keys, const Items& items, Key key);

  const Board* board_;
  Point corner_;
  std::unordered_map<std::string_view, Index> part_by_reference_, net_by_name_;
  Groups pins_of_part_, pins_of_net_, lands_of_pin_;

  // Each part's pins sorted by number; made when a pin of a large part is first asked for, which reading and
  // keeping a board never does. Shared by copies.
  struct ByNumber {
    std::once_flag once;
    std::vector<Index> members;  // as pins_of_part_.members
  };
  std::shared_ptr<ByNumber> by_number_;
};

}  // namespace landfall
