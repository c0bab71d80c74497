#include <algorithm>
#include <array>
#include <set>

#include <fmt/format.h>

#include "importers/kicad_netlist/kicad_netlist.hpp"
#include "importers/kicad_netlist/netlist_builder.hpp"
#include "importers/text/name_guard.hpp"
#include "importers/text/sexpr.hpp"

namespace landfall::importers {
namespace {

// Every word that begins a list in the netlists at hand, and some of versions 9 and 10, from memory. In
// order.
constexpr std::array<std::string_view, 69> kWords{
    // clang-format off
    "alias", "aliases", "class", "code", "comment", "comp", "company", "component_classes", "components",
    "datasheet", "date", "description", "design", "docs", "duplicate_pin_numbers_are_jumpers",
    "exclude_from_bom", "export", "field", "fields", "footprint", "footprints", "fp", "group", "groups",
    "jumper_pin_groups", "lib", "libpart", "libparts", "libraries", "library", "libsource", "logical",
    "member", "members", "name", "names", "net", "net_chain", "net_chains", "nets", "node", "num", "number",
    "part", "pin", "pinfunction", "pins", "pintype", "property", "ref", "rev", "sheet", "sheetpath",
    "source", "textvar", "title", "title_block", "tool", "tstamp", "tstamps", "type", "unit", "units",
    "uri", "uuid", "value", "variant", "variants", "version",
    // clang-format on
};

class Reader {
 public:
  Reader(std::string_view bytes, Diagnostics& log)
      : in_(bytes), log_(log), builder_(log, [this](std::size_t offset) { return in_.place_of(offset); }) {}

  std::optional<Design> run() {
    if (!in_.enter("export")) {
      log_.error(1, 1, "format", "this is no KiCad netlist");
      return std::nullopt;
    }
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "version") {
        version_ = text();
      } else if (field.text == "design") {
        each("tool", [&] { writer_ = text(); });
      } else if (field.text == "components") {
        each("comp", [&] { read_component(); });
      } else if (field.text == "libparts") {
        each("libpart", [&] { read_library_part(); });
      } else if (field.text == "nets") {
        has_nets_ = true;
        each("net", [&] { read_net(); });
      } else {
        skip(field);
      }
    }
    if (log_.has_errors()) return std::nullopt;  // it was stopped
    if (in_.at_fault()) {
      const Place place = in_.fault_place();
      log_.error(place.line, place.column, "text", in_.fault());
      return std::nullopt;
    }
    if (const auto more = in_.text_after()) {
      const Place place = in_.place_of(*more);
      log_.error(place.line, place.column, "text",
                 "the netlist's list ends before this: a parenthesis is amiss");
      return std::nullopt;
    }
    if (!has_nets_) {
      log_.error(1, 1, "format", "this netlist has no list of nets");
      return std::nullopt;
    }
    if (const auto quote = in_.stray_quote()) {
      const Place place = in_.place_of(*quote);
      log_.warn(place.line, place.column, "quote",
                "a quote in the middle of a word: one may be missing before it, and what follows it lost");
    }
    return Design{"kicad-netlist", version_, writer_, builder_.finish()};
  }

 private:
  using Field = SexprReader::Field;

  // The next atom, and the list closed.
  std::string text() {
    std::string result(in_.atom().text);
    in_.leave();
    return result;
  }

  // Leaves a list that is not read; says so once when its word is not known here.
  void skip(const Field& field) {
    if (!std::binary_search(kWords.begin(), kWords.end(), field.text) &&
        unknown_.insert(std::string(field.text.substr(0, 60))).second) {
      const Place place = in_.place_of(field.offset);
      log_.warn(place.line, place.column, "unknown",
                fmt::format("({} ...) is not known here: such lists are skipped",
                            guarded_name(field.text.substr(0, 60)).text));
    }
    in_.leave();
  }

  // Reads the present list to its end; `read` is called inside each list of that name and must leave it.
  template <class Read>
  void each(std::string_view name, Read read) {
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (!log_.goes_on(field.offset)) return;
      if (field.text == name) {
        read();
      } else {
        skip(field);
      }
    }
  }

  void read_component() {
    const std::size_t offset = in_.list_offset();
    NetlistBuilder::Component component;
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "ref") {
        component.reference = text();
      } else if (field.text == "value") {
        component.value = text();
      } else if (field.text == "footprint") {
        component.footprint = text();
      } else if (field.text == "libsource") {
        read_library_source(component);
      } else if (field.text == "property") {
        each("name", [&] { component.fitted = text() != "dnp" && component.fitted; });
      } else {
        skip(field);
      }
    }
    builder_.add_component(std::move(component), offset);
  }

  void read_library_source(NetlistBuilder::Component& component) {
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "lib") {
        component.library = text();
      } else if (field.text == "part") {
        component.part = text();
      } else {
        skip(field);
      }
    }
  }

  void read_library_part() {
    std::string library;
    std::string part;
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "lib") {
        library = text();
      } else if (field.text == "part") {
        part = text();
      } else if (field.text == "aliases") {
        each("alias", [&] { builder_.add_library_alias(library, part, text()); });
      } else if (field.text == "pins") {
        builder_.open_library_part(library, part);
        each("pin", [&] { read_library_pin(); });
      } else {
        skip(field);
      }
    }
  }

  void read_library_pin() {
    std::string number;
    std::string name;
    std::string type;
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      std::string* which = field.text == "num" ? &number : nullptr;
      if (field.text == "name") which = &name;
      if (field.text == "type") which = &type;
      if (which != nullptr) {
        *which = text();
      } else {
        skip(field);
      }
    }
    builder_.add_library_pin(number, name, type);
  }

  void read_net() {
    const std::size_t offset = in_.list_offset();
    std::string code;
    std::string name;
    bool open = false;
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "code") {
        code = text();
      } else if (field.text == "name") {
        name = text();
      } else if (field.text == "node") {
        if (!open) builder_.open_net(code, name, offset);
        open = true;
        read_node();
      } else {
        skip(field);
      }
    }
    if (!open) builder_.open_net(code, name, offset);
  }

  void read_node() {
    const std::size_t offset = in_.list_offset();
    std::string reference;
    std::string pin;
    std::string function;
    std::string type;
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      std::string* which = field.text == "ref" ? &reference : nullptr;
      if (field.text == "pin") which = &pin;
      if (field.text == "pinfunction") which = &function;
      if (field.text == "pintype") which = &type;
      if (which != nullptr) {
        *which = text();
      } else {
        skip(field);
      }
    }
    const NetlistBuilder::Node node{reference, pin, function, type, offset};
    builder_.add_nodes({&node, 1});
  }

  SexprReader in_;
  Diagnostics& log_;
  NetlistBuilder builder_;
  std::string version_, writer_;
  bool has_nets_ = false;
  std::set<std::string> unknown_;
};

}  // namespace

std::optional<Design> read_kicad_netlist(std::string_view bytes, Diagnostics& log) {
  return Reader(bytes, log).run();
}

}  // namespace landfall::importers
