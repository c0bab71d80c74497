#include "importers/kicad_library/symbols.hpp"

#include <set>

#include <fmt/format.h>

#include "importers/bare_part.hpp"
#include "importers/text/kicad_words.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/units.hpp"

namespace landfall::importers::kicad_library {
namespace {

constexpr std::size_t kListed = 20;
constexpr std::int64_t kMostStacked = 10'000;

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

// The old form's letters; the new form's words are KiCad's own.
PinType type_of(const std::string& word) {
  if (word.size() != 1) return pin_type_named(word);
  switch (word.front()) {
    case 'I':
      return PinType::kInput;
    case 'O':
      return PinType::kOutput;
    case 'B':
      return PinType::kBidirectional;
    case 'T':
      return PinType::kTristate;
    case 'P':
      return PinType::kPassive;
    case 'W':
      return PinType::kPowerIn;
    case 'w':
      return PinType::kPowerOut;
    case 'C':
    case 'E':
      return PinType::kOpenDrain;
    case 'N':
      return PinType::kNotConnected;
    default:
      return PinType::kUnknown;
  }
}

const Symbol* named(const Library& library, std::string_view name) {
  for (const Symbol& symbol : library.symbols) {
    if (symbol.name == name) return &symbol;
  }
  return nullptr;
}

const Symbol* choose(const Library& library, Diagnostics& log, const std::string& wanted) {
  if (wanted.empty() && library.symbols.size() == 1) return &library.symbols.front();
  if (const Symbol* exact = named(library, wanted); exact != nullptr && !wanted.empty()) return exact;
  std::string list;
  std::size_t count = 0;
  const Symbol* found = nullptr;
  for (const Symbol& symbol : library.symbols) {
    const bool like = lower(symbol.name).find(lower(wanted)) != std::string::npos;
    if (!wanted.empty() && lower(symbol.name) == lower(wanted)) found = &symbol;
    if (!wanted.empty() && !like) continue;
    if (++count <= kListed) list += (list.empty() ? "" : ", ") + symbol.name;
  }
  if (found != nullptr) return found;
  if (count > kListed) list += fmt::format(" and {} more", count - kListed);
  log.error(0, 0, "choice",
            wanted.empty() ? fmt::format("the library has several symbols, --package picks one: {}", list)
            : list.empty()
                ? fmt::format("--package {} is none of the {} symbols", wanted, library.symbols.size())
                : fmt::format("--package {} is none of the symbols; like it are: {}", wanted, list));
  return nullptr;
}

}  // namespace

std::vector<std::string> pin_numbers(const std::string& text) {
  if (text.size() < 3 || text.front() != '[' || text.back() != ']') return {text};
  std::vector<std::string> numbers;
  std::string_view rest = std::string_view(text).substr(1, text.size() - 2);
  while (!rest.empty()) {
    const auto comma = rest.find(',');
    const std::string_view item = rest.substr(0, comma);
    rest.remove_prefix(comma == std::string_view::npos ? rest.size() : comma + 1);
    const auto dash = item.find('-');
    const auto from = parse_integer(item.substr(0, dash));
    const auto to = dash == std::string_view::npos ? from : parse_integer(item.substr(dash + 1));
    if (from && to && *from >= 0 && *to >= *from && *to - *from < kMostStacked) {
      for (std::int64_t n = *from; n <= *to; ++n) numbers.push_back(std::to_string(n));
    } else if (!item.empty()) {
      numbers.emplace_back(item);
    }
  }
  return numbers;
}

std::optional<Design> part_of(const Library& library, Diagnostics& log, const ReadOptions& options) {
  if (library.symbols.empty()) {
    log.error(1, 1, "format", "the library has no symbols");
    return std::nullopt;
  }
  const Symbol* symbol = choose(library, log, options.package);
  if (symbol == nullptr) return std::nullopt;
  Design design;
  const Symbol* source = symbol;
  std::set<const Symbol*> seen{symbol};
  while (!source->base.empty()) {
    const Symbol* base = named(library, source->base);
    if (base == nullptr || !seen.insert(base).second) {
      log.error(0, 0, "extends",
                fmt::format("symbol {} extends {}, which {}", source->name, source->base,
                            base == nullptr ? "is not in the library" : "extends it in turn"));
      return std::nullopt;
    }
    design.notes.push_back(fmt::format("{} has the pins of {}", source->name, base->name));
    source = base;
  }
  BarePart part(log);
  for (const SymbolPin& pin : source->pins) {
    for (const std::string& number : pin_numbers(pin.number)) {
      if (number.empty() || number == "~") {
        log.warn(pin.line, pin.column, "pin-nameless",
                 fmt::format("a pin {} without a number: skipped", guarded_name(pin.name).text));
        continue;
      }
      part.add(
          {number, pin.name == "~" ? std::string() : pin.name, type_of(pin.type), "", pin.line, pin.column});
    }
  }
  if (part.empty()) log.warn(0, 0, "no-pins", fmt::format("symbol {} has no pins", symbol->name));
  design.format = "kicad-symbol";
  design.version = library.version;
  design.writer = library.writer;
  design.notes.push_back(fmt::format("symbol {}, one of {}", symbol->name, library.symbols.size()));
  const std::string footprint = symbol->footprint.empty() ? source->footprint : symbol->footprint;
  design.board = part.finish(symbol->name, footprint, design.notes);
  return design;
}

}  // namespace landfall::importers::kicad_library
