#include "importers/kicad_netlist/netlist_builder.hpp"

#include <fmt/format.h>

#include "importers/text/kicad_words.hpp"
#include "importers/text/name_guard.hpp"

namespace landfall::importers {
namespace {

std::string library_key(const std::string& library, const std::string& part) {
  return library + "\n" + part + "\n";
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
  GuardedName name = guarded_name(text);
  if (name.cut) warn(offset, "name-long", "a name of more than 1000 bytes was cut");
  return std::move(name.text);
}

void NetlistBuilder::add_component(Component component, std::size_t offset) {
  component.reference = cut(component.reference, offset);
  if (component.reference.empty())
    return warn(offset, "part-nameless", "a component without a reference: skipped");
  const auto [entry, fresh] =
      part_by_reference_.try_emplace(component.reference, static_cast<Index>(board_.parts.size()));
  if (!fresh) {
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

void NetlistBuilder::add_library_pin(const std::string& library, const std::string& part,
                                     const std::string& number, std::string name, std::string type) {
  library_parts_[library_key(library, part)].try_emplace(
      number, LibraryPin{std::string(named(name)), std::move(type)});
}

void NetlistBuilder::add_library_alias(const std::string& library, const std::string& part,
                                       const std::string& alias) {
  library_aliases_.try_emplace(library_key(library, alias), library_key(library, part));
}

void NetlistBuilder::open_net(std::string_view code, std::string name, std::size_t offset) {
  Net net;
  net.name = cut(name, offset);
  if (net.name.empty()) {
    const auto number = parse_integer(code);
    net.name = number ? fmt::format("N-{:08}", *number) : fmt::format("N-{}", code);
  }
  net.automatic = is_automatic_net_name(leaf_name(net.name));
  const auto [entry, fresh] = net_by_name_.find_or_add(
      std::hash<std::string_view>()(net.name), static_cast<Index>(board_.nets.size()),
      [&](Index i) { return board_.nets[i].name == net.name; });
  net_ = entry;
  if (!fresh)
    return warn(offset, "net-twice",
                fmt::format("the net {} stands twice: its nodes are taken together", net.name));
  board_.nets.push_back(std::move(net));
}

void NetlistBuilder::add_node(const Node& node, std::size_t offset) {
  if (node.reference.empty() || node.pin.empty())
    return warn(offset, "node", "a node without part or pin: skipped");
  if (parts_known_) return add_pin(node, net_, offset);
  nodes_.push_back({std::string(node.reference), std::string(node.pin), std::string(node.function),
                    std::string(node.type), net_, offset});
}

void NetlistBuilder::parts_are_known(std::size_t nodes) {
  parts_known_ = true;
  board_.pins.reserve(nodes);
  pins_.reserve(nodes);
}

Index NetlistBuilder::part_of(std::string_view reference, std::size_t offset) {
  if (const auto known = part_by_reference_.find(reference); known != part_by_reference_.end())
    return known->second;
  warn(offset, "part-missing",
       fmt::format("{} has pins on nets but is no component: it was added", reference));
  Part part;
  part.reference = reference;
  const auto fresh = static_cast<Index>(board_.parts.size());
  part_by_reference_.emplace(reference, fresh);
  board_.parts.push_back(std::move(part));
  library_keys_.emplace_back();
  return fresh;
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

void NetlistBuilder::add_pin(const Node& node, Index net, std::size_t offset) {
  const Index part = part_of(node.reference, offset);
  std::string number = cut(node.pin, offset);
  const auto [entry, fresh] = pins_.find_or_add(
      NameIndex::pin_hash(part, number), static_cast<Index>(board_.pins.size()),
      [&](Index i) { return board_.pins[i].part == part && board_.pins[i].number == number; });
  if (!fresh) {
    if (board_.pins[entry].net != net)
      warn(offset, "pin-twice",
           fmt::format("{}.{} is on two nets: the first stands", node.reference, number));
    return;
  }
  Pin pin;
  pin.part = part;
  pin.number = std::move(number);
  pin.net = net;
  const LibraryPin* own = library_pin(part, node.pin);
  const std::string_view library_name = own == nullptr ? std::string_view() : std::string_view(own->name);
  // The library's word first: KiCad 10 is reported to write NAME_NUMBER at the node.
  pin.function = cut(!library_name.empty() ? library_name : named(node.function), offset);
  pin.type = pin_type_named(node.type);
  if (pin.type == PinType::kUnknown && own != nullptr) pin.type = pin_type_named(own->type);
  board_.pins.push_back(std::move(pin));
}

Board NetlistBuilder::finish() {
  if (!nodes_.empty()) parts_are_known(nodes_.size());
  for (const Pending& p : nodes_) add_pin({p.reference, p.pin, p.function, p.type}, p.net, p.offset);
  return std::move(board_);
}

}  // namespace landfall::importers
