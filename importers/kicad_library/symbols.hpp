// What both forms of symbol libraries come to, shared by the files of this folder only.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importers/design.hpp"

namespace landfall::importers::kicad_library {

struct SymbolPin {
  std::string number, name, type;
  std::size_t line = 0, column = 0;
};

struct Symbol {
  std::string name, base, footprint;  // `base`: the symbol whose pins it has, empty for its own
  std::vector<SymbolPin> pins;
};

struct Library {
  std::string version, writer;
  std::vector<Symbol> symbols;
};

// All symbols of a .kicad_sym, or one error in `log`: for callers that want many out of one library.
std::optional<Library> read_symbol_library(std::string_view bytes, Diagnostics& log);

// The chosen symbol as a bare part, or an error in `log`.
std::optional<Design> part_of(const Library& library, Diagnostics& log, const ReadOptions& options);

// "[1-4,7]" of a stacked pin as 1, 2, 3, 4, 7; any other number as it stands.
std::vector<std::string> pin_numbers(const std::string& text);

}  // namespace landfall::importers::kicad_library
