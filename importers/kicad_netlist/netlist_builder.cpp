#include "importers/kicad_netlist/netlist_builder.hpp"

#include <fmt/format.h>

#include "importers/text/kicad_words.hpp"
#include "importers/text/name_guard.hpp"

namespace landfall::importers {
namespace {

std::string library_key(std::string_view library, std::string_view part) {
  return fmt::format("{}\n{}\n", library, part);
}

std::string_view named(std::string_view name) {
  return name == "~" ? std::string_view() : name;
}

}  // namespace

void NetlistBuilder::warn(std::size_t offset, std::string_view code, std::string message) {
  // What is only counted needs no place: finding one costs a walk over the text before it.
  const Place place = log_.count(code) < Diagnostics::kKept ? place_(offset) : Place{0, 0};
  log_.warn(place.line, place.column, code, std::move(message));
}

std::string NetlistBuilder::cut(std::string_view text, std::size_t offset) {
  if (is_plain_name(text)) return std::string(text);
  GuardedName name = guarded_name(text);
  if (name.cut) warn(offset, "name-long", "a name of more than 1000 bytes was cut");
  return std::move(name.text);
}

void NetlistBuilder::add_component(Component component, std::size_t offset) {
  component.reference = cut(component.reference, offset);
  if (component.reference.empty())
    return warn(offset, "part-nameless", "a component without a reference: skipped");
  if (!part_named(component.reference).second) {
    return warn(offset, "part-twice",
                fmt::format("{} stands twice among the components: the first stands", component.reference));
  }
  Part part;
  part.reference = component.reference;
  part.value = cut(named(component.value), offset);
  part.footprint = cut(component.footprint, offset);
  part.fitted = component.fitted;
  if (!component.part.empty()) part.library = component.library + ":" + component.part;
  board_.parts.push_back(std::move(part));
  library_keys_.push_back(library_key(component.library, component.part));
}

void NetlistBuilder::open_library_part(std::string_view library, std::string_view part) {
  open_library_ = &library_parts_[library_key(library, part)];
}

void NetlistBuilder::add_library_pin(std::string_view number, std::string_view name, std::string_view type) {
  open_library_->try_emplace(std::string(number), LibraryPin{std::string(named(name)), pin_type_named(type)});
}

void NetlistBuilder::add_library_alias(std::string_view library, std::string_view part,
                                       std::string_view alias) {
  library_aliases_.try_emplace(library_key(library, alias), library_key(library, part));
}

void NetlistBuilder::open_net(std::string_view code, std::string_view name, std::size_t offset) {
  Net net;
  net.name = cut(name, offset);
  if (net.name.empty()) {
    const auto number = parse_integer(code);
    net.name = number ? fmt::format("N-{:08}", *number) : fmt::format("N-{}", code);
  }
  net.automatic = is_automatic_net_name(leaf_name(net.name));
  const auto [entry, fresh] =
      net_by_name_.find_or_add(NameHash()(net.name), static_cast<Index>(board_.nets.size()),
                               [&](Index i) { return board_.nets[i].name == net.name; });
  net_ = entry;
  if (!fresh)
    return warn(offset, "net-twice",
                fmt::format("the net {} stands twice: its nodes are taken together", net.name));
  board_.nets.push_back(std::move(net));
}

void NetlistBuilder::add_nodes(std::span<const Node> nodes) {
  if (parts_known_) return add_pins(nodes, net_);
  for (const Node& node : nodes) {
    if (has_names(node)) {
      nodes_.push_back({std::string(node.reference), std::string(node.pin), std::string(node.function),
                        std::string(node.type), net_, node.offset});
    }
  }
}

bool NetlistBuilder::has_names(const Node& node) {
  if (!node.reference.empty() && !node.pin.empty()) return true;
  warn(node.offset, "node", "a node without part or pin: skipped");
  return false;
}

void NetlistBuilder::parts_are_known(std::size_t nodes) {
  parts_known_ = true;
  board_.pins.reserve(nodes);
  pins_.reserve(nodes);
}

std::pair<Index, bool> NetlistBuilder::part_named(std::string_view reference) {
  return part_by_reference_.find_or_add(NameHash()(reference), static_cast<Index>(board_.parts.size()),
                                        [&](Index i) { return board_.parts[i].reference == reference; });
}

Index NetlistBuilder::part_of(std::string_view reference, std::size_t offset) {
  const auto [part_index, fresh] = part_named(reference);
  if (!fresh) return part_index;
  warn(offset, "part-missing",
       fmt::format("{} has pins on nets but is no component: it was added", reference));
  Part part;
  part.reference = reference;
  board_.parts.push_back(std::move(part));
  library_keys_.emplace_back();
  return part_index;
}

// The pin of the part's own library part, or of the one that lists its name among the aliases. The library
// part is looked up once a part, since a large one has thousands of pins.
const NetlistBuilder::LibraryPin* NetlistBuilder::library_pin(Index part, std::string_view number) {
  if (library_parts_.empty()) return nullptr;
  if (part >= libraries_.size()) libraries_.resize(board_.parts.size());
  Library& library = libraries_[part];
  if (!library.looked_up) {
    library.looked_up = true;
    const auto pins_of = [this](const std::string& key) {
      const auto known = library_parts_.find(key);
      return known == library_parts_.end() ? nullptr : &known->second;
    };
    library.own = pins_of(library_keys_[part]);
    const auto alias = library_aliases_.find(library_keys_[part]);
    if (alias != library_aliases_.end()) library.other = pins_of(alias->second);
  }
  for (const LibraryPins* pins : {library.own, library.other}) {
    if (pins == nullptr) continue;
    if (const auto known = pins->find(number); known != pins->end()) return &known->second;
  }
  return nullptr;
}

void NetlistBuilder::add_pins(std::span<const Node> nodes, Index net) {
  asked_.clear();
  for (const Node& node : nodes) {
    Asked asked;
    if (has_names(node)) {
      asked.part = part_of(node.reference, node.offset);
      asked.hash = NameIndex::pin_hash(asked.part, node.pin);
      pins_.announce(asked.hash);
    }
    asked_.push_back(asked);
  }
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    if (asked_[i].part != kNone) add_pin(nodes[i], net, asked_[i]);
  }
}

void NetlistBuilder::add_pin(const Node& node, Index net, Asked asked) {
  const Index part = asked.part;
  const std::size_t offset = node.offset;
  std::string guarded;  // for the rare number that is not kept as it stands
  std::string_view number = node.pin;
  if (!is_plain_name(number)) {
    number = guarded = cut(number, offset);
    asked.hash = NameIndex::pin_hash(part, number);
  }
  const auto [entry, fresh] = pins_.find_or_add(
      asked.hash, static_cast<Index>(board_.pins.size()),
      [&](Index i) { return board_.pins[i].part == part && board_.pins[i].number == number; });
  if (!fresh) {
    if (board_.pins[entry].net != net)
      warn(offset, "pin-twice",
           fmt::format("{}.{} is on two nets: the first stands", node.reference, number));
    return;
  }
  const LibraryPin* own = library_pin(part, node.pin);
  const std::string_view library_name = own == nullptr ? std::string_view() : std::string_view(own->name);
  // The library's word first: KiCad 10 is reported to write NAME_NUMBER at the node.
  const std::string_view function = !library_name.empty() ? library_name : named(node.function);
  Pin& pin = board_.pins.emplace_back();  // filled where it stands: there are many
  pin.part = part;
  pin.number = number;
  pin.net = net;
  pin.function = cut(function, offset);
  pin.type = pin_type_named(node.type);
  if (pin.type == PinType::kUnknown && own != nullptr) pin.type = own->type;
}

Board NetlistBuilder::finish() {
  if (!nodes_.empty()) parts_are_known(nodes_.size());
  for (const Pending& p : nodes_) {
    const Node node{p.reference, p.pin, p.function, p.type, p.offset};
    add_pins({&node, 1}, p.net);
  }
  return std::move(board_);
}

}  // namespace landfall::importers
