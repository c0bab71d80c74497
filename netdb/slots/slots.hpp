// Pin tables of standard slots and connectors, as they lie in this folder; README.md has their sources in
// full.
#pragma once

#include <string_view>
#include <vector>

namespace landfall::slots {

struct Slot {
  std::string_view name;      // "ddr4-sodimm-260"
  std::string_view table;     // CSV: pin,name,class,note
  std::string_view standard;  // what it is
  std::string_view source;    // from where the table is, in short
  std::size_t pins = 0;
};

// All of them by name.
const std::vector<Slot>& all();
// By its name, or an unambiguous beginning of it; null when there is none.
const Slot* named(std::string_view name);

}  // namespace landfall::slots
