#include <algorithm>

#include <pugixml.hpp>

#include "importers/kicad_netlist/kicad_netlist.hpp"
#include "importers/kicad_netlist/netlist_builder.hpp"

namespace landfall::importers {
namespace {

constexpr int kMostDepth = 256;

Place place_in(std::string_view bytes, std::size_t offset) {
  const std::string_view before = bytes.substr(0, std::min(offset, bytes.size()));
  const auto lines = static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n'));
  const auto last = before.rfind('\n');
  return {lines + 1, last == std::string_view::npos ? before.size() + 1 : before.size() - last};
}

std::size_t offset_of(const pugi::xml_node& node) {
  const auto offset = node.offset_debug();
  return offset < 0 ? 0 : static_cast<std::size_t>(offset);
}

std::string attribute(const pugi::xml_node& node, const char* name) {
  return node.attribute(name).value();
}

// Depth by a walk that does not recurse; `depth` is that of `root` itself.
bool too_deep(const pugi::xml_node& root, int depth) {
  for (pugi::xml_node node = root; node;) {
    if (node.first_child()) {
      node = node.first_child();
      if (++depth > kMostDepth) return true;
      continue;
    }
    while (node && node != root && !node.next_sibling()) {
      node = node.parent();
      --depth;
    }
    if (!node || node == root) break;
    node = node.next_sibling();
  }
  return false;
}

// All but what lies in the nets, which is most of a file and is looked at when it is read.
bool too_deep_beside_nets(const pugi::xml_node& root) {
  const pugi::xml_node nets = root.child("nets");
  for (const pugi::xml_node& list : root.children()) {
    if (list != nets && too_deep(list, 1)) return true;
  }
  return false;
}

void log_too_deep(Diagnostics& log) {
  log.error(1, 1, "depth", "elements are nested more than 256 deep");
}

void read_components(const pugi::xml_node& list, NetlistBuilder& builder) {
  for (const pugi::xml_node& comp : list.children("comp")) {
    NetlistBuilder::Component component;
    component.reference = attribute(comp, "ref");
    component.value = comp.child_value("value");
    component.footprint = comp.child_value("footprint");
    component.library = attribute(comp.child("libsource"), "lib");
    component.part = attribute(comp.child("libsource"), "part");
    for (const pugi::xml_node& property : comp.children("property")) {
      if (attribute(property, "name") == "dnp") component.fitted = false;
    }
    builder.add_component(std::move(component), offset_of(comp));
  }
}

void read_library(const pugi::xml_node& list, NetlistBuilder& builder) {
  for (const pugi::xml_node& part : list.children("libpart")) {
    for (const pugi::xml_node& alias : part.child("aliases").children("alias")) {
      builder.add_library_alias(attribute(part, "lib"), attribute(part, "part"), alias.child_value());
    }
    for (const pugi::xml_node& pin : part.child("pins").children("pin")) {
      builder.add_library_pin(attribute(part, "lib"), attribute(part, "part"), attribute(pin, "num"),
                              attribute(pin, "name"), attribute(pin, "type"));
    }
  }
}

// One walk over the attributes of a node: there are many nodes.
NetlistBuilder::Node node_of(const pugi::xml_node& element) {
  NetlistBuilder::Node node;
  for (pugi::xml_attribute own = element.first_attribute(); own; own = own.next_attribute()) {
    const std::string_view name = own.name();
    std::string_view* which = name == "ref" ? &node.reference : nullptr;
    if (name == "pin") which = &node.pin;
    if (name == "pinfunction") which = &node.function;
    if (name == "pintype") which = &node.type;
    if (which != nullptr && which->data() == nullptr)
      *which = own.value();  // of one that stands twice the first
  }
  return node;
}

void read_nets(const pugi::xml_node& list, std::size_t nodes, NetlistBuilder& builder, Diagnostics& log) {
  builder.parts_are_known(nodes);
  for (pugi::xml_node net = list.first_child(); net; net = net.next_sibling()) {
    if (net.name() != std::string_view("net")) {
      if (net.first_child() && too_deep(net, 2)) return log_too_deep(log);
      continue;
    }
    if (!log.goes_on(offset_of(net))) return;
    builder.open_net(attribute(net, "code"), attribute(net, "name"), offset_of(net));
    for (pugi::xml_node node = net.first_child(); node; node = node.next_sibling()) {
      if (node.first_child() && too_deep(node, 3)) return log_too_deep(log);
      if (node.name() == std::string_view("node")) builder.add_node(node_of(node), offset_of(node));
    }
  }
}

// How many nodes there may be, to make room for: no more than a file of useful ones of that size has.
std::size_t nodes_in(std::string_view bytes) {
  constexpr std::string_view kStart = "<node";
  constexpr std::size_t kShortestNode = 24;  // <node ref="R1" pin="1"/>
  std::size_t count = 0;
  for (std::size_t at = bytes.find(kStart); at != std::string_view::npos; at = bytes.find(kStart, at + 1))
    ++count;
  return std::min(count, bytes.size() / kShortestNode);
}

}  // namespace

std::optional<Design> read_kicad_netlist_xml(std::string_view bytes, Diagnostics& log) {
  pugi::xml_document document;
  const pugi::xml_parse_result parsed = document.load_buffer(bytes.data(), bytes.size());
  if (!parsed) {
    const Place place = place_in(bytes, static_cast<std::size_t>(std::max<std::ptrdiff_t>(parsed.offset, 0)));
    log.error(place.line, place.column, "xml", parsed.description());
    return std::nullopt;
  }
  const pugi::xml_node root = document.child("export");
  if (!root.child("nets")) {
    log.error(1, 1, "format", "this netlist has no list of nets");
    return std::nullopt;
  }
  if (too_deep_beside_nets(root)) {
    log_too_deep(log);
    return std::nullopt;
  }
  const std::string_view head = bytes.substr(0, offset_of(root));  // it stands before the first element
  if (const auto doctype = head.find("<!DOCTYPE"); doctype != std::string_view::npos) {
    const Place place = place_in(bytes, doctype);
    log.warn(place.line, place.column, "doctype", "the file's own entities are not expanded");
  }
  NetlistBuilder builder(log, [bytes](std::size_t offset) { return place_in(bytes, offset); });
  read_components(root.child("components"), builder);
  read_library(root.child("libparts"), builder);
  read_nets(root.child("nets"), nodes_in(bytes), builder, log);
  if (log.has_errors()) return std::nullopt;  // it was stopped
  return Design{"kicad-netlist", attribute(root, "version"), root.child("design").child_value("tool"),
                builder.finish()};
}

}  // namespace landfall::importers
