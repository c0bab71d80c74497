#include <algorithm>
#include <utility>

#include <pugixml.hpp>

#include "importers/kicad_netlist/kicad_netlist.hpp"
#include "importers/kicad_netlist/netlist_builder.hpp"
#include "importers/kicad_netlist/nets_apart.hpp"
#include "importers/text/xml.hpp"

namespace landfall::importers {
namespace {

constexpr int kMostDepth = 256;

std::size_t offset_of(const pugi::xml_node& node) {
  const auto offset = node.offset_debug();
  return offset < 0 ? 0 : static_cast<std::size_t>(offset);
}

std::string_view attribute(const pugi::xml_node& node, const char* name) {
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

// One walk over the attributes of a node, told apart by their length first: there are many nodes.
NetlistBuilder::Node node_of(const pugi::xml_node& element) {
  NetlistBuilder::Node node;
  for (pugi::xml_attribute own = element.first_attribute(); own; own = own.next_attribute()) {
    const std::string_view name = own.name();
    std::string_view* which = nullptr;
    if (name.size() == 3) {
      if (name == "ref") which = &node.reference;
      if (name == "pin") which = &node.pin;
    } else if (name == "pinfunction") {
      which = &node.function;
    } else if (name == "pintype") {
      which = &node.type;
    }
    if (which != nullptr && which->data() == nullptr)
      *which = own.value();  // of one that stands twice the first
  }
  return node;
}

// How many nodes there may be, to make room for: no more than text of useful ones of that size has.
std::size_t nodes_in(std::string_view text) {
  constexpr std::string_view kStart = "<node";
  constexpr std::size_t kShortestNode = 24;  // <node ref="R1" pin="1"/>
  std::size_t count = 0;
  for (std::size_t at = text.find(kStart); at != std::string_view::npos; at = text.find(kStart, at + 1))
    ++count;
  return std::min(count, text.size() / kShortestNode);
}

class XmlReader {
 public:
  // `apart`: the nets are read from there, piece by piece; without it from one tree of the whole file.
  XmlReader(std::string_view bytes, Diagnostics& log, const NetsApart* apart)
      : bytes_(bytes),
        log_(log),
        apart_(apart),
        builder_(log, [bytes](std::size_t offset) { return text_place(bytes, offset); }) {}

  std::optional<Design> run() {
    pugi::xml_document document;
    const std::string_view text = apart_ == nullptr ? bytes_ : std::string_view(apart_->rest);
    const pugi::xml_parse_result parsed = document.load_buffer(text.data(), text.size());
    if (!parsed) {
      const Place place =
          text_place(bytes_, static_cast<std::size_t>(std::max<std::ptrdiff_t>(parsed.offset, 0)));
      log_.error(place.line, place.column, "xml", fault_text(bytes_, parsed.description()));
      return wrong_cut();
    }
    const pugi::xml_node root = document.child("export");
    const pugi::xml_node nets = root.child("nets");
    if (!nets) {
      log_.error(1, 1, "format", "this netlist has no list of nets");
      return wrong_cut();
    }
    if (apart_ != nullptr && (nets.offset_debug() != apart_->tag_in_rest() || nets.first_child() ||
                              parsed.encoding != pugi::encoding_utf8)) {
      return wrong_cut();
    }
    if (too_deep_beside_nets(root)) return log_too_deep();
    const std::string_view head = bytes_.substr(0, offset_of(root));  // it stands before the first element
    if (const auto doctype = head.find("<!DOCTYPE"); doctype != std::string_view::npos) {
      const Place place = text_place(bytes_, doctype);
      log_.warn(place.line, place.column, "doctype", "the file's own entities are not expanded");
    }
    read_components(root.child("components"));
    read_library(root.child("libparts"));
    if (apart_ != nullptr) {
      if (!read_pieces()) return wrong_cut();
    } else {
      builder_.parts_are_known(nodes_in(bytes_));
      read_nets(nets, 0, false);
    }
    if (log_.has_errors()) return std::nullopt;  // it was stopped
    return Design{"kicad-netlist", std::string(attribute(root, "version")),
                  root.child("design").child_value("tool"), builder_.finish()};
  }

  // The nets are not where they seemed to be: the file must be read whole.
  [[nodiscard]] bool was_wrong_cut() const { return wrong_cut_; }

 private:
  std::nullopt_t wrong_cut() {
    wrong_cut_ = true;
    return std::nullopt;
  }

  std::nullopt_t log_too_deep() {
    log_.error(1, 1, "depth", "elements are nested more than 256 deep");
    return std::nullopt;
  }

  [[nodiscard]] std::size_t origin_of(const pugi::xml_node& node) const {
    return apart_ == nullptr ? offset_of(node) : apart_->origin(offset_of(node));
  }

  void read_components(const pugi::xml_node& list) {
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
      builder_.add_component(std::move(component), origin_of(comp));
    }
  }

  void read_library(const pugi::xml_node& list) {
    for (const pugi::xml_node& part : list.children("libpart")) {
      const std::string_view library = attribute(part, "lib");
      const std::string_view name = attribute(part, "part");
      for (const pugi::xml_node& alias : part.child("aliases").children("alias"))
        builder_.add_library_alias(library, name, alias.child_value());
      builder_.open_library_part(library, name);
      for (const pugi::xml_node& pin : part.child("pins").children("pin"))
        builder_.add_library_pin(attribute(pin, "num"), attribute(pin, "name"), attribute(pin, "type"));
    }
  }

  // `base`: the offset in the file of the list's text. `goes_on`: the first net is the one that is open.
  void read_nets(const pugi::xml_node& list, std::size_t base, bool goes_on) {
    for (pugi::xml_node net = list.first_child(); net; net = net.next_sibling()) {
      const bool opens = !std::exchange(goes_on, false);
      if (net.name() != std::string_view("net")) {
        if (net.first_child() && too_deep(net, 2)) {
          log_too_deep();
          return;
        }
        continue;
      }
      const std::size_t offset = base + offset_of(net);
      if (!log_.goes_on(offset)) return;
      if (opens) builder_.open_net(attribute(net, "code"), attribute(net, "name"), offset);
      if (!read_net(net, base)) return;
    }
  }

  bool read_net(const pugi::xml_node& net, std::size_t base) {
    nodes_.clear();
    for (pugi::xml_node node = net.first_child(); node; node = node.next_sibling()) {
      if (node.first_child() && too_deep(node, 3)) {
        log_too_deep();
        return false;
      }
      if (node.name() == std::string_view("node")) {
        nodes_.push_back(node_of(node));
        nodes_.back().offset = base + offset_of(node);
      }
    }
    builder_.add_nodes(nodes_);
    return true;
  }

  // False when a piece is not what it seemed to be.
  bool read_pieces() {
    pugi::xml_document document;
    std::string buffer;  // one for all pieces, as is the tree's memory: both stay in the cache
    bool in_net = false;
    for (std::size_t at = apart_->begin; at < apart_->end && !log_.has_errors();) {
      const auto [text, ends_in_net] = apart_->piece(bytes_, at);
      if (at == apart_->begin) make_room(text);
      // Within elements, as in the file: what may not stand in them is a fault here as well.
      const std::string_view opens = in_net ? "<nets><net>" : "<nets>";
      buffer.assign(opens).append(text).append(ends_in_net ? "</net></nets>" : "</nets>");
      const auto parsed = document.load_buffer_inplace(buffer.data(), buffer.size(), pugi::parse_default,
                                                       pugi::encoding_utf8);
      const pugi::xml_node list = document.first_child();
      if (!parsed || list.next_sibling()) return false;
      read_nets(list, at - opens.size(), in_net);
      at += text.size();
      in_net = ends_in_net;
    }
    return true;
  }

  // As the first piece has nodes, so may the whole list.
  void make_room(std::string_view piece) {
    const double share = static_cast<double>(apart_->end - apart_->begin) / static_cast<double>(piece.size());
    builder_.parts_are_known(static_cast<std::size_t>(static_cast<double>(nodes_in(piece)) * share * 1.05));
  }

  std::string_view bytes_;
  Diagnostics& log_;
  const NetsApart* apart_;
  NetlistBuilder builder_;
  std::vector<NetlistBuilder::Node> nodes_;  // of the net being read
  bool wrong_cut_ = false;
};

}  // namespace

std::optional<Design> read_kicad_netlist_xml(std::string_view bytes, Diagnostics& log) {
  if (const auto apart = nets_apart(bytes)) {
    Diagnostics own = log;  // what this reading says counts only when the cut was right
    XmlReader reader(bytes, own, &*apart);
    auto design = reader.run();
    if (!reader.was_wrong_cut()) {
      log = std::move(own);
      return design;
    }
  }
  return XmlReader(bytes, log, nullptr).run();
}

}  // namespace landfall::importers
