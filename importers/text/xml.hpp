// Small helpers over the text of XML: places of offsets, and big sections read one by one, so that pugixml's
// tree of a whole file is never in memory at once. FORMATS.md section 10.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "importers/text/sexpr.hpp"

namespace landfall::importers {

inline constexpr std::size_t kDeepestElement = 256;

// Line and column of an offset. O(offset).
Place text_place(std::string_view bytes, std::size_t offset);

// What the parser says of a fault; where the text does not end with its root's closing tag, that it is cut
// off.
std::string fault_text(std::string_view bytes, std::string_view fault);

// The local name of the root element; empty when there is none within the first 64 KiB.
std::string_view root_element(std::string_view bytes);

// A file without its big sections. In `rest` each element NAME stands as <NAME n="I"/>, where I is its place
// in `sections`, so that `rest` is small and each section can be parsed by itself.
struct XmlSections {
  std::string rest;
  std::vector<std::string_view> sections;                    // in the file's order; views into the bytes
  std::vector<std::pair<std::size_t, std::size_t>> offsets;  // from `rest` to the bytes, rising
  std::size_t too_deep = std::string_view::npos;             // where nesting passes kDeepestElement
  std::size_t doctype = std::string_view::npos;

  // The offset in the bytes of an offset in `rest`.
  [[nodiscard]] std::size_t origin(std::size_t rest_offset) const;
};

// Takes no copy but `rest`. Never fails: what is no XML is left to the parser. O(bytes).
XmlSections split_sections(std::string_view bytes, std::string_view name);

}  // namespace landfall::importers
