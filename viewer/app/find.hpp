// Find as you type over one board: nets, balls, parts, functions, values; tolerant of case and separators.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board_index.hpp"

namespace landfall::app {

enum class HitKind { kPart, kNet, kBall, kFunction, kValue };
std::string_view word(HitKind kind);

struct Hit {
  HitKind kind = HitKind::kNet;
  Index item = kNone;  // net index; part index; pin index for balls and functions
  std::string name;    // as the file wrote it
  int rank = 0;        // 0 the whole name, 1 its beginning, 2 inside
};

// All names of a board in one text, folded. Built once; O(pins).
class FindIndex {
 public:
  explicit FindIndex(const BoardIndex& index);

  // At most `most` hits, best first: whole names, then beginnings, then the rest; among equals parts, nets,
  // balls, functions, values, in natural order. `total`: how many there are, up to a bound of 5,000.
  [[nodiscard]] std::vector<Hit> find(std::string_view text, std::size_t most,
                                      std::size_t* total = nullptr) const;

 private:
  struct Entry {
    std::uint32_t offset = 0;  // into text_
    HitKind kind = HitKind::kNet;
    Index item = kNone;
  };
  void add(std::string_view name, HitKind kind, Index item);
  // Where the folded text stands next, from `from` on; npos when it does not.
  [[nodiscard]] std::size_t next(std::string_view needle, std::size_t from) const;
  [[nodiscard]] std::string_view folded(std::size_t entry) const;
  [[nodiscard]] std::string name_of(const Entry& entry) const;

  const BoardIndex* index_;
  std::string text_;  // folded names, each ended by '\n'
  std::vector<Entry> entries_;
  std::array<std::uint32_t, 256> counts_{};  // of each byte in text_
};

}  // namespace landfall::app
