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

Index Names::net(std::string_view name, std::size_t line) {
  if (name.empty() || name == "N/C") return kNone;
  const auto [entry, unseen] = net_by_bytes_.try_emplace(name, kNone);
  if (!unseen) return entry->second;
  std::string text;
  // The table is asked with the bytes of the file, its answers are text already.
  if (const auto found = drafts_.long_names.find(std::string(name)); found != drafts_.long_names.end()) {
    text = found->second;
  } else {
    if (name.starts_with("NNAME") && name.size() > 5) unknown_aliases_.try_emplace(name, line);
    text = name_text(drafts_, name);
  }
  const auto [known, fresh] = net_by_name_.try_emplace(text, static_cast<Index>(board_.nets.size()));
  if (fresh) board_.nets.push_back({text, is_made_up(writer_, text), {}});
  entry->second = known->second;
  return known->second;
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
      pins_.try_emplace({owner, kNone, number}, static_cast<Index>(board_.pins.size()));
  if (fresh) {
    board_.pins.push_back({owner, name_text(drafts_, number), "", PinType::kUnknown, net});
    return entry->second;
  }
  if (board_.pins[entry->second].net == net) return entry->second;
  return split_pin(owner, number, net, line);
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
  } while (!pins_.try_emplace({copy, kNone, number}, entry->second).second);
  const std::string shown = name_text(drafts_, number);
  log_.warn(line, 21, "truncated",
            fmt::format("{}.{} is on {} nets: names may be cut here, so this one is kept as {}.{}", base,
                        shown, copies, board_.parts[copy].reference, shown));
  board_.pins.push_back({copy, shown, "", PinType::kUnknown, net});
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
