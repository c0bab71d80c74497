#include "importers/ipc_d_356/names.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

namespace landfall::importers::ipc_d_356 {

std::size_t Names::PinHash::operator()(const PinKey& key) const {
  constexpr std::size_t kOdd = 0x9E3779B97F4A7C15U;  // 2^64 by the golden ratio: spreads small numbers
  const std::size_t number = std::hash<std::string_view>()(key.number);
  return number ^ ((std::size_t{key.part} * kOdd) >> 7U) ^ (std::size_t{key.net} * kOdd);
}

void Names::reserve(std::size_t pins) {
  board_.pins.reserve(pins);
  pin_bytes_.reserve(pins);
  pins_.reserve(pins);
}

Index Names::net(std::string_view name, std::size_t line) {
  if (name.empty() || name == "N/C") return kNone;
  const auto [entry, unseen] =
      net_by_bytes_.find_or_add(std::hash<std::string_view>()(name), static_cast<Index>(net_bytes_.size()),
                                [&](Index i) { return net_bytes_[i].first == name; });
  if (!unseen) return net_bytes_[entry].second;
  std::string text;
  // The table is asked with the bytes of the file, its answers are text already.
  if (const auto found = drafts_.long_names.find(std::string(name)); found != drafts_.long_names.end()) {
    text = found->second;
  } else {
    if (name.starts_with("NNAME") && name.size() > 5) unknown_aliases_.try_emplace(name, line);
    text = name_text(drafts_, name);
  }
  const auto [known, fresh] =
      net_by_name_.find_or_add(std::hash<std::string_view>()(text), static_cast<Index>(board_.nets.size()),
                               [&](Index i) { return board_.nets[i].name == text; });
  if (fresh) {
    const bool made_up = is_made_up(writer_, text);
    board_.nets.push_back({std::move(text), made_up, {}});
  }
  net_bytes_.emplace_back(name, known);
  return known;
}

Index Names::part(std::string_view reference) {
  if (last_part_ != kNone && reference == last_reference_) return last_part_;
  const auto [entry, unseen] = part_by_bytes_.try_emplace(reference, kNone);
  if (unseen) {
    std::string text = name_text(drafts_, reference);
    const auto [known, fresh] = part_by_name_.try_emplace(text, static_cast<Index>(board_.parts.size()));
    if (fresh) board_.parts.emplace_back().reference = std::move(text);
    entry->second = known->second;
  }
  last_reference_ = reference;
  last_part_ = entry->second;
  return last_part_;
}

Index Names::pin(std::string_view reference, std::string_view number, Index net, std::size_t line) {
  const Index owner = part(reference);
  const auto [entry, fresh] =
      pins_.find_or_add(NameIndex::pin_hash(owner, number), static_cast<Index>(board_.pins.size()),
                        [&](Index i) { return board_.pins[i].part == owner && pin_bytes_[i] == number; });
  if (fresh) {
    add_pin(owner, number, name_text(drafts_, number), net);
    return entry;
  }
  if (board_.pins[entry].net == net) return entry;
  return split_pin(owner, number, net, line);
}

void Names::add_pin(Index part, std::string_view number, std::string text, Index net) {
  board_.pins.push_back({part, std::move(text), "", PinType::kUnknown, net});
  pin_bytes_.push_back(number);
}

Index Names::split_pin(Index owner, std::string_view number, Index net, std::size_t line) {
  const auto [entry, fresh] =
      split_.try_emplace({owner, net, number}, static_cast<Index>(board_.pins.size()));
  if (!fresh) return entry->second;
  std::size_t& copies = copies_.try_emplace({owner, kNone, number}, std::size_t{1}).first->second;
  const std::string base = board_.parts[owner].reference;
  Index copy = kNone;
  do {  // the file may have a part of that name too
    std::string name = fmt::format("{}#{}", base, ++copies);
    const auto [known, unseen] = part_by_name_.try_emplace(name, static_cast<Index>(board_.parts.size()));
    if (unseen) board_.parts.emplace_back().reference = std::move(name);
    copy = known->second;
  } while (!pins_
                .find_or_add(NameIndex::pin_hash(copy, number), entry->second,
                             [&](Index i) { return board_.pins[i].part == copy && pin_bytes_[i] == number; })
                .second);
  const std::string shown = name_text(drafts_, number);
  log_.warn(line, 21, "truncated",
            fmt::format("{}.{} is on {} nets: names may be cut here, so this one is kept as {}.{}", base,
                        shown, copies, board_.parts[copy].reference, shown));
  add_pin(copy, number, shown, net);
  return entry->second;
}

void Names::report_aliases() {
  std::vector<std::pair<std::size_t, std::string_view>> unknown;
  for (const auto& [alias, line] : unknown_aliases_) unknown.emplace_back(line, alias);
  std::sort(unknown.begin(), unknown.end());
  for (const auto& [line, alias] : unknown) {
    log_.warn(line, 4, "alias",
              fmt::format("{} stands for no name in this file: kept as the name", name_text(drafts_, alias)));
  }
}

}  // namespace landfall::importers::ipc_d_356
