#include "viewer/app/find.hpp"

#include <algorithm>
#include <functional>

#include "netdb/model/ball_name.hpp"

namespace landfall::app {
namespace {

constexpr std::size_t kMostHits = 5'000;

// Capitals, separators left out: "/cpu/ram1_d9" -> "CPURAM1D9".
void fold(std::string_view name, std::string& out) {
  for (const char c : name) {
    if (c == '_' || c == '-' || c == '.' || c == '/' || c == ' ' || c == '~' || c == '{' || c == '}' ||
        c == '\n')
      continue;
    out += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  }
}

}  // namespace

std::string_view word(HitKind kind) {
  switch (kind) {
    case HitKind::kPart:
      return "part";
    case HitKind::kNet:
      return "net";
    case HitKind::kBall:
      return "ball";
    case HitKind::kFunction:
      return "function";
    case HitKind::kValue:
      return "value";
  }
  return "";
}

FindIndex::FindIndex(const BoardIndex& index) : index_(&index) {
  const Board& board = index.board();
  entries_.reserve(board.pins.size() * 2 + board.nets.size() + board.parts.size() * 2);
  text_.reserve(board.pins.size() * 16);
  for (Index i = 0; i < board.parts.size(); ++i) add(board.parts[i].reference, HitKind::kPart, i);
  for (Index i = 0; i < board.nets.size(); ++i) {
    add(plain_name(board.nets[i].name), HitKind::kNet, i);
    for (const std::string& alias : board.nets[i].aliases) add(plain_name(alias), HitKind::kNet, i);
  }
  for (Index i = 0; i < board.pins.size(); ++i) {
    const Pin& pin = board.pins[i];
    entries_.push_back({static_cast<std::uint32_t>(text_.size()), HitKind::kBall, i});
    fold(board.parts[pin.part].reference, text_);
    fold(pin.number, text_);
    text_ += '\n';
  }
  for (Index i = 0; i < board.pins.size(); ++i) {
    if (!board.pins[i].function.empty()) add(plain_name(board.pins[i].function), HitKind::kFunction, i);
  }
  for (Index i = 0; i < board.parts.size(); ++i) {
    if (!board.parts[i].value.empty()) add(board.parts[i].value, HitKind::kValue, i);
  }
  for (const char c : text_) ++counts_[static_cast<unsigned char>(c)];
}

// By the needle's rarest sign, or in steps of the needle's length, whichever is less work; the weights of a
// stop at a sign and of a step were measured (about 6 and 2 ns).
std::size_t FindIndex::next(std::string_view needle, std::size_t from) const {
  const auto count = [&](char c) { return counts_[static_cast<unsigned char>(c)]; };
  const auto rare = static_cast<std::size_t>(
      std::min_element(needle.begin(), needle.end(), [&](char a, char b) { return count(a) < count(b); }) -
      needle.begin());
  const std::size_t stops = count(needle[rare]);
  if (stops * 3 > text_.size() / needle.size()) {
    const std::boyer_moore_horspool_searcher searcher(needle.begin(), needle.end());
    const auto at = std::search(text_.begin() + static_cast<std::ptrdiff_t>(from), text_.end(), searcher);
    return at == text_.end() ? std::string::npos : static_cast<std::size_t>(at - text_.begin());
  }
  if (stops == 0) return std::string::npos;
  for (std::size_t at = text_.find(needle[rare], from + rare); at != std::string::npos;
       at = text_.find(needle[rare], at + 1)) {
    if (text_.compare(at - rare, needle.size(), needle) == 0) return at - rare;
  }
  return std::string::npos;
}

void FindIndex::add(std::string_view name, HitKind kind, Index item) {
  entries_.push_back({static_cast<std::uint32_t>(text_.size()), kind, item});
  fold(name, text_);
  text_ += '\n';
}

std::string_view FindIndex::folded(std::size_t entry) const {
  const std::size_t begin = entries_[entry].offset;
  const std::size_t end = entry + 1 < entries_.size() ? entries_[entry + 1].offset : text_.size();
  return std::string_view(text_).substr(begin, end - begin - 1);
}

std::string FindIndex::name_of(const Entry& entry) const {
  const Board& board = index_->board();
  switch (entry.kind) {
    case HitKind::kPart:
      return board.parts[entry.item].reference;
    case HitKind::kNet:
      return board.nets[entry.item].name;
    case HitKind::kBall:
      return index_->pin_text(entry.item);
    case HitKind::kFunction:
      return board.pins[entry.item].function;
    case HitKind::kValue:
      return board.parts[entry.item].value;
  }
  return {};
}

std::vector<Hit> FindIndex::find(std::string_view text, std::size_t most, std::size_t* total) const {
  std::string needle;
  fold(text, needle);
  if (total != nullptr) *total = 0;
  if (needle.empty()) return {};
  struct Found {
    int rank;
    std::size_t entry;
  };
  std::vector<Found> found;
  std::size_t entry = 0;
  for (std::size_t at = next(needle, 0); at != std::string::npos && found.size() < kMostHits;) {
    const auto offset = static_cast<std::uint32_t>(at);
    const auto after = std::upper_bound(entries_.begin() + static_cast<std::ptrdiff_t>(entry), entries_.end(),
                                        offset, [](std::uint32_t o, const Entry& e) { return o < e.offset; });
    entry = static_cast<std::size_t>(after - entries_.begin()) - 1;
    const bool begins = entries_[entry].offset == offset;
    const bool ends = text_[at + needle.size()] == '\n';
    found.push_back({begins ? (ends ? 0 : 1) : 2, entry});
    at = after == entries_.end() ? std::string::npos : next(needle, after->offset);
  }
  if (total != nullptr) *total = found.size();
  const auto better = [&](const Found& a, const Found& b) {
    if (a.rank != b.rank) return a.rank < b.rank;
    if (entries_[a.entry].kind != entries_[b.entry].kind)
      return entries_[a.entry].kind < entries_[b.entry].kind;
    const std::string_view name_a = folded(a.entry);
    const std::string_view name_b = folded(b.entry);
    if (natural_less(name_a, name_b)) return true;
    return !natural_less(name_b, name_a) && a.entry < b.entry;
  };
  const std::size_t shown = std::min(most, found.size());
  std::partial_sort(found.begin(), found.begin() + static_cast<std::ptrdiff_t>(shown), found.end(), better);
  std::vector<Hit> hits;
  for (std::size_t i = 0; i < shown; ++i) {
    const Entry& e = entries_[found[i].entry];
    hits.push_back({e.kind, e.item, name_of(e), found[i].rank});
  }
  std::stable_sort(hits.begin(), hits.end(), [](const Hit& a, const Hit& b) {
    if (a.rank != b.rank) return a.rank < b.rank;
    if (a.kind != b.kind) return a.kind < b.kind;
    return natural_less(a.name, b.name);
  });
  return hits;
}

}  // namespace landfall::app
