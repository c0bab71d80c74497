#include <fmt/format.h>

#include "importers/kicad_library/kicad_library.hpp"
#include "importers/kicad_library/symbols.hpp"
#include "importers/text/name_guard.hpp"
#include "importers/text/sexpr.hpp"
#include "netdb/model/units.hpp"

// .kicad_sym

namespace landfall::importers {
namespace kicad_library {
namespace {

class Reader {
 public:
  Reader(std::string_view bytes, Diagnostics& log) : in_(bytes), log_(log) {}

  bool run(Library& library) {
    if (!in_.enter("kicad_symbol_lib")) {
      log_.error(1, 1, "format", "this is no KiCad symbol library");
      return false;
    }
    while (const auto field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "symbol") {
        library.symbols.push_back(read_symbol());
        continue;
      }
      const bool version = field.text == "version";
      const bool generator = field.text == "generator" || field.text == "host";
      if (version) library.version = atom();
      if (generator) library.writer = atom();
      in_.leave();
    }
    if (!in_.at_fault()) return true;
    const Place place = in_.fault_place();
    log_.error(place.line, place.column, "text", in_.fault());
    return false;
  }

 private:
  std::string atom() { return guarded_name(in_.atom().text).text; }

  Symbol read_symbol() {
    Symbol symbol;
    symbol.name = atom();
    while (const auto field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "symbol") {
        read_unit(symbol);
        continue;
      }
      if (field.text == "pin") {
        read_pin(symbol);
        continue;
      }
      if (field.text == "extends") {
        symbol.base = atom();
      } else if (field.text == "property") {
        const std::string key = atom();
        if (key == "Footprint") symbol.footprint = atom();
      }
      in_.leave();
    }
    return symbol;
  }

  // "NAME_UNIT_STYLE": style 2 is the other way of drawing the same pins.
  void read_unit(Symbol& symbol) {
    const std::string name = atom();
    const auto last = name.rfind('_');
    const auto style =
        last == std::string::npos ? std::nullopt : parse_integer(std::string_view(name).substr(last + 1));
    const bool second = style && *style >= 2;
    while (const auto field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "pin" && !second) {
        read_pin(symbol);
      } else {
        in_.leave();
      }
    }
  }

  void read_pin(Symbol& symbol) {
    SymbolPin pin;
    const Place place = in_.place_of(in_.list_offset());
    pin.line = place.line;
    pin.column = place.column;
    pin.type = atom();
    while (const auto field = in_.next()) {
      if (!field.list()) continue;
      const bool name = field.text == "name";
      const bool number = field.text == "number";
      if (name) pin.name = atom();
      if (number) pin.number = atom();
      in_.leave();
    }
    symbol.pins.push_back(std::move(pin));
  }

  SexprReader in_;
  Diagnostics& log_;
};

}  // namespace

std::optional<Library> read_symbol_library(std::string_view bytes, Diagnostics& log) {
  Library library;
  if (!Reader(bytes, log).run(library)) return std::nullopt;
  return library;
}

}  // namespace kicad_library

std::optional<Design> read_kicad_symbols(std::string_view bytes, Diagnostics& log,
                                         const ReadOptions& options) {
  const auto library = kicad_library::read_symbol_library(bytes, log);
  if (!library) return std::nullopt;
  return kicad_library::part_of(*library, log, options);
}

}  // namespace landfall::importers
