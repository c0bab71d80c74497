#include "importers/kicad_netlist/netlist_builder.hpp"

#include <fmt/format.h>

#include "importers/text/kicad_words.hpp"
#include "importers/text/name_guard.hpp"

namespace landfall::importers {
namespace {

std::string library_key(const std::string& library, const std::string& part) {
  return library + "\n" + part + "\n";
}

// KiCad 10 is reported to write NAME_NUMBER; it is stripped only where the library confirms the shorter name.
std::string confirmed(const std::string& function, const std::string& number,
                      const std::string& library_name) {
  return !library_name.empty() && function == library_name + "_" + number ? library_name : function;
}

std::string named(std::string name) {
  return name == "~" ? std::string() : name;
}

}  // namespace

void NetlistBuilder::warn(std::size_t offset, std::string_view code, std::string message) {
  // What is only counted needs no place: finding one costs a walk over the text before it.
  const Place place = log_.count(code) < Diagnostics::kKept ? place_(offset) : Place{0, 0};
  log_.warn(place.line, place.column, code, std::move(message));
}

std::string NetlistBuilder::cut(std::string text, std::size_t offset) {
  GuardedName name = guarded_name(text);
  if (name.cut) warn(offset, "name-long", "a name of more than 1000 bytes was cut");
  return std::move(name.text);
}

void NetlistBuilder::add_component(Component component, std::size_t offset) {
  component.reference = cut(std::move(component.reference), offset);
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
  part.value = named(cut(std::move(component.value), offset));
  part.footprint = cut(std::move(component.footprint), offset);
  part.fitted = component.fitted;
  if (!component.part.empty()) part.library = component.library + ":" + component.part;
  board_.parts.push_back(std::move(part));
  library_keys_.push_back(library_key(component.library, component.part));
}

void NetlistBuilder::add_library_pin(const std::string& library, const std::string& part,
                                     const std::string& number, std::string name, std::string type) {
  library_pins_.try_emplace(library_key(library, part) + number,
                            LibraryPin{named(std::move(name)), std::move(type)});
}

void NetlistBuilder::add_library_alias(const std::string& library, const std::string& part,
                                       const std::string& alias) {
  library_aliases_.try_emplace(library_key(library, alias), library_key(library, part));
}

void NetlistBuilder::open_net(std::string_view code, std::string name, std::size_t offset) {
  Net net;
  net.name = cut(std::move(name), offset);
  if (net.name.empty()) {
    const auto number = parse_integer(code);
    net.name = number ? fmt::format("N-{:08}", *number) : fmt::format("N-{}", code);
  }
  net.automatic = is_automatic_net_name(leaf_name(net.name));
  const auto [entry, fresh] = net_by_name_.try_emplace(net.name, static_cast<Index>(board_.nets.size()));
  net_ = entry->second;
  if (!fresh)
    return warn(offset, "net-twice",
                fmt::format("the net {} stands twice: its nodes are taken together", net.name));
  board_.nets.push_back(std::move(net));
}

void NetlistBuilder::add_node(Node node, std::size_t offset) {
  if (node.reference.empty() || node.pin.empty())
    return warn(offset, "node", "a node without part or pin: skipped");
  nodes_.push_back({std::move(node), net_, offset});
}

Index NetlistBuilder::part_of(const Pending& pending) {
  const auto [entry, fresh] =
      part_by_reference_.try_emplace(pending.node.reference, static_cast<Index>(board_.parts.size()));
  if (fresh) {
    warn(pending.offset, "part-missing",
         fmt::format("{} has pins on nets but is no component: it was added", pending.node.reference));
    Part part;
    part.reference = pending.node.reference;
    board_.parts.push_back(std::move(part));
    library_keys_.emplace_back();
  }
  return entry->second;
}

// The pin of the part's own library part, or of the one that lists its name among the aliases.
const NetlistBuilder::LibraryPin* NetlistBuilder::library_pin(Index part, const std::string& number) const {
  const std::string& key = library_keys_[part];
  if (const auto own = library_pins_.find(key + number); own != library_pins_.end()) return &own->second;
  const auto alias = library_aliases_.find(key);
  if (alias == library_aliases_.end()) return nullptr;
  const auto other = library_pins_.find(alias->second + number);
  return other == library_pins_.end() ? nullptr : &other->second;
}

void NetlistBuilder::add_pin(const Pending& pending) {
  const Index part = part_of(pending);
  const Node& node = pending.node;
  const auto [entry, fresh] =
      pin_by_name_.try_emplace(node.reference + "\n" + node.pin, static_cast<Index>(board_.pins.size()));
  if (!fresh) {
    if (board_.pins[entry->second].net != pending.net) {
      warn(pending.offset, "pin-twice",
           fmt::format("{}.{} is on two nets: the first stands", node.reference, node.pin));
    }
    return;
  }
  Pin pin;
  pin.part = part;
  pin.number = cut(node.pin, pending.offset);
  pin.net = pending.net;
  const LibraryPin* own = library_pin(part, node.pin);
  pin.function = own != nullptr && !own->name.empty()
                     ? own->name
                     : confirmed(named(node.function), node.pin, own != nullptr ? own->name : "");
  pin.function = cut(std::move(pin.function), pending.offset);
  pin.type = pin_type_named(node.type);
  if (pin.type == PinType::kUnknown && own != nullptr) pin.type = pin_type_named(own->type);
  board_.pins.push_back(std::move(pin));
}

Board NetlistBuilder::finish() {
  board_.pins.reserve(nodes_.size());
  for (const Pending& pending : nodes_) add_pin(pending);
  return std::move(board_);
}

}  // namespace landfall::importers
