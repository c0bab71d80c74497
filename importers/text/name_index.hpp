// Which thing of a list a name stands for, by open addressing: eight bytes a slot, one miss of the cache a
// question, where std::unordered_map takes a node of 64 bytes and two or three misses. The names themselves
// stay in the list.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string_view>
#include <utility>
#include <vector>

#include "netdb/model/board.hpp"

namespace landfall::importers {

inline constexpr std::size_t kSpread =
    0x9E3779B97F4A7C15U;  // 2^64 by the golden ratio: spreads small numbers

// For tables of names that are asked by a view. Nothing may be read off such a table in its own order.
struct NameHash {
  using is_transparent = void;  // NOLINT(readability-identifier-naming): the library's word
  std::size_t operator()(std::string_view name) const { return std::hash<std::string_view>()(name); }
};

class NameIndex {
 public:
  // For so many names without growing on the way.
  void reserve(std::size_t names) { grow_to(names); }

  // The item with this hash for which `same` holds; else `fresh` is it from now on, and the second is true.
  // `same` is asked of items that were added before only. Amortised O(1).
  template <class Same>
  std::pair<Index, bool> find_or_add(std::size_t hash, Index fresh, Same same) {
    grow_to(used_ + 1);
    const std::uint32_t tag = tag_of(hash);
    std::size_t at = tag & (slots_.size() - 1);
    for (; slots_[at].item != kNone; at = (at + 1) & (slots_.size() - 1)) {
      if (slots_[at].tag == tag && same(slots_[at].item)) return {slots_[at].item, false};
    }
    slots_[at] = {tag, fresh};
    ++used_;
    return {fresh, true};
  }

  // Asks the memory for what a question about this hash will look at first. Of many questions all are
  // announced before the first is put: a large index lies beyond the caches, and the waits then overlap.
  void announce(std::size_t hash) const {
    if (!slots_.empty()) __builtin_prefetch(&slots_[tag_of(hash) & (slots_.size() - 1)]);
  }

  // kNone when there is none.
  template <class Same>
  [[nodiscard]] Index find(std::size_t hash, Same same) const {
    if (slots_.empty()) return kNone;
    const std::uint32_t tag = tag_of(hash);
    for (std::size_t at = tag & (slots_.size() - 1); slots_[at].item != kNone;
         at = (at + 1) & (slots_.size() - 1)) {
      if (slots_[at].tag == tag && same(slots_[at].item)) return slots_[at].item;
    }
    return kNone;
  }

  // A pin's hash: its part, and its number in that part.
  static std::size_t pin_hash(Index part, std::string_view number) {
    return NameHash()(number) ^ (std::size_t{part} * kSpread);
  }

 private:
  struct Slot {
    std::uint32_t tag = 0;
    Index item = kNone;
  };

  static std::uint32_t tag_of(std::size_t hash) { return static_cast<std::uint32_t>(hash ^ (hash >> 32U)); }

  // At most two slots of three are used.
  void grow_to(std::size_t names) {
    if (names * 3 <= slots_.size() * 2) return;
    std::size_t size = slots_.empty() ? 16 : slots_.size();
    while (names * 3 > size * 2) size *= 2;
    std::vector<Slot> before(size);
    before.swap(slots_);
    for (const Slot& slot : before) {
      if (slot.item == kNone) continue;
      std::size_t at = slot.tag & (size - 1);
      while (slots_[at].item != kNone) at = (at + 1) & (size - 1);
      slots_[at] = slot;
    }
  }

  std::vector<Slot> slots_;
  std::size_t used_ = 0;
};

}  // namespace landfall::importers
