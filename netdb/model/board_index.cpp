#include "netdb/model/board_index.hpp"

#include <algorithm>

namespace landfall {

template <class Items, class Key>
BoardIndex::Groups BoardIndex::group(std::size_t keys, const Items& items, Key key) {
  Groups groups;
  groups.starts.assign(keys + 1, 0);
  for (const auto& item : items) {
    if (key(item) != kNone) ++groups.starts[key(item) + 1];
  }
  for (std::size_t i = 1; i <= keys; ++i) groups.starts[i] += groups.starts[i - 1];
  groups.members.resize(groups.starts[keys]);
  std::vector<Index> next(groups.starts.begin(), groups.starts.end() - 1);
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (key(items[i]) != kNone) groups.members[next[key(items[i])]++] = static_cast<Index>(i);
  }
  return groups;
}

BoardIndex::BoardIndex(const Board& board) : board_(&board), by_number_(std::make_shared<ByNumber>()) {
  if (const auto extent = extent_of(board)) corner_ = extent->low;
  part_by_reference_.reserve(board.parts.size());
  for (std::size_t i = 0; i < board.parts.size(); ++i) {
    part_by_reference_.emplace(board.parts[i].reference, static_cast<Index>(i));
  }
  net_by_name_.reserve(board.nets.size());
  for (std::size_t i = 0; i < board.nets.size(); ++i) {
    net_by_name_.emplace(board.nets[i].name, static_cast<Index>(i));
  }
  pins_of_part_ = group(board.parts.size(), board.pins, [](const Pin& p) { return p.part; });
  pins_of_net_ = group(board.nets.size(), board.pins, [](const Pin& p) { return p.net; });
  lands_of_pin_ = group(board.pins.size(), board.lands, [](const Land& l) { return l.pin; });
}

Index BoardIndex::part(std::string_view reference) const {
  const auto found = part_by_reference_.find(reference);
  return found == part_by_reference_.end() ? kNone : found->second;
}

Index BoardIndex::net(std::string_view name) const {
  const auto found = net_by_name_.find(name);
  return found == net_by_name_.end() ? kNone : found->second;
}

Index BoardIndex::pin(Index part, std::string_view number) const {
  const std::span<const Index> pins = pins_of_part(part);
  constexpr std::size_t kFew = 24;
  if (pins.size() <= kFew) {
    for (const Index pin : pins) {
      if (board_->pins[pin].number == number) return pin;
    }
    return kNone;
  }
  std::call_once(by_number_->once, [this] {
    std::vector<Index>& members = by_number_->members;
    members = pins_of_part_.members;
    const auto sooner = [this](Index a, Index b) { return board_->pins[a].number < board_->pins[b].number; };
    for (std::size_t i = 0; i < board_->parts.size(); ++i) {
      const auto from = members.begin() + static_cast<std::ptrdiff_t>(pins_of_part_.starts[i]);
      const auto to = members.begin() + static_cast<std::ptrdiff_t>(pins_of_part_.starts[i + 1]);
      if (static_cast<std::size_t>(to - from) > kFew) std::stable_sort(from, to, sooner);
    }
  });
  const std::span<const Index> sorted =
      std::span(by_number_->members).subspan(pins_of_part_.starts[part], pins.size());
  const auto found =
      std::lower_bound(sorted.begin(), sorted.end(), number,
                       [this](Index pin, std::string_view n) { return board_->pins[pin].number < n; });
  return found != sorted.end() && board_->pins[*found].number == number ? *found : kNone;
}

std::string BoardIndex::pin_text(Index pin) const {
  const Pin& p = board_->pins[pin];
  return board_->parts[p.part].reference + "." + p.number;
}

std::string BoardIndex::place_text(Point place) const {
  const Point from_corner = place - corner_;
  return mm_text(from_corner.x) + ", " + mm_text(from_corner.y);
}

}  // namespace landfall
