// The names of one kind in a file, each once: a number of four bytes stands for a name in the drafts.
#pragma once

#include <array>
#include <cstdint>
#include <cstring>
#include <deque>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "importers/text/name_index.hpp"

namespace landfall::importers::ipc_d_356 {

// All names are as the file's bytes say them, and copied: a field has 14 columns at most, unless it has
// grown, and a short name in the table is found with one miss of the cache where a view into the file takes
// two.
class NameTable {
 public:
  // The name's number, from 0 in order of appearance. Amortised O(1).
  Index add(std::string_view name) {
    const Key key(name);
    // Records of one part, or of one net, follow each other as a rule.
    if (last_ != kNone && is(last_, key, name)) return last_;
    const auto [number, fresh] = index_.find_or_add(key.hash(name, secret_), static_cast<Index>(keys_.size()),
                                                    [&](Index i) { return is(i, key, name); });
    if (fresh) {
      keys_.push_back(key);
      if (name.size() > kShort) keys_.back().refer_to(long_names_.size());
      if (name.size() > kShort) long_names_.emplace_back(name);
    }
    last_ = number;
    return number;
  }

  // kNone when there is none.
  [[nodiscard]] Index find(std::string_view name) const {
    if (keys_.empty()) return kNone;
    const Key key(name);
    return index_.find(key.hash(name, secret_), [&](Index i) { return is(i, key, name); });
  }

  // Till a name is added.
  [[nodiscard]] std::string_view operator[](Index number) const {
    const Key& key = keys_[number];
    return key.is_long() ? std::string_view(long_names_[key.place()]) : key.view();
  }
  [[nodiscard]] std::size_t size() const { return keys_.size(); }

 private:
  static constexpr std::size_t kShort = 15;

  // A short name filled up with zeros and its length, or the place of a long one in the list.
  class Key {
   public:
    explicit Key(std::string_view name) {
      if (name.size() <= kShort && !name.empty()) std::memcpy(bytes_.data(), name.data(), name.size());
      bytes_[kShort] = static_cast<char>(name.size() <= kShort ? name.size() : kShort + 1);
    }
    void refer_to(std::uint64_t place) { std::memcpy(bytes_.data(), &place, sizeof place); }
    [[nodiscard]] bool is_long() const { return bytes_[kShort] > static_cast<char>(kShort); }
    [[nodiscard]] std::uint64_t place() const { return word(0); }
    [[nodiscard]] std::string_view view() const {
      return {bytes_.data(), static_cast<std::size_t>(bytes_[kShort])};
    }
    // Both halves in one product of 128 bits, each with a secret of this table: who writes a file cannot make
    // names that all fall together.
    [[nodiscard]] std::size_t hash(std::string_view name, const std::array<std::uint64_t, 2>& secret) const {
      if (is_long()) return std::hash<std::string_view>()(name);
      __extension__ using Wide = unsigned __int128;
      const Wide product = Wide{word(0) ^ secret[0]} * Wide{word(8) ^ secret[1]};
      return static_cast<std::uint64_t>(product) ^ static_cast<std::uint64_t>(product >> 64U);
    }
    friend bool operator==(const Key& a, const Key& b) {
      return a.word(0) == b.word(0) && a.word(8) == b.word(8);
    }

   private:
    [[nodiscard]] std::uint64_t word(std::size_t at) const {
      std::uint64_t value = 0;
      std::memcpy(&value, bytes_.data() + at, sizeof value);
      return value;
    }
    std::array<char, kShort + 1> bytes_{};
  };

  [[nodiscard]] bool is(Index number, const Key& key, std::string_view name) const {
    const Key& own = keys_[number];
    if (key.is_long()) return own.is_long() && long_names_[own.place()] == name;
    return own == key;
  }

  static std::array<std::uint64_t, 2> make_secret() {
    std::random_device random;
    const auto word = [&] { return (std::uint64_t{random()} << 32U) ^ random(); };
    return {word(), word()};
  }

  std::array<std::uint64_t, 2> secret_ = make_secret();
  NameIndex index_;
  std::vector<Key> keys_;
  std::deque<std::string> long_names_;
  Index last_ = kNone;
};

}  // namespace landfall::importers::ipc_d_356
