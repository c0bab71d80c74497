#include "importers/ipc_d_356/names.hpp"

#include <utility>

#include <fmt/format.h>

namespace landfall::importers::ipc_d_356 {
namespace {

// Eight numbers that follow each other lie in one line of the cache: a part's pins come together, as a rule.
std::size_t pin_hash(Index part, Index number) {
  const std::size_t both = ((std::size_t{part} << 32U) | (number >> 3U)) * kSpread;
  return ((both >> 32U) & ~std::size_t{7}) | (number & 7U);
}

}  // namespace

std::size_t Names::PinHash::operator()(const PinKey& key) const {
  return pin_hash(key.part, key.number) ^ (std::size_t{key.net} * kSpread);
}

Names::Names(const Drafts& drafts, Writer writer, Board& board, Diagnostics& log)
    : drafts_(drafts),
      writer_(writer),
      board_(board),
      log_(log),
      net_of_name_(drafts.nets.size(), kNone),
      part_of_name_(drafts.references.size(), kNone) {
  // Lists that grow take their size twice; what is reserved and not used takes no memory.
  board_.nets.reserve(drafts.nets.size());
  board_.parts.reserve(drafts.references.size());
  board_.pins.reserve(drafts.pins);
  pin_keys_.reserve(drafts.pins);
  pins_.reserve(drafts.pins);
}

Index Names::net(Index name, std::uint32_t line) {
  Index& known = net_of_name_[name];
  if (known != kNone) return known;
  const std::string_view bytes = drafts_.nets[name];
  const Index alias = drafts_.aliases.find(bytes);
  std::string text = name_text(drafts_, alias == kNone ? bytes : drafts_.long_names[alias]);
  const auto [net, fresh] =
      net_by_name_.find_or_add(std::hash<std::string_view>()(text), static_cast<Index>(board_.nets.size()),
                               [&](Index i) { return board_.nets[i].name == text; });
  if (fresh) {
    const bool made_up = is_made_up(writer_, text);
    board_.nets.push_back({std::move(text), made_up, {}});
  }
  if (alias == kNone && bytes.starts_with("NNAME") && bytes.size() > 5) unexplained_.emplace_back(line, net);
  known = net;
  return net;
}

std::pair<Index, bool> Names::part_named(std::string text) {
  const auto found =
      part_by_name_.find_or_add(std::hash<std::string_view>()(text), static_cast<Index>(board_.parts.size()),
                                [&](Index i) { return board_.parts[i].reference == text; });
  if (found.second) board_.parts.emplace_back().reference = std::move(text);
  return found;
}

Index Names::part(Index reference) {
  Index& known = part_of_name_[reference];
  if (known == kNone) known = part_named(name_text(drafts_, drafts_.references[reference])).first;
  return known;
}

std::pair<Index, bool> Names::find_or_add_pin(Index part, Index number, Index fresh) {
  return pins_.find_or_add(pin_hash(part, number), fresh,
                           [&](Index i) { return pin_keys_[i] == std::pair(part, number); });
}

Index Names::pin(Index reference, Index number, Index net, std::size_t line) {
  const Index owner = part(reference);
  const auto [entry, fresh] = find_or_add_pin(owner, number, static_cast<Index>(board_.pins.size()));
  if (fresh) {
    add_pin(owner, number, net);
    return entry;
  }
  if (board_.pins[entry].net == net) return entry;
  return split_pin(owner, number, net, line);
}

void Names::add_pin(Index part, Index number, Index net) {
  board_.pins.push_back({part, name_text(drafts_, drafts_.numbers[number]), "", PinType::kUnknown, net});
  pin_keys_.emplace_back(part, number);
}

Index Names::split_pin(Index owner, Index number, Index net, std::size_t line) {
  const auto [entry, fresh] =
      split_.try_emplace({owner, number, net}, static_cast<Index>(board_.pins.size()));
  if (!fresh) return entry->second;
  std::size_t& copies = copies_.try_emplace({owner, number, kNone}, std::size_t{1}).first->second;
  const std::string base = board_.parts[owner].reference;
  Index copy = kNone;
  do {  // the file may have a part of that name too
    copy = part_named(fmt::format("{}#{}", base, ++copies)).first;
  } while (!find_or_add_pin(copy, number, entry->second).second);
  add_pin(copy, number, net);
  const std::string& shown = board_.pins.back().number;
  log_.warn(line, 21, "truncated",
            fmt::format("{}.{} is on {} nets: names may be cut here, so this one is kept as {}.{}", base,
                        shown, copies, board_.parts[copy].reference, shown));
  return entry->second;
}

}  // namespace landfall::importers::ipc_d_356
